package stations

import (
	"slices"
	"strings"
	"testing"

	"tablehand/engine/measure"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
)

// oddHalves make of the example order three single panels of plain cloth, of four and a half widths each: two of them share a width.
var oddHalves = []string{"draw: pair", "draw: one_way_left", "quantity: 1", "quantity: 3", "    vertical_repeat: 13 1/2\n    match: straight\n", ""}

// halves are the halves that are left on the shelf's bolts, by what became of them.
func (s *shop) halves() (as []string) {
	for _, b := range s.floor.Shelf().Bolts() {
		for _, h := range b.Halves {
			as = append(as, string(h.As)+" "+h.Width.Length().Number(measure.In, 0))
		}
	}
	return as
}

// withOddHalf has an order released and begun whose last panel takes half a width of the shelf's bolt.
func withOddHalf(t *testing.T) (s *shop, bolt plan.Code, cutting *Ticket) {
	t.Helper()
	s = newShop(t)
	s.drawn = oddHalves
	bolt, cutting = s.begunWithOddHalf("A")
	return s, bolt, cutting
}

func (s *shop) begunWithOddHalf(id string) (bolt plan.Code, cutting *Ticket) {
	s.t.Helper()
	bolt = s.bolt("90yd", "")
	s.do(TakeOrder{Actor: office, Order: id, Customer: "Saltmarsh Inn", Digest: "d"})
	w := s.worked(id)
	s.do(ReleaseOrder{Actor: office, Order: id, Tickets: plan.Tickets(w, nil, s.code), Ways: shippedWays})
	code := reedOf(s.floor.Order(id))[0]
	s.do(Scan{Actor: bench, Ticket: code, Station: plan.Cutting, Action: Start})
	return bolt, s.floor.Ticket(code)
}

// TestTheOddHalfIsAnswered: once something is told at the table a cutting doesn't end before somebody says what becomes of the half that
// its odd width leaves. Kept, it is a remnant that is half as wide, from which the next order's odd half is cut, and no whole width.
func TestTheOddHalfIsAnswered(t *testing.T) {
	for _, answer := range []string{keepIt, scrapIt} {
		s, bolt, ticket := withOddHalf(t)
		code := ticket.Spec.Code
		tell := func(a Action, more func(*Scan)) Event {
			c := Scan{Actor: bench, Ticket: code, Station: plan.Cutting, Action: a, Ways: shippedWays, Sheet: s.sheetOf("A")}
			more(&c)
			return s.do(c)
		}
		tell(Lay, func(c *Scan) { c.Bolt = string(bolt) })
		var left []string
		for next := s.floor.Ticket(code).NextCut(); next != nil; next = s.floor.Ticket(code).NextCut() {
			if next.LeavesHalf() {
				left = append(left, next.Cut)
			}
			tell(Cut, func(c *Scan) { c.Cut = next.Cut })
		}
		if len(left) != 1 || !slices.Equal(s.halves(), []string{"remnant 27"}) {
			t.Fatalf("cuts %v leave a half, the shelf has %v", left, s.halves())
		}
		tell(Rest, func(c *Scan) { c.Bolt, c.Length, c.Again = string(bolt), "1000in", true })
		asked := s.floor.Asked(s.floor.Ticket(code), 0)
		finish := s.finishing(code)
		finish.Ways, finish.Sheet, finish.Reason = shippedWays, s.sheetOf("A"), "too narrow"
		if r := s.refused("entries_missing", finish); !slices.Equal(r.Missing, []string{"remnant.1"}) {
			t.Errorf("missing are %v", r.Missing)
		}
		finish.Measured["remnant.1"], finish.Checks = answer, asked.Checks
		s.do(finish)
		kept := slices.DeleteFunc(s.floor.Shelf().Bolts(), func(b *shelf.Bolt) bool { return !b.IsHalf() })
		if answer == scrapIt {
			if len(kept) != 0 || !slices.Equal(s.halves(), []string{"scrapped 27"}) {
				t.Errorf("scrapped, the shelf has %v", s.halves())
			}
			continue
		}
		if len(kept) != 1 || kept[0].Width != 27*measure.Inch || kept[0].Lot != "L7" {
			t.Fatalf("kept are %+v", kept)
		}
		s.cutsTheHalf(kept[0].Code)
	}
}

// whole is what there is of the shop's cloth without a half.
func (s *shop) whole(half plan.Code) (sum measure.Length) {
	for _, b := range s.floor.Shelf().Bolts() {
		if b.Code != half {
			sum += b.Rest
		}
	}
	return sum
}

