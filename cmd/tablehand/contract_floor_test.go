package main

import (
	"strings"
	"testing"
)

// TestReleaseAndCancel: what holds an order back from the floor, who may overrule it, and when it can be called off.
func TestReleaseAndCancel(t *testing.T) {
	s := openShop(t)
	tells := func(code string) func(*testing.T, answer) {
		return func(t *testing.T, got answer) {
			for _, p := range got.problems(t) {
				if p.Code == code && p.Severity == "warning" {
					return
				}
			}
			t.Errorf("no warning %s\n%s", code, got.body)
		}
	}
	short := orderFile(t, "SHORT", "length: 40 yd", "length: 12 yd")
	mixed := orderFile(t, "MIXED", "{id: R1, length: 40 yd, lot: A, first_repeat: 0, flaws: [{from: 7 yd, to: 7 yd 3 in}]}",
		"{id: R1, length: 8 yd, lot: A}\n      - {id: R2, length: 12 yd, lot: B}")
	s.play(t, []request{
		{name: "short of cloth is taken with a warning", as: s.office, do: "POST /api/orders", send: short, status: 201, check: tells("fabric_short")},
		{name: "and not released", as: s.office, do: "POST /api/orders/SHORT/release", send: fields{}, status: 409, code: "fabric_short"},
		{name: "nor by a station's word", as: s.station, do: "POST /api/orders/SHORT/release", status: 403, code: "forbidden",
			send: fields{"override": true, "reason": "more is coming"}},
		{name: "nor without a reason", as: s.office, do: "POST /api/orders/SHORT/release", send: fields{"override": true}},
		{name: "it is still taken", as: s.office, do: "GET /api/orders/SHORT", status: 200, has: map[string]string{"state": "taken", "tickets.#": "0"}},
		{name: "the office overrides", as: s.office, do: "POST /api/orders/SHORT/release", status: 200, has: map[string]string{"state": "released"},
			send: fields{"override": true, "reason": "the rest comes on Tuesday"}},
		{name: "two lots are taken with a warning", as: s.office, do: "POST /api/orders", send: mixed, status: 201, check: tells("lots_mixed")},
		{name: "and not released either", as: s.office, do: "POST /api/orders/MIXED/release", send: fields{}, status: 409, code: "lots_mixed"},
		{name: "releasing what is not there", as: s.office, do: "POST /api/orders/NONE/release", send: fields{}, status: 404, code: "not_found"},
		{name: "called off before release", as: s.office, do: "POST /api/orders/MIXED/cancel", send: fields{"reason": "went elsewhere"}, status: 200},
		{name: "it stays so", as: s.office, do: "GET /api/orders/MIXED", status: 200, has: map[string]string{"state": "cancelled"}},
	})

	f := s.release(t, "GONE")
	s.ask(t, request{as: s.office, do: "POST /api/orders/GONE/cancel", send: fields{"reason": "house sold"}, status: 200})
	s.ask(t, request{as: s.office, do: "GET /api/orders/GONE", status: 200, has: map[string]string{"state": "cancelled"}})
	s.expect(t, f.panels[0].Ticket, "cutting", "cancelled")
	s.refused(t, s.station, scan(f.cutting[0].Ticket, "start", "cutting"), 409, "cancelled")

	f = s.release(t, "CUT")
	f.cutAll(t)
	s.ask(t, request{as: s.office, do: "POST /api/orders/CUT/cancel", send: fields{"reason": "too late"}, status: 409})
	if got := f.state(t); got != "released" {
		t.Errorf("an order with cut cloth became %s", got)
	}
	s.audit(t)
}

