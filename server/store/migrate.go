package store

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"time"

	"github.com/pressly/goose/v3"
)

//go:embed migrations/sqlite/*.sql
var migrationFiles embed.FS

// VersionError is a database whose schema this program doesn't know: newer than its own, or, for those who only
// look, not yet brought up to date.
type VersionError struct{ Has, Knows int64 }

func (e *VersionError) Error() string {
	if e.Has > e.Knows {
		return fmt.Sprintf("store: the database is of version %d, newer than this program's %d", e.Has, e.Knows)
	}
	return fmt.Sprintf("store: the database is of version %d, this program works with %d", e.Has, e.Knows)
}

// Newer reports whether the database is newer than the program.
func (e *VersionError) Newer() bool { return e.Has > e.Knows }

// migrations returns the embedded files of the one database there is so far.
func migrations() fs.FS {
	sub, err := fs.Sub(migrationFiles, "migrations/sqlite")
	if err != nil {
		panic(err) // the path is in the embed directive above
	}
	return sub
}

// migrate brings the schema up to date with the given files. Before it changes a database that holds a shop it
// looks through what will be dropped (*UpgradeError) and puts a copy beside it. Migrations run on plain database/sql: gorm's prepared statements would run only the
// first statement of a script.
func migrate(ctx context.Context, db *sql.DB, files fs.FS, dir string, now time.Time) error {
	has, err := schemaVersion(ctx, db)
	if err != nil {
		return err
	}
	p, err := goose.NewProvider(goose.DialectSQLite3, db, files)
	if err != nil {
		return fmt.Errorf("store: migrations: %w", err)
	}
	sources := p.ListSources()
	knows := sources[len(sources)-1].Version
	switch {
	case has > knows: // goose would accept it silently
		return &VersionError{has, knows}
	case has == knows:
		return nil
	case has > 0:
		if has < retiredBy {
			if err := auditRetired(ctx, db, filepath.Join(dir, databaseFile)); err != nil {
				return err
			}
		}
		if err := copyBefore(ctx, db, dir, has, now); err != nil {
			return err
		}
	}
	if _, err := p.Up(ctx); err != nil {
		return fmt.Errorf("store: bring the database from version %d to %d: %w", has, knows, err)
	}
	if has == 0 { // of a new shop nothing is left of tables that there aren't any more
		_, err = db.ExecContext(ctx, "VACUUM")
	}
	return err
}

// copyBefore keeps the database as it is in a file named by its version and the time.
func copyBefore(ctx context.Context, db *sql.DB, dir string, version int64, now time.Time) error {
	name := fmt.Sprintf("tablehand-v%d-%s.db", version, now.UTC().Format("20060102T150405.000000"))
	if _, err := db.ExecContext(ctx, "VACUUM INTO ?", filepath.Join(dir, name)); err != nil {
		return fmt.Errorf("store: copy before upgrading: %w", err)
	}
	return syncFile(filepath.Join(dir, name))
}

// schemaVersion returns the version of the newest migration applied, 0 for an empty database. It changes nothing.
func schemaVersion(ctx context.Context, db *sql.DB) (int64, error) {
	var table string
	err := db.QueryRowContext(ctx, "SELECT name FROM sqlite_master WHERE type = 'table' AND name = ?", goose.DefaultTablename).Scan(&table)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, nil
	}
	if err != nil {
		return 0, fmt.Errorf("store: read the database's version: %w", err)
	}
	var version int64
	err = db.QueryRowContext(ctx, "SELECT coalesce(max(version_id), 0) FROM "+goose.DefaultTablename+" WHERE is_applied").Scan(&version)
	return version, err
}

// knownVersion returns the version of the newest embedded migration.
func knownVersion() (int64, error) {
	names, err := fs.Glob(migrations(), "*.sql")
	if err != nil || len(names) == 0 {
		return 0, fmt.Errorf("store: no migrations embedded: %w", err)
	}
	return goose.NumericComponent(names[len(names)-1])
}
