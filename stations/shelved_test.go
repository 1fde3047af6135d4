package stations

import (
	"fmt"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
)

// bolt receives a bolt of reed-oat.
func (s *shop) bolt(length, owner string) plan.Code {
	s.t.Helper()
	e := s.do(ReceiveBolts{Actor: office, Rows: []shelf.Receipt{{Cloth: "reed-oat", Lot: "L7", Owner: owner, Invoiced: length, Place: "3B", Codes: []plan.Code{s.code()}}}})
	return e.Shelf.Came[0].Bolt
}

// handle is a command about a bolt, changed by the function.
func (s *shop) handle(actor Actor, code plan.Code, a shelf.Action, more func(*Handle)) Handle {
	c := Handle{Actor: actor, Command: shelf.Command{Action: a, Bolt: code, Reason: "r", Place: "1A", New: s.code(), Ways: shelf.ShippedWays(measure.In)}}
	if more != nil {
		more(&c)
	}
	return c
}

// onBolts takes and releases an order whose cutting lines lie on bolts of the shelf, one behind the other.
func (s *shop) onBolts(id string, bolts ...plan.Code) *Order {
	s.t.Helper()
	w := exampleOrder(s.t, id, 2)
	s.do(TakeOrder{Actor: office, Order: id, Customer: w.Order.Customer, Digest: "d"})
	tickets := plan.Tickets(w, nil, s.code)
	at := map[plan.Code]measure.Length{}
	for i := range tickets {
		for j := range tickets[i].Cuts {
			l, code := &tickets[i].Cuts[j], bolts[(i+j)%len(bolts)]
			l.Bolt, l.From = string(code), measure.OfLength(at[code], measure.In)
			at[code] += l.Length.Length()
		}
	}
	s.do(ReleaseOrder{Actor: office, Order: id, Tickets: tickets})
	return s.floor.Order(id)
}

// TestPromises: what is promised from a bolt are the cuts that tickets are still to make from it, from their release to their cutting.
func TestPromises(t *testing.T) {
	s := newShop(t)
	code := s.bolt("200yd", "")
	w := exampleOrder(t, "Z", 1)
	s.do(TakeOrder{Actor: office, Order: "Z", Customer: "Saltmarsh Inn", Digest: "d"})
	tickets := plan.Tickets(w, nil, s.code)
	for i := range tickets[0].Cuts {
		tickets[0].Cuts[i].Bolt = string(code)
	}
	o := s.floor.Overlay()
	o.Apply(Event{Seq: s.floor.Seq() + 1, Action: Release, Order: "Z", Tickets: tickets})
	if got := o.promised(code); len(got) != len(tickets[0].Cuts) {
		t.Errorf("in the batch of the release %v are promised", got)
	}
	order := s.onBolts("A", code)
	promised := s.floor.Promised(code)
	lines := 0
	for _, ticket := range order.Tickets {
		lines += len(ticket.Spec.Cuts)
	}
	if lines == 0 || len(promised) != lines {
		t.Fatalf("%d cuts are promised, of %d", len(promised), lines)
	}
	r := s.refused("bolt_promised", s.handle(office, code, shelf.GiveBack, nil))
	if len(r.Where.Tickets) == 0 || r.Where.Bolts[0] != code || r.Where.Place != "3B" {
		t.Errorf("the refusal says %+v", r.Where)
	}
	s.refused("already_released", s.handle(office, code, shelf.Keep, func(c *Handle) { c.Order = "A" }))
	s.do(s.handle(bench, code, shelf.HoldBolt, nil)) // its promises stay
	if len(s.floor.Promised(code)) != lines {
		t.Error("held, it is promised to nobody")
	}
	for _, cut := range cuts(order) {
		s.do(Scan{Actor: bench, Ticket: cut, Station: plan.Cutting, Action: Start})
		if len(s.floor.Promised(code)) == 0 { // which of them are made, nobody says
			t.Error("begun, nothing is promised")
		}
		finish := s.finishing(cut)
		finish.Action = Finish
		s.do(finish)
	}
	if got := s.floor.Promised(code); len(got) != 0 {
		t.Errorf("cut, %v are still promised", got)
	}
	s.do(s.handle(office, code, shelf.GiveBack, nil))
}

