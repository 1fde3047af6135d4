package main

import (
	"fmt"
	"net/http"
	"net/http/cookiejar"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"
)

// TestDrill is the day on which the disk dies: a shop works, is backed up while eight devices scan, is killed and its
// data destroyed; the backup is restored, and everybody goes on. Every scan that was acknowledged before the backup
// began is there with its answer; the devices send the others again, and none counts twice.
func TestDrill(t *testing.T) {
	dir, backup := filepath.Join(t.TempDir(), "shop"), filepath.Join(t.TempDir(), "monday.db")
	s, cmd := startProcess(t, dir)
	s.office, s.station, s.screen = s.token(t, "Office", "office"), s.token(t, "Cutting", "station"), s.token(t, "Wall", "screen")
	before := s
	browser := s.browser(t)
	f := s.release(t, "DRILL-1", manyWindows("20")...)
	f.cutAll(t)
	codes := append([]row{}, f.panels...)
	devices := giveOut(t, f, 8)
	known := s.board(t).Seq

	acknowledged := scanThroughBackup(t, s.url, devices, dir, backup)
	lost := s.token(t, "Made after the backup", "station")
	if err := cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	cmd.Wait()
	destroy(t, dir)
	for _, args := range [][]string{serveArgs(dir), {"audit", "--data", dir}} {
		if _, said, code := command(t, args...); code != 1 || !strings.Contains(said, "tablehand restore FILE") {
			t.Errorf("%s on destroyed data: exit %d, said %q", args[0], code, said)
		}
	}
	out, said, code := command(t, "restore", backup, "--data", dir)
	if code != 0 || !strings.Contains(out, "1 order") || !strings.Contains(out, "tablehand-before-restore-") {
		t.Fatalf("restore: exit %d\n%s%s", code, out, said)
	}
	if out, said, code := command(t, "audit", "--data", dir); code != 0 {
		t.Fatalf("audit of the restored shop: exit %d\n%s%s", code, out, said)
	}

	s, cmd = startProcess(t, dir)
	s.office, s.station, s.screen = before.office, before.station, before.screen
	restored := s.board(t).Seq
	for _, p := range acknowledged {
		if seq := p.answer.seq(t); seq > restored {
			t.Errorf("scan %d was acknowledged before the backup, which ends at %d", seq, restored)
		}
	}
	for _, c := range codes {
		s.look(t, c.Ticket)
		if page := s.page(t, browser, "/t/"+strings.ToLower(c.Ticket)); !strings.Contains(page, "DRILL-1") {
			t.Errorf("the printed code %s leads to\n%s", c.Ticket, page)
		}
	}
	s.ask(t, request{as: lost, do: "GET /api/board", status: 401})

	sent := 0
	for _, d := range devices {
		for _, p := range d.sent {
			again := s.done(t, d.token, p.body, nil)
			sent++
			if p.answer.body != nil && p.answer.seq(t) <= restored && string(again.body) != string(p.answer.body) {
				t.Errorf("%v was answered %s, after the restore %s", p.body, p.answer.body, again.body)
			}
		}
	}
	if end := s.board(t).Seq; end != known+int64(sent) {
		t.Errorf("%d scans were made from %d on, the ledger ends at %d", sent, known, end)
	}
	t.Logf("%d scans acknowledged before the backup, %d restored, %d sent again", len(acknowledged), restored-known, int64(sent)-(restored-known))
	interrupt(t, cmd)
	s.audit(t)
}

// scanThroughBackup lets all devices scan, backs the shop up in the midst of it, lets them scan on for a while, and
// ends them by their server's kill; it returns what had been acknowledged before the backup began.
func scanThroughBackup(t *testing.T, url string, devices []*device, dir, backup string) (acknowledged []posted) {
	t.Helper()
	var mu sync.Mutex
	var all []posted
	count := func() int { mu.Lock(); defer mu.Unlock(); return len(all) }
	stop := make(chan struct{})
	var scanning sync.WaitGroup
	for _, d := range devices {
		scanning.Go(func() {
			for d.refusal == nil {
				select {
				case <-stop:
					return
				default:
				}
				body := d.next()
				got, err := exchange(patient, "POST", url+"/api/scans", d.token, body)
				if err != nil || got.status != http.StatusOK {
					d.refusal = fmt.Errorf("%v answered %d %s: %v", body, got.status, got.body, err)
					return
				}
				d.sent = append(d.sent, posted{body, got})
				mu.Lock()
				all = append(all, posted{body, got})
				mu.Unlock()
			}
		})
	}
	reach := func(n int) {
		for deadline := time.Now().Add(patience); count() < n; time.Sleep(time.Millisecond) {
			if time.Now().After(deadline) {
				t.Fatalf("only %d scans were answered", count())
			}
		}
	}
	reach(200)
	mu.Lock()
	acknowledged = append(acknowledged, all...)
	mu.Unlock()
	if out, said, code := command(t, "backup", backup, "--data", dir); code != 0 {
		t.Fatalf("backup: exit %d\n%s%s", code, out, said)
	}
	reach(count() + 200)
	close(stop)
	scanning.Wait()
	for _, d := range devices {
		if d.refusal != nil {
			t.Fatal(d.refusal)
		}
	}
	return acknowledged
}

// destroy leaves nonsense where the shop's data was.
func destroy(t *testing.T, dir string) {
	t.Helper()
	for _, name := range []string{"tablehand.db", "tablehand.db-wal"} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(strings.Repeat("The disk is dead. ", 4000)), 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

// browser is signed in with the passphrase that serve printed.
func (s *shop) browser(t *testing.T) *http.Client {
	t.Helper()
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	b := &http.Client{Jar: jar, Timeout: patience}
	if got, err := exchange(b, "POST", s.url+"/api/session", "", fields{"passphrase": s.passphrase(t)}); err != nil || got.status != http.StatusNoContent {
		t.Fatalf("sign-in: %d %s %v", got.status, got.body, err)
	}
	return b
}

// page is what a browser gets at a path of this shop; a cookie knows no port, so one of before still counts.
func (s *shop) page(t *testing.T, browser *http.Client, path string) string {
	t.Helper()
	got, err := exchange(browser, "GET", s.url+path, "", nil)
	if err != nil || got.status != http.StatusOK {
		t.Fatalf("GET %s: %d %v\n%s", path, got.status, err, got.body)
	}
	return string(got.body)
}
