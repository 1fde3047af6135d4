-- A panel that is held because it differs from its mate: the mate, and both measures, as JSON.

-- +goose Up

ALTER TABLE steps ADD COLUMN pair TEXT NOT NULL DEFAULT '';
