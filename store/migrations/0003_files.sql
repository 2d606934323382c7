-- What stands in the file store: the bytes lie in a folder or a bucket, this says
-- whose they are.

-- +goose Up
CREATE TABLE files (
    shop TEXT NOT NULL REFERENCES shops (id),
    job TEXT NOT NULL REFERENCES jobs (id),
    name TEXT NOT NULL,
    place TEXT NOT NULL,
    media TEXT NOT NULL,
    size BIGINT NOT NULL,
    hash TEXT NOT NULL,
    ord BIGINT NOT NULL,
    created_at BIGINT NOT NULL,
    PRIMARY KEY (job, name)
);
