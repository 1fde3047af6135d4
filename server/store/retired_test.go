package store

import (
	"compress/gzip"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/pressly/goose/v3"
	"gorm.io/gorm"

	"tablehand/stations"
	"tablehand/stations/plan"
)

// olderShop makes the database of a shop as the program before kept it, with all that the shop of s has: its own copy of
// the ledger and of the files and invoices, and a row for each order, ticket and step.
func olderShop(t *testing.T, s *Store, tamper string) (dir string) {
	t.Helper()
	dir = t.TempDir()
	pool := writerPool(t, dir)
	p, err := goose.NewProvider(goose.DialectSQLite3, pool, migrations())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := p.UpTo(context.Background(), retiredBy-1); err != nil {
		t.Fatal(err)
	}
	db, err := overPool(pool)
	if err != nil {
		t.Fatal(err)
	}
	for _, o := range s.Floor().Orders() {
		create(t, db, orderRowOf(o))
		for _, ticket := range o.Tickets {
			create(t, db, ticketRowOf(ticket))
			for _, step := range stepRows(ticket) {
				create(t, db, step)
			}
		}
	}
	copyRows[ledgerRow](t, s.read, db)
	copyRows[orderFileRow](t, s.read, db)
	copyRows[invoiceRow](t, s.read, db)
	copyRows[invoiceLineRow](t, s.read, db)
	if tamper != "" {
		mustExec(t, db, tamper)
	}
	if err := pool.Close(); err != nil {
		t.Fatal(err)
	}
	return dir
}

// writerPool opens a folder's database as the writer does, beside everything else.
func writerPool(t *testing.T, dir string) *sql.DB {
	t.Helper()
	db, err := openPool(writerDSN(filepath.Join(dir, databaseFile)), 1, slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	pool, err := db.DB()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { pool.Close() })
	return pool
}

func create[T any](t *testing.T, db *gorm.DB, row T) {
	t.Helper()
	if err := db.Create(&row).Error; err != nil {
		t.Fatal(err)
	}
}

func copyRows[T any](t *testing.T, from, to *gorm.DB) {
	t.Helper()
	var rows []T
	if err := from.Find(&rows).Error; err != nil || len(rows) == 0 {
		t.Fatalf("%d rows of %T: %v", len(rows), rows, err)
	}
	for _, row := range rows {
		create(t, to, row)
	}
}

// tables are the names of a database's tables.
func tables(t *testing.T, db *gorm.DB) (names []string) {
	t.Helper()
	if err := db.Raw("SELECT name FROM sqlite_master WHERE type = 'table'").Scan(&names).Error; err != nil {
		t.Fatal(err)
	}
	return names
}

// worked is a shop in which panels were cut, held, sent back, finished and billed.
func worked(t *testing.T) *Store {
	t.Helper()
	s := openShop(t, t.TempDir())
	order(t, s, "SMI-1", 1, 3)
	for i, step := range []struct {
		ticket int
		at     plan.Station
	}{{1, plan.Cutting}, {2, plan.Joining}, {2, plan.Packing}, {3, plan.Joining}, {3, plan.Packing}, {4, plan.Joining}} {
		start := scan(code(step.ticket), stations.Start, step.at, fmt.Sprint("s", i))
		start.Person = "Ann"
		mustDo(t, s, start)
		mustDo(t, s, scan(code(step.ticket), stations.Finish, step.at, fmt.Sprint("f", i)))
	}
	mustDo(t, s, scan(code(4), stations.Hold, "", "h"))
	back := scan(code(3), stations.SendBack, "", "b")
	back.To, back.Reason = plan.Joining, "a seam is open"
	mustDo(t, s, back)
	mustDo(t, s, stations.DraftInvoice{Actor: office, Draft: "a", Customer: "Saltmarsh Inn", Panels: []plan.Code{code(2)}})
	order(t, s, "SMI-2", 11, 1)
	mustAudit(t, s)
	return s
}

