-- People of the shop. A row without an id is somebody who only chose a language under a name that they typed. Passphrase and PIN
-- are argon2id hashes; a badge's code is no secret, and is printed again.

-- +goose Up

ALTER TABLE people ADD COLUMN id TEXT NOT NULL DEFAULT '';
ALTER TABLE people ADD COLUMN initials TEXT NOT NULL DEFAULT '';
ALTER TABLE people ADD COLUMN floor TEXT NOT NULL DEFAULT 'none' CHECK (floor IN ('hand', 'lead', 'none'));
ALTER TABLE people ADD COLUMN sign_in TEXT NOT NULL DEFAULT 'none' CHECK (sign_in IN ('none', 'office', 'accounts'));
ALTER TABLE people ADD COLUMN badge TEXT NOT NULL DEFAULT '';
ALTER TABLE people ADD COLUMN pin TEXT NOT NULL DEFAULT '';
ALTER TABLE people ADD COLUMN passphrase TEXT NOT NULL DEFAULT '';
ALTER TABLE people ADD COLUMN set_aside INTEGER NOT NULL DEFAULT 0;
CREATE UNIQUE INDEX people_id ON people (id) WHERE id <> '';
CREATE UNIQUE INDEX people_badge ON people (badge) WHERE badge <> '';

-- Whose a sign-in is ('' the owner's), and whether it is kept on its device.
ALTER TABLE sessions ADD COLUMN person TEXT NOT NULL DEFAULT '';
ALTER TABLE sessions ADD COLUMN kept INTEGER NOT NULL DEFAULT 1;
