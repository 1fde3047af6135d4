package store

import (
	"cmp"
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"strconv"
	"time"

	"github.com/pressly/goose/v3"

	"tablehand/stations"
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

// Up to version 9 of the database the writer kept the floor's orders, tickets and steps in tables too, which nothing read
// but audit. Before they are dropped they are held against the ledger once.
const retiredBy = 10

// UpgradeError is a database of an older program whose tables aren't what its ledger says. It stays as it is.
type UpgradeError struct{ *AuditError }

func (e *UpgradeError) Unwrap() error { return e.AuditError }

// auditRetired holds the tables that are about to be dropped against the ledger. Columns that came later than the
// database are zero on both sides: what they tell came with them.
func auditRetired(ctx context.Context, pool *sql.DB, file string) error {
	db, err := overPool(pool)
	if err != nil {
		return err
	}
	floor, err := foldLedger(ctx, db)
	if err != nil {
		return err
	}
	a := &auditor{tx: db.WithContext(ctx)}
	var orders []orderRow
	var tickets []ticketRow
	var steps []stepRow
	for _, o := range floor.Orders() {
		orders = append(orders, orderRowOf(o))
		for _, t := range o.Tickets {
			tickets = append(tickets, ticketRowOf(t))
			steps = append(steps, stepRows(t)...)
		}
	}
	err = cmp.Or(
		compare(a, "orders", orders, func(r orderRow) string { return r.ID }),
		compare(a, "tickets", tickets, func(r ticketRow) string { return r.Code }),
		compare(a, "steps", steps, func(r stepRow) string { return r.Ticket + " " + strconv.Itoa(r.Position) }),
	)
	if err != nil {
		return fmt.Errorf("store: audit before upgrading: %w", err)
	}
	if len(a.differences) > 0 {
		return &UpgradeError{&AuditError{file, a.differences}}
	}
	return nil
}

type orderRow struct {
	ID       string `gorm:"primaryKey"`
	Customer string
	Due      string
	State    string
	Revision int
	Digest   string
	Taken    moment
}

type ticketRow struct {
	Code    string `gorm:"primaryKey"`
	OrderID string
	Kind    string
	Window  string
	Room    string
	Panel   string
	Copy    int
	Fabric  string
	Station string
	State   string
	Step    int
	Invoice string
	Changed moment

	Scrapped string
}

// stepRow keeps lists and measured values as JSON, ” for none.
type stepRow struct {
	Ticket         string `gorm:"primaryKey"`
	Position       int    `gorm:"primaryKey;autoIncrement:false"`
	Station        string
	State          string
	BeforeHold     string
	Reason         string
	ForOffice      bool
	OutOf          string
	Pair           string
	SentBackFrom   string
	SentBackReason string
	Measured       string
	Checks         string
	Person         string
	Picture        string
	Started        moment
	Ended          moment
}

func (orderRow) TableName() string  { return "orders" }
func (ticketRow) TableName() string { return "tickets" }
func (stepRow) TableName() string   { return "steps" }

func orderRowOf(o *stations.Order) orderRow {
	return orderRow{ID: o.ID, Customer: o.Customer, Due: o.Due, State: string(o.State),
		Revision: o.Revision, Digest: o.Digest, Taken: at(o.Taken)}
}

func ticketRowOf(t *stations.Ticket) ticketRow {
	s := t.Spec
	return ticketRow{Code: string(s.Code), OrderID: t.Order, Kind: string(s.Kind), Window: s.Window, Room: s.Room,
		Panel: s.Panel, Copy: s.Copy, Fabric: s.Fabric, Station: string(t.Station()), State: string(t.State()),
		Step: t.At, Invoice: t.Invoice, Changed: at(t.Changed), Scrapped: scrappedAs(t)}
}

func scrappedAs(t *stations.Ticket) string {
	switch {
	case !t.Scrapped:
		return ""
	case t.BillsScrap:
		return "billable"
	}
	return "unbilled"
}

func stepRowOf(t *stations.Ticket, i int) stepRow {
	n := &t.Steps[i]
	row := stepRow{Ticket: string(t.Spec.Code), Position: i, Station: string(n.Spec.Station), State: string(n.State),
		BeforeHold: string(n.Before), Reason: n.Reason, ForOffice: n.ForOffice, Person: n.Person, Picture: n.Picture,
		Started: at(n.Started), Ended: at(n.Ended)}
	if n.SentBack != nil {
		row.SentBackFrom, row.SentBackReason = string(n.SentBack.From), n.SentBack.Reason
	}
	if len(n.OutOf) > 0 {
		row.OutOf = asJSON(n.OutOf)
	}
	if n.Pair != nil {
		row.Pair = asJSON(n.Pair)
	}
	if len(n.Measured) > 0 {
		row.Measured = asJSON(n.Measured)
	}
	if len(n.Checks) > 0 {
		row.Checks = asJSON(n.Checks)
	}
	return row
}

func stepRows(t *stations.Ticket) (rows []stepRow) {
	for i := range t.Steps {
		rows = append(rows, stepRowOf(t, i))
	}
	return rows
}