// TestPutOnTheShelf: a bolt that an order's file lists is the shelf's from its receipt on, and the order's cuts on it are promised.
func TestPutOnTheShelf(t *testing.T) {
	s := newShop(t)
	order := s.release("A", 1)
	cut := s.floor.Ticket(cuts(order)[0])
	line := cut.Spec.Cuts[0]
	origin := &shelf.Origin{Order: "A", Fabric: cut.Spec.Fabric, Bolt: line.Bolt}
	row := shelf.Receipt{Cloth: "reed-oat", Length: "900yd", From: origin, Codes: []plan.Code{s.code()}}
	o := s.floor.Overlay()
	e, err := o.Decide(ReceiveBolts{Actor: office, Rows: []shelf.Receipt{row}}, s.now)
	if err != nil {
		t.Fatal(err)
	}
	e.Seq = s.floor.Seq() + 1
	o.Apply(e)
	code := row.Codes[0]
	if got := o.promised(code); len(got) == 0 || got[0].Ticket != cut.Spec.Code {
		t.Errorf("in the same batch %v are promised", got)
	}
	s.do(ReceiveBolts{Actor: office, Rows: []shelf.Receipt{row}})
	if got := s.floor.Promised(code); len(got) == 0 || got[0].Order != "A" {
		t.Errorf("promised are %v", got)
	}
}

// TestKeptUntilTheRelease: what is kept for an order is so until that is released or cancelled, planned beforehand or not.
func TestKeptUntilTheRelease(t *testing.T) {
	for _, planned := range []bool{false, true} {
		s := newShop(t)
		w := exampleOrder(t, "A", 1)
		for _, id := range []string{"A", "B"} {
			s.do(TakeOrder{Actor: office, Order: id, Customer: "Saltmarsh Inn", Digest: "d"})
		}
		one, two, theirs := s.bolt("40yd", ""), s.bolt("41yd", ""), s.bolt("42yd", "Reed House")
		s.refused("forbidden", s.handle(bench, one, shelf.Keep, func(c *Handle) { c.Order = "A" }))
		s.refused("not_found", s.handle(office, one, shelf.Keep, func(c *Handle) { c.Order = "Z" }))
		s.refused("other_customers_cloth", s.handle(office, theirs, shelf.Keep, func(c *Handle) { c.Order = "A" }))
		if e := s.do(s.handle(office, one, shelf.Keep, func(c *Handle) { c.Order = "A" })); e.Order != "A" || e.Bolt != string(one) {
			t.Errorf("the event says %q and %q", e.Order, e.Bolt)
		}
		s.do(s.handle(office, two, shelf.Keep, func(c *Handle) { c.Order = "B" }))
		release := ReleaseOrder{Actor: office, Order: "A", Tickets: plan.Tickets(w, nil, s.code)}
		if planned {
			o := s.floor.Overlay()
			e, _, ok := o.Keep(s.floor.Plan(release, s.now), s.now, s.floor.Seq()+1)
			if !ok {
				t.Fatal("the plan doesn't hold")
			}
			s.floor = o.Floor()
			s.note(e)
			s.foldsAlike()
		} else {
			s.do(release)
		}
		if s.floor.Shelf().Bolt(one).Kept != nil || s.floor.Shelf().Bolt(two).Kept == nil {
			t.Error("released, its cloth is still kept; or another's isn't")
		}
		s.do(CancelOrder{Actor: office, Order: "B", Reason: "sold"})
		if s.floor.Shelf().Bolt(two).Kept != nil {
			t.Error("cancelled, its cloth is still kept")
		}
		s.refused("cancelled", s.handle(office, two, shelf.Keep, func(c *Handle) { c.Order = "B" }))
	}
}

