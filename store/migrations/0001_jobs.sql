-- Jobs, every change made to them, and now and then the whole document, so that an
-- old revision is found quickly. One DDL for SQLite and PostgreSQL; times are
-- microseconds since 1970, UTC.

-- +goose Up
CREATE TABLE shops (
    id TEXT PRIMARY KEY,
    title TEXT NOT NULL,
    created_at BIGINT NOT NULL
);

CREATE TABLE jobs (
    id TEXT PRIMARY KEY,
    shop TEXT NOT NULL REFERENCES shops (id),
    title TEXT NOT NULL,
    search TEXT NOT NULL,
    stage TEXT NOT NULL,
    revision BIGINT NOT NULL,
    document TEXT NOT NULL,
    hash TEXT NOT NULL,
    walls BIGINT NOT NULL,
    created_at BIGINT NOT NULL,
    changed_at BIGINT NOT NULL,
    changed_by TEXT NOT NULL,
    aside_at BIGINT NOT NULL DEFAULT 0
);
CREATE INDEX jobs_by_shop ON jobs (shop, changed_at, id);

CREATE TABLE events (
    job TEXT NOT NULL REFERENCES jobs (id),
    revision BIGINT NOT NULL,
    at BIGINT NOT NULL,
    account TEXT NOT NULL,
    by_name TEXT NOT NULL,
    device TEXT NOT NULL,
    kind TEXT NOT NULL,
    what TEXT NOT NULL,
    about BIGINT NOT NULL DEFAULT 0,
    patch TEXT NOT NULL,
    inverse TEXT NOT NULL,
    PRIMARY KEY (job, revision)
);

CREATE TABLE snapshots (
    job TEXT NOT NULL REFERENCES jobs (id),
    revision BIGINT NOT NULL,
    document TEXT NOT NULL,
    PRIMARY KEY (job, revision)
);
