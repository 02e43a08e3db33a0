-- Books of attempts. Unlike facts of events, all of it may be changed and deleted.
CREATE TABLE book (
    book    TEXT    NOT NULL PRIMARY KEY,
    token   BLOB    NOT NULL, -- hash
    created INTEGER NOT NULL, -- microseconds since 1970-01-01 UTC, as all times here
    added   INTEGER NOT NULL, -- skaters that were ever added
    body    BLOB    NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE skater (
    book     TEXT    NOT NULL,
    skater   INTEGER NOT NULL,
    added    INTEGER NOT NULL, -- attempts that were ever added
    changes  INTEGER NOT NULL, -- changes that were ever added
    revision INTEGER NOT NULL,
    body     BLOB    NOT NULL,
    PRIMARY KEY (book, skater)
) STRICT, WITHOUT ROWID;

CREATE TABLE attempt (
    book        TEXT    NOT NULL,
    skater      INTEGER NOT NULL,
    attempt     INTEGER NOT NULL,
    time        INTEGER NOT NULL,
    planned     TEXT    NOT NULL,
    outcome     TEXT    NOT NULL, -- what is counted of it, in one text
    run_through TEXT    NOT NULL,
    rest        BLOB    NOT NULL,
    PRIMARY KEY (book, skater, attempt)
) STRICT, WITHOUT ROWID;

-- In order of their time.
CREATE INDEX attempt_time ON attempt (book, skater, time);

-- The few that say more, and those of run-throughs.
CREATE INDEX attempt_rest ON attempt (book, skater, time) WHERE length(rest) > 0;
CREATE INDEX attempt_run ON attempt (book, skater, time) WHERE run_through <> '';

CREATE TABLE change (
    book   TEXT    NOT NULL,
    skater INTEGER NOT NULL,
    change INTEGER NOT NULL,
    time   INTEGER NOT NULL,
    code   TEXT    NOT NULL,
    text   TEXT    NOT NULL,
    PRIMARY KEY (book, skater, change)
) STRICT, WITHOUT ROWID;

-- What requests have added, so that a repeated one is known. Those that add a skater
-- have the skater 0.
CREATE TABLE request (
    book    TEXT    NOT NULL,
    skater  INTEGER NOT NULL,
    request TEXT    NOT NULL,
    digest  BLOB    NOT NULL,
    first   INTEGER NOT NULL,
    made    INTEGER NOT NULL,
    PRIMARY KEY (book, skater, request)
) STRICT, WITHOUT ROWID;

-- How many deletions have left bytes in the file that are still to be erased.
CREATE TABLE erasing (due INTEGER NOT NULL) STRICT;
INSERT INTO erasing VALUES (0);
