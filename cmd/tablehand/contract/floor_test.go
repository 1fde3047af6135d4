package contract

import (
	"strings"
	"testing"

	"tablehand/cmd/tablehand/shoptest"
)

// TestReleaseAndCancel: what holds an order back from the floor, who may overrule it, and when it can be called off.
func TestReleaseAndCancel(t *testing.T) {
	s := shoptest.Open(t)
	tells := func(code string) func(*testing.T, shoptest.Answer) {
		return func(t *testing.T, got shoptest.Answer) {
			for _, p := range got.Problems(t) {
				if p.Code == code && p.Severity == "warning" {
					return
				}
			}
			t.Errorf("no warning %s\n%s", code, got.Body)
		}
	}
	short := shoptest.OrderFile(t, "SHORT", "length: 40 yd", "length: 12 yd")
	mixed := shoptest.OrderFile(t, "MIXED", "{id: R1, length: 40 yd, lot: A, first_repeat: 0, flaws: [{from: 7 yd, to: 7 yd 3 in}]}",
		"{id: R1, length: 8 yd, lot: A}\n      - {id: R2, length: 12 yd, lot: B}")
	s.Play(t, []shoptest.Request{
		{Name: "short of cloth is taken with a warning", As: s.Office, Do: "POST /api/orders", Send: short, Status: 201, Check: tells("fabric_short")},
		{Name: "and not released", As: s.Office, Do: "POST /api/orders/SHORT/release", Send: shoptest.Fields{}, Status: 409, Code: "fabric_short"},
		{Name: "nor by a station's word", As: s.Station, Do: "POST /api/orders/SHORT/release", Status: 403, Code: "forbidden",
			Send: shoptest.Fields{"override": true, "reason": "more is coming"}},
		{Name: "nor without a reason", As: s.Office, Do: "POST /api/orders/SHORT/release", Send: shoptest.Fields{"override": true}},
		{Name: "it is still taken", As: s.Office, Do: "GET /api/orders/SHORT", Status: 200, Has: map[string]string{"state": "taken", "tickets.#": "0"}},
		{Name: "the office overrides", As: s.Office, Do: "POST /api/orders/SHORT/release", Status: 200, Has: map[string]string{"state": "released"},
			Send: shoptest.Fields{"override": true, "reason": "the rest comes on Tuesday"}},
		{Name: "two lots are taken with a warning", As: s.Office, Do: "POST /api/orders", Send: mixed, Status: 201, Check: tells("lots_mixed")},
		{Name: "and not released either", As: s.Office, Do: "POST /api/orders/MIXED/release", Send: shoptest.Fields{}, Status: 409, Code: "lots_mixed"},
		{Name: "releasing what is not there", As: s.Office, Do: "POST /api/orders/NONE/release", Send: shoptest.Fields{}, Status: 404, Code: "not_found"},
		{Name: "called off before release", As: s.Office, Do: "POST /api/orders/MIXED/cancel", Send: shoptest.Fields{"reason": "went elsewhere"}, Status: 200},
		{Name: "it stays so", As: s.Office, Do: "GET /api/orders/MIXED", Status: 200, Has: map[string]string{"state": "cancelled"}},
	})

	f := s.Release(t, "GONE")
	s.Ask(t, shoptest.Request{As: s.Office, Do: "POST /api/orders/GONE/cancel", Send: shoptest.Fields{"reason": "house sold"}, Status: 200})
	s.Ask(t, shoptest.Request{As: s.Office, Do: "GET /api/orders/GONE", Status: 200, Has: map[string]string{"state": "cancelled"}})
	s.Expect(t, f.Panels[0].Ticket, "cutting", "cancelled")
	s.Refused(t, s.Station, shoptest.Scan(f.Cutting[0].Ticket, "start", "cutting"), 409, "cancelled")

	f = s.Release(t, "CUT")
	f.CutAll(t)
	s.Ask(t, shoptest.Request{As: s.Office, Do: "POST /api/orders/CUT/cancel", Send: shoptest.Fields{"reason": "too late"}, Status: 409})
	if got := f.State(t); got != "released" {
		t.Errorf("an order with cut cloth became %s", got)
	}
	s.Audit(t)
}

