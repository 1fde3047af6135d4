-- What is said of the lines of a purchase list: how far they are, and what is on hand. The list itself is worked out from the orders.

-- +goose Up

CREATE TABLE purchase_lines (
  line    TEXT PRIMARY KEY, -- of a span of due dates, what, and which
  state   TEXT NOT NULL CHECK (state IN ('open', 'ordered', 'come')),
  on_hand TEXT NOT NULL,    -- a length or a number, '' nothing said
  changed INTEGER NOT NULL,
  who     TEXT NOT NULL
) STRICT;
