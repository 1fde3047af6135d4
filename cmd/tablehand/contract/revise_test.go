package contract

import (
	"slices"
	"strings"
	"testing"

	"tablehand/cmd/tablehand/shoptest"
)

// TestRevision: of a pair one panel is folded and the other isn't begun; the order's length changes.
func TestRevision(t *testing.T) {
	s := shoptest.Open(t)
	many := append(shoptest.ManyWindows("1"), "finished_length: 95 1/2", "finished_length: 93")
	f := s.Release(t, "REV-1", shoptest.ManyWindows("1")...)
	f.CutAll(t)
	left, right := f.Panels[0].Ticket, f.Panels[1].Ticket
	s.WorkTo(t, left, "tape")
	st := s.Start(t, s.Station, left)
	live := s.Events(t, s.Screen, "", "")

	s.Play(t, []shoptest.Request{
		{Name: "no such order", As: s.Office, Do: "PUT /api/orders/REV-9", Send: shoptest.OrderFile(t, "REV-9", many...), Status: 404, Code: "not_found"},
		{Name: "another order's file", As: s.Office, Do: "PUT /api/orders/REV-1", Send: shoptest.OrderFile(t, "REV-2", many...), Status: 422},
		{Name: "a file with an error", As: s.Office, Do: "PUT /api/orders/REV-1", Send: shoptest.OrderFile(t, "REV-1", "face_width: 84", "face_width: -84"), Status: 422},
		{Name: "by a station", As: s.Station, Do: "PUT /api/orders/REV-1", Send: shoptest.OrderFile(t, "REV-1", many...), Status: 403, Code: "forbidden"},
	})
	got := s.Put(t, "REV-1", "", shoptest.OrderFile(t, "REV-1", many...))
	if got.Order != "REV-1" || got.Revision != 2 {
		t.Errorf("%+v", got)
	}
	if told, protected := got.Protects(left); !told || !protected {
		t.Errorf("the panel that is folded: told %v, protected %v: %+v", told, protected, got)
	}
	if told, _ := got.Protects(right); !told {
		t.Errorf("the other panel isn't told of: %+v", got)
	}
	s.Ask(t, shoptest.Request{As: s.Office, Do: "GET /api/orders/REV-1", Status: 200, Has: map[string]string{"revision": "2", "tickets.#": "4"}})
	changes := shoptest.Until(t, live, s.Board(t).Seq)
	if !slices.ContainsFunc(changes, func(c shoptest.Change) bool { return c.Data.Action == "revise" && c.Data.Order == "REV-1" }) {
		t.Errorf("the stream doesn't tell of it: %+v", changes)
	}
	s.Finish(t, s.Station, left, st).Is(t, "finished", "pull_up") // by the numbers that it was begun with
	s.WorkTo(t, left, "packing")
	packing := s.Start(t, s.Station, left)
	for _, e := range packing.Enter {
		if e.Name == "finished_length" && e.Target != "95.5in" {
			t.Errorf("a panel folded for 95.5in is packed at %s", e.Target)
		}
	}
	s.Finish(t, s.Station, left, packing)
	s.Look(t, strings.ToLower(right)) // its old label leads to it
	s.Audit(t)
}

// TestRevisionUncut: nothing is cut, so that all tickets take the new numbers and none is protected.
func TestRevisionUncut(t *testing.T) {
	s := shoptest.Open(t)
	f := s.Release(t, "REV-1", shoptest.ManyWindows("1")...)
	changes := append(shoptest.ManyWindows("1"), "face_width: 84", "face_width: 100")
	got := s.Put(t, "REV-1", "", shoptest.OrderFile(t, "REV-1", changes...))
	for _, p := range f.Panels {
		if told, protected := got.Protects(p.Ticket); !told || protected {
			t.Errorf("%s %s: told %v, protected %v", p.Window, p.Panel, told, protected)
		}
	}
	fresh := s.Release(t, "NEW-1", changes...)
	f.CutAll(t)
	fresh.CutAll(t)
	old, now := s.Start(t, s.Station, f.Panels[0].Ticket), s.Start(t, s.Station, fresh.Panels[0].Ticket)
	if len(old.Enter) == 0 || old.Enter[0].Target != now.Enter[0].Target {
		t.Errorf("joining enters %+v, an order released so %+v", old.Enter, now.Enter)
	}
	s.Audit(t)
}

// TestRemake: a panel out of tolerance is made anew, through every station.
func TestRemake(t *testing.T) {
	s := shoptest.Open(t)
	f := s.Release(t, "AGAIN-1", shoptest.ManyWindows("1")...)
	f.CutAll(t)
	code := f.Panels[0].Ticket
	f.Refused(t, f.Office, shoptest.Scan(code, "remake", "", "reason", "short"), 409, "")
	f.Hold(t, code, "flat_width", "120in")
	f.Refused(t, f.Station, shoptest.Scan(code, "remake", "", "reason", "short"), 403, "forbidden")
	f.Refused(t, f.Office, shoptest.Scan(code, "remake", ""), 0, "")
	body := shoptest.Scan(code, "remake", "", "reason", "joined too narrow")
	first := f.Done(t, f.Office, body, map[string]string{"ticket": code, "state": "cancelled"})
	again := first.At("new")
	if again == "" || again == code {
		t.Fatalf("a remake answers %s", first.Body)
	}
	if second := f.Done(t, f.Office, body, nil); second.At("new") != again || second.At("seq") != first.At("seq") {
		t.Errorf("sent again it answers %s", second.Body)
	}
	f.Ask(t, shoptest.Request{As: s.Office, Do: "GET /api/tickets/" + code, Status: 200, Has: map[string]string{"state": "cancelled"}})
	f.Expect(t, again, "cutting", "waiting")
	var order struct{ Tickets []shoptest.Row }
	f.Ask(t, shoptest.Request{As: s.Office, Do: "GET /api/orders/AGAIN-1", Status: 200}).Into(t, &order)
	for _, r := range order.Tickets {
		if r.Kind == "cutting" && r.State == "ready" {
			s.Finish(t, s.Station, r.Ticket, s.Start(t, s.Station, r.Ticket))
		}
	}
	f.WorkTo(t, again, "packing")
	f.Finish(t, f.Station, again, f.Start(t, f.Station, again)).Is(t, "finished", "")
	s.Audit(t)
}
