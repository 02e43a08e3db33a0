-- The facts of all events. Nothing is ever changed or deleted.
CREATE TABLE log (
    stream      text COLLATE "C" NOT NULL,
    seq         bigint           NOT NULL CHECK (seq > 0),
    kind        text             NOT NULL,
    body        bytea            NOT NULL,
    actor       text             NOT NULL,
    request_id  text COLLATE "C" NOT NULL,
    recorded_at timestamptz      NOT NULL,
    hash        bytea            NOT NULL CHECK (octet_length(hash) = 32),
    PRIMARY KEY (stream, seq)
);

-- Which facts did a request bring?
CREATE INDEX log_request ON log (stream, request_id);

-- Which streams are there? Each has one first fact.
CREATE INDEX log_stream ON log (stream) WHERE seq = 1;

CREATE FUNCTION log_keep() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'a recorded fact is never changed or deleted';
END $$;

CREATE TRIGGER log_keep BEFORE UPDATE OR DELETE OR TRUNCATE ON log
    FOR EACH STATEMENT EXECUTE FUNCTION log_keep();