// TestOneCodeSpace: a ticket can't get a bolt's code, nor a bolt a ticket's.
func TestOneCodeSpace(t *testing.T) {
	s := newShop(t)
	code := s.bolt("40yd", "")
	w := exampleOrder(t, "A", 1)
	s.do(TakeOrder{Actor: office, Order: "A", Customer: "Saltmarsh Inn", Digest: "d"})
	first := true
	s.refused("busy", ReleaseOrder{Actor: office, Order: "A", Tickets: plan.Tickets(w, nil, func() plan.Code {
		if first {
			first = false
			return code
		}
		return s.code()
	})})
	order := s.release("B", 1)
	s.refused("busy", ReceiveBolts{Actor: office, Rows: []shelf.Receipt{{Cloth: "c", Length: "1yd", Codes: []plan.Code{order.Tickets[0].Spec.Code}}}})
	s.refused("forbidden", ReceiveBolts{Actor: bench, Rows: []shelf.Receipt{{Cloth: "c", Length: "1yd", Codes: []plan.Code{s.code()}}}})
}

// TestAnyCloth sends commands about bolts, counts and orders at random. After each, the second fold has the same shelf, no stretch is
// promised twice, and what is promised is the same to those who decide.
func TestAnyCloth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := newShop(t)
		codes := []plan.Code{s.bolt("120yd", ""), s.bolt("130yd", ""), s.bolt("20yd", "Saltmarsh Inn")}
		order := s.onBolts("B", codes[:2]...)
		s.do(TakeOrder{Actor: office, Order: "A", Customer: "Saltmarsh Inn", Digest: "d"})
		for range rapid.IntRange(1, 40).Draw(t, "commands") {
			switch rapid.IntRange(0, 14).Draw(t, "kind") {
			case 0:
				s.try(Scan{Actor: bench, Ticket: rapid.SampledFrom(cuts(order)).Draw(t, "ticket"), Station: plan.Cutting, Action: rapid.SampledFrom([]Action{Start, Undo}).Draw(t, "scan")})
			case 1:
				s.try(CancelOrder{Actor: office, Order: rapid.SampledFrom([]string{"A", "B"}).Draw(t, "order"), Reason: "sold"})
			default:
				s.try(s.anyHandle(t))
			}
			s.promisedOnce()
			s.wait(1e9)
		}
	})
}

