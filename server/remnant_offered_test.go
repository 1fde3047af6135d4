package server

import (
	"maps"
	"net/url"
	"strings"
	"testing"
	"time"

	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
)

// TestRemnantOffered: an order that comes in is told which remnants of its cloth do for some of it, how long they are and where they lie; not of
// one that is too short, and no more once its tickets say where it is cut.
func TestRemnantOffered(t *testing.T) {
	s := openShop(t)
	s.reedBook(t)
	bolt := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "60 yd", "place": "3B"})
	s.take(t, "Z", withoutBolts("Z", "  - id: reed\n", "  - id: reed\n    cloth: reed\n")...)
	s.ask(t, scene{as: stations.Office, do: "POST /api/orders/Z/release", status: 200})
	ticket := s.ticketOf(t, "Z", "", "reed")
	s.ask(t, scene{as: stations.Bench, do: "POST /api/scans", send: fields{"ticket": ticket, "station": "cutting", "action": "start", "key": "1"}, status: 200})
	s.ask(t, scene{as: stations.Bench, do: "POST /api/shelf", send: fields{"bolt": bolt, "action": "lay", "ticket": ticket, "key": "2"}, status: 200})
	for next := s.Store.Floor().Ticket(plan.Code(ticket)).NextCut(); next != nil; next = s.Store.Floor().Ticket(plan.Code(ticket)).NextCut() {
		s.ask(t, scene{as: stations.Bench, do: "POST /api/shelf", send: fields{"bolt": bolt, "action": "cut", "ticket": ticket, "cut": next.Cut, "key": "c" + next.Cut}, status: 200})
	}
	part := func(to, key string) string {
		return s.ask(t, scene{as: stations.Bench, do: "POST /api/shelf", send: fields{"bolt": bolt, "action": "part", "to": to, "place": "7A", "key": key}, status: 200}).at("new")
	}
	long := part("1107.5in", "p1") // 500 in behind the 607½ that are cut
	short := part("1137.5in", "p2")
	s.ask(t, scene{as: stations.Bench, do: "POST /api/shelf", send: fields{"bolt": bolt, "action": "rest", "length": "1022.5in", "place": "3B", "key": "r"}, status: 200})

	file := example(t, "A", withoutBolts("A", "  - id: reed\n", "  - id: reed\n    cloth: reed\n")...)
	told := func(name, do string, send any, status int, want int) {
		t.Helper()
		got := string(s.ask(t, scene{name: name, as: stations.Office, do: do, send: send, status: status}).body)
		says := strings.Contains(got, "remnant "+long+", 500 in of lot A, at 7A, is enough for 4 cuts") && !strings.Contains(got, short)
		if n := strings.Count(got, `"remnant_offered"`); n != want || (n > 0) != says {
			t.Errorf("%s: %d are offered: %s", name, n, got)
		}
	}
	told("as it comes in", "POST /api/orders", file, 201, 1)
	told("on the books", "GET /api/orders/A/workup", nil, 200, 1)
	s.visit(t, stations.Office, "/orders/A", 200, "remnant "+long, "at 7A")
	s.visit(t, stations.Office, "/orders/A/cloth", 200, "is enough for 4 cuts")
	told("released", "POST /api/orders/A/release", nil, 200, 0)
	told("it says where it is cut", "GET /api/orders/A/workup", nil, 200, 0)

	idle := func(want bool, code string) {
		t.Helper()
		today := string(s.ask(t, scene{as: stations.Office, do: "GET /", status: 200}).body)
		if got := strings.Contains(today, "Remnants unused for 90 days") && strings.Contains(today, "/b/"+code); got != want {
			t.Errorf("Today names %s: %t", code, got)
		}
	}
	s.clock.Add(89 * 24 * time.Hour)
	idle(false, short)
	s.clock.Add(2 * 24 * time.Hour)
	idle(true, short)
	idle(false, long) // an order is to be cut from it
	s.ask(t, scene{as: stations.Office, do: "POST /api/shelf", send: fields{"bolt": short, "action": "keep", "customer": "Reed House", "key": "k"}, status: 200})
	idle(false, short)
}

