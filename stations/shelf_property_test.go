package stations

import (
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
)

var shippedWays = shelf.ShippedWays(measure.In)

// worked is an order of the example, its face from the shelf as that is now.
func (s *shop) worked(id string, changes ...string) *workup.Workup {
	s.t.Helper()
	w := exampleOrder(s.t, id, 1, append([]string{"    bolts:\n      - {id: R1, length: 900 yd, lot: A, first_repeat: 0, flaws: [{from: 7 yd, to: 7 yd 3 in}]}\n", "",
		"  - id: reed\n", "  - id: reed\n    cloth: reed-oat\n", "{id: S1,", "{id: S-" + id + ","}, append(s.drawn, changes...)...)...)
	o := *w.Order
	o.Fabrics = slices.Clone(o.Fabrics)
	for i := range o.Fabrics {
		o.Fabrics[i] = *s.floor.Pieces(id, o.Customer, &o.Fabrics[i], shippedWays)
	}
	return workup.Compute(&o)
}

func (s *shop) sheetOf(id string) *Sheet {
	return &Sheet{Work: s.worked(id), Digest: "d", Codes: s.code, Ways: shippedWays}
}

// TestAnyTableOnTheShelf has three orders share the shelf's bolts, at random: released, laid, cut, flawed, spoilt, measured, finished, taken
// back, held, inspected, linked otherwise, joined and parted, cancelled. After each command every account balances, no stretch is promised twice, off its
// bolt, within a kerf of another or, of whole widths, on half a one, what is cut stays, no pair is cut from another customer's, and both folds have the same shelf.
func TestAnyTableOnTheShelf(t *testing.T) {
	orders := []string{"A", "B", "C"}
	defer func(was shelf.Ways) { shippedWays = was }(shippedWays)
	rapid.Check(t, func(t *rapid.T) {
		s := newShop(t)
		shippedWays.Kerf = rapid.SampledFrom([]measure.Length{0, 2 * measure.Inch}).Draw(t, "kerf")
		if rapid.IntRange(0, 2).Draw(t, "odd halves") == 0 {
			s.drawn = oddHalves
			s.keptHalf()
		}
		for _, length := range []string{"21yd", "24yd", "40yd"} {
			s.bolt(length, "")
		}
		s.bolt("90yd", "Reed House")
		for _, id := range orders {
			s.do(TakeOrder{Actor: office, Order: id, Customer: "Saltmarsh Inn", Digest: "d"})
		}
		done := map[Action]int{}
		for range rapid.IntRange(1, 60).Draw(t, "commands") {
			before := s.floor
			e, r := s.try(s.anyOnTheShelf(t, rapid.SampledFrom(orders).Draw(t, "order")))
			if r == nil {
				done[e.Action]++
			} else if r.Code == "busy" {
				t.Fatalf("busy: nothing else has happened meanwhile")
			}
			s.wait(time.Duration(rapid.IntRange(0, 100).Draw(t, "seconds")) * time.Second)
			s.promisedOnce()
			s.shelfStands(t, before, s.ledger[len(s.ledger)-1])
		}
	})
}

