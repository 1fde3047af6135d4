package main

import (
	"slices"
	"strings"
	"testing"
)

// revised is the contract's answer to a revision.
type revised struct {
	Order    string
	Revision int
	Changed  []struct {
		Ticket    string
		Values    []string
		Protected bool
	}
}

// put sends an order's file anew.
func (s *shop) put(t *testing.T, order, query, file string) (got revised) {
	t.Helper()
	s.ask(t, request{as: s.office, do: "PUT /api/orders/" + order + query, send: file, status: 200}).into(t, &got)
	return got
}

// protects says whether a revision tells of a ticket, and whether as protected.
func (r revised) protects(code string) (told, protected bool) {
	for _, c := range r.Changed {
		if c.Ticket == code {
			return len(c.Values) > 0, c.Protected
		}
	}
	return false, false
}

// TestRevision: of a pair one panel is folded and the other isn't begun; the order's length changes.
func TestRevision(t *testing.T) {
	s := openShop(t)
	many := append(manyWindows("1"), "finished_length: 95 1/2", "finished_length: 93")
	f := s.release(t, "REV-1", manyWindows("1")...)
	f.cutAll(t)
	left, right := f.panels[0].Ticket, f.panels[1].Ticket
	s.workTo(t, left, "tape")
	st := s.start(t, s.station, left)
	live := s.events(t, s.screen, "", "")

	s.play(t, []request{
		{name: "no such order", as: s.office, do: "PUT /api/orders/REV-9", send: orderFile(t, "REV-9", many...), status: 404, code: "not_found"},
		{name: "another order's file", as: s.office, do: "PUT /api/orders/REV-1", send: orderFile(t, "REV-2", many...), status: 422},
		{name: "a file with an error", as: s.office, do: "PUT /api/orders/REV-1", send: orderFile(t, "REV-1", "face_width: 84", "face_width: -84"), status: 422},
		{name: "by a station", as: s.station, do: "PUT /api/orders/REV-1", send: orderFile(t, "REV-1", many...), status: 403, code: "forbidden"},
	})
	got := s.put(t, "REV-1", "", orderFile(t, "REV-1", many...))
	if got.Order != "REV-1" || got.Revision != 2 {
		t.Errorf("%+v", got)
	}
	if told, protected := got.protects(left); !told || !protected {
		t.Errorf("the panel that is folded: told %v, protected %v: %+v", told, protected, got)
	}
	if told, _ := got.protects(right); !told {
		t.Errorf("the other panel isn't told of: %+v", got)
	}
	s.ask(t, request{as: s.office, do: "GET /api/orders/REV-1", status: 200, has: map[string]string{"revision": "2", "tickets.#": "4"}})
	changes := until(t, live, s.board(t).Seq)
	if !slices.ContainsFunc(changes, func(c change) bool { return c.Data.Action == "revise" && c.Data.Order == "REV-1" }) {
		t.Errorf("the stream doesn't tell of it: %+v", changes)
	}
	s.finish(t, s.station, left, st).is(t, "finished", "pull_up") // by the numbers that it was begun with
	s.workTo(t, left, "packing")
	packing := s.start(t, s.station, left)
	for _, e := range packing.Enter {
		if e.Name == "finished_length" && e.Target != "95.5in" {
			t.Errorf("a panel folded for 95.5in is packed at %s", e.Target)
		}
	}
	s.finish(t, s.station, left, packing)
	s.look(t, strings.ToLower(right)) // its old label leads to it
	s.audit(t)
}

// TestRevisionUncut: nothing is cut, so that all tickets take the new numbers and none is protected.
func TestRevisionUncut(t *testing.T) {
	s := openShop(t)
	f := s.release(t, "REV-1", manyWindows("1")...)
	changes := append(manyWindows("1"), "face_width: 84", "face_width: 100")
	got := s.put(t, "REV-1", "", orderFile(t, "REV-1", changes...))
	for _, p := range f.panels {
		if told, protected := got.protects(p.Ticket); !told || protected {
			t.Errorf("%s %s: told %v, protected %v", p.Window, p.Panel, told, protected)
		}
	}
	fresh := s.release(t, "NEW-1", changes...)
	f.cutAll(t)
	fresh.cutAll(t)
	old, now := s.start(t, s.station, f.panels[0].Ticket), s.start(t, s.station, fresh.panels[0].Ticket)
	if len(old.Enter) == 0 || old.Enter[0].Target != now.Enter[0].Target {
		t.Errorf("joining enters %+v, an order released so %+v", old.Enter, now.Enter)
	}
	s.audit(t)
}

// TestRemake: a panel out of tolerance is made anew, through every station.
func TestRemake(t *testing.T) {
	s := openShop(t)
	f := s.release(t, "AGAIN-1", manyWindows("1")...)
	f.cutAll(t)
	code := f.panels[0].Ticket
	f.refused(t, f.office, scan(code, "remake", "", "reason", "short"), 409, "")
	f.hold(t, code, "flat_width", "120in")
	f.refused(t, f.station, scan(code, "remake", "", "reason", "short"), 403, "forbidden")
	f.refused(t, f.office, scan(code, "remake", ""), 0, "")
	body := scan(code, "remake", "", "reason", "joined too narrow")
	first := f.done(t, f.office, body, map[string]string{"ticket": code, "state": "cancelled"})
	again := first.at("new")
	if again == "" || again == code {
		t.Fatalf("a remake answers %s", first.body)
	}
	if second := f.done(t, f.office, body, nil); second.at("new") != again || second.at("seq") != first.at("seq") {
		t.Errorf("sent again it answers %s", second.body)
	}
	f.ask(t, request{as: s.office, do: "GET /api/tickets/" + code, status: 200, has: map[string]string{"state": "cancelled"}})
	f.expect(t, again, "cutting", "waiting")
	var order struct{ Tickets []row }
	f.ask(t, request{as: s.office, do: "GET /api/orders/AGAIN-1", status: 200}).into(t, &order)
	for _, r := range order.Tickets {
		if r.Kind == "cutting" && r.State == "ready" {
			s.finish(t, s.station, r.Ticket, s.start(t, s.station, r.Ticket))
		}
	}
	f.workTo(t, again, "packing")
	f.finish(t, f.station, again, f.start(t, f.station, again)).is(t, "finished", "")
	s.audit(t)
}
