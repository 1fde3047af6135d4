package shelf

import (
	"reflect"
	"testing"

	"tablehand/engine/measure"
	"tablehand/stations/plan"
)

// TestCount goes through a count while cutting goes on, and settles each kind of line.
func TestCount(t *testing.T) {
	s := newShop(t)
	right, moved, short, unseen, atTable, gone := s.bolt("40yd", ""), s.bolt("41yd", ""), s.bolt("1000in", ""), s.bolt("43yd", ""), s.bolt("44yd", ""), s.bolt("45yd", "")
	s.do(Command{Action: GiveBack, Bolt: gone, Reason: "wrong"})
	s.do(Command{Action: Lay, Bolt: atTable, Tickets: []plan.Code{ticket}})
	s.refused("no_count", Command{Action: CountBolt, Bolt: right})
	s.refused("no_count", Command{Action: EndCount, Count: "none"})
	id := s.do(Command{Action: BeginCount}).Count
	s.refused("count_open", Command{Action: BeginCount})
	s.refused("no_count", Command{Action: Settle, Count: id, Bolt: right, As: AsFound})
	s.do(Command{Action: CountBolt, Bolt: right, Place: "3B", Length: "39.9yd"}) // within 1 %
	s.do(Command{Action: CountBolt, Bolt: moved, Place: "5C"})
	s.do(Command{Action: CountBolt, Bolt: short, Length: "500in"})
	s.do(Command{Action: CountBolt, Bolt: short, Length: "960in"}) // read wrong the first time
	late := s.bolt("9yd", "")                                      // comes in meanwhile
	s.do(Command{Action: Lay, Bolt: short, Tickets: []plan.Code{ticket}})
	s.do(Command{Action: Cut, Bolt: short, Ticket: ticket, Cut: "1", Length: "100in"})
	s.do(Command{Action: EndCount, Count: id})
	c := s.shelf.Count(id)
	got := map[plan.Code]Differs{}
	for _, l := range c.Lines {
		got[l.Bolt] = l.What
	}
	if want := map[plan.Code]Differs{moved: Elsewhere, short: Otherwise, unseen: Unseen}; !reflect.DeepEqual(got, want) || c.Open() || s.shelf.Open() != nil {
		t.Fatalf("the count ends with %v, want %v; %s came late", got, want, late)
	}
	s.refused("bad_value", Command{Action: Settle, Count: id, Bolt: moved, As: AsMissing})
	s.refused("bad_value", Command{Action: Settle, Count: id, Bolt: right, As: AsFound})
	s.do(Command{Action: Settle, Count: id, Bolt: moved, As: AsMoved})
	s.do(Command{Action: Settle, Count: id, Bolt: short, As: AsMeasured})
	s.do(Command{Action: Settle, Count: id, Bolt: unseen, As: AsMissing})
	s.refused("bad_value", Command{Action: Settle, Count: id, Bolt: unseen, As: AsMissing})
	if b := s.shelf.Bolt(moved); b.Place != "5C" {
		t.Errorf("moved to %s", b.Place)
	}
	if b := s.shelf.Bolt(short); b.Rest != 860*measure.Inch || b.Unexplained() != 40*measure.Inch || !b.Account().Balances() {
		t.Errorf("measured short: %s", image(b))
	}
	if b := s.shelf.Bolt(unseen); b.State() != Missing {
		t.Errorf("unseen: %s", image(b))
	}
	s.do(Command{Action: PlaceIt, Bolt: unseen, Place: "2A"}) // it turns up at any scan
	if b := s.shelf.Bolt(unseen); b.State() != Received || b.Place != "2A" {
		t.Errorf("turned up: %s", image(b))
	}
	if n := s.shelf.Count(id).Unsettled(); n != 0 {
		t.Errorf("%d lines are not settled", n)
	}
}

// TestCountOfOnePlace asks only for what should lie there, and a length that was measured since stands.
func TestCountOfOnePlace(t *testing.T) {
	s := newShop(t)
	here, there := s.bolt("100in", ""), s.bolt("100in", "")
	s.do(Command{Action: PlaceIt, Bolt: there, Place: "8H"})
	id := s.do(Command{Action: BeginCount, Place: "3B"}).Count
	s.do(Command{Action: CountBolt, Bolt: here, Length: "50in"})
	s.do(Command{Action: Lay, Bolt: here, Tickets: []plan.Code{ticket}})
	s.do(Command{Action: Rest, Bolt: here, Length: "99in"})
	s.do(Command{Action: EndCount, Count: id})
	if lines := s.shelf.Count(id).Lines; len(lines) != 1 || lines[0].What != Otherwise {
		t.Fatalf("lines %v", lines)
	}
	s.do(Command{Action: Settle, Count: id, Bolt: here, As: AsMeasured})
	if b := s.shelf.Bolt(here); b.Rest != 99*measure.Inch {
		t.Errorf("rest %s", b.Rest.In(measure.In))
	}
	id = s.do(Command{Action: BeginCount, Place: "8H"}).Count
	s.do(Command{Action: CountBolt, Bolt: here})
	s.do(Command{Action: EndCount, Count: id})
	lines := s.shelf.Count(id).Lines
	if len(lines) != 2 || lines[0].What != Elsewhere || lines[0].Place != "8H" || lines[1].Bolt != there || lines[1].What != Unseen {
		t.Errorf("lines %v", lines)
	}
	s.do(Command{Action: Settle, Count: id, Bolt: there, As: AsFound})
	if b := s.shelf.Bolt(there); b.State() != Received {
		t.Errorf("found: %s", image(b))
	}
}