// cutsTheHalf has an order with an odd half of its own cut it from one that was kept, and one that has none, or whose cloth has a direction,
// none.
func (s *shop) cutsTheHalf(half plan.Code) {
	s.t.Helper()
	for what, changes := range map[string][]string{
		"that has no odd half": {"quantity: 3", "quantity: 2"}, "that can't be turned": {"one_way: false", "one_way: true"},
		"that is wider": {"usable_width: 54", "usable_width: 60"},
	} {
		for _, p := range s.worked("C", changes...).Cloth[0].Plan.Placements {
			if p.Bolt == string(half) {
				s.t.Fatalf("cloth %s is cut from a half", what)
			}
		}
	}
	others := func(a shelf.Action) {
		for _, b := range s.floor.Shelf().Bolts() {
			if b.Code != half && b.OnHand() {
				s.do(s.handle(office, b.Code, a, nil))
			}
		}
	}
	others(shelf.HoldBolt)
	if bolts := s.worked("D").Cloth[0].Fabric.Bolts; len(bolts) > 0 {
		s.t.Fatalf("a half alone counts as cloth on hand: %+v", bolts)
	}
	others(shelf.FreeBolt)
	s.do(TakeOrder{Actor: office, Order: "B", Customer: "Saltmarsh Inn", Digest: "d"})
	w := s.worked("B")
	if on := w.Totals.Fabrics[0].OnBolts; on == nil || *on != s.whole(half) {
		s.t.Fatalf("%v of cloth is on hand, the half counted too", on)
	}
	s.do(ReleaseOrder{Actor: office, Order: "B", Tickets: plan.Tickets(w, nil, s.code), Ways: shippedWays})
	code := reedOf(s.floor.Order("B"))[0]
	var odd *plan.Cut
	for i, l := range s.floor.Ticket(code).Spec.Cuts {
		if l.OddHalf() {
			odd = &s.floor.Ticket(code).Spec.Cuts[i]
		}
		if (l.Bolt == string(half)) != l.OddHalf() || l.LeavesHalf() {
			s.t.Fatalf("cut %s lies on %s", l.Cut, l.Bolt)
		}
	}
	s.do(Scan{Actor: bench, Ticket: code, Station: plan.Cutting, Action: Start})
	tell := func(a Action, more func(*Scan)) Event {
		c := Scan{Actor: bench, Ticket: code, Station: plan.Cutting, Action: a, Ways: shippedWays, Sheet: s.sheetOf("B")}
		more(&c)
		return s.do(c)
	}
	tell(Lay, func(c *Scan) { c.Bolt = string(half) })
	tell(Cut, func(c *Scan) { c.Cut = odd.Cut })
	if of := s.floor.Shelf().Bolt(half); len(of.Halves) != 0 || of.Rest != 0 && of.Begin != odd.Length.Length() {
		s.t.Fatalf("cut, the half is %+v", of)
	}
}

// keptHalf has half a width of the shop's cloth lie on the shelf, and an order that is cut.
func (s *shop) keptHalf() plan.Code {
	s.t.Helper()
	bolt, ticket := s.begunWithOddHalf("FIRST")
	s.finishUnsaid(ticket)
	half := s.floor.Shelf().Bolt(bolt).Unlabelled()[0]
	return s.do(s.handle(bench, bolt, shelf.Part, func(c *Handle) { c.From, c.To = half.From.String(), half.To.String() })).Shelf.New
}

// finishUnsaid finishes a cutting of which nothing was told.
func (s *shop) finishUnsaid(ticket *Ticket) {
	s.t.Helper()
	finish := s.finishing(ticket.Spec.Code)
	finish.Ways, finish.Sheet = shippedWays, s.sheetOf(ticket.Order)
	finish.Checks = s.floor.Asked(ticket, 0).Checks
	s.do(finish)
}

// TestTheOddHalfOfAFinishedTicket: finished without a word from the table, it lies unlabelled until somebody says what it is.
func TestTheOddHalfOfAFinishedTicket(t *testing.T) {
	s, bolt, ticket := withOddHalf(t)
	s.finishUnsaid(ticket)
	half := s.floor.Shelf().Bolt(bolt).Unlabelled()
	if len(half) != 1 || half[0].Width.Length() != 27*measure.Inch {
		t.Fatalf("unlabelled are %+v", half)
	}
	e := s.do(s.handle(bench, bolt, shelf.Part, func(c *Handle) { c.From, c.To = half[0].From.String(), half[0].To.String() }))
	if b := s.floor.Shelf().Bolt(e.Shelf.New); !b.IsHalf() || len(s.floor.Shelf().Bolt(bolt).Unlabelled()) != 0 || !strings.HasPrefix(b.Lot, "L7") {
		t.Errorf("it became %+v", b)
	}
	s.refused("undo_overtaken", s.scan(ticket.Spec.Code, Undo))
}
