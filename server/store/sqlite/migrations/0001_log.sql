-- The facts of all events. Nothing is ever changed or deleted.
CREATE TABLE log (
    stream      TEXT    NOT NULL,
    seq         INTEGER NOT NULL CHECK (seq > 0),
    kind        TEXT    NOT NULL,
    body        BLOB    NOT NULL,
    actor       TEXT    NOT NULL,
    request_id  TEXT    NOT NULL,
    recorded_at INTEGER NOT NULL, -- microseconds since 1970-01-01 UTC
    hash        BLOB    NOT NULL CHECK (length(hash) = 32),
    PRIMARY KEY (stream, seq)
) STRICT, WITHOUT ROWID;

-- Which facts did a request bring?
CREATE INDEX log_request ON log (stream, request_id);

-- Which streams are there? Each has one first fact.
CREATE INDEX log_stream ON log (stream) WHERE seq = 1;

CREATE TRIGGER log_keep_update BEFORE UPDATE ON log
BEGIN SELECT RAISE(ABORT, 'a recorded fact is never changed'); END;

CREATE TRIGGER log_keep_delete BEFORE DELETE ON log
BEGIN SELECT RAISE(ABORT, 'a recorded fact is never deleted'); END;