// anyOnTheShelf is a command about an order, mostly one that makes sense.
func (s *shop) anyOnTheShelf(t *rapid.T, id string) Command {
	order := s.floor.Order(id)
	switch rapid.IntRange(0, 19).Draw(t, "kind") {
	case 0:
		b := rapid.SampledFrom(s.floor.Shelf().Bolts()).Draw(t, "bolt")
		return s.handle(office, b.Code, rapid.SampledFrom([]shelf.Action{shelf.HoldBolt, shelf.FreeBolt, shelf.FreeBolt, shelf.PlaceIt, shelf.Keep, shelf.Unkeep}).Draw(t, "action"), func(c *Handle) { c.Order = id })
	case 1:
		return LinkCloth{Actor: office, Order: id, Fabric: "reed", Cloth: rapid.SampledFrom([]string{"", "", "other"}).Draw(t, "cloth"), Sheet: *s.sheetOf(id)}
	case 2, 3:
		c := JoinCuts{Actor: office, Sheets: map[string]*Sheet{}}
		for _, o := range s.floor.Orders() {
			c.Sheets[o.ID] = s.sheetOf(o.ID)
			if rapid.IntRange(0, 3).Draw(t, "joined") > 0 {
				c.Tickets = append(c.Tickets, reedOf(o)...)
			}
		}
		return c
	case 4:
		if rapid.IntRange(0, 9).Draw(t, "cancel") == 0 {
			return CancelOrder{Actor: office, Order: id, Reason: "sold"}
		}
	}
	if order.State == OrderTaken {
		w := s.worked(id)
		return ReleaseOrder{Actor: office, Order: id, Tickets: plan.Tickets(w, nil, s.code), FabricShort: lacksCloth(w), Ways: shippedWays, Override: true, Reason: "because"}
	}
	for _, ticket := range order.Tickets {
		if ticket.Spec.Fabric == "reed" && !ticket.isPanel() && !ticket.Cancelled {
			return s.anyOfTheTable(t, ticket)
		}
	}
	return CancelOrder{Actor: office, Order: id, Reason: "sold"}
}

// reedOf are an order's cutting tickets of reed.
func reedOf(o *Order) (codes []plan.Code) {
	for _, t := range o.Tickets {
		if t.Spec.Fabric == "reed" && !t.isPanel() && !t.Cancelled {
			codes = append(codes, t.Spec.Code)
		}
	}
	return codes
}

func (s *shop) anyOfTheTable(t *rapid.T, ticket *Ticket) Scan {
	c := Scan{Actor: bench, Ticket: ticket.Spec.Code, Station: plan.Cutting, Ways: shippedWays, Sheet: s.sheetOf(ticket.Order), Others: map[string]*Sheet{}, Reason: "because"}
	for _, o := range s.floor.Orders() {
		if o.ID != ticket.Order {
			c.Others[o.ID] = s.sheetOf(o.ID)
		}
	}
	switch ticket.State() {
	case Ready:
		c.Action = Start
		return c
	case Held:
		c.Action, c.Actor, c.Override = Resume, office, true
		return c
	case Finished:
		c.Action = Undo
		return c
	}
	next := ticket.NextCut()
	kind := rapid.IntRange(0, 15).Draw(t, "told")
	on := s.floor.TableOf(ticket)
	if len(on) == 0 || kind == 14 {
		c.Action = Undo
		return c
	}
	b := rapid.SampledFrom(on).Draw(t, "which")
	if next != nil && kind < 10 {
		if of := s.floor.Overlay().boltNamed(ticket, next.Bolt); of != nil {
			b = of
		}
	}
	c.Bolt = string(b.Code)
	near := func(name string) string {
		return measure.OfLength(max(0, b.Begin+measure.Inch.Times(rapid.IntRange(-2, 60).Draw(t, name))), measure.In).String()
	}
	switch {
	case kind < 10 && !slices.Contains(b.For, ticket.Spec.Code):
		c.Action = Lay
		if rapid.IntRange(0, 3).Draw(t, "passes over") == 0 {
			c.Actor, c.Override = office, true
		}
	case kind < 8 && next != nil:
		c.Action, c.Cut, c.Bolt = Cut, next.Cut, ""
		if rapid.IntRange(0, 4).Draw(t, "long") == 0 {
			c.Length = measure.OfLength(next.Length.Length()+measure.Inch.Times(rapid.IntRange(-12, 20).Draw(t, "longer")), measure.In).String()
		}
		if rapid.IntRange(0, 4).Draw(t, "elsewhere") == 0 {
			c.From, c.Seen = near("made from"), rapid.Bool().Draw(t, "seen")
		}
	case kind < 10:
		c.Action, c.From, c.To = Flaw, near("from"), plan.Station(near("to"))
	case kind == 10:
		c.Action, c.Bolt, c.Cut, c.Keep = Spoil, "", rapid.SampledFrom(ticket.Spec.Cuts).Draw(t, "cut").Cut, rapid.Bool().Draw(t, "keep")
		if rapid.Bool().Draw(t, "short") {
			c.Length = "50in"
		}
	case kind < 13:
		c.Action, c.Again, c.Place = Rest, true, "4A"
		c.Length = measure.OfLength(max(0, b.Rest-measure.Inch.Times(rapid.IntRange(-3, 30).Draw(t, "less"))), measure.In).String()
	default:
		c.Action = Finish
		finish := s.finishing(ticket.Spec.Code)
		c.Measured, c.Checks = finish.Measured, finish.Checks
		if rapid.Bool().Draw(t, "entered") {
			for _, e := range s.floor.Asked(ticket, 0).Enter {
				if _, _, is := plan.AtTable(e.Name); is {
					c.Measured[e.Name] = e.Target.String()
				}
			}
		}
	}
	return c
}

