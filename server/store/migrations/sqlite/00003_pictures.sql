-- Pictures that holds show, small JPEGs. Their id is the SHA-256 of their bytes in hex, which the ledger's event has.

-- +goose Up

CREATE TABLE pictures (
  id     TEXT PRIMARY KEY CHECK (length(id) = 64),
  data   BLOB NOT NULL CHECK (length(data) > 0),
  added  INTEGER NOT NULL,
  event  INTEGER REFERENCES ledger (seq) -- the first that names it, NULL as long as none does
) STRICT;
CREATE INDEX pictures_unnamed ON pictures (added) WHERE event IS NULL;

-- A picture that the ledger names stays as it is.
-- +goose StatementBegin
CREATE TRIGGER pictures_no_delete BEFORE DELETE ON pictures WHEN OLD.event IS NOT NULL
BEGIN SELECT RAISE(ABORT, 'the ledger names this picture'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER pictures_no_change BEFORE UPDATE OF id, data ON pictures
BEGIN SELECT RAISE(ABORT, 'a picture does not change'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER pictures_stay_named BEFORE UPDATE OF event ON pictures WHEN OLD.event IS NOT NULL
BEGIN SELECT RAISE(ABORT, 'the ledger names this picture'); END;
-- +goose StatementEnd

ALTER TABLE steps ADD COLUMN picture TEXT NOT NULL DEFAULT '';
