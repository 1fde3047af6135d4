package stations

import (
	"testing"

	"tablehand/stations/plan"
)

// TestOneLotForTheOrder: where an order is cut from one dye lot, what is laid anew after a flaw, wanted by a revision or made again comes from
// the lot that the others have, though another has room for it and is listed first; where each window has its own lot, it comes from there.
func TestOneLotForTheOrder(t *testing.T) {
	for by, lot := range map[string]string{"order": "A", "window": "B"} {
		changes := append(listed("      - {id: S, length: 10 yd, lot: B}\n      - {id: R1, length: 60 yd, lot: A}\n"), "conventions: {}", "conventions: {lot_group: "+by+"}")
		s := newShop(t)
		s.begin(changes...)
		w, code := revisedOrder(t, changes...), s.cutting("reed", 1).Spec.Code
		lots := func(when string) {
			t.Helper()
			windows := 0
			for _, c := range cuts(s.floor.Order("ORDER")) {
				ticket := s.floor.Ticket(c)
				for _, l := range ticket.Spec.Cuts {
					if ticket.Spec.Fabric != "reed" {
						continue
					}
					want := map[string]string{"Bay, left": "A", "Door": lot}[l.For[0].Window]
					windows++
					if l.Lot != want {
						t.Errorf("%s, %s: cut %s of %s is of lot %q, not %s", by, when, l.Cut, l.For[0].Window, l.Lot, want)
					}
				}
			}
		}
		lots("as released")
		s.do(Scan{Actor: bench, Ticket: code, Station: plan.Cutting, Action: Start})
		s.do(s.told(w, code, Cut, func(c *Scan) { c.Cut = s.floor.Ticket(code).NextCut().Cut }))
		s.do(s.told(w, code, Flaw, func(c *Scan) { c.Bolt, c.From, c.To = "R1", "300", "301" }))
		lots("after a flaw")
		s.revise(append(changes, "finished_length: 84", "finished_length: 70")...)
		lots("revised")
		if by == "window" {
			continue
		}
		w = revisedOrder(t, append(changes, "finished_length: 84", "finished_length: 70")...)
		for s.floor.Ticket(code).NextCut() != nil {
			s.do(s.told(w, code, Cut, func(c *Scan) { c.Cut = s.floor.Ticket(code).NextCut().Cut }))
		}
		s.do(Scan{Actor: bench, Ticket: code, Station: plan.Cutting, Action: Finish, Checks: s.floor.Ticket(code).Steps[0].Spec.Checks, Measured: s.targets(code)})
		s.work(s.cutting("sateen", 1).Spec.Code)
		for _, l := range s.floor.Ticket(code).Spec.Cuts { // as if the door had had none
			if l.For[0].Window == "Door" {
				s.floor.Ticket(code).Spec.Cut(l.Cut).Lot = "gone"
			}
		}
		panel := s.panel("Door", "S").Spec.Code
		s.do(Scan{Actor: bench, Ticket: panel, Action: Hold, Reason: "scorched"})
		s.do(Scan{Actor: office, Ticket: panel, Action: Remake, Reason: "scorched", Sheet: &Sheet{Work: w, Digest: s.floor.Order("ORDER").Digest, Codes: s.code}})
		for _, l := range s.cutting("reed", 2).Spec.Cuts {
			if l.Lot != "A" {
				t.Errorf("made again it is of lot %q", l.Lot)
			}
		}
	}
}

// TestMixedForTheOrderOnce: what the office let be cut from several lots isn't held again, where it is laid anew at the table or by a revision
// that leaves it as it was.
func TestMixedForTheOrderOnce(t *testing.T) {
	with := func(bolts string) []string {
		return append(listed(bolts), "conventions: {}", "conventions: {lot_group: order}")
	}
	changes := with("      - {id: R1, length: 18 yd, lot: A}\n      - {id: S, length: 12 yd, lot: B}\n")
	s := newShop(t)
	s.begin(changes...)
	code := s.cutting("reed", 1).Spec.Code
	held := func(when string) {
		t.Helper()
		if state := s.floor.Ticket(code).State(); state == Held {
			t.Errorf("%s its cutting is held: %+v", when, s.floor.Ticket(code).Current().Cloth)
		}
	}
	flawed := with("      - {id: R1, length: 18 yd, lot: A}\n      - {id: S, length: 12 yd, lot: B, flaws: [{from: 10, to: 11}]}\n")
	s.revise(flawed...)
	held("with a flaw in the file")
	s.do(Scan{Actor: bench, Ticket: code, Station: plan.Cutting, Action: Start})
	w := revisedOrder(t, flawed...)
	s.do(s.told(w, code, Cut, func(c *Scan) { c.Cut = s.floor.Ticket(code).NextCut().Cut }))
	s.do(s.told(w, code, Flaw, func(c *Scan) { c.Bolt, c.From, c.To = "S", "200", "201" }))
	held("with a flaw at the table")
	for _, l := range s.floor.Ticket(code).Spec.Cuts {
		if want := map[string]string{"Bay, left": "A", "Door": "B"}[l.For[0].Window]; l.Lot != want {
			t.Errorf("cut %s of %s is of lot %q", l.Cut, l.For[0].Window, l.Lot)
		}
	}
}
