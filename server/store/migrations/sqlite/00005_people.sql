-- The language in which somebody reads, by the name that they work under.

-- +goose Up

CREATE TABLE people (
    name     TEXT PRIMARY KEY,
    language TEXT NOT NULL
) STRICT;
