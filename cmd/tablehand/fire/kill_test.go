package fire

import (
	"fmt"
	"math/rand/v2"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"tablehand/cmd/tablehand/shoptest"
)

// TestKillDuringScans kills the server with SIGKILL while devices scan as fast as they can, and opens the shop again. Every
// scan that was answered is in the ledger with the answer it got, none is there twice, and audit finds nothing.
// Five times, a hundred with TABLEHAND_LONG=1.
func TestKillDuringScans(t *testing.T) {
	rounds := 5
	if os.Getenv("TABLEHAND_LONG") == "1" {
		rounds = 100
	}
	dir := filepath.Join(t.TempDir(), "shop")
	s, cmd := shoptest.StartProcess(t, dir)
	s.Office, s.Station, s.Screen = s.Token(t, "Office", "office"), s.Token(t, "Cutting", "station"), s.Token(t, "Wall", "screen")
	office, screen := s.Office, s.Screen
	f := s.Release(t, "KILL-1", shoptest.ManyWindows("20")...)
	f.CutAll(t)
	devices := giveOut(t, f, 8)
	known := s.Board(t).Seq
	total := 0

	for round := range rounds {
		chance := rand.New(rand.NewPCG(2, uint64(round)))
		killAfter(t, cmd, s.URL, devices, 20+chance.IntN(200))
		if out, said, code := shoptest.Command(t, "audit", "--data", dir); code != 0 {
			t.Fatalf("round %d: audit of the killed shop: exit %d\n%s%s", round, code, out, said)
		}
		s, cmd = shoptest.StartProcess(t, dir)
		s.Office, s.Screen = office, screen
		sent := resend(t, s, devices)
		known = holdAgainstLedger(t, s, known, sent)
		total += len(sent)
		if t.Failed() {
			t.Fatalf("round %d", round)
		}
	}

	panels := map[string]bool{}
	for _, p := range f.Panels {
		panels[p.Ticket] = true
	}
	scans := 0
	for _, c := range shoptest.Until(t, s.Events(t, screen, "?after=0", ""), known) {
		if panels[c.Data.Ticket] && shoptest.OneOf(c.Data.Action, "start|undo|hold|resume") {
			scans++
		}
	}
	if scans != total {
		t.Errorf("the whole ledger has %d scans of panels, %d were sent", scans, total)
	}
	t.Logf("%d kills, %d scans", rounds, total)
	shoptest.Interrupt(t, cmd)
	s.Audit(t)
}

// device scans its own panels, one scan at a time, each until it is answered.
type device struct {
	token   string
	panels  []string
	n       int      // scans made
	sent    []posted // of this round; the last one has no answer
	refusal error
}

// posted is a scan on its way and the answer to it, if one came.
type posted struct {
	body   shoptest.Fields
	answer shoptest.Answer
}

// giveOut lets devices in and shares the panels among them.
func giveOut(t *testing.T, f *shoptest.Floor, n int) []*device {
	t.Helper()
	devices := make([]*device, n)
	for i := range devices {
		devices[i] = &device{token: f.Token(t, fmt.Sprintf("Bench %d", i), "station")}
	}
	for i, p := range f.Panels {
		d := devices[i%n]
		d.panels = append(d.panels, p.Ticket)
	}
	return devices
}

// next returns the device's next scan: each panel is started, undone, held and resumed, for ever.
func (d *device) next() shoptest.Fields {
	body := shoptest.Fields{"ticket": d.panels[d.n/4%len(d.panels)], "key": fmt.Sprintf("scan-%d", d.n)}
	switch d.n % 4 {
	case 0:
		body["action"], body["station"] = "start", "joining"
	case 1:
		body["action"] = "undo"
	case 2:
		body["action"], body["reason"] = "hold", "a burst"
	case 3:
		body["action"] = "resume"
	}
	d.n++
	return body
}

// scanUntilCut makes scans until no answer comes any more.
func (d *device) scanUntilCut(url string, answered func()) {
	client := &http.Client{Transport: &http.Transport{}, Timeout: shoptest.Patience}
	for {
		body := d.next()
		got, err := shoptest.Exchange(client, "POST", url+"/api/scans", d.token, body)
		if err == nil && got.Status != http.StatusOK {
			d.refusal = fmt.Errorf("%v answered %d %s", body, got.Status, got.Body)
		}
		if err != nil || d.refusal != nil {
			d.sent = append(d.sent, posted{body: body})
			return
		}
		d.sent = append(d.sent, posted{body, got})
		answered()
	}
}

// killAfter lets all devices scan and kills the server once n scans have been answered.
func killAfter(t *testing.T, cmd *exec.Cmd, url string, devices []*device, n int) {
	t.Helper()
	var scanning sync.WaitGroup
	answers, ended := make(chan struct{}), make(chan struct{})
	for _, d := range devices {
		d.sent = nil
		scanning.Go(func() { d.scanUntilCut(url, func() { answers <- struct{}{} }) })
	}
	go func() {
		scanning.Wait()
		close(ended)
	}()
	for answered := 0; ; {
		select {
		case <-answers:
			if answered++; answered == n {
				if err := cmd.Process.Kill(); err != nil {
					t.Fatal(err)
				}
			}
			continue
		case <-time.After(2 * shoptest.Patience):
			t.Fatalf("devices hang after %d answers", answered)
		case <-ended:
			if answered < n {
				t.Errorf("the server ended after %d answers, before it was killed", answered)
			}
		}
		break
	}
	cmd.Wait()
	for _, d := range devices {
		if d.refusal != nil {
			t.Fatal(d.refusal)
		}
	}
}

// resend sends every scan of the round once more, as a device does whose network came back: those answered repeat their
// answer, the one that got none is done now at the latest. It returns all of them with their answers.
func resend(t *testing.T, s *shoptest.Shop, devices []*device) []posted {
	t.Helper()
	var all []posted
	for _, d := range devices {
		for _, p := range d.sent {
			again := s.Done(t, d.token, p.body, nil)
			if p.answer.Body != nil && string(again.Body) != string(p.answer.Body) {
				t.Errorf("%v was answered %s, after the kill %s", p.body, p.answer.Body, again.Body)
			}
			all = append(all, posted{p.body, again})
		}
	}
	return all
}

// holdAgainstLedger reads what the ledger has after known and finds exactly the scans sent in it. It returns the new end.
func holdAgainstLedger(t *testing.T, s *shoptest.Shop, known int64, sent []posted) (end int64) {
	t.Helper()
	end = s.Board(t).Seq
	ledger := map[int64]shoptest.Change{}
	for _, c := range shoptest.Until(t, s.Events(t, s.Screen, fmt.Sprintf("?after=%d", known), ""), end) {
		ledger[c.Data.Seq] = c
	}
	if len(ledger) != len(sent) {
		t.Errorf("%d scans were made, the ledger has %d changes", len(sent), len(ledger))
	}
	for _, p := range sent {
		seq := p.answer.Seq(t)
		got, there := ledger[seq]
		if !there || got.Data.Ticket != p.body["ticket"] || got.Data.Action != p.body["action"] {
			t.Errorf("%v was answered with %d, the ledger has there %+v", p.body, seq, got.Data)
		}
		delete(ledger, seq) // so that no two scans share one
	}
	return end
}
