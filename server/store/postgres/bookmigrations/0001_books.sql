-- Books of attempts. Unlike facts of events, all of it may be changed and deleted.
CREATE TABLE practice.book (
    book    text COLLATE "C" NOT NULL PRIMARY KEY,
    token   bytea            NOT NULL, -- hash
    created bigint           NOT NULL, -- microseconds since 1970-01-01 UTC, as all times here
    added   bigint           NOT NULL, -- skaters that were ever added
    body    bytea            NOT NULL
);

CREATE TABLE practice.skater (
    book     text COLLATE "C" NOT NULL,
    skater   bigint           NOT NULL,
    added    bigint           NOT NULL, -- attempts that were ever added
    changes  bigint           NOT NULL, -- changes that were ever added
    revision bigint           NOT NULL,
    body     bytea            NOT NULL,
    PRIMARY KEY (book, skater)
);

CREATE TABLE practice.attempt (
    book        text COLLATE "C" NOT NULL,
    skater      bigint           NOT NULL,
    attempt     bigint           NOT NULL,
    time        bigint           NOT NULL,
    planned     text COLLATE "C" NOT NULL,
    outcome     text COLLATE "C" NOT NULL, -- what is counted of it, in one text
    run_through text COLLATE "C" NOT NULL,
    rest        bytea            NOT NULL,
    PRIMARY KEY (book, skater, attempt)
);

-- In order of their time.
CREATE INDEX attempt_time ON practice.attempt (book, skater, time, attempt);

-- The few that say more, and those of run-throughs.
CREATE INDEX attempt_rest ON practice.attempt (book, skater, time, attempt) WHERE length(rest) > 0;
CREATE INDEX attempt_run ON practice.attempt (book, skater, time, attempt) WHERE run_through <> '';

CREATE TABLE practice.change (
    book   text COLLATE "C" NOT NULL,
    skater bigint           NOT NULL,
    change bigint           NOT NULL,
    time   bigint           NOT NULL,
    code   text COLLATE "C" NOT NULL,
    text   text             NOT NULL,
    PRIMARY KEY (book, skater, change)
);

-- What requests have added, so that a repeated one is known. Those that add a skater
-- have the skater 0.
CREATE TABLE practice.request (
    book    text COLLATE "C" NOT NULL,
    skater  bigint           NOT NULL,
    request text COLLATE "C" NOT NULL,
    digest  bytea            NOT NULL,
    first   bigint           NOT NULL,
    made    bigint           NOT NULL,
    PRIMARY KEY (book, skater, request)
);

-- No samples of what people have written among the statistics, where erasing would not
-- reach them.
ALTER TABLE practice.book ALTER COLUMN body SET STATISTICS 0;
ALTER TABLE practice.skater ALTER COLUMN body SET STATISTICS 0;
ALTER TABLE practice.attempt ALTER COLUMN planned SET STATISTICS 0, ALTER COLUMN outcome SET STATISTICS 0,
    ALTER COLUMN run_through SET STATISTICS 0, ALTER COLUMN rest SET STATISTICS 0;
ALTER TABLE practice.change ALTER COLUMN code SET STATISTICS 0, ALTER COLUMN text SET STATISTICS 0;
ALTER TABLE practice.request ALTER COLUMN request SET STATISTICS 0;

-- How many deletions have left bytes in the files that are still to be erased.
CREATE TABLE practice.erasing (due bigint NOT NULL);
INSERT INTO practice.erasing VALUES (0);
