-- Who may come in is kept in memory for as long as this number stays: it rises with each token or session that is added,
-- changed or removed, by whichever process.

-- +goose Up

CREATE TABLE access_version (
  id      INTEGER PRIMARY KEY CHECK (id = 1),
  version INTEGER NOT NULL
) STRICT;
INSERT INTO access_version (id, version) VALUES (1, 1);

-- +goose StatementBegin
CREATE TRIGGER tokens_added AFTER INSERT ON tokens
BEGIN UPDATE access_version SET version = version + 1; END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER tokens_changed AFTER UPDATE ON tokens
BEGIN UPDATE access_version SET version = version + 1; END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER tokens_removed AFTER DELETE ON tokens
BEGIN UPDATE access_version SET version = version + 1; END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER sessions_added AFTER INSERT ON sessions
BEGIN UPDATE access_version SET version = version + 1; END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER sessions_changed AFTER UPDATE ON sessions
BEGIN UPDATE access_version SET version = version + 1; END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER sessions_removed AFTER DELETE ON sessions
BEGIN UPDATE access_version SET version = version + 1; END;
-- +goose StatementEnd
