-- The shop's first schema. Instants are microseconds UTC, civil dates YYYY-MM-DD, '' where there is none.

-- +goose Up

-- The ledger is the truth; orders, tickets, steps, invoices and invoice_lines are projections that audit proves from it.
CREATE TABLE ledger (
  seq       INTEGER PRIMARY KEY,
  at        INTEGER NOT NULL,
  device    TEXT NOT NULL,
  role      TEXT NOT NULL,
  name      TEXT NOT NULL,
  key       TEXT CHECK (length(key) > 0),
  body_hash BLOB CHECK (length(body_hash) = 32),
  action    TEXT NOT NULL,
  order_id  TEXT NOT NULL,
  ticket    TEXT NOT NULL,
  station   TEXT NOT NULL,
  state     TEXT NOT NULL,
  details   TEXT NOT NULL CHECK (json_valid(details)),
  CHECK ((key IS NULL) = (body_hash IS NULL))
) STRICT;
CREATE UNIQUE INDEX ledger_key ON ledger (device, key) WHERE key IS NOT NULL;
CREATE INDEX ledger_ticket ON ledger (ticket, seq) WHERE ticket <> '';

-- +goose StatementBegin
CREATE TRIGGER ledger_no_update BEFORE UPDATE ON ledger
BEGIN SELECT RAISE(ABORT, 'the ledger is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER ledger_no_delete BEFORE DELETE ON ledger
BEGIN SELECT RAISE(ABORT, 'the ledger is append-only'); END;
-- +goose StatementEnd
-- INSERT OR REPLACE would delete the row in its way without asking the trigger above.
-- +goose StatementBegin
CREATE TRIGGER ledger_next_only BEFORE INSERT ON ledger
WHEN NEW.seq <> (SELECT coalesce(max(seq), 0) + 1 FROM ledger)
  OR EXISTS (SELECT 1 FROM ledger WHERE device = NEW.device AND key = NEW.key)
BEGIN SELECT RAISE(ABORT, 'the ledger takes the next event only'); END;
-- +goose StatementEnd

CREATE TABLE orders (
  id       TEXT PRIMARY KEY,
  customer TEXT NOT NULL,
  due      TEXT NOT NULL,
  state    TEXT NOT NULL,
  revision INTEGER NOT NULL,
  digest   TEXT NOT NULL,
  taken    INTEGER NOT NULL
) STRICT;

-- The file of an order as it was sent, one row a revision. It comes before its order's row in the transaction.
CREATE TABLE order_files (
  order_id TEXT NOT NULL REFERENCES orders (id) DEFERRABLE INITIALLY DEFERRED,
  revision INTEGER NOT NULL,
  source   BLOB NOT NULL,
  digest   TEXT NOT NULL,
  PRIMARY KEY (order_id, revision)
) STRICT;

CREATE TABLE tickets (
  code      TEXT PRIMARY KEY,
  order_id  TEXT NOT NULL REFERENCES orders (id),
  kind      TEXT NOT NULL,
  window    TEXT NOT NULL,
  room      TEXT NOT NULL,
  panel     TEXT NOT NULL,
  copy      INTEGER NOT NULL,
  fabric    TEXT NOT NULL,
  station   TEXT NOT NULL,
  state     TEXT NOT NULL,
  step      INTEGER NOT NULL,
  invoice   TEXT NOT NULL,
  changed   INTEGER NOT NULL
) STRICT;
CREATE INDEX tickets_order ON tickets (order_id);

CREATE TABLE steps (
  ticket           TEXT NOT NULL REFERENCES tickets (code),
  position         INTEGER NOT NULL,
  station          TEXT NOT NULL,
  state            TEXT NOT NULL,
  before_hold      TEXT NOT NULL,
  reason           TEXT NOT NULL,
  for_office       INTEGER NOT NULL,
  out_of           TEXT NOT NULL,
  sent_back_from   TEXT NOT NULL,
  sent_back_reason TEXT NOT NULL,
  measured         TEXT NOT NULL,
  checks           TEXT NOT NULL,
  person           TEXT NOT NULL,
  started          INTEGER NOT NULL,
  ended            INTEGER NOT NULL,
  PRIMARY KEY (ticket, position)
) STRICT;

CREATE TABLE invoices (
  draft    TEXT PRIMARY KEY,
  number   TEXT NOT NULL,
  customer TEXT NOT NULL,
  currency TEXT NOT NULL,
  lines    TEXT NOT NULL,
  drafted  INTEGER NOT NULL,
  issued   INTEGER NOT NULL
) STRICT;
CREATE UNIQUE INDEX invoices_number ON invoices (number) WHERE number <> '';

-- A panel stands on one invoice at most: the database says so too.
CREATE TABLE invoice_lines (
  ticket TEXT PRIMARY KEY REFERENCES tickets (code),
  draft  TEXT NOT NULL REFERENCES invoices (draft) ON DELETE CASCADE
) STRICT;
CREATE INDEX invoice_lines_draft ON invoice_lines (draft);

-- Only hashes of secrets are kept: a copied database lets nobody in.
CREATE TABLE tokens (
  id      TEXT PRIMARY KEY,
  name    TEXT NOT NULL,
  role    TEXT NOT NULL,
  hash    BLOB NOT NULL UNIQUE CHECK (length(hash) = 32),
  created INTEGER NOT NULL
) STRICT;

CREATE TABLE sessions (
  id      TEXT PRIMARY KEY,
  role    TEXT NOT NULL,
  name    TEXT NOT NULL,
  hash    BLOB NOT NULL CHECK (length(hash) = 32),
  created INTEGER NOT NULL,
  expires INTEGER NOT NULL
) STRICT;

CREATE TABLE settings (
  name  TEXT PRIMARY KEY,
  value TEXT NOT NULL
) STRICT;
