-- Pieces that are cut though their numbers are not fit to cut, on the word of a
-- person named: which pieces by their keys, the reason, and who was signed in. A word
-- that is taken back stays to be read.

-- +goose Up
CREATE TABLE words (
    job TEXT NOT NULL REFERENCES jobs (id),
    number BIGINT NOT NULL,
    shop TEXT NOT NULL REFERENCES shops (id),
    scheme TEXT NOT NULL,
    pieces TEXT NOT NULL,
    name TEXT NOT NULL,
    reason TEXT NOT NULL,
    revision BIGINT NOT NULL,
    at BIGINT NOT NULL,
    by_name TEXT NOT NULL,
    taken_back BIGINT NOT NULL DEFAULT 0,
    taken_by TEXT NOT NULL DEFAULT '',
    PRIMARY KEY (job, number)
);
