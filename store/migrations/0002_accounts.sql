-- Who may sign in, and who has: sessions stand here so that any server on this
-- database knows them.

-- +goose Up
CREATE TABLE accounts (
    id TEXT PRIMARY KEY,
    shop TEXT NOT NULL REFERENCES shops (id),
    name TEXT NOT NULL,
    name_key TEXT NOT NULL UNIQUE,
    secret TEXT NOT NULL,
    created_at BIGINT NOT NULL
);

CREATE TABLE sessions (
    token TEXT PRIMARY KEY,
    data TEXT NOT NULL,
    expires_at BIGINT NOT NULL
);
CREATE INDEX sessions_by_end ON sessions (expires_at);
