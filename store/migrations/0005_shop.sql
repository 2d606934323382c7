-- The shop's own book, every saved version of it; the pictures that its papers
-- carry; what was released to the machine; the true hours of finished jobs; and
-- credit notes. A payment that was credited whole may be asked for again, so an
-- offer's step may stand in several invoices.

-- +goose Up
CREATE TABLE books (
    shop TEXT NOT NULL REFERENCES shops (id),
    version BIGINT NOT NULL,
    document TEXT NOT NULL,
    at BIGINT NOT NULL,
    by_name TEXT NOT NULL,
    what TEXT NOT NULL,
    PRIMARY KEY (shop, version)
);

CREATE TABLE shop_files (
    shop TEXT NOT NULL REFERENCES shops (id),
    hash TEXT NOT NULL,
    place TEXT NOT NULL,
    media TEXT NOT NULL,
    size BIGINT NOT NULL,
    created_at BIGINT NOT NULL,
    PRIMARY KEY (shop, hash)
);

CREATE TABLE releases (
    job TEXT NOT NULL REFERENCES jobs (id),
    number BIGINT NOT NULL,
    shop TEXT NOT NULL REFERENCES shops (id),
    scheme TEXT NOT NULL,
    revision BIGINT NOT NULL,
    pieces TEXT NOT NULL,
    at BIGINT NOT NULL,
    by_name TEXT NOT NULL,
    taken_back BIGINT NOT NULL DEFAULT 0,
    PRIMARY KEY (job, number)
);

CREATE TABLE finished (
    job TEXT PRIMARY KEY REFERENCES jobs (id),
    shop TEXT NOT NULL REFERENCES shops (id),
    body TEXT NOT NULL,
    at BIGINT NOT NULL,
    by_name TEXT NOT NULL
);
CREATE INDEX finished_by_shop ON finished (shop, at);

CREATE TABLE credits (
    shop TEXT NOT NULL REFERENCES shops (id),
    number BIGINT NOT NULL,
    job TEXT NOT NULL REFERENCES jobs (id),
    invoice BIGINT NOT NULL,
    whole BIGINT NOT NULL,
    body TEXT NOT NULL,
    issued_at BIGINT NOT NULL,
    by_name TEXT NOT NULL,
    PRIMARY KEY (shop, number)
);

CREATE TABLE invoices_again (
    shop TEXT NOT NULL REFERENCES shops (id),
    number BIGINT NOT NULL,
    job TEXT NOT NULL REFERENCES jobs (id),
    offer TEXT NOT NULL REFERENCES offers (id),
    step BIGINT NOT NULL,
    body TEXT NOT NULL,
    issued_at BIGINT NOT NULL,
    paid_at BIGINT NOT NULL DEFAULT 0,
    paid_note TEXT NOT NULL DEFAULT '',
    PRIMARY KEY (shop, number)
);
INSERT INTO invoices_again (shop, number, job, offer, step, body, issued_at, paid_at, paid_note)
SELECT shop, number, job, offer, step, body, issued_at, paid_at, paid_note FROM invoices;
DROP TABLE invoices;
ALTER TABLE invoices_again RENAME TO invoices;
CREATE INDEX invoices_by_job ON invoices (shop, job, number);
