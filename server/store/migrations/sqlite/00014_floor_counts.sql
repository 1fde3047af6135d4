-- Counts of what lies at a station: what should have been there when one began, what was seen, and what came of it. A count changes
-- nothing on the floor.

-- +goose Up

CREATE TABLE floor_counts (
  id      TEXT PRIMARY KEY,
  station TEXT NOT NULL,
  device  TEXT NOT NULL,
  key     TEXT, -- the device's own, NULL for a count without one
  who     TEXT NOT NULL,
  began   INTEGER NOT NULL,
  ended   INTEGER NOT NULL -- 0 while it goes on
) STRICT;
CREATE UNIQUE INDEX floor_counts_key ON floor_counts (device, key) WHERE key IS NOT NULL;

CREATE TABLE floor_count_tickets (
  count    TEXT NOT NULL REFERENCES floor_counts (id),
  ticket   TEXT NOT NULL,
  expected INTEGER NOT NULL, -- it belonged there when the count began
  seen     INTEGER NOT NULL, -- when, 0 not
  turn     INTEGER NOT NULL, -- as which it was seen, from 1; 0 not
  outcome  TEXT NOT NULL,    -- missing, astray, or nothing of either
  PRIMARY KEY (count, ticket)
) STRICT, WITHOUT ROWID;
