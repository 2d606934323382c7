-- What crews mark at the house. A mark is never changed and never deleted; of one id
-- there is a row for each contents that a phone ever sent. Rows of a job stand in the
-- order in which they came, without gaps; chain is a digest of all up to a row, so that
-- a phone sees when the database was put back to an older copy.

-- +goose Up
CREATE TABLE marks (
    job TEXT NOT NULL REFERENCES jobs (id),
    seq BIGINT NOT NULL,
    id TEXT NOT NULL,
    digest TEXT NOT NULL,
    body TEXT NOT NULL,
    chain TEXT NOT NULL,
    account TEXT NOT NULL,
    received_at BIGINT NOT NULL,
    PRIMARY KEY (job, seq),
    UNIQUE (job, id, digest)
);

CREATE TABLE mark_heads (
    job TEXT PRIMARY KEY REFERENCES jobs (id),
    seq BIGINT NOT NULL,
    chain TEXT NOT NULL
);
