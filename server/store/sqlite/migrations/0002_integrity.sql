-- What stands apart from a fact, so that it can be erased; the fact has its seal.
ALTER TABLE log ADD COLUMN seal BLOB CHECK (length(seal) = 32);

CREATE TABLE log_apart (
    stream TEXT    NOT NULL,
    seq    INTEGER NOT NULL,
    body   BLOB    NOT NULL,
    PRIMARY KEY (stream, seq)
) STRICT, WITHOUT ROWID;

-- The end of each stream, kept apart from its facts: one whose last facts are
-- missing is noticed. The database keeps it up to date.
CREATE TABLE log_head (
    stream      TEXT    NOT NULL PRIMARY KEY,
    seq         INTEGER NOT NULL,
    recorded_at INTEGER NOT NULL,
    hash        BLOB    NOT NULL
) STRICT, WITHOUT ROWID;

INSERT INTO log_head SELECT stream, seq, recorded_at, hash FROM log
    WHERE (stream, seq) IN (SELECT stream, max(seq) FROM log GROUP BY stream);

CREATE TRIGGER log_end AFTER INSERT ON log
BEGIN
    INSERT INTO log_head VALUES (new.stream, new.seq, new.recorded_at, new.hash)
        ON CONFLICT (stream) DO UPDATE SET seq = excluded.seq, recorded_at = excluded.recorded_at, hash = excluded.hash
        WHERE excluded.seq > seq;
END;

-- Files that facts rest on, such as season tables.
CREATE TABLE log_file (
    name TEXT NOT NULL PRIMARY KEY,
    body BLOB NOT NULL
) STRICT;
