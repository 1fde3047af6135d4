package fire

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

	"tablehand/cmd/tablehand/shoptest"
)

// TestDrill is the day on which the disk dies: a shop works, is backed up while eight devices scan, is killed and its
// data destroyed; the backup is restored, and everybody goes on. Every scan that was acknowledged before the backup
// began is there with its answer; the devices send the others again, and none counts twice.
func TestDrill(t *testing.T) {
	dir, backup := filepath.Join(t.TempDir(), "shop"), filepath.Join(t.TempDir(), "monday.db")
	s, cmd := shoptest.StartProcess(t, dir)
	s.Office, s.Station, s.Screen = s.Token(t, "Office", "office"), s.Token(t, "Cutting", "station"), s.Token(t, "Wall", "screen")
	before := s
	passphrase := s.Passphrase(t)
	browser := signedIn(t, s, passphrase)
	f := s.Release(t, "DRILL-1", shoptest.ManyWindows("20")...)
	f.CutAll(t)
	codes := append([]shoptest.Row{}, f.Panels...)
	devices := giveOut(t, f, 8)
	known := s.Board(t).Seq

	acknowledged := scanThroughBackup(t, s.URL, devices, dir, backup)
	lost := s.Token(t, "Made after the backup", "station")
	if err := cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	cmd.Wait()
	destroy(t, dir)
	for _, args := range [][]string{shoptest.ServeArgs(dir), {"audit", "--data", dir}} {
		if _, said, code := shoptest.Command(t, args...); code != 1 || !strings.Contains(said, "tablehand restore FILE") {
			t.Errorf("%s on destroyed data: exit %d, said %q", args[0], code, said)
		}
	}
	out, said, code := shoptest.Command(t, "restore", backup, "--data", dir, "--keep-access")
	if code != 0 || !strings.Contains(out, "1 order") || !strings.Contains(out, "tablehand-before-restore-") {
		t.Fatalf("restore: exit %d\n%s%s", code, out, said)
	}
	if out, said, code := shoptest.Command(t, "audit", "--data", dir); code != 0 {
		t.Fatalf("audit of the restored shop: exit %d\n%s%s", code, out, said)
	}

	s, cmd = shoptest.StartProcess(t, dir)
	s.Office, s.Station, s.Screen = before.Office, before.Station, before.Screen
	if got, err := shoptest.Exchange(browser, "GET", s.URL+"/board", "", nil); err != nil || got.Status != http.StatusUnauthorized {
		t.Errorf("a sign-in of before holds after the restore: %d %v", got.Status, err)
	}
	browser = signedIn(t, s, passphrase)
	restored := s.Board(t).Seq
	for _, p := range acknowledged {
		if seq := p.answer.Seq(t); seq > restored {
			t.Errorf("scan %d was acknowledged before the backup, which ends at %d", seq, restored)
		}
	}
	for _, c := range codes {
		s.Look(t, c.Ticket)
		if page := page(t, s, browser, "/t/"+strings.ToLower(c.Ticket)); !strings.Contains(page, "DRILL-1") {
			t.Errorf("the printed code %s leads to\n%s", c.Ticket, page)
		}
	}
	s.Ask(t, shoptest.Request{As: lost, Do: "GET /api/board", Status: 401})

	sent := 0
	for _, d := range devices {
		for _, p := range d.sent {
			again := s.Done(t, d.token, p.body, nil)
			sent++
			if p.answer.Body != nil && p.answer.Seq(t) <= restored && string(again.Body) != string(p.answer.Body) {
				t.Errorf("%v was answered %s, after the restore %s", p.body, p.answer.Body, again.Body)
			}
		}
	}
	if end := s.Board(t).Seq; end != known+int64(sent) {
		t.Errorf("%d scans were made from %d on, the ledger ends at %d", sent, known, end)
	}
	t.Logf("%d scans acknowledged before the backup, %d restored, %d sent again", len(acknowledged), restored-known, int64(sent)-(restored-known))
	shoptest.Interrupt(t, cmd)
	s.Audit(t)
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
				got, err := shoptest.Exchange(shoptest.Patient, "POST", url+"/api/scans", d.token, body)
				if err != nil || got.Status != http.StatusOK {
					d.refusal = fmt.Errorf("%v answered %d %s: %v", body, got.Status, got.Body, err)
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
		for deadline := time.Now().Add(shoptest.Patience); count() < n; time.Sleep(time.Millisecond) {
			if time.Now().After(deadline) {
				t.Fatalf("only %d scans were answered", count())
			}
		}
	}
	reach(200)
	mu.Lock()
	acknowledged = append(acknowledged, all...)
	mu.Unlock()
	if out, said, code := shoptest.Command(t, "backup", backup, "--data", dir); code != 0 {
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

// signedIn is a browser, signed in with the passphrase that serve printed.
func signedIn(t *testing.T, s *shoptest.Shop, passphrase string) *http.Client {
	t.Helper()
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	b := &http.Client{Jar: jar, Timeout: shoptest.Patience}
	if got, err := shoptest.Exchange(b, "POST", s.URL+"/api/session", "", shoptest.Fields{"passphrase": passphrase}); err != nil || got.Status != http.StatusNoContent {
		t.Fatalf("sign-in: %d %s %v", got.Status, got.Body, err)
	}
	return b
}

// page is what a browser gets at a path of this shop.
func page(t *testing.T, s *shoptest.Shop, browser *http.Client, path string) string {
	t.Helper()
	got, err := shoptest.Exchange(browser, "GET", s.URL+path, "", nil)
	if err != nil || got.Status != http.StatusOK {
		t.Fatalf("GET %s: %d %v\n%s", path, got.Status, err, got.Body)
	}
	return string(got.Body)
}
