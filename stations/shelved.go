package stations

import (
	"cmp"
	"maps"
	"slices"
	"time"

	"tablehand/stations/plan"
	"tablehand/stations/shelf"
)

// Handle is a command about a bolt of the shelf, or about a count of it.
type Handle struct {
	Actor  Actor
	Key    string // as of a scan; "" for none
	At     *time.Time
	Person string
	shelf.Command
}

// ReceiveBolts takes cloth into the shelf, all rows or none.
type ReceiveBolts struct {
	Actor  Actor
	Key    string // as of a scan; "" for none
	Person string
	Rows   []shelf.Receipt
	Again  bool // pass over that a supplier's piece has come in before
}

func (c Handle) action() Action     { return Action(c.Command.Action) }
func (ReceiveBolts) action() Action { return Receive }

func (c Handle) actor() Actor       { return c.Actor }
func (c ReceiveBolts) actor() Actor { return c.Actor }

// officeDecides are what only the office does with cloth.
var officeDecides = []shelf.Action{shelf.Keep, shelf.Unkeep, shelf.FreeBolt, shelf.ReleaseCloth, shelf.BeginCount, shelf.EndCount, shelf.Settle}

func (o *Overlay) decideHandle(c Handle, e *Event) *Refusal {
	if slices.Contains(officeDecides, c.Command.Action) && !mayDecide(c.Actor) {
		return refuse("forbidden", "")
	}
	around := o.around(c.Actor, c.Person, e.At)
	around.Promised = o.promised(c.Bolt)
	if order := o.order(c.Order); order != nil {
		around.Customer = order.Customer
	}
	if r := o.keptFor(c); r != nil {
		return r
	}
	told, refused := o.shelf.Decide(c.Command, around)
	if refused != nil {
		return ofShelf(refused)
	}
	e.Actor, e.DeviceAt, e.Person = c.Actor, c.At, c.Person
	if told.Kept != nil {
		e.Order = told.Kept.Order
	}
	e.Bolt, e.Shelf = string(told.Bolt), &told
	return nil
}

// keptFor refuses to set cloth aside for an order that isn't there, or that has what it needs already: its tickets.
func (o *Overlay) keptFor(c Handle) *Refusal {
	if blank(c.Order) {
		return nil
	}
	order := o.order(c.Order)
	switch {
	case order == nil:
		return refuse("not_found", "order", "Order", c.Order)
	case order.State == OrderCancelled:
		return refuse("cancelled", "order", "Order", c.Order)
	case c.Command.Action == shelf.Keep && order.State != OrderTaken:
		return refuse("already_released", "order", "Order", c.Order)
	}
	return nil
}

func (o *Overlay) decideReceiveBolts(c ReceiveBolts, e *Event) *Refusal {
	if !mayDecide(c.Actor) {
		return refuse("forbidden", "")
	}
	told, refused := o.shelf.Receive(c.Rows, c.Again, o.around(c.Actor, c.Person, e.At))
	if refused != nil {
		return ofShelf(refused)
	}
	e.Actor, e.Person, e.Shelf = c.Actor, c.Person, &told
	if len(told.Came) == 1 {
		e.Bolt = string(told.Came[0].Bolt)
	}
	return nil
}

func (o *Overlay) around(actor Actor, person string, at time.Time) shelf.Around {
	return shelf.Around{Device: actor.Device, Person: cmp.Or(person, actor.Name), At: at, Used: func(code plan.Code) bool { return o.ticket(code) != nil }}
}

// applyShelf does what an event says of the shelf.
func (o *Overlay) applyShelf(e Event) {
	around := o.around(e.Actor, e.Person, e.At)
	around.Seq = e.Seq
	o.shelf.Apply(*e.Shelf, around)
}

// ofShelf is a refusal of the shelf as one of the floor.
func ofShelf(r *shelf.Refusal) *Refusal {
	refused := NewRefusal(r.Code, r.Field)
	maps.Copy(refused.Args, r.Args)
	refused.Row = r.Row
	if len(r.Bolts) > 0 {
		refused.Where = &Place{Bolts: r.Bolts, Place: r.Place, Tickets: r.Of}
	}
	return refused
}

// Shelf returns the shop's cloth.
func (f *Floor) Shelf() *shelf.Shelf { return &f.shelf }

// Promised are the cuts that tickets are still to make from a bolt, by ticket and mark.
func (f *Floor) Promised(bolt plan.Code) []shelf.Promise { return f.promises()[bolt] }

// gatherPromises goes through the cutting tickets: a promise is no thing of its own.
func (f *Floor) gatherPromises() map[plan.Code][]shelf.Promise {
	called := f.shelf.Called()
	all := map[plan.Code][]shelf.Promise{}
	for _, order := range f.orders.All() {
		for _, t := range order.Tickets {
			t.promises(&f.shelf, called, all)
		}
	}
	for _, list := range all {
		byMark(list)
	}
	return all
}

func byMark(list []shelf.Promise) {
	slices.SortFunc(list, func(a, b shelf.Promise) int {
		return cmp.Or(cmp.Compare(a.Span.From, b.Span.From), cmp.Compare(a.Ticket, b.Ticket), cmp.Compare(a.Cut, b.Cut))
	})
}

// bolted is a shelf, or one being changed.
type bolted interface{ Bolt(plan.Code) *shelf.Bolt }

// promises adds what a ticket is still to cut from the shelf's bolts: its lines name them by their code, or as the order's file
// called one that was put on the shelf since.
func (t *Ticket) promises(on bolted, called map[shelf.Origin]plan.Code, all map[plan.Code][]shelf.Promise) {
	if t.isPanel() || t.Cancelled || t.At > 0 {
		return
	}
	for i := range t.Spec.Cuts {
		l := &t.Spec.Cuts[i]
		if l.Bolt == "" || l.Done {
			continue
		}
		code, named := called[shelf.Origin{Order: t.Order, Fabric: t.Spec.Fabric, Bolt: l.Bolt}]
		if !named {
			code = plan.Code(l.Bolt)
		}
		if on.Bolt(code) != nil {
			all[code] = append(all[code], shelf.Promise{Ticket: t.Spec.Code, Order: t.Order, Cut: l.Cut, Span: l.Span()})
		}
	}
}

// promised is Promised on the floor as it is being changed: by the tickets that had promises before, and by those of now.
func (o *Overlay) promised(bolt plan.Code) []shelf.Promise {
	b := o.shelf.Bolt(bolt)
	if b == nil {
		return nil
	}
	tickets := map[plan.Code]bool{}
	for _, p := range o.base.promises()[bolt] {
		tickets[p.Ticket] = true
	}
	for code := range o.tickets {
		tickets[code] = true
	}
	called := map[shelf.Origin]plan.Code{}
	if b.From != nil && b.From.Order != "" {
		called[*b.From] = bolt
		if order := o.order(b.From.Order); order != nil {
			for _, t := range order.Tickets {
				tickets[t.Spec.Code] = true
			}
		}
	}
	all := map[plan.Code][]shelf.Promise{}
	for code := range tickets {
		o.ticket(code).promises(o.shelf, called, all)
	}
	byMark(all[bolt])
	return all[bolt]
}
