package stations

import (
	"slices"
	"testing"

	"tablehand/engine/measure"
	"tablehand/stations/plan"
)

// TestBoltsOfAReleasedOrder: on the floor an order's bolts are taken as far as its tickets' last cuts, and free again when it is
// cancelled.
func TestBoltsOfAReleasedOrder(t *testing.T) {
	s := newShop(t)
	w := revisedOrder(t)
	s.do(TakeOrder{Actor: office, Order: "ORDER", Customer: "Saltmarsh Inn", Digest: "d", Bolts: plan.NamedBolts(w)})
	s.do(ReleaseOrder{Actor: office, Order: "ORDER", Tickets: plan.Tickets(w, nil, s.code), Bolts: plan.NamedBolts(w)})
	ends := map[string]measure.Length{}
	for _, code := range cuts(s.floor.Order("ORDER")) {
		for _, l := range s.floor.Ticket(code).Spec.Cuts {
			ends[l.Bolt] = max(ends[l.Bolt], l.From.Length()+l.Length.Length())
		}
	}
	bolts := s.floor.Order("ORDER").bolts(&s.floor.shelf)
	if len(bolts) != 2 {
		t.Fatalf("bolts %+v", bolts)
	}
	for _, b := range bolts {
		if b.To.Length() != ends[b.Bolt] || ends[b.Bolt] == 0 {
			t.Errorf("%s is taken to %s, its last cut ends at %s", b.Bolt, b.To, ends[b.Bolt].In(measure.In))
		}
	}
	reed := []plan.NamedBolt{{Fabric: "reed", Bolt: "R1", Lot: "A"}}
	shared := s.floor.SharedBolts("NEW", reed)
	if len(shared) != 1 || shared[0].Taken.Length() != ends["R1"] || !slices.Equal(shared[0].Orders, []string{"ORDER"}) {
		t.Errorf("shared %+v", shared)
	}
	s.do(CancelOrder{Actor: office, Order: "ORDER", Reason: "sold"})
	if shared := s.floor.SharedBolts("NEW", reed); len(shared) != 0 {
		t.Errorf("of a cancelled order %+v", shared)
	}
}

// TestWhoSharesABoltIsToldInOrder: by their ids, whatever order they were taken in.
func TestWhoSharesABoltIsToldInOrder(t *testing.T) {
	s := newShop(t)
	reed := []plan.NamedBolt{{Fabric: "reed", Bolt: "R1", Lot: "A"}}
	for _, id := range []string{"C", "A", "E", "D", "B"} {
		s.do(TakeOrder{Actor: office, Order: id, Customer: "Saltmarsh Inn", Digest: "d", Bolts: reed})
	}
	for range 10 { // orders are kept without an order
		if shared := s.floor.SharedBolts("NEW", reed); len(shared) != 1 || !slices.Equal(shared[0].Orders, []string{"A", "B", "C", "D", "E"}) {
			t.Fatalf("shared %+v", shared)
		}
	}
}
