-- An order's history is read from the ledger.

-- +goose Up

CREATE INDEX ledger_order ON ledger (order_id, seq) WHERE order_id <> '';
