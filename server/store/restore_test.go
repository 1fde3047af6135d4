package store

import (
	"bytes"
	"context"
	"errors"
	"io/fs"
	"log/slog"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/pressly/goose/v3"

	"tablehand/stations"
	"tablehand/stations/plan"
)

// shopWithBackup is a shop of seven events whose backup has four.
func shopWithBackup(t *testing.T) (dir, backup string) {
	t.Helper()
	dir, backup = t.TempDir(), filepath.Join(t.TempDir(), "copy.db")
	s := openShop(t, dir)
	order(t, s, "SMI-1", 1, 2)
	mustDo(t, s, scan(code(1), stations.Start, plan.Cutting, "k1"))
	mustDo(t, s, scan(code(1), stations.Finish, plan.Cutting, "k2"))
	if err := s.Backup(context.Background(), backup); err != nil {
		t.Fatal(err)
	}
	if when, file, err := s.LastBackup(context.Background()); err != nil || when.Before(start) || file != backup {
		t.Errorf("the backup is noted as %v, %s, %v", when, file, err)
	}
	for i := range 3 {
		mustDo(t, s, scan(code(2), []stations.Action{stations.Hold, stations.Resume}[i%2], "", string(rune('a'+i))))
	}
	s.Close()
	return dir, backup
}

// left are the files of a folder beside the shop and its lock.
func left(t *testing.T, dir string) (names []string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if e.Name() != databaseFile && e.Name() != lockFile {
			names = append(names, e.Name())
		}
	}
	return names
}

