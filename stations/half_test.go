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
	bolt = s.bolt("90yd", "")
	s.do(TakeOrder{Actor: office, Order: "A", Customer: "Saltmarsh Inn", Digest: "d"})
	w := s.worked("A")
	s.do(ReleaseOrder{Actor: office, Order: "A", Tickets: plan.Tickets(w, nil, s.code), Ways: shippedWays})
	code := reedOf(s.floor.Order("A"))[0]
	s.do(Scan{Actor: bench, Ticket: code, Station: plan.Cutting, Action: Start})
	return s, bolt, s.floor.Ticket(code)
}

// TestTheOddHalfIsAnswered: once something is told at the table a cutting doesn't end before somebody says what becomes of the half that
// its odd width leaves. Kept, it is a remnant that is half as wide, and no order of the whole width is planned on it.
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
		for _, b := range s.worked("B").Cloth[0].Fabric.Bolts {
			if b.Shelf == string(kept[0].Code) {
				t.Error("an order of the whole width is to be cut from half of it")
			}
		}
	}
}

// TestTheOddHalfOfAFinishedTicket: finished without a word from the table, it lies unlabelled until somebody says what it is.
func TestTheOddHalfOfAFinishedTicket(t *testing.T) {
	s, bolt, ticket := withOddHalf(t)
	finish := s.finishing(ticket.Spec.Code)
	finish.Ways, finish.Sheet = shippedWays, s.sheetOf("A")
	finish.Checks = s.floor.Asked(ticket, 0).Checks
	s.do(finish)
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