// anyHandle is a command about any bolt, likelier one that does something.
func (s *shop) anyHandle(t *rapid.T) Handle {
	all := s.floor.Shelf().Bolts()
	b := rapid.SampledFrom(all).Draw(t, "bolt")
	actions := []shelf.Action{shelf.Inspect, shelf.PlaceIt, shelf.Keep, shelf.Unkeep, shelf.HoldBolt, shelf.FreeBolt, shelf.Lay, shelf.Lay, shelf.Scrap,
		shelf.GiveBack, shelf.Lose, shelf.Find, shelf.ReleaseCloth, shelf.CountBolt, shelf.Undo, shelf.BeginCount, shelf.EndCount, shelf.Settle, shelf.CountBolt}
	if b.Lies == shelf.OnTable {
		actions = append(actions, shelf.TellFlaw, shelf.Spoil, shelf.Part, shelf.Part, shelf.Rest, shelf.Scrap, shelf.Undo)
		if len(s.floor.Promised(b.Code)) == 0 { // what a ticket is promised is cut by that
			actions = append(actions, shelf.Cut, shelf.Cut, shelf.Cut, shelf.Cut)
		}
	}
	near := func(name string) string {
		return measure.OfLength(max(0, b.Begin+measure.Length(rapid.IntRange(-2, 50).Draw(t, name))*measure.Inch), measure.In).String()
	}
	return s.handle(office, b.Code, rapid.SampledFrom(actions).Draw(t, "action"), func(c *Handle) {
		c.Ticket, c.Tickets, c.Cut = plan.NewCode(900), []plan.Code{plan.NewCode(900)}, rapid.SampledFrom([]string{"1", "2"}).Draw(t, "cut")
		c.Order, c.Lot = rapid.SampledFrom([]string{"", "A", "B"}).Draw(t, "for"), rapid.Bool().Draw(t, "lot")
		c.Command.Keep, c.Again = rapid.Bool().Draw(t, "keep"), true
		switch c.Command.Action {
		case shelf.Cut:
			c.From, c.Length = near("from"), "20in"
		case shelf.Inspect:
			c.Widths, c.Repeats, c.Over, c.First = []string{"54in", "53.5in"}, rapid.IntRange(0, 3).Draw(t, "repeats"), "40in", "3in"
			if rapid.Bool().Draw(t, "measured") {
				c.Length = fmt.Sprint(rapid.IntRange(20, 800).Draw(t, "length"), "in")
			}
			c.Flaws = []shelf.FlawTold{{From: near("flaw")}}
		case shelf.TellFlaw:
			c.Flaws = []shelf.FlawTold{{From: near("flaw"), To: near("flaw's end")}}
		case shelf.Part, shelf.Scrap:
			c.To = near("to")
			if off := b.Unlabelled(); len(off) > 0 && rapid.Bool().Draw(t, "came off") {
				c.From, c.To = off[0].From.String(), measure.OfLength(off[0].To.Length()-measure.Inch, measure.In).String()
			}
		case shelf.Rest, shelf.CountBolt:
			c.Length = measure.OfLength(max(0, b.Rest-measure.Length(rapid.IntRange(-3, 30).Draw(t, "less"))*measure.Inch), measure.In).String()
		case shelf.BeginCount:
			c.Count, c.Place = string(s.code()), rapid.SampledFrom([]string{"", "1A"}).Draw(t, "where")
		case shelf.EndCount, shelf.Settle:
			if counts := s.floor.Shelf().Counts(); len(counts) > 0 {
				c.Count, c.As = counts[0].ID, rapid.SampledFrom([]shelf.Settlement{shelf.AsMoved, shelf.AsMeasured, shelf.AsMissing, shelf.AsFound}).Draw(t, "as")
				if n := len(counts[0].Lines); n > 0 {
					c.Bolt = counts[0].Lines[rapid.IntRange(0, n-1).Draw(t, "line")].Bolt
				}
			}
		}
	})
}

// promisedOnce checks that no stretch is promised twice, and that who decides knows of the same promises.
func (s *shop) promisedOnce() {
	s.t.Helper()
	o := s.floor.Overlay()
	for _, b := range s.floor.Shelf().Bolts() {
		promised := s.floor.Promised(b.Code)
		for i := 1; i < len(promised); i++ {
			if promised[i-1].Span.To > promised[i].Span.From {
				s.t.Fatalf("%s is promised twice: %v", b.Code, promised)
			}
		}
		if got := o.promised(b.Code); !slices.Equal(got, promised) && !reflect.DeepEqual(got, promised) {
			s.t.Fatalf("%s: decided by %v, promised are %v", b.Code, got, promised)
		}
	}
}

// TestClothsThatWereMerged: what goes by the key of a cloth that was merged into another, and that into a third, means the one that stays: a
// file, a receipt, a link.
func TestClothsThatWereMerged(t *testing.T) {
	s := newShop(t)
	s.bolt("40yd", "")
	for _, one := range [][2]string{{"reed-oat", "oat"}, {"oat", "sand"}} {
		s.do(MergeCloth{Actor: office, Cloth: one[0], Into: one[1]})
	}
	s.refused("bad_value", MergeCloth{Actor: office, Cloth: "reed-oat", Into: "sand"})
	s.refused("forbidden", MergeCloth{Actor: bench, Cloth: "sand", Into: "reed"})
	s.refused("cloth_differs", MergeCloth{Actor: office, Cloth: "sand", Into: "reed", Differs: []string{"match"}})
	second := s.bolt("41yd", "") // received as reed-oat
	w := exampleOrder(t, "A", 1)
	fabric := w.Order.Fabrics[0]
	fabric.Cloth = "reed-oat"
	var on []string
	for _, b := range s.floor.Pieces("A", "Saltmarsh Inn", &fabric, shippedWays).Bolts {
		if b.Shelf != "" {
			on = append(on, b.Shelf)
		}
	}
	if len(on) != 2 || s.floor.Shelf().Bolt(second).Cloth != "sand" {
		t.Errorf("a file that names the first can be cut from %v; a receipt by it is of %s", on, s.floor.Shelf().Bolt(second).Cloth)
	}
	s.do(TakeOrder{Actor: office, Order: "A", Customer: "Saltmarsh Inn", Digest: "d"})
	if e := s.do(LinkCloth{Actor: office, Order: "A", Fabric: "reed", Cloth: "oat"}); e.Cloth != "sand" {
		t.Errorf("linked with %s", e.Cloth)
	}
}