// shelfStands: accounts balance, what is cut lies on no other's cloth, and a line that is made is where its bolt's account has it.
func (s *shop) shelfStands(t *rapid.T, before *Floor, e Event) {
	for _, b := range s.floor.Shelf().Bolts() {
		if !b.Account().Balances() {
			t.Fatalf("after %s %s: %+v", e.Action, b.Code, b.Account())
		}
		for _, p := range s.floor.Promised(b.Code) {
			if b.IsHalf() && !s.floor.Ticket(p.Ticket).Spec.Cut(p.Cut).OddHalf() {
				t.Fatalf("after %s: a whole width is to be cut from half of one, %s: %+v", e.Action, b.Code, p)
			}
		}
		var theirs *shelf.Promise
		for _, p := range s.floor.Promised(b.Code) {
			switch {
			case !slices.ContainsFunc(b.For, func(code plan.Code) bool { return s.floor.Ticket(code).Order == p.Order }):
				theirs = &p
			case theirs != nil:
				t.Fatalf("after %s: %s is on the table for %v, and %+v lies in front of %+v", e.Action, b.Code, b.For, theirs, p)
			}
		}
		for _, h := range b.Halves {
			l := s.floor.Ticket(h.Ticket).Spec.Cut(h.Cut)
			if !l.LeavesHalf() || s.drawn == nil || !slices.ContainsFunc(b.Off, func(f shelf.Off) bool { return f.Span() == h.Span() }) {
				t.Fatalf("after %s: of %s a half is left beside %+v, which lies at %v", e.Action, b.Code, l, h.Span())
			}
		}
		made := map[plan.Code]map[string]bool{}
		for i := range b.Off {
			f := &b.Off[i]
			if f.As != shelf.AsCut {
				continue
			}
			l := s.floor.Ticket(f.Ticket).Spec.Cut(f.Cut)
			if l == nil || l.Span() != f.Span() {
				t.Fatalf("after %s: cut %s of %s is %v on %s, its ticket has %+v", e.Action, f.Cut, f.Ticket, f.Span(), b.Code, l)
			}
			if made[f.Ticket] == nil {
				made[f.Ticket] = map[string]bool{}
			}
			made[f.Ticket][f.Cut] = true
			if o := s.floor.Order(s.floor.Ticket(f.Ticket).Order); b.Owner != "" && b.Owner != o.Customer {
				t.Fatalf("%s is cut from another's cloth", o.ID)
			}
		}
		whole, _ := b.Sound(shippedWays)
		for _, p := range s.floor.Promised(b.Code) {
			if p.Span.From < whole.From && b.OnHand() {
				t.Fatalf("after %s: %s of %s on %s begins at %d, less than a kerf behind what lies in front, up to %d", e.Action, p.Cut, p.Order, b.Code, p.Span.From, whole.From)
			}
			whole.From = p.Span.To + shippedWays.Kerf
			if p.Span.From < b.Begin || p.Span.To > b.End() {
				t.Fatalf("after %s: %s of %s is promised %v, %s goes from %d to %d", e.Action, p.Cut, p.Order, p.Span, b.Code, b.Begin, b.End())
			}
		}
	}
}