// TestRefusals goes through what server/interface.md refuses of start, finish and scan. Nothing changes by any of it.
func TestRefusals(t *testing.T) {
	s := shoptest.Open(t)
	f := s.Release(t, "NO-1", shoptest.ManyWindows("4")...)
	uncut := f.Panels[0].Ticket

	byFabric := s.Refused(t, s.Station, shoptest.Scan(uncut, "start", "cutting"), 409, "cut_by_fabric")
	for _, c := range f.Cutting {
		if !strings.Contains(byFabric.At("where.tickets"), c.Ticket) {
			t.Errorf("cut_by_fabric doesn't name the cutting ticket %s: %s", c.Ticket, byFabric.Body)
		}
	}
	s.Refused(t, s.Station, shoptest.Scan(uncut, "scan", "cutting"), 409, "cut_by_fabric")
	s.Refused(t, s.Station, shoptest.Scan(uncut, "start", "joining"), 409, "not_ready")
	s.Refused(t, s.Station, shoptest.Scan(f.Cutting[0].Ticket, "start", "joining"), 409, "wrong_station")
	s.Refused(t, s.Station, shoptest.Scan(f.Cutting[0].Ticket, "finish", "cutting"), 409, "not_started")

	cut := s.Start(t, s.Station, f.Cutting[0].Ticket)
	s.Refused(t, s.Other, shoptest.Scan(f.Cutting[0].Ticket, "start", "cutting"), 409, "at_work")
	missing := s.Refused(t, s.Station, shoptest.Scan(f.Cutting[0].Ticket, "scan", "cutting"), 422, "entries_missing")
	mustMiss(t, missing, append(strings.Fields(cut.EntryNames()), cut.CheckNames()...)...)
	s.Finish(t, s.Station, f.Cutting[0].Ticket, cut)
	s.Refused(t, s.Station, shoptest.Scan(f.Cutting[0].Ticket, "start", "cutting"), 409, "finished")
	s.Refused(t, s.Station, shoptest.Scan(f.Cutting[0].Ticket, "scan", "cutting"), 409, "finished")
	s.Finish(t, s.Station, f.Cutting[1].Ticket, s.Start(t, s.Station, f.Cutting[1].Ticket))

	t.Run("stations", func(t *testing.T) {
		code := f.NextPanel(t)
		at := s.Refused(t, s.Station, shoptest.Scan(code, "start", "tacking"), 409, "wrong_station") // not on its route
		if at.At("where.station") != "joining" {
			t.Errorf("wrong_station doesn't say that the ticket is at joining: %s", at.Body)
		}
		s.Refused(t, s.Station, shoptest.Scan(code, "start", "tape"), 409, "not_ready|wrong_station") // out of order
		s.Refused(t, s.Station, shoptest.Scan(code, "scan", "packing"), 409, "not_ready|wrong_station")
		s.WorkTo(t, code, "fold")
		s.Refused(t, s.Station, shoptest.Scan(code, "start", "joining"), 409, "finished|wrong_station") // gone by
		s.Refused(t, s.Station, shoptest.Scan(code, "finish", "fold"), 409, "not_started")
	})

	t.Run("entries", func(t *testing.T) {
		code := f.NextPanel(t)
		s.WorkTo(t, code, "fold")
		st := s.Start(t, s.Station, code)
		all := append(strings.Fields(st.EntryNames()), st.CheckNames()...)
		mustMiss(t, s.Refused(t, s.Station, shoptest.Scan(code, "finish", "fold"), 422, "entries_missing"), all...)

		measured := st.Targets()
		delete(measured, "fold_depth")
		part := s.Refused(t, s.Station, shoptest.Scan(code, "finish", "fold", "measured", measured, "checks", st.CheckNames()[1:]), 422, "entries_missing")
		mustMiss(t, part, "fold_depth", st.CheckNames()[0])

		wrong := shoptest.Finishing(code, st, "fold_depth", "four")
		s.Refused(t, s.Station, wrong, 422, "")
		s.Finish(t, s.Station, code, st)
	})

	t.Run("scan starts, then finishes", func(t *testing.T) {
		code := f.NextPanel(t)
		st := s.Look(t, code).Step
		s.Done(t, s.Station, shoptest.Scan(code, "scan", "joining"), map[string]string{"station": "joining", "state": "at_work"})
		s.Done(t, s.Station, shoptest.Scan(code, "scan", "joining", "measured", st.Targets(), "checks", st.CheckNames()),
			map[string]string{"station": "joining", "state": "finished", "next": "fold"})
	})

	t.Run("the whole panel is finished", func(t *testing.T) {
		code := f.NextPanel(t)
		s.WorkTo(t, code, "")
		s.Refused(t, s.Station, shoptest.Scan(code, "start", "packing"), 409, "finished")
		s.Refused(t, s.Station, shoptest.Scan(code, "scan", "packing"), 409, "finished")
	})
	s.Audit(t)
}

// mustMiss holds `missing` against the names of what was left out, in any order.
func mustMiss(t *testing.T, got shoptest.Answer, names ...string) {
	t.Helper()
	var told struct{ Missing []string }
	got.Into(t, &told)
	for _, name := range names {
		if !shoptest.OneOf(name, strings.Join(told.Missing, "|")) {
			t.Errorf("missing %q isn't told: %s", name, got.Body)
		}
	}
	if len(told.Missing) != len(names) {
		t.Errorf("missing %q, want %q", told.Missing, names)
	}
}

// TestMalformedScans: commands that no page of ours sends.
func TestMalformedScans(t *testing.T) {
	s := shoptest.Open(t)
	f := s.Release(t, "ODD-1")
	code := f.Cutting[0].Ticket
	without := func(name string) shoptest.Fields {
		body := shoptest.Scan(code, "start", "cutting")
		delete(body, name)
		return body
	}
	for _, odd := range []struct {
		name string
		body any
	}{
		{"no ticket", without("ticket")}, {"no action", without("action")}, {"no key", without("key")}, {"no station", without("station")},
		{"an empty key", shoptest.Scan(code, "start", "cutting", "key", "")},
		{"a key of 65", shoptest.Scan(code, "start", "cutting", "key", strings.Repeat("k", 65))},
		{"an unknown action", shoptest.Scan(code, "fly", "cutting")},
		{"an unknown station", shoptest.Scan(code, "start", "roof")},
		{"a number for a ticket", shoptest.Scan(code, "start", "cutting", "ticket", 7)},
		{"half of a JSON text", `{"ticket":`},
		{"nothing", ""},
	} {
		t.Run(odd.name, func(t *testing.T) {
			s.Ask(t, shoptest.Request{As: s.Station, Do: "POST /api/scans", Send: odd.body})
		})
	}
	s.Expect(t, code, "cutting", "ready")
	s.Done(t, s.Station, shoptest.Scan(code, "start", "cutting", "key", strings.Repeat("k", 64), "person", "Ana", "at", "2026-12-01T08:00:00Z"), nil)
	s.Audit(t)
}
