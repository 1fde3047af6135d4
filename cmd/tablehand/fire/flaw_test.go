package fire

import (
	"fmt"
	"math/rand/v2"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"tablehand/cmd/tablehand/shoptest"
)

// table is two orders that are cut from one bolt of the shelf, the first of them at the cutting table.
type table struct {
	*shoptest.Shop
	bolt    string
	tickets []string // the cuttings, the one at the table first
}

// sharedBolt receives a bolt, releases two orders onto it and lays it on the table for the first, which makes one cut.
func sharedBolt(t *testing.T, s *shoptest.Shop) *table {
	t.Helper()
	s.Ask(t, shoptest.Request{As: s.Office, Do: "PUT /api/cloths/reed", Status: 201,
		Send: shoptest.Fields{"name": "Reed", "sold_by": "yd", "usable_width": "54in", "vertical_repeat": "13 1/2in"}})
	w := &table{Shop: s}
	w.bolt = s.Ask(t, shoptest.Request{As: s.Office, Do: "POST /api/bolts", Status: 201,
		Send: shoptest.Fields{"cloth": "reed", "lot": "A", "length": "90 yd", "key": "bolt"}}).At("bolts.0")
	for _, order := range []string{"FLAW-1", "FLAW-2"} {
		f := s.Release(t, order, "    bolts:\n      - {id: R1, length: 40 yd, lot: A, first_repeat: 0, flaws: [{from: 7 yd, to: 7 yd 3 in}]}\n", "",
			"length: 20 yd", "length: 900 yd", "{id: S1,", "{id: S-"+order+",", "  - id: reed\n", "  - id: reed\n    cloth: reed\n")
		for _, r := range f.Cutting {
			if r.Fabric == "reed" {
				w.tickets = append(w.tickets, r.Ticket)
			}
		}
	}
	s.Done(t, s.Station, shoptest.Scan(w.tickets[0], "start", "cutting"), nil)
	for _, body := range []shoptest.Fields{{"action": "lay", "ticket": w.tickets[0]}, {"action": "cut", "cut": "1"}} {
		body["bolt"], body["key"] = w.bolt, fmt.Sprint("table ", body["action"])
		s.Ask(t, shoptest.Request{As: s.Station, Do: "POST /api/shelf", Send: body, Status: 200})
	}
	return w
}

// seen is all that is told of the bolt and the tickets.
func (w *table) seen(t *testing.T) string {
	t.Helper()
	said := ""
	for _, path := range []string{"/api/bolts/" + w.bolt, "/api/tickets/" + w.tickets[0], "/api/tickets/" + w.tickets[1]} {
		said += string(w.Ask(t, shoptest.Request{As: w.Station, Do: "GET " + path, Status: 200}).Body) + "\n"
	}
	return said
}

// clear sees that no cut that is still to be made lies on the flaw, of neither ticket.
func (w *table) clear(t *testing.T, from, to float64) {
	t.Helper()
	for _, code := range w.tickets {
		var got struct {
			Cuts []struct {
				Bolt, From, Length string
				Done               bool
			}
		}
		w.Ask(t, shoptest.Request{As: w.Station, Do: "GET /api/tickets/" + code, Status: 200}).Into(t, &got)
		if len(got.Cuts) == 0 {
			t.Fatalf("%s says no cuts", code)
		}
		for _, c := range got.Cuts {
			at, long := inches(t, c.From), inches(t, c.Length)
			if !c.Done && c.Bolt == w.bolt && at < to && from < at+long {
				t.Errorf("a cut of %s lies at %s, on the flaw from %v in", code, c.From, from)
			}
		}
	}
}

// inches reads a length of a document.
func inches(t *testing.T, length string) float64 {
	t.Helper()
	n, err := strconv.ParseFloat(strings.TrimSuffix(length, "in"), 64)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// TestKillDuringAFlaw kills the server with SIGKILL while the table tells of a flaw that moves the cuts of two orders, and opens
// the shop again: either nothing of it is there, or the flaw and where all the cuts lie now. Sent again, it is done once.
// Four times, sixty with TABLEHAND_LONG=1.
func TestKillDuringAFlaw(t *testing.T) {
	rounds := 4
	if os.Getenv("TABLEHAND_LONG") == "1" {
		rounds = 60
	}
	dir := filepath.Join(t.TempDir(), "shop")
	s, cmd := shoptest.StartProcess(t, dir)
	s.Office, s.Station, s.Screen = s.Token(t, "Office", "office"), s.Token(t, "Cutting", "station"), s.Token(t, "Wall", "screen")
	office, station, screen := s.Office, s.Station, s.Screen
	w := sharedBolt(t, s)
	there := 0
	for round := range rounds {
		chance := rand.New(rand.NewPCG(15, uint64(round)))
		before, from := w.seen(t), 200+chance.IntN(300)
		flaw := shoptest.Fields{"bolt": w.bolt, "action": "flaw", "from": fmt.Sprint(from, "in"), "to": fmt.Sprint(from+4, "in"), "key": fmt.Sprint("flaw-", round)}
		answered := make(chan shoptest.Answer, 1)
		go func() {
			got, _ := shoptest.Exchange(&http.Client{Transport: &http.Transport{}, Timeout: shoptest.Patience}, "POST", s.URL+"/api/shelf", station, flaw)
			answered <- got
		}()
		time.Sleep(time.Duration(chance.IntN(6_000)) * time.Microsecond)
		if err := cmd.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		cmd.Wait()
		first := <-answered
		if out, said, code := shoptest.Command(t, "audit", "--data", dir); code != 0 {
			t.Fatalf("round %d: audit of the killed shop: exit %d\n%s%s", round, code, out, said)
		}
		s, cmd = shoptest.StartProcess(t, dir)
		s.Office, s.Station, s.Screen = office, station, screen
		w.Shop = s
		begins, ends := float64(from), float64(from+4)
		after := w.seen(t)
		is := s.Ask(t, shoptest.Request{As: station, Do: "GET /api/bolts/" + w.bolt, Status: 200}).At("flaws.0.from") == flaw["from"]
		switch {
		case is:
			there++
			w.clear(t, begins, ends)
		case after != before:
			t.Errorf("round %d: the flaw isn't there, and something else is:\n%s\n%s", round, before, after)
		case first.Status == http.StatusOK:
			t.Errorf("round %d: it was answered, and is lost", round)
		}
		again := s.Ask(t, shoptest.Request{As: station, Do: "POST /api/shelf", Send: flaw, Status: 200})
		if first.Status == http.StatusOK && first.At("seq") != again.At("seq") {
			t.Errorf("round %d: sent again it is done again", round)
		}
		w.clear(t, begins, ends)
		s.Done(t, station, shoptest.Scan(w.tickets[0], "undo", ""), nil)
		if t.Failed() {
			t.FailNow()
		}
	}
	t.Logf("%d kills, the flaw was there after %d", rounds, there)
	shoptest.Interrupt(t, cmd)
	s.Audit(t)
}
