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

// TestBoltsOfTheFileAlone: what is cut from the shelf, or has no place yet, is on none of the bolts that an order names.
func TestBoltsOfTheFileAlone(t *testing.T) {
	s := newShop(t)
	spec := plan.Ticket{Fabric: "reed", Units: "in", Cuts: []plan.Cut{
		{Cut: "1", Bolt: string(s.bolt("40yd", "")), From: measure.Read("0in"), Length: measure.Read("90in")},
		{Cut: "2", Length: measure.Read("90in")},
		{Cut: "3", Bolt: "R1", From: measure.Read("10in"), Length: measure.Read("90in")},
	}}
	got := cutFrom(nil, []*plan.Ticket{&spec}, &s.floor.shelf)
	if len(got) != 1 || got[0].Bolt != "R1" || got[0].To.Length() != 100*measure.Inch {
		t.Errorf("the order names %+v", got)
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

// TestPartedFromARun: one of three that are joined is planned by itself again, the other two stay together and are planned anew without it; of
// two, one leaves the other alone. Once begun none can be parted, nor by a bench, nor one that isn't joined.
func TestPartedFromARun(t *testing.T) {
	s := newShop(t)
	sheets, tickets := map[string]*Sheet{}, map[string]plan.Code{}
	own := map[string]plan.Code{}
	for _, id := range []string{"A", "B", "C"} {
		own[id] = s.bolt("24yd", "")
		s.do(TakeOrder{Actor: office, Order: id, Customer: "Saltmarsh Inn", Digest: "d"})
		s.do(ReleaseOrder{Actor: office, Order: id, Tickets: plan.Tickets(s.worked(id), nil, s.code), Ways: shippedWays})
		sheets[id], tickets[id] = s.sheetOf(id), reedOf(s.floor.Order(id))[0]
	}
	long := s.bolt("90yd", "")
	join := func(ids ...string) JoinCuts {
		c := JoinCuts{Actor: office, Sheets: sheets}
		for _, id := range ids {
			c.Tickets = append(c.Tickets, tickets[id])
		}
		return c
	}
	on := func(id string) (bolts []plan.Code) {
		for _, b := range s.floor.TableOf(s.floor.Ticket(tickets[id])) {
			bolts = append(bolts, b.Code)
		}
		return bolts
	}
	with := func(id string) (n int) { return len(s.floor.JoinedWith(s.floor.Ticket(tickets[id]))) }
	s.refused("missing_key", join("A"))
	s.do(join("A", "B", "C"))
	if a, b, c := on("A"), on("B"), on("C"); !slices.Equal(slices.Concat(a, b, c), []plan.Code{long, long, long}) {
		t.Fatalf("joined, they are cut from %v, %v and %v", a, b, c)
	}
	part := join("A")
	part.Actor = bench
	s.refused("forbidden", part)
	e := s.do(join("A"))
	if len(e.Lines) != 3 || with("A") != 0 || with("B") != 1 || with("C") != 1 {
		t.Errorf("parted, %d are laid; with the first are cut %d, with the others %d and %d", len(e.Lines), with("A"), with("B"), with("C"))
	}
	if a, b, c := on("A"), on("B"), on("C"); !slices.Equal(a, []plan.Code{own["A"]}) || !slices.Equal(slices.Concat(b, c), []plan.Code{long, long}) {
		t.Errorf("parted, they are cut from %v, %v and %v", a, b, c)
	}
	s.promisedOnce()
	s.refused("missing_key", join("A"))
	s.do(Scan{Actor: bench, Ticket: tickets["C"], Station: plan.Cutting, Action: Start, Ways: shippedWays})
	s.refused("at_work", join("C"))
	s.do(join("B")) // of one that is at work nobody knows what is cut: it stays where it lies
	if b, c := on("B"), on("C"); with("B") != 0 || !slices.Equal(slices.Concat(b, c), []plan.Code{own["B"], long}) {
		t.Errorf("with the other at work, they are cut from %v and %v", b, c)
	}
	s.promisedOnce()
}
