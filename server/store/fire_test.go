package store

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"sync"
	"testing"
	"time"

	"tablehand/stations"
	"tablehand/stations/plan"
)

// full lets a shop's database grow no further than it is, as on a disk without room, and gives the room back.
func full(t *testing.T, s *Store) (again func()) {
	t.Helper()
	mustExec(t, s.write, "PRAGMA max_page_count = "+pragma(t, s.write, "page_count"))
	return func() { mustExec(t, s.write, "PRAGMA max_page_count = 4294967294") }
}

// fill makes scans of the n-th ticket until one is refused, and returns what was acknowledged and the refusal.
func fill(s *Store, n int) (acknowledged []stations.Event, err error) {
	for i := 0; i < 5000 && err == nil; i++ {
		cmd := scan(code(n), []stations.Action{stations.Hold, stations.Resume}[i%2], "", "full-"+strconv.Itoa(i))
		var e stations.Event
		if e, err = s.Do(context.Background(), cmd); err == nil {
			acknowledged = append(acknowledged, e)
		}
	}
	return acknowledged, err
}

// A disk without room refuses scans, says why, loses nothing that it has acknowledged, and goes on once there is
// room again; so does one that takes no writing any more.
func TestADiskThatTakesNoMore(t *testing.T) {
	for _, tt := range []struct {
		fault Fault
		begin func(*testing.T, *Store) (end func())
	}{
		{DiskFull, full},
		{ReadOnly, func(t *testing.T, s *Store) func() {
			mustExec(t, s.write, "PRAGMA query_only = 1")
			return func() { mustExec(t, s.write, "PRAGMA query_only = 0") }
		}},
	} {
		t.Run(string(tt.fault), func(t *testing.T) {
			ctx := context.Background()
			s := openShop(t, t.TempDir())
			order(t, s, "SMI-1", 1, 2)
			end := tt.begin(t, s)
			acknowledged, err := fill(s, 2)
			if !errors.Is(err, ErrBusy) || FaultOf(err) != tt.fault {
				t.Fatalf("after %d scans: %v", len(acknowledged), err)
			}
			if floor := s.Floor(); floor.Seq() != int64(2+len(acknowledged)) {
				t.Errorf("the floor is at %d, %d scans were acknowledged", floor.Seq(), len(acknowledged))
			}
			if err := s.Ping(ctx); err != nil {
				t.Errorf("pages can't be read: %v", err)
			}
			for _, err := range []error{
				s.AddSession(ctx, Session{ID: "late", Role: stations.Office, Name: string(bytes.Repeat([]byte("x"), 50_000)), Hash: make([]byte, 32), Expires: start.AddDate(1, 0, 0)}),
				s.Set(ctx, ShopName, string(bytes.Repeat([]byte("x"), 50_000))),
			} {
				if FaultOf(err) != tt.fault {
					t.Errorf("beside the floor: %v", err)
				}
			}
			mustAudit(t, s)
			end()
			again := scan(code(2), []stations.Action{stations.Hold, stations.Resume}[len(acknowledged)%2], "", "full-"+strconv.Itoa(len(acknowledged)))
			mustDo(t, s, again) // the refused scan comes again with its key
			mustAudit(t, s)
			s.Close()
			s = openShop(t, s.dir)
			kept, err := s.Events(ctx, 2, len(acknowledged)+1)
			if err != nil || len(kept) != len(acknowledged)+1 {
				t.Fatalf("%d of %d scans are kept: %v", len(kept), len(acknowledged)+1, err)
			}
			for i, e := range acknowledged {
				if kept[i].Seq != e.Seq || kept[i].Action != e.Action {
					t.Errorf("scan %d was answered with %d %s, the ledger has %d %s", i, e.Seq, e.Action, kept[i].Seq, kept[i].Action)
				}
			}
		})
	}
}

// A copy is made even where the shop's own disk is full, though that can't be noted; a copy that finds no room
// leaves nothing behind.
func TestBackupWithoutRoom(t *testing.T) {
	s := openShop(t, t.TempDir())
	order(t, s, "SMI-1", 1, 2)
	mustExec(t, s.write, "PRAGMA query_only = 1")
	file := filepath.Join(t.TempDir(), "copy.db")
	if err := s.Backup(context.Background(), file); err != nil {
		t.Errorf("a shop on a full disk can't be copied to another: %v", err)
	}
	if when, _, err := s.LastBackup(context.Background()); err != nil || !when.IsZero() {
		t.Errorf("noted %v, %v", when, err)
	}
}

