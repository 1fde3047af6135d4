package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/fstest"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/schema"

	"tablehand/stations"
	"tablehand/stations/plan"
)

// pragma reads a setting of a handle.
func pragma(t *testing.T, db *gorm.DB, name string) (value string) {
	t.Helper()
	if err := db.Raw("PRAGMA " + name).Row().Scan(&value); err != nil {
		t.Fatal(err)
	}
	return value
}

// Every connection of both handles syncs at each commit, checks references and writes a log; readers write nothing.
func TestEveryConnectionHasItsSettings(t *testing.T) {
	s := openShop(t, filepath.Join(t.TempDir(), "a shop? 100% #1"))
	for _, handle := range []struct {
		name     string
		db       *gorm.DB
		readOnly string
	}{{"writer", s.write, "0"}, {"readers", s.read, "1"}} {
		want := map[string]string{"synchronous": "2", "foreign_keys": "1", "journal_mode": "wal", "busy_timeout": "5000", "temp_store": "2", "query_only": handle.readOnly}
		for name, value := range want {
			if got := pragma(t, handle.db, name); got != value {
				t.Errorf("%s: %s is %s, want %s", handle.name, name, got, value)
			}
		}
	}
	if err := s.read.Exec("DELETE FROM settings").Error; err == nil {
		t.Error("a reader writes")
	}
	var version string
	if err := s.read.Raw("SELECT sqlite_version()").Row().Scan(&version); err != nil {
		t.Fatal(err)
	}
	// 3.51.3 mends the corruption of a log that is reset while others write (upstream's note on the WAL-reset bug).
	if !newEnough(version, 3, 51, 3) {
		t.Errorf("SQLite %s, want 3.51.3 or newer", version)
	}
}

func newEnough(version string, least ...int) bool {
	var has [3]int
	fmt.Sscanf(version, "%d.%d.%d", &has[0], &has[1], &has[2])
	return slices.Compare(has[:], least) >= 0
}

// The structs that gorm fills have the columns that the migrations make, no more and no less.
func TestModelsAreTheSchema(t *testing.T) {
	s := openShop(t, t.TempDir())
	var cache sync.Map
	for _, model := range []any{ledgerRow{}, orderFileRow{}, invoiceRow{}, invoiceLineRow{}, pictureRow{}, tokenRow{}, sessionRow{}, settingRow{}} {
		parsed, err := schema.Parse(model, &cache, schema.NamingStrategy{})
		if err != nil {
			t.Fatal(err)
		}
		var columns []string
		if err := s.read.Raw("SELECT name FROM pragma_table_info(?)", parsed.Table).Scan(&columns).Error; err != nil {
			t.Fatal(err)
		}
		fields := slices.Clone(parsed.DBNames)
		slices.Sort(fields)
		slices.Sort(columns)
		if !slices.Equal(fields, columns) || len(columns) == 0 {
			t.Errorf("%s has columns %v, its struct %v", parsed.Table, columns, fields)
		}
	}
}

func TestANewerDatabaseIsLeftAlone(t *testing.T) {
	dir := t.TempDir()
	s := openShop(t, dir)
	order(t, s, "SMI-1", 1, 1)
	if err := s.write.Exec("INSERT INTO goose_db_version (version_id, is_applied) VALUES (9999, 1)").Error; err != nil {
		t.Fatal(err)
	}
	s.Close()
	var version *VersionError
	if _, err := Open(context.Background(), Options{Dir: dir}); !errors.As(err, &version) || !version.Newer() || version.Has != 9999 {
		t.Errorf("a newer database opens: %v", err)
	}
	if _, err := AuditDir(context.Background(), dir); !errors.As(err, &version) {
		t.Errorf("a newer database is audited: %v", err)
	}
	if _, err := OpenAccess(context.Background(), dir); !errors.As(err, &version) {
		t.Errorf("a newer database takes tokens: %v", err)
	}
}

