package stations

import (
	"slices"
	"testing"

	"tablehand/engine/measure"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
)

// behind is a shop in which one order has a bolt on the table and another is to be cut from what lies behind.
type behind struct {
	*shop
	t             *testing.T
	bolt          plan.Code
	first, second plan.Code           // the cuttings
	drawn         map[string][]string // by order
}

func behindTheTable(t *testing.T, length string, second ...string) *behind {
	b := &behind{shop: newShop(t), t: t, drawn: map[string][]string{"B": second}}
	b.bolt = b.shop.bolt(length, "")
	return b
}

func (b *behind) release(id, customer string) plan.Code {
	b.t.Helper()
	b.do(TakeOrder{Actor: office, Order: id, Customer: customer, Digest: "d"})
	b.do(ReleaseOrder{Actor: office, Order: id, Tickets: plan.Tickets(b.worked(id, b.drawn[id]...), nil, b.code), Ways: shippedWays})
	return reedOf(b.floor.Order(id))[0]
}

func (b *behind) tell(code plan.Code, a Action, more func(*Scan)) Scan {
	c := Scan{Actor: bench, Ticket: code, Station: plan.Cutting, Action: a, Ways: shippedWays, Others: map[string]*Sheet{}}
	for _, o := range b.floor.Orders() {
		sheet := &Sheet{Work: b.worked(o.ID, b.drawn[o.ID]...), Digest: "d", Codes: b.code, Ways: shippedWays}
		if o.ID == b.floor.Ticket(code).Order {
			c.Sheet = sheet
		} else {
			c.Others[o.ID] = sheet
		}
	}
	more(&c)
	return c
}

func (b *behind) lay(code plan.Code) Scan {
	return b.tell(code, Lay, func(c *Scan) { c.Bolt = string(b.bolt) })
}

func (b *behind) flaw(from, to string) {
	b.t.Helper()
	b.do(b.tell(b.first, Flaw, func(c *Scan) { c.Bolt, c.From, c.To = string(b.bolt), from, plan.Station(to) }))
}

func (b *behind) cutAll(code plan.Code) {
	b.t.Helper()
	for next := b.floor.Ticket(code).NextCut(); next != nil; next = b.floor.Ticket(code).NextCut() {
		b.do(b.tell(code, Cut, func(c *Scan) { c.Cut = next.Cut }))
	}
}

// inTurn sees that all of the first's cuts have a place on the bolt in front of the second's, of which some have none.
func (b *behind) inTurn(when string, without int) {
	b.t.Helper()
	end := measure.Length(0)
	for _, l := range b.floor.Ticket(b.first).Spec.Cuts {
		if end = max(end, l.End()); l.Bolt != string(b.bolt) {
			b.t.Errorf("%s: cut %s of who is at the table lies on %q", when, l.Cut, l.Bolt)
		}
	}
	for _, l := range b.floor.Ticket(b.second).Spec.Cuts {
		if l.Bolt == "" {
			without--
		} else if l.Bolt == string(b.bolt) && l.From.Length() < end {
			b.t.Errorf("%s: cut %s lies at %s, the cuts in front end at %s", when, l.Cut, l.From, measure.OfLength(end, measure.In))
		}
	}
	if without != 0 {
		b.t.Errorf("%s: %d more cuts of the second have no place than should have none", when, -without)
	}
}

// TestBehindTheTable: what lies behind the cuts of who has a bolt on the table is free for others. They come behind whatever turns up in
// front, and lay the bolt themselves once it is off the table.
func TestBehindTheTable(t *testing.T) {
	b := behindTheTable(t, "40yd")
	b.first = b.release("A", "Saltmarsh Inn")
	b.do(b.scan(b.first, Start))
	b.do(b.lay(b.first))
	b.do(b.tell(b.first, Cut, func(c *Scan) { c.Cut = "1" }))
	b.second = b.release("B", "Saltmarsh Inn")
	b.inTurn("released", 0)
	b.flaw("300in", "303in")
	b.inTurn("after a flaw", 0)
	b.do(b.scan(b.second, Start))
	b.refused("on_table", b.lay(b.second))
	b.cutAll(b.first)
	b.do(b.tell(b.first, Rest, func(c *Scan) {
		c.Bolt, c.Length = string(b.bolt), measure.OfLength(b.floor.Shelf().Bolt(b.bolt).Rest, measure.In).String()
	}))
	b.do(b.lay(b.second))
	b.cutAll(b.second)
}

// TestNotInFrontOfTheTable: a gap between the cuts of who is at the table is nobody else's, for it comes off with them.
func TestNotInFrontOfTheTable(t *testing.T) {
	b := behindTheTable(t, "40yd", "finished_length: 95 1/2", "finished_length: 20") // short enough for the gap
	b.first = b.release("A", "Saltmarsh Inn")
	b.do(b.scan(b.first, Start))
	b.do(b.lay(b.first))
	b.flaw("300in", "303in")
	b.second = b.release("B", "Saltmarsh Inn")
	b.inTurn("released", 0)
}

// TestTheTableGoesFirst: where a flaw leaves no room for both, who is at the table keeps a place in front, never one behind the others' cuts,
// and it is they who are held at once; but not where another bolt does for who is at the table.
func TestTheTableGoesFirst(t *testing.T) {
	for _, another := range []bool{false, true} {
		b := behindTheTable(t, "1560in", "finished_length: 95 1/2", "finished_length: 135") // longer cuts, for which there is no room behind
		b.do(b.handle(bench, b.bolt, shelf.Inspect, func(c *Handle) { c.Flaws = []shelf.FlawTold{{From: "1419in", To: "1420in", Points: 4}} }))
		b.first, b.second = b.release("A", "Saltmarsh Inn"), b.release("B", "Reed House")
		if another {
			kept := b.shop.bolt("20yd", "")
			b.do(b.handle(office, kept, shelf.Keep, func(c *Handle) { c.Order, c.Customer = "", "Saltmarsh Inn" }))
		}
		b.do(b.scan(b.first, Start))
		b.do(b.lay(b.first))
		b.flaw("100in", "103in")
		held := b.floor.Ticket(b.second).State() == Held
		if held == another {
			t.Errorf("with another bolt %v: held is %v, %+v", another, held, b.floor.Ticket(b.second).Spec.Cuts)
		}
		if !another {
			b.inTurn("after a flaw", 1)
		}
		if promised := b.floor.Promised(b.bolt); another && slices.ContainsFunc(promised, func(p shelf.Promise) bool { return p.Ticket == b.first }) {
			t.Errorf("it goes on where there is no room: %v", promised)
		}
	}
}
