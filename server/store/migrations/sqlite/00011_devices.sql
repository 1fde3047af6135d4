-- Devices that are let in, and the record of who did what about coming in. Only hashes are kept: of the code by which a device
-- enters, and of the secret that it has from then on.

-- +goose Up

CREATE TABLE devices (
  id       TEXT PRIMARY KEY,
  name     TEXT NOT NULL,
  kind     TEXT NOT NULL CHECK (kind IN ('bench', 'wall', 'office', 'accounts')),
  stations TEXT NOT NULL CHECK (json_valid(stations)), -- of a bench; [] for all
  language TEXT NOT NULL,
  code     BLOB NOT NULL UNIQUE CHECK (length(code) = 32),
  until    INTEGER NOT NULL, -- the code is good
  hash     BLOB UNIQUE CHECK (length(hash) = 32), -- NULL until it has entered
  added    INTEGER NOT NULL,
  entered  INTEGER NOT NULL, -- 0 until then, as the next
  seen     INTEGER NOT NULL,
  address  TEXT NOT NULL
) STRICT;

CREATE TABLE record (
  id      INTEGER PRIMARY KEY AUTOINCREMENT,
  at      INTEGER NOT NULL,
  who     TEXT NOT NULL,
  what    TEXT NOT NULL,
  about   TEXT NOT NULL,
  address TEXT NOT NULL
) STRICT;
-- +goose StatementBegin
CREATE TRIGGER record_no_update BEFORE UPDATE ON record
BEGIN SELECT RAISE(ABORT, 'the record is append-only'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER record_no_delete BEFORE DELETE ON record
BEGIN SELECT RAISE(ABORT, 'the record is append-only'); END;
-- +goose StatementEnd

-- When a device was seen, and where, lets nobody in or out.
-- +goose StatementBegin
CREATE TRIGGER devices_added AFTER INSERT ON devices
BEGIN UPDATE access_version SET version = version + 1; END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER devices_changed AFTER UPDATE OF id, name, kind, stations, language, hash ON devices
BEGIN UPDATE access_version SET version = version + 1; END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER devices_removed AFTER DELETE ON devices
BEGIN UPDATE access_version SET version = version + 1; END;
-- +goose StatementEnd
