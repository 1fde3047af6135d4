package store

import (
	"cmp"
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"net/url"
	"os"
	"path/filepath"
	"runtime"
	"time"

	"github.com/mattn/go-sqlite3"
	"gorm.io/driver/sqlite"
	"gorm.io/gorm"
	"gorm.io/gorm/logger"
)

const (
	databaseFile = "tablehand.db"
	lockFile     = "tablehand.lock"
	readers      = 6
)

// FolderError is a data folder that can't be made, read or written.
type FolderError struct {
	Dir string
	Err error
}

func (e *FolderError) Error() string { return fmt.Sprintf("store: data folder %s: %v", e.Dir, e.Err) }
func (e *FolderError) Unwrap() error { return e.Err }

// InUseError is a data folder that another process serves.
type InUseError struct{ Dir string }

func (e *InUseError) Error() string {
	return fmt.Sprintf("store: data folder %s is in use by another process", e.Dir)
}

// writerDSN and readerDSN give every connection its settings: a setting made by a statement would hold for one
// connection of the pool only. FULL makes a commit durable against loss of power; immediate transactions wait
// for each other instead of failing half way.
func writerDSN(path string) string {
	return fileURI(path) + "?_journal_mode=WAL&_synchronous=FULL&_busy_timeout=5000&_foreign_keys=on&_txlock=immediate"
}

func readerDSN(path string) string {
	return fileURI(path) + "?_journal_mode=WAL&_synchronous=FULL&_busy_timeout=5000&_foreign_keys=on&_query_only=1"
}

// fileURI escapes what would end or change the path: spaces, ?, #, %.
func fileURI(path string) string {
	return "file:" + (&url.URL{Path: filepath.ToSlash(path)}).EscapedPath()
}

// Engine tells which SQLite the program has, and whether it is the C one: a build without C opens no shop.
func Engine() string {
	version, _, _ := sqlite3.Version()
	return version + ", with C"
}

// connector makes connections whose temporary tables and statement journals lie in memory: on a disk that is full or
// takes no writing a scan must not be refused, or keep others from being, for want of a file of their own.
type connector struct{ dsn string }

func (c connector) Connect(context.Context) (driver.Conn, error) { return c.driver().Open(c.dsn) }
func (c connector) Driver() driver.Driver                        { return c.driver() }

func (connector) driver() *sqlite3.SQLiteDriver {
	return &sqlite3.SQLiteDriver{ConnectHook: func(c *sqlite3.SQLiteConn) error {
		_, err := c.Exec("PRAGMA temp_store = MEMORY", nil)
		return err
	}}
}

// openPool opens one handle of the database file.
func openPool(dsn string, connections int, log *slog.Logger) (*gorm.DB, error) {
	pool := sql.OpenDB(connector{dsn})
	pool.SetMaxOpenConns(connections)
	pool.SetMaxIdleConns(connections)
	db, err := gorm.Open(sqlite.Dialector{Conn: pool}, &gorm.Config{
		SkipDefaultTransaction: true,
		PrepareStmt:            true,
		PrepareStmtMaxSize:     256,
		TranslateError:         true,
		Logger: logger.NewSlogLogger(log, logger.Config{
			LogLevel: logger.Warn, SlowThreshold: 100 * time.Millisecond,
			IgnoreRecordNotFoundError: true, ParameterizedQueries: true,
		}),
	})
	if err != nil {
		return nil, errors.Join(err, pool.Close())
	}
	return db, nil
}

// overPool is a handle of a pool that is open already.
func overPool(pool *sql.DB) (*gorm.DB, error) {
	return gorm.Open(sqlite.Dialector{Conn: pool}, &gorm.Config{SkipDefaultTransaction: true, Logger: logger.Discard})
}

// closePool closes a handle; nil is none.
func closePool(db *gorm.DB) error {
	if db == nil {
		return nil
	}
	pool, err := db.DB()
	if err != nil {
		return err
	}
	return pool.Close()
}

// makeFolder makes the data folder, for its owner only, and proves that it can be written.
func makeFolder(dir string) error {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return &FolderError{dir, err}
	}
	f, err := os.OpenFile(filepath.Join(dir, databaseFile), os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return &FolderError{dir, err}
	}
	return f.Close()
}

// IsShop returns a *FolderError where a folder holds no shop.
func IsShop(dir string) error {
	if info, err := os.Stat(filepath.Join(dir, databaseFile)); err != nil || info.Size() == 0 {
		return &FolderError{dir, errors.Join(err, fs.ErrNotExist)}
	}
	return nil
}

// whole refuses a damaged database file before anybody writes into it. It looks at every page, but not whether each
// index has each row: that is left to audit.
func whole(ctx context.Context, db *gorm.DB) error {
	var says string
	if err := readRow(db.WithContext(ctx).Raw("PRAGMA quick_check(1)"), &says); err != nil {
		return fmt.Errorf("store: look over the database: %w", err)
	}
	if says != "ok" {
		return &DamagedError{says}
	}
	return nil
}

// readRow reads the only row of a query to its end. Not by gorm's own Row: for a statement that can't be prepared, as
// in a damaged file, that gives a row without rows, which panics.
func readRow(query *gorm.DB, to ...any) (err error) {
	rows, err := query.Rows()
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	if !rows.Next() {
		return cmp.Or(rows.Err(), sql.ErrNoRows)
	}
	if err := rows.Scan(to...); err != nil {
		return err
	}
	for rows.Next() {
	}
	return rows.Err()
}

// syncFolder has the disk keep the names of a folder's files. Windows keeps them without being asked.
func syncFolder(dir string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	f, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// folderLock is held by the one process that serves a folder, until it is released or the process ends, however
// it ends. It is a transaction on a database of its own, which works alike on every system.
type folderLock struct {
	db *sql.DB
	tx *sql.Tx
}

func lockFolder(ctx context.Context, dir string) (*folderLock, error) {
	db, err := sql.Open(sqlite.DriverName, fileURI(filepath.Join(dir, lockFile))+"?_txlock=exclusive&_busy_timeout=0")
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(1)
	tx, err := db.BeginTx(context.WithoutCancel(ctx), nil) // outlives the caller's context
	if err == nil {
		return &folderLock{db, tx}, nil
	}
	locked := isLocked(err)
	if err = errors.Join(err, db.Close()); locked {
		return nil, &InUseError{dir}
	}
	return nil, &FolderError{dir, err}
}

func (l *folderLock) release() error { return errors.Join(l.tx.Rollback(), l.db.Close()) }
