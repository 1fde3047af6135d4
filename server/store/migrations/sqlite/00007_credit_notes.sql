-- A credit note stands among the invoices: of which invoice (its number), why, and whether it frees its panels.
-- A freed panel has no line on its old invoice any more, so that it can stand on a new one.

-- +goose Up

ALTER TABLE invoices ADD COLUMN kind TEXT NOT NULL DEFAULT 'invoice';
ALTER TABLE invoices ADD COLUMN refers_to TEXT NOT NULL DEFAULT '';
ALTER TABLE invoices ADD COLUMN reason TEXT NOT NULL DEFAULT '';
ALTER TABLE invoices ADD COLUMN frees INTEGER NOT NULL DEFAULT 0;
