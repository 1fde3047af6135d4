package stations

import (
	"slices"
	"testing"

	"tablehand/engine/measure"
	"tablehand/stations/plan"
)

// noBolts takes the bolts of reed out of the example.
var noBolts = []string{"    bolts:\n      - {id: R1, length: 40 yd, lot: A, first_repeat: 0, flaws: [{from: 7 yd, to: 7 yd 3 in}]}\n", ""}

// listed puts others there.
func listed(list string) []string {
	return []string{"      - {id: R1, length: 40 yd, lot: A, first_repeat: 0, flaws: [{from: 7 yd, to: 7 yd 3 in}]}\n", list}
}

// TestClothKnownLater: bolts that are listed after the release and don't do hold the cutting ticket; the bench can't
// lift that, the office can, and says why.
func TestClothKnownLater(t *testing.T) {
	for _, tt := range []struct{ name, list, reason string }{
		{"short", "      - {id: R1, length: 10 yd, lot: A}\n", ClothShort},
		{"mixed", "      - {id: R1, length: 14 yd, lot: A}\n      - {id: R2, length: 13 yd, lot: B}\n", LotsMixed},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s := newShop(t)
			s.begin(noBolts...)
			reed := s.cutting("reed", 1)
			code := reed.Spec.Code
			e := s.revise(listed(tt.list)...)
			held := s.floor.Ticket(code)
			if held.State() != Held || held.Current().Reason != tt.reason || !held.Current().ForOffice || len(e.Holds) != 1 {
				t.Fatalf("%s is %s for %q by %+v", code, held.State(), held.Current().Reason, e.Holds)
			}
			if tt.reason == ClothShort {
				var short measure.Length
				for _, l := range held.Spec.Cuts {
					if l.Bolt == "" {
						short += l.Length.Length()
					}
				}
				if h := held.Current().Cloth; h.Short.Length() != short || len(h.Cuts) == 0 || short == 0 {
					t.Errorf("told %+v, %v have no place", h, short)
				}
			}
			s.refused("held", Scan{Actor: bench, Ticket: code, Station: plan.Cutting, Action: Start})
			s.refused("lead_only", Scan{Actor: bench, Ticket: code, Action: Resume})
			s.refused("lead_only", Scan{Actor: bench, Ticket: code, Action: Resume, Override: true, Reason: "go on"})
			s.refused("needs_decision", Scan{Actor: office, Ticket: code, Action: Resume, Reason: "go on"})
			s.refused("reason_missing", Scan{Actor: office, Ticket: code, Action: Resume, Override: true})
			s.refused("held", Scan{Actor: office, Ticket: code, Action: Accept, Reason: "go on"})
			s.refused("needs_decision", Scan{Actor: bench, Ticket: code, Action: SendBack, To: plan.Cutting, Reason: "again"})
			if e := s.do(Scan{Actor: office, Ticket: code, Action: Resume, Override: true, Reason: "another bolt comes tomorrow"}); e.State != Ready {
				t.Errorf("resumed to %s", e.State)
			}
			s.do(Scan{Actor: bench, Ticket: code, Station: plan.Cutting, Action: Start})

			// What the office went on with isn't asked again, as long as it gets no worse.
			again := newShop(t)
			again.begin(noBolts...)
			code = again.cutting("reed", 1).Spec.Code
			again.revise(listed(tt.list)...)
			again.do(Scan{Actor: office, Ticket: code, Action: Resume, Override: true, Reason: "it comes"})
			again.revise(append(listed(tt.list), "due: 2026-12-18", "due: 2026-12-19")...)
			if got := again.floor.Ticket(code).State(); got != Ready {
				t.Errorf("asked twice: %s", got)
			}
			again.revise(listed("      - {id: R1, length: 4 yd, lot: A}\n")...)
			if got := again.floor.Ticket(code).Current(); got.State != Held || got.Reason != ClothShort {
				t.Errorf("it got worse, and is %s", got.State)
			}
			again.revise(listed("      - {id: R1, length: 40 yd, lot: A}\n")...)
			if got := again.floor.Ticket(code).Current(); got.State != Ready || got.Cloth != nil {
				t.Errorf("it suffices, and is %s", got.State)
			}
		})
	}
}

