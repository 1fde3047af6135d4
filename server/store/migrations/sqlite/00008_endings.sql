-- A panel that was scrapped: '' for none, 'billable', or 'unbilled' for one that is never billed. Its state is cancelled.

-- +goose Up

ALTER TABLE tickets ADD COLUMN scrapped TEXT NOT NULL DEFAULT '';
