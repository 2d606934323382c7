-- What was offered to an owner, what was signed, what became of it, and what was
-- asked for. A link's token is kept as its SHA-256 alone.

-- +goose Up
CREATE TABLE offers (
    id TEXT PRIMARY KEY,
    shop TEXT NOT NULL REFERENCES shops (id),
    job TEXT NOT NULL REFERENCES jobs (id),
    kind TEXT NOT NULL,
    state TEXT NOT NULL,
    revision BIGINT NOT NULL,
    token TEXT NOT NULL UNIQUE,
    link_until BIGINT NOT NULL,
    document TEXT NOT NULL,
    options TEXT NOT NULL,
    instead TEXT NOT NULL,
    signed TEXT NOT NULL,
    signature TEXT NOT NULL,
    countersign TEXT NOT NULL,
    created_at BIGINT NOT NULL,
    created_by TEXT NOT NULL
);
CREATE INDEX offers_by_job ON offers (job, created_at, id);

CREATE TABLE offer_events (
    offer TEXT NOT NULL REFERENCES offers (id),
    number BIGINT NOT NULL,
    at BIGINT NOT NULL,
    kind TEXT NOT NULL,
    by_name TEXT NOT NULL,
    what TEXT NOT NULL,
    PRIMARY KEY (offer, number)
);

CREATE TABLE invoices (
    shop TEXT NOT NULL REFERENCES shops (id),
    number BIGINT NOT NULL,
    job TEXT NOT NULL REFERENCES jobs (id),
    offer TEXT NOT NULL REFERENCES offers (id),
    step BIGINT NOT NULL,
    body TEXT NOT NULL,
    issued_at BIGINT NOT NULL,
    paid_at BIGINT NOT NULL DEFAULT 0,
    paid_note TEXT NOT NULL DEFAULT '',
    PRIMARY KEY (shop, number),
    UNIQUE (offer, step)
);