// TestForkIsApart: what is tried on a fork is none of the floor's that is being changed, and the fork's orders have the fork's tickets.
func TestForkIsApart(t *testing.T) {
	s := newShop(t)
	code := cuts(s.release("A", 1))[0]
	o := s.floor.Overlay()
	o.ownTicket(code)
	f := o.fork()
	f.ownTicket(code).told = true
	if o.ticket(code).told || o.order("A").Tickets[0].told {
		t.Error("what a fork did, its floor has")
	}
	if own := f.ticket(code); f.order("A").Tickets[own.place] != own {
		t.Error("the fork's order has another ticket")
	}
}

// TestWhatAnOrderMayBeCutFrom: of its cloth's bolts those that are here and wide enough, in nobody's doubt, and neither another's nor set aside
// for another.
func TestWhatAnOrderMayBeCutFrom(t *testing.T) {
	for name, row := range map[string]struct {
		owner string
		act   func(s *shop, code plan.Code)
		may   bool
	}{
		"as it came":         {"", nil, true},
		"the customer's own": {"Saltmarsh Inn", nil, true},
		"another customer's": {"Reed House", nil, false},
		"kept for the order": {"", func(s *shop, code plan.Code) {
			s.do(s.handle(office, code, shelf.Keep, func(c *Handle) { c.Order = "A" }))
		}, true},
		"kept for another": {"", func(s *shop, code plan.Code) {
			s.do(s.handle(office, code, shelf.Keep, func(c *Handle) { c.Order = "B" }))
		}, false},
		"kept for the customer": {"", func(s *shop, code plan.Code) {
			s.do(s.handle(office, code, shelf.Keep, func(c *Handle) { c.Customer = "Saltmarsh Inn" }))
		}, true},
		"kept for another customer": {"", func(s *shop, code plan.Code) {
			s.do(s.handle(office, code, shelf.Keep, func(c *Handle) { c.Customer = "Reed House" }))
		}, false},
		"held":      {"", func(s *shop, code plan.Code) { s.do(s.handle(bench, code, shelf.HoldBolt, nil)) }, false},
		"missing":   {"", func(s *shop, code plan.Code) { s.do(s.handle(bench, code, shelf.Lose, nil)) }, false},
		"gone back": {"", func(s *shop, code plan.Code) { s.do(s.handle(office, code, shelf.GiveBack, nil)) }, false},
		"just wide enough": {"", func(s *shop, code plan.Code) {
			s.do(s.handle(bench, code, shelf.Inspect, func(c *Handle) { c.Widths = []string{"54in"} }))
		}, true},
		"too narrow": {"", func(s *shop, code plan.Code) {
			s.do(s.handle(bench, code, shelf.Inspect, func(c *Handle) { c.Widths = []string{"53 7/8in"} }))
		}, false},
	} {
		s := newShop(t)
		for _, id := range []string{"A", "B"} {
			s.do(TakeOrder{Actor: office, Order: id, Customer: "Saltmarsh Inn", Digest: "d"})
		}
		code := s.bolt("40yd", row.owner)
		if row.act != nil {
			row.act(s, code)
		}
		cut := slices.ContainsFunc(s.worked("A").Cloth[0].Fabric.Bolts, func(b orderfile.Bolt) bool { return b.Shelf == string(code) })
		if cut != row.may {
			t.Errorf("%s: it may be cut from: %v", name, cut)
		}
	}
}