// TestRefusals goes through what the contract refuses of start, finish and scan. Nothing changes by any of it.
func TestRefusals(t *testing.T) {
	s := openShop(t)
	f := s.release(t, "NO-1", manyWindows("4")...)
	uncut := f.panels[0].Ticket

	byFabric := s.refused(t, s.station, scan(uncut, "start", "cutting"), 409, "cut_by_fabric")
	for _, c := range f.cutting {
		if !strings.Contains(byFabric.at("where.tickets"), c.Ticket) {
			t.Errorf("cut_by_fabric doesn't name the cutting ticket %s: %s", c.Ticket, byFabric.body)
		}
	}
	s.refused(t, s.station, scan(uncut, "scan", "cutting"), 409, "cut_by_fabric")
	s.refused(t, s.station, scan(uncut, "start", "joining"), 409, "not_ready")
	s.refused(t, s.station, scan(f.cutting[0].Ticket, "start", "joining"), 409, "wrong_station")
	s.refused(t, s.station, scan(f.cutting[0].Ticket, "finish", "cutting"), 409, "not_started")

	cut := s.start(t, s.station, f.cutting[0].Ticket)
	s.refused(t, s.other, scan(f.cutting[0].Ticket, "start", "cutting"), 409, "at_work")
	missing := s.refused(t, s.station, scan(f.cutting[0].Ticket, "scan", "cutting"), 422, "entries_missing")
	mustMiss(t, missing, cut.checkNames()...)
	s.finish(t, s.station, f.cutting[0].Ticket, cut)
	s.refused(t, s.station, scan(f.cutting[0].Ticket, "start", "cutting"), 409, "finished")
	s.refused(t, s.station, scan(f.cutting[0].Ticket, "scan", "cutting"), 409, "finished")
	s.finish(t, s.station, f.cutting[1].Ticket, s.start(t, s.station, f.cutting[1].Ticket))

	t.Run("stations", func(t *testing.T) {
		code := f.nextPanel(t)
		at := s.refused(t, s.station, scan(code, "start", "tacking"), 409, "wrong_station") // not on its route
		if at.at("where.station") != "joining" {
			t.Errorf("wrong_station doesn't say that the ticket is at joining: %s", at.body)
		}
		s.refused(t, s.station, scan(code, "start", "tape"), 409, "not_ready|wrong_station") // out of order
		s.refused(t, s.station, scan(code, "scan", "packing"), 409, "not_ready|wrong_station")
		s.workTo(t, code, "fold")
		s.refused(t, s.station, scan(code, "start", "joining"), 409, "finished|wrong_station") // gone by
		s.refused(t, s.station, scan(code, "finish", "fold"), 409, "not_started")
	})

	t.Run("entries", func(t *testing.T) {
		code := f.nextPanel(t)
		s.workTo(t, code, "fold")
		st := s.start(t, s.station, code)
		all := append(strings.Fields(st.entryNames()), st.checkNames()...)
		mustMiss(t, s.refused(t, s.station, scan(code, "finish", "fold"), 422, "entries_missing"), all...)

		measured := st.targets()
		delete(measured, "fold_depth")
		part := s.refused(t, s.station, scan(code, "finish", "fold", "measured", measured, "checks", st.checkNames()[1:]), 422, "entries_missing")
		mustMiss(t, part, "fold_depth", st.checkNames()[0])

		wrong := finishing(code, st, "fold_depth", "four")
		s.refused(t, s.station, wrong, 422, "")
		s.finish(t, s.station, code, st)
	})

	t.Run("scan starts, then finishes", func(t *testing.T) {
		code := f.nextPanel(t)
		st := s.look(t, code).Step
		s.done(t, s.station, scan(code, "scan", "joining"), map[string]string{"station": "joining", "state": "at_work"})
		s.done(t, s.station, scan(code, "scan", "joining", "measured", st.targets(), "checks", st.checkNames()),
			map[string]string{"station": "joining", "state": "finished", "next": "fold"})
	})

	t.Run("the whole panel is finished", func(t *testing.T) {
		code := f.nextPanel(t)
		s.workTo(t, code, "")
		s.refused(t, s.station, scan(code, "start", "packing"), 409, "finished")
		s.refused(t, s.station, scan(code, "scan", "packing"), 409, "finished")
	})
	s.audit(t)
}

// mustMiss holds `missing` against the names of what was left out, in any order.
func mustMiss(t *testing.T, got answer, names ...string) {
	t.Helper()
	var told struct{ Missing []string }
	got.into(t, &told)
	for _, name := range names {
		if !oneOf(name, strings.Join(told.Missing, "|")) {
			t.Errorf("missing %q isn't told: %s", name, got.body)
		}
	}
	if len(told.Missing) != len(names) {
		t.Errorf("missing %q, want %q", told.Missing, names)
	}
}

// TestMalformedScans: commands that no page of ours sends.
func TestMalformedScans(t *testing.T) {
	s := openShop(t)
	f := s.release(t, "ODD-1")
	code := f.cutting[0].Ticket
	without := func(name string) fields {
		body := scan(code, "start", "cutting")
		delete(body, name)
		return body
	}
	for _, odd := range []struct {
		name string
		body any
	}{
		{"no ticket", without("ticket")}, {"no action", without("action")}, {"no key", without("key")}, {"no station", without("station")},
		{"an empty key", scan(code, "start", "cutting", "key", "")},
		{"a key of 65", scan(code, "start", "cutting", "key", strings.Repeat("k", 65))},
		{"an unknown action", scan(code, "fly", "cutting")},
		{"an unknown station", scan(code, "start", "roof")},
		{"a number for a ticket", scan(code, "start", "cutting", "ticket", 7)},
		{"half of a JSON text", `{"ticket":`},
		{"nothing", ""},
	} {
		t.Run(odd.name, func(t *testing.T) {
			s.ask(t, request{as: s.station, do: "POST /api/scans", send: odd.body})
		})
	}
	s.expect(t, code, "cutting", "ready")
	s.done(t, s.station, scan(code, "start", "cutting", "key", strings.Repeat("k", 64), "person", "Ana", "at", "2026-12-01T08:00:00Z"), nil)
	s.audit(t)
}
