-- What stands apart from a fact, so that it can be erased; the fact has its seal.
ALTER TABLE log ADD COLUMN seal bytea CHECK (octet_length(seal) = 32);

CREATE TABLE log_apart (
    stream text COLLATE "C" NOT NULL,
    seq    bigint           NOT NULL,
    body   bytea            NOT NULL,
    PRIMARY KEY (stream, seq)
);

-- No samples of it among the statistics, where erasing would not reach them.
ALTER TABLE log_apart ALTER COLUMN body SET STATISTICS 0;

-- The end of each stream, kept apart from its facts: one whose last facts are
-- missing is noticed. The database keeps it up to date, for servers of the version
-- before too.
CREATE TABLE log_head (
    stream      text COLLATE "C" NOT NULL PRIMARY KEY,
    seq         bigint           NOT NULL,
    recorded_at timestamptz      NOT NULL,
    hash        bytea            NOT NULL
);

INSERT INTO log_head
    SELECT DISTINCT ON (stream) stream, seq, recorded_at, hash FROM log ORDER BY stream, seq DESC;

CREATE FUNCTION log_end() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    INSERT INTO log_head
        SELECT DISTINCT ON (stream) stream, seq, recorded_at, hash FROM added ORDER BY stream, seq DESC
        ON CONFLICT (stream) DO UPDATE SET seq = excluded.seq, recorded_at = excluded.recorded_at, hash = excluded.hash
        WHERE excluded.seq > log_head.seq;
    RETURN NULL;
END $$;

CREATE TRIGGER log_end AFTER INSERT ON log REFERENCING NEW TABLE AS added
    FOR EACH STATEMENT EXECUTE FUNCTION log_end();

-- Files that facts rest on, such as season tables.
CREATE TABLE log_file (
    name text COLLATE "C" NOT NULL PRIMARY KEY,
    body bytea            NOT NULL
);
