-- The shop's books: customers, cloths, tapes, rods, phrases. An entry's fields are one JSON object, key to text; what may stand in
-- it is a table in server/books. Each change is kept beside it for ever, and the answer to a command that had a key.

-- +goose Up

CREATE TABLE book_entries (
  book        TEXT NOT NULL,
  id          TEXT NOT NULL,
  version     INTEGER NOT NULL, -- how often it was changed
  fields      TEXT NOT NULL CHECK (json_valid(fields)),
  set_aside   INTEGER NOT NULL,
  merged_into TEXT NOT NULL, -- the entry that goes on in its place
  PRIMARY KEY (book, id)
) STRICT;

CREATE TABLE book_changes (
  id      INTEGER PRIMARY KEY AUTOINCREMENT,
  book    TEXT NOT NULL,
  entry   TEXT NOT NULL,
  at      INTEGER NOT NULL,
  who     TEXT NOT NULL,
  what    TEXT NOT NULL,
  about   TEXT NOT NULL, -- the other entry of a merge
  changes TEXT NOT NULL CHECK (json_valid(changes))
) STRICT;
CREATE INDEX book_changes_entry ON book_changes (book, entry, id);
-- +goose StatementBegin
CREATE TRIGGER book_changes_no_update BEFORE UPDATE ON book_changes
BEGIN SELECT RAISE(ABORT, 'the history of the books is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER book_changes_no_delete BEFORE DELETE ON book_changes
BEGIN SELECT RAISE(ABORT, 'the history of the books is append-only'); END;
-- +goose StatementEnd

CREATE TABLE book_answers (
  device TEXT NOT NULL,
  key    TEXT NOT NULL CHECK (length(key) > 0),
  hash   BLOB NOT NULL CHECK (length(hash) = 32), -- of what was asked
  answer TEXT NOT NULL,
  PRIMARY KEY (device, key)
) STRICT;
