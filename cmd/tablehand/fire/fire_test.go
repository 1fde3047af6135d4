package fire

import (
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	_ "github.com/mattn/go-sqlite3"

	"tablehand/cmd/tablehand/shoptest"
)

// TestTwoStationsOnOneTicket has many devices take up the same ticket in the same moment: one has it, the others are
// told so and where it is, and nothing is counted twice.
func TestTwoStationsOnOneTicket(t *testing.T) {
	s := shoptest.Open(t)
	f := s.Release(t, "TWO-1", shoptest.ManyWindows("10")...)
	f.CutAll(t)
	var benches []string
	for i := range 6 {
		benches = append(benches, s.Token(t, fmt.Sprintf("Bench %d", i+3), "station"))
	}
	known := s.Board(t).Seq
	for _, p := range f.Panels {
		answers := make([]shoptest.Answer, len(benches))
		var wg sync.WaitGroup
		for i, bench := range benches {
			wg.Go(func() {
				answers[i], _ = shoptest.Exchange(shoptest.Patient, "POST", s.URL+"/api/scans", bench, shoptest.Scan(p.Ticket, "start", "joining"))
			})
		}
		wg.Wait()
		won := 0
		for _, got := range answers {
			switch {
			case got.Status == 200:
				won++
			case got.Status != 409 || got.At("code") != "at_work" || got.At("where.station") != "joining" || got.At("message") == "":
				t.Errorf("%s: another bench was answered %d %s", p.Ticket, got.Status, got.Body)
			}
		}
		if won != 1 {
			t.Errorf("%s was started by %d benches", p.Ticket, won)
		}
	}
	if end := s.Board(t).Seq; end != known+int64(len(f.Panels)) {
		t.Errorf("%d panels were started, the ledger went from %d to %d", len(f.Panels), known, end)
	}
	s.Audit(t)
}

// A key is its device's own: the same key of two devices is two scans.
func TestSameKeyFromTwoDevices(t *testing.T) {
	s := shoptest.Open(t)
	f := s.Release(t, "KEY-1")
	f.CutAll(t)
	a := s.Done(t, s.Station, shoptest.Scan(f.Panels[0].Ticket, "start", "joining", "key", "1"), nil)
	b := s.Done(t, s.Other, shoptest.Scan(f.Panels[1].Ticket, "start", "joining", "key", "1"), nil)
	if a.Seq(t) == b.Seq(t) {
		t.Errorf("two devices share an event: %s and %s", a.Body, b.Body)
	}
	again := s.Done(t, s.Station, shoptest.Scan(f.Panels[0].Ticket, "start", "joining", "key", "1"), nil)
	if again.Seq(t) != a.Seq(t) {
		t.Errorf("the first device's scan again is another: %s", again.Body)
	}
	s.Audit(t)
}

// TestDamagedData: a damaged page keeps a shop from being served, each time and in words, and a backup brings it back.
func TestDamagedData(t *testing.T) {
	s := shoptest.Open(t)
	f := s.Release(t, "HURT-1", shoptest.ManyWindows("10")...)
	backup := filepath.Join(t.TempDir(), "copy.db")
	if _, said, code := shoptest.Command(t, "backup", backup, "--data", s.Dir); code != 0 {
		t.Fatal(said)
	}
	if _, said, code := shoptest.Command(t, "restore", backup, "--data", s.Dir); code != 1 || !strings.Contains(said, "served by another") {
		t.Errorf("restored under a running server: exit %d, said %q", code, said)
	}
	s.Stop()
	file := filepath.Join(s.Dir, "tablehand.db")
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	const page = 4096
	for i := len(data) / page / 2 * page; i < len(data)/page/2*page+page; i++ {
		data[i] = 0x5A
	}
	if err := os.WriteFile(file, data, 0o600); err != nil {
		t.Fatal(err)
	}
	for range 2 {
		if _, said, code := shoptest.Command(t, shoptest.ServeArgs(s.Dir)...); code != 1 || !strings.Contains(said, "tablehand restore FILE") || strings.Contains(said, "goroutine") {
			t.Errorf("serving damaged data: exit %d, said %q", code, said)
		}
	}
	if out, said, code := shoptest.Command(t, "audit", "--data", s.Dir); code != 1 || !strings.Contains(said, "tablehand restore FILE") {
		t.Errorf("auditing damaged data: exit %d, said %q\n%s", code, said, out)
	}
	if after, err := os.ReadFile(file); err != nil || string(after) != string(data) {
		t.Errorf("the damaged file was written to: %v", err)
	}
	if out, said, code := shoptest.Command(t, "restore", backup, "--data", s.Dir, "--keep-access"); code != 0 {
		t.Fatalf("restore: exit %d\n%s%s", code, out, said)
	}
	again := shoptest.Serve(t, s.Dir)
	again.Station = s.Station
	again.Look(t, f.Panels[0].Ticket)
	again.Audit(t)
}

// What can't be restored is told in words, and nothing changes.
func TestRestoreSaysWhatIsWrong(t *testing.T) {
	s := shoptest.Open(t)
	s.Release(t, "SAY-1")
	s.Stop()
	dir := t.TempDir()
	note := shoptest.WriteFile(t, "note.txt", "no backup")
	empty := shoptest.WriteFile(t, "empty.db", "")
	for says, args := range map[string][]string{
		"there is no such file":        {"restore", filepath.Join(dir, "nowhere.db"), "--data", s.Dir},
		"damaged, or no backup at all": {"restore", note, "--data", s.Dir},
		"holds no shop":                {"restore", empty, "--data", s.Dir},
		"can't be used":                {"restore", empty, "--data", filepath.Join(note, "in")},
	} {
		if out, said, code := shoptest.Command(t, args...); code != 1 || !strings.Contains(said, says) || out != "" {
			t.Errorf("%v: exit %d, said %q, want %q", args, code, said, says)
		}
	}
	if _, _, code := shoptest.Command(t, "restore"); code != 2 {
		t.Errorf("restore of nothing: exit %d", code)
	}
	s.Audit(t)
}

// TestNewerData: every command refuses data of a newer program in words and leaves the file alone.
func TestNewerData(t *testing.T) {
	s := shoptest.Open(t)
	s.Stop()
	file := filepath.Join(s.Dir, "tablehand.db")
	db, err := sql.Open("sqlite3", file)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := db.Exec("INSERT INTO goose_db_version (version_id, is_applied) VALUES (9999, 1)"); err != nil {
		t.Fatal(err)
	}
	db.Close()
	before, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{shoptest.ServeArgs(s.Dir), {"audit", "--data", s.Dir}, {"token", "x", "--role", "screen", "--data", s.Dir},
		{"backup", filepath.Join(t.TempDir(), "copy.db"), "--data", s.Dir}, {"restore", file, "--data", filepath.Join(t.TempDir(), "other")}} {
		if _, said, code := shoptest.Command(t, args...); code != 1 || !strings.Contains(said, "written by a newer tablehand") {
			t.Errorf("%s: exit %d, said %q", args[0], code, said)
		}
	}
	if after, err := os.ReadFile(file); err != nil || string(after) != string(before) {
		t.Errorf("the file was changed: %v", err)
	}
}