// A shop of the program before opens as the same floor, without the tables that nothing read; the copy beside it has them.
func TestUpgradeToOneFold(t *testing.T) {
	s := worked(t)
	dir := olderShop(t, s, "")
	upgraded := openShop(t, dir)
	if got, want := rowsOf(upgraded.Floor()), rowsOf(s.Floor()); !reflect.DeepEqual(got, want) {
		t.Errorf("the floor is\n%+v\nit was\n%+v", got, want)
	}
	mustAudit(t, upgraded)
	for _, name := range tables(t, upgraded.read) {
		if name == "orders" || name == "tickets" || name == "steps" {
			t.Errorf("%s is still there", name)
		}
	}
	if source, err := upgraded.OrderSource(t.Context(), "SMI-2"); err != nil || string(source) != "order: SMI-2\n" {
		t.Errorf("the file of an order is %q, %v", source, err)
	}
	// What guarded the invoices guards them still.
	for name, sql := range map[string]string{
		"a panel on two invoices": "INSERT INTO invoice_lines (ticket, draft) SELECT ticket, 'a' FROM invoice_lines",
		"a line of no invoice":    "INSERT INTO invoice_lines (ticket, draft) VALUES ('x', 'none')",
		"a file twice":            "INSERT INTO order_files SELECT * FROM order_files",
	} {
		if err := upgraded.write.Exec(sql).Error; err == nil {
			t.Errorf("%s goes through", name)
		}
	}
	copies, err := filepath.Glob(filepath.Join(dir, "tablehand-v*.db"))
	if err != nil || len(copies) != 1 || !strings.Contains(copies[0], fmt.Sprintf("-v%d-", retiredBy-1)) {
		t.Fatalf("copies %v: %v", copies, err)
	}
	mustDo(t, upgraded, scan(code(12), stations.Hold, "", "after"))
	mustAudit(t, upgraded)
}

// Tables that aren't what the ledger says are not dropped: the database stays as it is, for the program that wrote it.
func TestUpgradeRefusesWhatDiffers(t *testing.T) {
	s := worked(t)
	for table, tamper := range map[string]string{
		"orders":  "UPDATE orders SET customer = 'Lantern House' WHERE id = 'SMI-1'",
		"tickets": "UPDATE tickets SET state = 'held' WHERE code = (SELECT max(code) FROM tickets)",
		"steps":   "DELETE FROM steps WHERE position = 2",
	} {
		t.Run(table, func(t *testing.T) {
			dir := olderShop(t, s, tamper)
			before := bytesOf(t, dir)
			var differs *UpgradeError
			if _, err := Open(t.Context(), Options{Dir: dir}); !errors.As(err, &differs) || differs.Differences[0].Table != table {
				t.Errorf("it opens: %v", err)
			}
			var backup *BackupError
			if _, err := Restore(t.Context(), t.TempDir(), filepath.Join(dir, databaseFile), start, false); !errors.As(err, &backup) || !errors.As(err, &differs) {
				t.Errorf("it is restored: %v", err)
			}
			if after := bytesOf(t, dir); after != before {
				t.Error("its file was changed")
			}
			if copies, err := filepath.Glob(filepath.Join(dir, "tablehand-*")); err != nil || len(copies) != 0 {
				t.Errorf("left beside it: %v, %v", copies, err)
			}
		})
	}
}

func bytesOf(t *testing.T, dir string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, databaseFile))
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// The first release's shop, whose schema is older still, is looked through and upgraded too.
func TestUpgradeOfTheFirstRelease(t *testing.T) {
	dir := firstShop(t)
	s := openShop(t, dir)
	if len(s.Floor().Orders()) == 0 {
		t.Error("no order")
	}
	mustAudit(t, s)
	tampered := firstShop(t)
	pool := writerPool(t, tampered)
	if _, err := pool.Exec("UPDATE steps SET person = 'nobody' WHERE rowid = 1"); err != nil {
		t.Fatal(err)
	}
	if err := pool.Close(); err != nil {
		t.Fatal(err)
	}
	var differs *UpgradeError
	if _, err := Open(t.Context(), Options{Dir: tampered}); !errors.As(err, &differs) {
		t.Errorf("one that differs opens: %v", err)
	}
}

// firstShop unpacks the shop that the first release left.
func firstShop(t *testing.T) (dir string) {
	t.Helper()
	packed, err := os.Open("../../testdata/first/tablehand.db.gz")
	if err != nil {
		t.Fatal(err)
	}
	defer packed.Close()
	r, err := gzip.NewReader(packed)
	if err != nil {
		t.Fatal(err)
	}
	content, err := io.ReadAll(r)
	if err != nil {
		t.Fatal(err)
	}
	dir = t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, databaseFile), content, 0o600); err != nil {
		t.Fatal(err)
	}
	return dir
}
