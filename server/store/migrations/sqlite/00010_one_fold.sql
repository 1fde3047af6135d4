-- The floor is folded from the ledger alone. Orders, tickets and steps were kept in tables too, which nothing read but
-- audit; it has looked through them once more before they go (retired.go). Files of orders and lines of invoices stay,
-- without references into them. No query looked for the events of a ticket.

-- +goose Up

DROP TABLE steps;

CREATE TABLE invoice_lines_now (
  ticket TEXT PRIMARY KEY,
  draft  TEXT NOT NULL REFERENCES invoices (draft) ON DELETE CASCADE
) STRICT;
INSERT INTO invoice_lines_now (ticket, draft) SELECT ticket, draft FROM invoice_lines;
DROP TABLE invoice_lines;
ALTER TABLE invoice_lines_now RENAME TO invoice_lines;
CREATE INDEX invoice_lines_draft ON invoice_lines (draft);

CREATE TABLE order_files_now (
  order_id TEXT NOT NULL,
  revision INTEGER NOT NULL,
  source   BLOB NOT NULL,
  digest   TEXT NOT NULL,
  PRIMARY KEY (order_id, revision)
) STRICT;
INSERT INTO order_files_now (order_id, revision, source, digest) SELECT order_id, revision, source, digest FROM order_files;
DROP TABLE order_files;
ALTER TABLE order_files_now RENAME TO order_files;

DROP TABLE tickets;
DROP TABLE orders;

DROP INDEX ledger_ticket;