// A restored shop is the backup's, and the one before is kept whole beside it.
func TestRestore(t *testing.T) {
	ctx := context.Background()
	dir, backup := shopWithBackup(t)
	bytesOf := func(file string) []byte {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	was := bytesOf(backup)
	if err := os.MkdirAll(filepath.Join(dir, stagePrefix+"1", "half"), 0o700); err != nil { // of a restore that was killed
		t.Fatal(err)
	}
	done, err := Restore(ctx, dir, backup, start, false)
	if err != nil {
		t.Fatal(err)
	}
	if done.Seq != 4 || done.Orders != 1 || done.Last.Before(start) || done.Kept == "" {
		t.Errorf("restored %+v", done)
	}
	if names := left(t, dir); len(names) != 1 || names[0] != filepath.Base(done.Kept) {
		t.Errorf("beside the shop lie %v, kept is %s", names, done.Kept)
	}
	if !bytes.Equal(bytesOf(backup), was) {
		t.Error("the backup was written to")
	}
	s := openShop(t, dir)
	mustAudit(t, s)
	if s.Floor().Seq() != 4 || s.Floor().Ticket(code(2)).Station() != plan.Joining {
		t.Errorf("the shop is at %d", s.Floor().Seq())
	}
	s.Close()
	done, err = Restore(ctx, dir, done.Kept, start.Add(time.Hour), false) // back to what was kept
	if err != nil || done.Seq != 7 {
		t.Errorf("restored %+v, %v", done, err)
	}
	elsewhere := filepath.Join(t.TempDir(), "another", "machine")
	if done, err = Restore(ctx, elsewhere, backup, start, false); err != nil || done.Kept != "" || done.Seq != 4 {
		t.Errorf("on a new machine: %+v, %v", done, err)
	}
	mustAudit(t, openShop(t, elsewhere))
}

// A restored shop has a history of its own and lets in nobody who was let in when the copy was made; devices only where
// that is asked for.
func TestRestoreBeginsAnew(t *testing.T) {
	ctx := t.Context()
	dir := t.TempDir()
	s := openShop(t, dir)
	order(t, s, "SMI-1", 1, 1)
	first := s.Epoch()
	if err := errors.Join(
		s.AddSession(ctx, Session{ID: "desk", Role: stations.Office, Hash: make([]byte, 32), Expires: start.AddDate(1, 0, 0)}),
		s.AddToken(ctx, Token{ID: "wall", Name: "Wall", Role: stations.Screen, Hash: make([]byte, 32)})); err != nil {
		t.Fatal(err)
	}
	backup := filepath.Join(t.TempDir(), "copy.db")
	if err := s.Backup(ctx, backup); err != nil {
		t.Fatal(err)
	}
	s.Close()
	if s = openShop(t, dir); s.Epoch() != first || first == "" {
		t.Errorf("opened again, the history is %q; it was %q", s.Epoch(), first)
	}
	s.Close()
	seen := map[string]bool{first: true}
	for _, keep := range []bool{false, true} {
		restored := t.TempDir()
		if _, err := Restore(ctx, restored, backup, start, keep); err != nil {
			t.Fatal(err)
		}
		s := openShop(t, restored)
		if seen[s.Epoch()] {
			t.Errorf("kept %v: the history is %q again", keep, s.Epoch())
		}
		seen[s.Epoch()] = true
		if _, err := s.Session(ctx, "desk"); !errors.Is(err, ErrNotFound) {
			t.Errorf("kept %v: a sign-in holds: %v", keep, err)
		}
		if tokens, err := s.Tokens(ctx); err != nil || (len(tokens) == 1) != keep {
			t.Errorf("kept %v: %d tokens, %v", keep, len(tokens), err)
		}
		mustAudit(t, s)
	}
}

// A shop that was killed has scans in its log: they are kept with it, and none of them reaches the restored shop.
func TestRestoreOverAKilledShop(t *testing.T) {
	ctx := context.Background()
	dir, backup := shopWithBackup(t)
	s := openShop(t, dir)
	mustDo(t, s, scan(code(2), stations.Resume, "", "z"))
	settle(s)
	s.checkpoint()
	if err := s.Set(ctx, ShopName, "in the log"); err != nil { // without the file's first page, which tells that it is one
		t.Fatal(err)
	}
	for name, ruin := range map[string]func(killed string){
		"whole":   func(string) {},
		"damaged": func(killed string) { damage(t, killed, func(int) int { return 0 }) },
	} {
		killed := t.TempDir()
		for _, tail := range []string{"", "-wal"} { // as a kill leaves them
			if err := copyFile(filepath.Join(killed, databaseFile+tail), filepath.Join(dir, databaseFile+tail)); err != nil {
				t.Fatal(err)
			}
		}
		ruin(killed)
		done, err := Restore(ctx, killed, backup, start, false)
		if err != nil || done.Seq != 4 || done.Kept == "" {
			t.Fatalf("%s: %+v, %v", name, done, err)
		}
		restored := openShop(t, killed)
		if restored.Floor().Seq() != 4 {
			t.Errorf("%s: the restored shop is at %d", name, restored.Floor().Seq())
		}
		mustAudit(t, restored)
		if name == "damaged" {
			continue
		}
		if done, err = Restore(ctx, t.TempDir(), done.Kept, start, false); err != nil || done.Seq != 8 {
			t.Errorf("what was kept: %+v, %v", done, err)
		}
	}
}

// What can't be restored from changes nothing.
func TestRestoreRefuses(t *testing.T) {
	ctx := context.Background()
	dir, backup := shopWithBackup(t)
	with := func(name string, write func(file string)) string {
		file := filepath.Join(t.TempDir(), name)
		write(file)
		return file
	}
	text := func(content string) func(string) {
		return func(file string) {
			if err := os.WriteFile(file, []byte(content), 0o600); err != nil {
				t.Fatal(err)
			}
		}
	}
	changed := with("changed.db", func(file string) {
		if err := copyFile(file, backup); err != nil {
			t.Fatal(err)
		}
		db, err := openPool(writerDSN(file), 1, slog.New(slog.DiscardHandler))
		if err != nil {
			t.Fatal(err)
		}
		mustExec(t, db, "UPDATE order_files SET source = x'00'")
		closePool(db)
	})
	damaged := with(databaseFile, func(file string) {
		if err := copyFile(file, backup); err != nil {
			t.Fatal(err)
		}
		damage(t, filepath.Dir(file), func(n int) int { return n / 2 })
	})
	var audit *AuditError
	for name, tt := range map[string]struct {
		file string
		is   func(error) bool
	}{
		"no file":            {filepath.Join(dir, "nowhere.db"), func(err error) bool { return errors.Is(err, fs.ErrNotExist) }},
		"a folder":           {t.TempDir(), func(err error) bool { return err != nil }},
		"empty":              {with("empty.db", text("")), func(err error) bool { return errors.Is(err, ErrNoShop) }},
		"no database":        {with("note.txt", text("no database ")), func(err error) bool { return FaultOf(err) == Damaged }},
		"changed by a hand":  {changed, func(err error) bool { return errors.As(err, &audit) && audit.Differences[0].Table == "order_files" }},
		"damaged in a page":  {damaged, func(err error) bool { return FaultOf(err) == Damaged || errors.As(err, &audit) }},
		"while it is served": {backup, func(err error) bool { var inUse *InUseError; return errors.As(err, &inUse) }},
	} {
		var serving *Store
		if name == "while it is served" {
			serving = openShop(t, dir)
		}
		_, err := Restore(ctx, dir, tt.file, start, false)
		var refused *BackupError
		if !tt.is(err) || serving == nil && !errors.As(err, &refused) {
			t.Errorf("%s: %v", name, err)
		}
		if serving != nil {
			serving.Close()
		}
		if names := left(t, dir); len(names) != 0 {
			t.Errorf("%s leaves %v", name, names)
		}
		s := openShop(t, dir)
		if s.Floor().Seq() != 7 {
			t.Errorf("%s: the shop is at %d", name, s.Floor().Seq())
		}
		s.Close()
	}
	// Nor while a command beside the server has the file open.
	access, err := OpenAccess(ctx, dir)
	if err != nil {
		t.Fatal(err)
	}
	defer access.Close()
	var inUse *InUseError
	if _, err := Restore(ctx, dir, backup, start, false); !errors.As(err, &inUse) {
		t.Errorf("while a command has it open: %v", err)
	}
}

// A backup of an older program is brought up to date in the folder aside; the backup stays as it was.
func TestRestoreOfAnOlderBackup(t *testing.T) {
	ctx := context.Background()
	backup := filepath.Join(t.TempDir(), "old.db")
	db, err := openPool(writerDSN(backup), 1, slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	pool, err := db.DB()
	if err != nil {
		t.Fatal(err)
	}
	p, err := goose.NewProvider(goose.DialectSQLite3, pool, migrations())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := p.UpTo(ctx, 1); err != nil {
		t.Fatal(err)
	}
	mustExec(t, db, "INSERT INTO settings (name, value) VALUES ('shop_name', 'Reed & Daughter')")
	if err := closePool(db); err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if done, err := Restore(ctx, dir, backup, start, false); err != nil || done.Seq != 0 {
		t.Fatalf("%+v, %v", done, err)
	}
	if names := left(t, dir); len(names) != 0 {
		t.Errorf("left beside the shop: %v", names)
	}
	s := openShop(t, dir)
	if name, err := s.Setting(ctx, ShopName); err != nil || name != "Reed & Daughter" {
		t.Errorf("the shop is called %q, %v", name, err)
	}
	mustAudit(t, s)
	var version *VersionError
	if _, err := auditFile(ctx, backup); !errors.As(err, &version) || version.Newer() {
		t.Errorf("the backup was brought up to date itself: %v", err)
	}
}