// TestClothHoldDecidedAtOnce: the office decides with the revision itself.
func TestClothHoldDecidedAtOnce(t *testing.T) {
	s := newShop(t)
	s.begin(noBolts...)
	code := s.cutting("reed", 1).Spec.Code
	short := listed("      - {id: R1, length: 10 yd, lot: A}\n")
	revise := ReviseOrder{Actor: office, Order: "ORDER", Sheet: s.sheet(revisedOrder(t, short...)), Override: true}
	s.refused("reason_missing", revise)
	revise.Reason = "the rest is ordered"
	if e := s.do(revise); !slices.Equal(e.Revised.Short, []string{"reed"}) || len(e.Holds) != 0 || !e.Override {
		t.Errorf("decided at once: %+v %+v", e.Revised, e.Holds)
	}
	if got := s.floor.Ticket(code).State(); got != Ready {
		t.Errorf("the ticket is %s", got)
	}
	// Held first and decided by the next revision.
	s = newShop(t)
	s.begin(noBolts...)
	code = s.cutting("reed", 1).Spec.Code
	s.revise(short...)
	if e := s.revise(short...); s.floor.Ticket(code).State() != Held {
		t.Errorf("still undecided, and %+v", e.Holds)
	}
	revise.Sheet = s.sheet(revisedOrder(t, short...))
	if s.do(revise); s.floor.Ticket(code).State() != Ready {
		t.Errorf("decided by the revision, and %s", s.floor.Ticket(code).State())
	}
}

// TestClothHoldKeepsAPersonsHold: behind the cloth's hold the person's stands as it was.
func TestClothHoldKeepsAPersonsHold(t *testing.T) {
	s := newShop(t)
	s.begin(noBolts...)
	code := s.cutting("reed", 1).Spec.Code
	s.do(Scan{Actor: bench, Ticket: code, Action: Hold, Reason: "shade looks off"})
	s.revise(listed("      - {id: R1, length: 10 yd, lot: A}\n")...)
	if now := s.floor.Ticket(code).Current(); now.Reason != ClothShort {
		t.Fatalf("held for %q", now.Reason)
	}
	if e := s.do(Scan{Actor: office, Ticket: code, Action: Resume, Override: true, Reason: "it comes"}); e.State != Held {
		t.Errorf("resumed to %s", e.State)
	}
	if now := s.floor.Ticket(code).Current(); now.Reason != "shade looks off" || now.ForOffice {
		t.Errorf("held for %q", now.Reason)
	}
	if e := s.do(Scan{Actor: bench, Ticket: code, Action: Resume}); e.State != Ready {
		t.Errorf("resumed to %s", e.State)
	}
}

// TestClothHoldOffTheOrder: of a second window that the file has no more a piece is cut, and what is left of its cloth is cut with it
// until the office decides. Where a bolt turns out too short for that, and only another lot has room, the office is asked of it as of
// any window, and not asked twice.
func TestClothHoldOffTheOrder(t *testing.T) {
	s := newShop(t)
	one, long := "quantity: 1", listed("      - {id: R1, length: 50 yd, lot: A}\n")
	two := append(long, one, "quantity: 2")
	s.begin(two...)
	code := s.cutting("reed", 1).Spec.Code
	s.do(Scan{Actor: bench, Ticket: code, Station: plan.Cutting, Action: Start})
	second := func(l plan.Cut) bool { return l.For[0].Window == "Bay, left" && l.For[0].Copy == 2 }
	var end measure.Length
	for _, l := range s.floor.Ticket(code).Spec.Cuts {
		s.do(s.told(revisedOrder(t, two...), code, Cut, func(c *Scan) { c.Cut = l.Cut }))
		if end = l.End(); second(l) {
			break
		}
	}
	s.revise(long...)

	short := func(flaws string) []string {
		return listed("      - {id: R1, length: " + end.In(measure.In) + ", lot: A}\n      - {id: R2, length: 50 yd, lot: B" + flaws + "}\n")
	}
	e := s.revise(short("")...)
	lots := map[string]int{}
	for _, l := range s.floor.Ticket(code).Spec.Cuts {
		if second(l) {
			lots[l.Lot]++
		}
	}
	if len(lots) != 2 {
		t.Fatalf("not of two lots: %v", lots)
	}
	if held := s.floor.Ticket(code); held.State() != Held || held.Current().Reason != LotsMixed || len(e.Holds) != 1 || !slices.Equal(e.Holds[0].Windows, []string{"Bay, left"}) {
		t.Fatalf("%s is %s by %+v", code, held.State(), e.Holds)
	}
	s.do(Scan{Actor: office, Ticket: code, Action: Resume, Override: true, Reason: "it is for the store"})
	if e := s.revise(short(", flaws: [{from: 0, to: 1}]")...); s.floor.Ticket(code).State() == Held {
		t.Errorf("asked twice: %+v", e.Holds)
	}
}

// TestShorterBolt: a bolt that turns out shorter than it was listed is a fact, and holds; a longer window is a wish, and
// is refused.
func TestShorterBolt(t *testing.T) {
	s := newShop(t)
	s.begin()
	code := s.cutting("reed", 1).Spec.Code
	s.refused("fabric_short", ReviseOrder{Actor: office, Order: "ORDER", Sheet: s.sheet(revisedOrder(t, "face_width: 84", "face_width: 300"))})
	s.revise(listed("      - {id: R1, length: 10 yd, lot: A}\n")...)
	if got := s.floor.Ticket(code).State(); got != Held {
		t.Errorf("a shorter bolt leaves the ticket %s", got)
	}
}