// TestFileAgainstTheShelf: all that a file says of a bolt of the shelf otherwise than that is told, and of bolts that are too narrow or repeat
// otherwise, whether the file names the bolt or its cloth; what is as the shelf has it isn't.
func TestFileAgainstTheShelf(t *testing.T) {
	s := openShop(t)
	s.reedBook(t)
	code := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "40 yd"})
	s.ask(t, scene{as: stations.Bench, do: "POST /api/shelf", send: fields{"bolt": code, "action": "inspect", "key": "i", "widths": []string{"53in"}, "repeat": fields{"over": 5, "length": "69in"},
		"flaws": []fields{{"from": "100in", "to": "104in"}}}, status: 200})
	for name, row := range map[string]struct {
		bolt string
		want map[string]int
		says string
	}{
		"as it is":       {"length: 40 yd, lot: A, flaws: [{from: 100, to: 104}]", map[string]int{"bolt_differs": 0, "bolt_narrow": 1, "repeat_differs": 1}, "was measured 53 in wide"},
		"a length":       {"length: 41 yd, lot: A", map[string]int{"bolt_differs": 1}, "1476 in in the file"},
		"length and lot": {"length: 41 yd, lot: B", map[string]int{"bolt_differs": 2}, "B in the file"},
		"first repeat":   {"lot: A, first_repeat: 3", map[string]int{"bolt_differs": 1}, "first repeat at 0 in on the shelf, at 3 in in the file"},
		"another flaw":   {"lot: A, flaws: [{from: 100, to: 105}]", map[string]int{"bolt_differs": 1}, "no flaw from 100 in to 105 in"},
		"nothing of it":  {"", map[string]int{"bolt_differs": 0, "bolt_narrow": 1, "repeat_differs": 1}, "was measured at ≈ 13 13/16 in"},
	} {
		changes := withoutBolts(name, "    vertical_repeat: 13 1/2\n    match: straight\n", "    vertical_repeat: 13 1/2\n    match: straight\n    bolts: [{id: R1, shelf: "+code+", "+row.bolt+"}]\n")
		if row.bolt == "" { // by its cloth
			changes = withoutBolts(name, "  - id: reed\n", "  - id: reed\n    cloth: reed\n")
		}
		got := string(s.ask(t, scene{name: name, as: stations.Office, do: "POST /api/orders", send: example(t, strings.ReplaceAll(name, " ", "-"), changes...), status: 201}).body)
		for what, want := range row.want {
			if n := strings.Count(got, `"`+what+`"`); n != want {
				t.Errorf("%s: %s is told %d times, want %d: %s", name, what, n, want, got)
			}
		}
		if !strings.Contains(got, row.says) {
			t.Errorf("%s: it doesn't say %q: %s", name, row.says, got)
		}
	}
}

// TestCustomersClothLeft: once no order of a customer is open any more, Today asks what is to become of their cloth, and one press answers for
// all of it: it goes back, is kept for them, or is the shop's from then on.
func TestCustomersClothLeft(t *testing.T) {
	for _, answer := range []struct {
		action string
		is     func(b *shelf.Bolt) bool
	}{
		{"give_back", func(b *shelf.Bolt) bool { return b.Lies == shelf.GoneBack }},
		{"keep", func(b *shelf.Bolt) bool { return b.Kept != nil && b.Kept.Customer == "Saltmarsh Inn" }},
		{"release_cloth", func(b *shelf.Bolt) bool { return b.Owner == "" }},
	} {
		s := openShop(t)
		s.reedBook(t)
		asks := func(when string, want bool) {
			t.Helper()
			today := string(s.ask(t, scene{as: stations.Office, do: "GET /", status: 200}).body)
			if strings.Contains(today, "Customers’ cloth, no order open") != want {
				t.Errorf("%s it asks: %v", when, !want)
			}
		}
		theirs := []string{}
		for range 2 {
			theirs = append(theirs, s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "40 yd", "owner": "Saltmarsh Inn"}))
		}
		shops := s.receiveBolt(t, fields{"cloth": "reed", "lot": "A", "length": "40 yd"})
		asks("before their first order", false)
		s.take(t, "A", withoutBolts("A", "  - id: reed\n", "  - id: reed\n    cloth: reed\n")...)
		asks("while one is open", false)
		s.ask(t, scene{as: stations.Office, do: "POST /api/orders/A/cancel", send: fields{"reason": "sold"}, status: 200})
		asks("after their last", true)
		s.visit(t, stations.Office, "/", 200, `40 <small>yd</small>`)
		form := url.Values{"customer": {"Saltmarsh Inn"}, "bolt": theirs, "action": {answer.action}, "reason": {"asked by telephone"}}
		with := func(key string, values ...string) url.Values {
			other := maps.Clone(form)
			other[key] = values
			return other
		}
		if a := s.post(t, stations.Office, "/today/left", with("bolt", shops), false); a.status != 409 {
			t.Errorf("of the shop's own: %d", a.status)
		}
		if a := s.post(t, stations.Bench, "/today/left", form, false); a.status != 403 {
			t.Errorf("a bench answers: %d", a.status)
		}
		if a := s.post(t, stations.Office, "/today/left", with("action", "scrap"), false); a.status != 422 {
			t.Errorf("scrapped: %d", a.status)
		}
		asks("unanswered", true)
		if a := s.post(t, stations.Office, "/today/left", form, false); a.status != 303 {
			t.Fatalf("%s: %d %s", answer.action, a.status, a.body)
		}
		for _, code := range theirs {
			if b := s.bolted(code); !answer.is(b) {
				t.Errorf("%s: %+v", answer.action, b)
			}
		}
		asks("answered", false)
		s.visit(t, stations.Office, "/?did="+answer.action+"&about=Saltmarsh+Inn", 200, "Saltmarsh Inn’s cloth")
		s.audited(t)
	}
}