// A newer database is refused, and not a byte of it changes.
func TestANewerDatabaseStaysAsItIs(t *testing.T) {
	ctx := context.Background()
	dir := t.TempDir()
	s := openShop(t, dir)
	order(t, s, "SMI-1", 1, 2)
	mustExec(t, s.write, "INSERT INTO goose_db_version (version_id, is_applied) VALUES (9999, 1)")
	s.Close()
	file := filepath.Join(dir, databaseFile)
	before, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var version *VersionError
	for name, open := range map[string]func() error{
		"serve":  func() error { _, err := Open(ctx, Options{Dir: dir}); return err },
		"token":  func() error { _, err := OpenAccess(ctx, dir); return err },
		"audit":  func() error { _, err := AuditDir(ctx, dir); return err },
		"restor": func() error { _, err := Restore(ctx, t.TempDir(), file, start, false); return err },
	} {
		if err := open(); !errors.As(err, &version) || !version.Newer() {
			t.Errorf("%s: %v", name, err)
		}
		after, err := os.ReadFile(file)
		if err != nil || !bytes.Equal(before, after) {
			t.Errorf("%s changed the file: %v", name, err)
		}
	}
	if left, err := filepath.Glob(filepath.Join(dir, "tablehand*")); err != nil || len(left) != 2 { // it and the lock
		t.Errorf("left beside it: %v", left)
	}
}

// damage writes nonsense over pages of a closed shop's file, from the page that pick chooses of n.
func damage(t *testing.T, dir string, pick func(n int) int) {
	t.Helper()
	const page = 4096
	file := filepath.Join(dir, databaseFile)
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	at := pick(len(data)/page) * page
	for i := at; i < at+page; i++ {
		data[i] = 0xA5
	}
	if err := os.WriteFile(file, data, 0o600); err != nil {
		t.Fatal(err)
	}
}

// A damaged page is found when the shop opens, before anybody writes into the file, and the audit finds it too; which
// page doesn't matter.
func TestADamagedShopDoesNotOpen(t *testing.T) {
	whole := t.TempDir()
	s := openShop(t, whole)
	order(t, s, "SMI-1", 1, 40)
	s.Close()
	data, err := os.ReadFile(filepath.Join(whole, databaseFile))
	if err != nil {
		t.Fatal(err)
	}
	pages := len(data) / 4096
	for page := range pages {
		dir := t.TempDir()
		if err := os.WriteFile(filepath.Join(dir, databaseFile), data, 0o600); err != nil {
			t.Fatal(err)
		}
		damage(t, dir, func(int) int { return page })
		s, err := Open(context.Background(), Options{Dir: dir})
		if err == nil {
			s.Close()
		}
		if FaultOf(err) != Damaged {
			t.Errorf("page %d of %d: the shop opens with %v", page, pages, err)
		}
		if differences, err := AuditDir(context.Background(), dir); FaultOf(err) != Damaged && (len(differences) == 0 || differences[0].Table != "database") {
			t.Errorf("page %d of %d: the audit says %v, %v", page, pages, differences, err)
		}
	}
}

// Damage that comes to light at work refuses scans and names itself.
func TestDamageAtWork(t *testing.T) {
	s := openShop(t, t.TempDir())
	order(t, s, "SMI-1", 1, 1)
	settle(s)
	mustExec(t, s.write, "PRAGMA writable_schema = 1")
	mustExec(t, s.write, "UPDATE sqlite_master SET rootpage = 99999 WHERE name = 'ledger_key'")
	mustExec(t, s.write, "PRAGMA writable_schema = RESET")
	_, err := s.Do(context.Background(), scan(code(1), stations.Start, plan.Cutting, "k"))
	if !errors.Is(err, ErrBusy) || FaultOf(err) != Damaged {
		t.Errorf("a scan into a damaged file: %v", err)
	}
}

// The clock may go forwards and back as it likes: the ledger's order is its sequence, and the shop folds to the same
// floor.
func TestAClockThatJumps(t *testing.T) {
	var mu sync.Mutex
	now := start
	clock := func() time.Time { mu.Lock(); defer mu.Unlock(); return now }
	set := func(to time.Time) { mu.Lock(); defer mu.Unlock(); now = to }
	dir := t.TempDir()
	s, err := Open(context.Background(), Options{Dir: dir, Clock: clock})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	order(t, s, "SMI-1", 1, 1)
	for i, jump := range []time.Duration{0, 240 * time.Hour, -240 * time.Hour, -24 * 365 * time.Hour, time.Second} {
		set(start.Add(jump))
		held := mustDo(t, s, scan(code(1), stations.Hold, "", fmt.Sprint("h", i)))
		back := mustDo(t, s, scan(code(1), stations.Resume, "", fmt.Sprint("r", i)))
		if held.Seq != int64(3+2*i) || back.Seq != held.Seq+1 || !held.At.Equal(start.Add(jump)) {
			t.Errorf("after a jump by %v: %d and %d at %v", jump, held.Seq, back.Seq, held.At)
		}
	}
	mustAudit(t, s)
	want := rowsOf(s.Floor())
	s.Close()
	s = openShop(t, dir)
	if got := rowsOf(s.Floor()); fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("folded again the floor is\n%v\nit was\n%v", got, want)
	}
}