// later are the migrations with one more behind them.
func later(t *testing.T, script string) fs.FS {
	t.Helper()
	files := fstest.MapFS{"90000_later.sql": {Data: []byte("-- +goose Up\n" + script)}}
	err := fs.WalkDir(migrations(), ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := fs.ReadFile(migrations(), path)
		files[path] = &fstest.MapFile{Data: data}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

func TestUpgradeKeepsACopy(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	s := openShop(t, dir)
	order(t, s, "SMI-1", 1, 1)
	pool, err := s.write.DB()
	if err != nil {
		t.Fatal(err)
	}
	// A script that fails changes nothing, of a part that went well neither.
	err = migrate(ctx, pool, later(t, "ALTER TABLE order_files ADD COLUMN hem TEXT; ALTER TABLE nowhere ADD COLUMN hem TEXT;"), dir, start)
	if err == nil {
		t.Fatal("a broken migration goes through")
	}
	if err := s.read.Exec("SELECT hem FROM order_files").Error; err == nil {
		t.Error("half of a broken migration stays")
	}
	if err := migrate(ctx, pool, later(t, "ALTER TABLE order_files ADD COLUMN hem TEXT;"), dir, start.Add(time.Second)); err != nil {
		t.Fatal(err)
	}
	copies, err := filepath.Glob(filepath.Join(dir, "tablehand-v*.db"))
	if err != nil || len(copies) != 2 {
		t.Fatalf("copies %v: %v", copies, err)
	}
	if differences, err := auditFile(ctx, copies[1]); err != nil || len(differences) > 0 {
		t.Errorf("the copy before the upgrade: %v %v", differences, err)
	}
}

// Backup copies while people work; the copy is whole and a shop of its own.
func TestBackupWhilePeopleWork(t *testing.T) {
	ctx := context.Background()
	s := openShop(t, t.TempDir())
	panels := panelsOf(t, s, 4)
	var wg sync.WaitGroup
	wg.Go(func() { burst(t, s, panels, 4, 400) })
	dir := t.TempDir()
	file := filepath.Join(dir, databaseFile)
	if err := s.Backup(ctx, file); err != nil {
		t.Fatal(err)
	}
	wg.Wait()
	if err := s.Backup(ctx, file); !errors.Is(err, fs.ErrExist) {
		t.Errorf("a copy is written over: %v", err)
	}
	if err := s.Backup(ctx, filepath.Join(dir, "nowhere", "copy.db")); err == nil {
		t.Error("a copy into no folder")
	}
	copied := openShop(t, dir)
	mustAudit(t, copied)
	if got := copied.Floor().Seq(); got < 2 || got > s.Floor().Seq() {
		t.Errorf("the copy ends at %d, the shop at %d", got, s.Floor().Seq())
	}
	mustAudit(t, s)
}

// Whoever changes the tables behind the ledger's back is found out.
func TestAuditFindsWhatWasChanged(t *testing.T) {
	for _, change := range []struct{ table, sql string }{
		{"invoices", "UPDATE invoices SET customer = 'Lantern House'"},
		{"invoice_lines", "DELETE FROM invoice_lines"},
		{"invoice_lines", "INSERT INTO invoice_lines (ticket, draft) VALUES ('none', 'a')"},
		{"order_files", "DELETE FROM order_files"},
		{"order_files", "UPDATE order_files SET source = x'00'"},
		{"ledger", "DROP TRIGGER ledger_no_update; UPDATE ledger SET state = 'held' WHERE seq = 3"},
		{"tickets", "DROP TRIGGER ledger_no_update; UPDATE ledger SET state = 'at_work', details = json_set(details, '$.state', 'at_work') WHERE seq = 4"},
		{"steps", "DROP TRIGGER ledger_no_update; UPDATE ledger SET details = json_set(details, '$.person', 'nobody') WHERE seq = 3"},
	} {
		t.Run(change.table, func(t *testing.T) {
			s := openShop(t, t.TempDir())
			order(t, s, "SMI-1", 1, 2)
			mustDo(t, s, scan(code(1), stations.Start, plan.Cutting, "k"))
			mustDo(t, s, scan(code(1), stations.Finish, plan.Cutting, "k2"))
			for i, at := range []plan.Station{plan.Joining, plan.Packing} {
				mustDo(t, s, scan(code(2), stations.Start, at, fmt.Sprint("s", i)))
				mustDo(t, s, scan(code(2), stations.Finish, at, fmt.Sprint("f", i)))
			}
			mustDo(t, s, stations.DraftInvoice{Actor: office, Draft: "a", Customer: "Saltmarsh Inn", Panels: []plan.Code{code(2)}})
			mustAudit(t, s)
			pool, err := s.write.DB()
			if err != nil {
				t.Fatal(err)
			}
			if _, err := pool.Exec(change.sql); err != nil {
				t.Fatal(err)
			}
			differences, err := s.Audit(context.Background())
			if err != nil {
				t.Fatal(err)
			}
			of := func(d Difference) bool { return d.Table == change.table }
			if !slices.ContainsFunc(differences, of) {
				t.Errorf("%s goes unseen: %v", change.sql, differences)
			}
			// Beside the server too, but for what only the floor that it serves can tell.
			beside, err := AuditDir(context.Background(), s.dir)
			if err != nil || slices.ContainsFunc(beside, of) == (change.table == "steps") {
				t.Errorf("%s beside the server: %v, %v", change.sql, beside, err)
			}
			for _, d := range differences {
				if strings.TrimSpace(d.String()) == "" {
					t.Error("a difference without words")
				}
			}
		})
	}
}

func TestDamagedFileIsNamed(t *testing.T) {
	dir := t.TempDir()
	s := openShop(t, dir)
	order(t, s, "SMI-1", 1, 40)
	s.Close()
	file := filepath.Join(dir, databaseFile)
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for i := len(data) / 2; i < len(data)/2+8192 && i < len(data); i++ {
		data[i] = 0xA5
	}
	if err := os.WriteFile(file, data, 0o600); err != nil {
		t.Fatal(err)
	}
	differences, err := AuditDir(context.Background(), dir)
	if err == nil && len(differences) == 0 {
		t.Error("a damaged file passes the audit")
	}
}

// TestSpace: the shop's files have a size, and the disk has room for them.
func TestSpace(t *testing.T) {
	s := openShop(t, t.TempDir())
	order(t, s, "SMI-1", 1, 1)
	space, err := s.Space()
	if err != nil || space.Database <= 0 || space.Free < 0 || space.Disk < space.Free {
		t.Errorf("%+v, %v", space, err)
	}
}
