package main

import (
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	_ "github.com/mattn/go-sqlite3"
)

// TestTwoStationsOnOneTicket has many devices take up the same ticket in the same moment: one has it, the others are
// told so and where it is, and nothing is counted twice.
func TestTwoStationsOnOneTicket(t *testing.T) {
	s := openShop(t)
	f := s.release(t, "TWO-1", manyWindows("10")...)
	f.cutAll(t)
	var benches []string
	for i := range 6 {
		benches = append(benches, s.token(t, fmt.Sprintf("Bench %d", i+3), "station"))
	}
	known := s.board(t).Seq
	for _, p := range f.panels {
		answers := make([]answer, len(benches))
		var wg sync.WaitGroup
		for i, bench := range benches {
			wg.Go(func() {
				answers[i], _ = exchange(patient, "POST", s.url+"/api/scans", bench, scan(p.Ticket, "start", "joining"))
			})
		}
		wg.Wait()
		won := 0
		for _, got := range answers {
			switch {
			case got.status == 200:
				won++
			case got.status != 409 || got.at("code") != "at_work" || got.at("where.station") != "joining" || got.at("message") == "":
				t.Errorf("%s: another bench was answered %d %s", p.Ticket, got.status, got.body)
			}
		}
		if won != 1 {
			t.Errorf("%s was started by %d benches", p.Ticket, won)
		}
	}
	if end := s.board(t).Seq; end != known+int64(len(f.panels)) {
		t.Errorf("%d panels were started, the ledger went from %d to %d", len(f.panels), known, end)
	}
	s.audit(t)
}

// A key is its device's own: the same key of two devices is two scans.
func TestSameKeyFromTwoDevices(t *testing.T) {
	s := openShop(t)
	f := s.release(t, "KEY-1")
	f.cutAll(t)
	a := s.done(t, s.station, scan(f.panels[0].Ticket, "start", "joining", "key", "1"), nil)
	b := s.done(t, s.other, scan(f.panels[1].Ticket, "start", "joining", "key", "1"), nil)
	if a.seq(t) == b.seq(t) {
		t.Errorf("two devices share an event: %s and %s", a.body, b.body)
	}
	again := s.done(t, s.station, scan(f.panels[0].Ticket, "start", "joining", "key", "1"), nil)
	if again.seq(t) != a.seq(t) {
		t.Errorf("the first device's scan again is another: %s", again.body)
	}
	s.audit(t)
}

// TestDamagedData: a damaged page keeps a shop from being served, each time and in words, and a backup brings it back.
func TestDamagedData(t *testing.T) {
	s := openShop(t)
	f := s.release(t, "HURT-1", manyWindows("10")...)
	backup := filepath.Join(t.TempDir(), "copy.db")
	if _, said, code := command(t, "backup", backup, "--data", s.dir); code != 0 {
		t.Fatal(said)
	}
	if _, said, code := command(t, "restore", backup, "--data", s.dir); code != 1 || !strings.Contains(said, "served by another") {
		t.Errorf("restored under a running server: exit %d, said %q", code, said)
	}
	s.stop()
	file := filepath.Join(s.dir, "tablehand.db")
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
		if _, said, code := command(t, serveArgs(s.dir)...); code != 1 || !strings.Contains(said, "tablehand restore FILE") || strings.Contains(said, "goroutine") {
			t.Errorf("serving damaged data: exit %d, said %q", code, said)
		}
	}
	if out, said, code := command(t, "audit", "--data", s.dir); code != 1 || !strings.Contains(said, "tablehand restore FILE") {
		t.Errorf("auditing damaged data: exit %d, said %q\n%s", code, said, out)
	}
	if after, err := os.ReadFile(file); err != nil || string(after) != string(data) {
		t.Errorf("the damaged file was written to: %v", err)
	}
	if out, said, code := command(t, "restore", backup, "--data", s.dir); code != 0 {
		t.Fatalf("restore: exit %d\n%s%s", code, out, said)
	}
	again := serveShop(t, s.dir)
	again.station = s.station
	again.look(t, f.panels[0].Ticket)
	again.audit(t)
}

// What can't be restored is told in words, and nothing changes.
func TestRestoreSaysWhatIsWrong(t *testing.T) {
	s := openShop(t)
	s.release(t, "SAY-1")
	s.stop()
	dir := t.TempDir()
	note := writeFile(t, "note.txt", "no backup")
	empty := writeFile(t, "empty.db", "")
	for says, args := range map[string][]string{
		"there is no such file":        {"restore", filepath.Join(dir, "nowhere.db"), "--data", s.dir},
		"damaged, or no backup at all": {"restore", note, "--data", s.dir},
		"holds no shop":                {"restore", empty, "--data", s.dir},
		"can't be used":                {"restore", empty, "--data", filepath.Join(note, "in")},
	} {
		if out, said, code := command(t, args...); code != 1 || !strings.Contains(said, says) || out != "" {
			t.Errorf("%v: exit %d, said %q, want %q", args, code, said, says)
		}
	}
	if _, _, code := command(t, "restore"); code != 2 {
		t.Errorf("restore of nothing: exit %d", code)
	}
	s.audit(t)
}

// TestNewerData: every command refuses data of a newer program in words and leaves the file alone.
func TestNewerData(t *testing.T) {
	s := openShop(t)
	s.stop()
	file := filepath.Join(s.dir, "tablehand.db")
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
	for _, args := range [][]string{serveArgs(s.dir), {"audit", "--data", s.dir}, {"token", "x", "--role", "screen", "--data", s.dir},
		{"backup", filepath.Join(t.TempDir(), "copy.db"), "--data", s.dir}, {"restore", file, "--data", filepath.Join(t.TempDir(), "other")}} {
		if _, said, code := command(t, args...); code != 1 || !strings.Contains(said, "written by a newer tablehand") {
			t.Errorf("%s: exit %d, said %q", args[0], code, said)
		}
	}
	if after, err := os.ReadFile(file); err != nil || string(after) != string(before) {
		t.Errorf("the file was changed: %v", err)
	}
}
