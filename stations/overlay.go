package stations

import (
	"maps"
	"slices"
	"time"

	"tablehand/engine/billing"
	"tablehand/stations/invoice"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
)

// Overlay is a floor being changed: it decides commands on what earlier ones of the same batch did, and is
// dropped when the batch is not kept. It is for one goroutine.
type Overlay struct {
	base *Floor

	seq      int64
	orders   map[string]*Order // its own copies, changed in place
	tickets  map[plan.Code]*Ticket
	invoices map[string]*invoice.Document // nil: dropped
	numbers  map[string]string
	issued   int
	credited int
	prices   billing.PriceList
	shelf    *shelf.Overlay
	laid     map[plan.Code][]plan.Cut // while an event is decided: tickets' cuts as it lays them
}

// Overlay begins a change of the floor.
func (f *Floor) Overlay() *Overlay {
	return &Overlay{
		base: f, shelf: f.shelf.Overlay(), seq: f.seq, issued: f.issued, credited: f.credited, prices: f.prices,
		orders: map[string]*Order{}, tickets: map[plan.Code]*Ticket{}, invoices: map[string]*invoice.Document{}, numbers: map[string]string{},
	}
}

// Floor returns the floor with the changes; the overlay must not be used afterwards.
func (o *Overlay) Floor() *Floor {
	return (&Floor{
		seq: o.seq, shelf: o.shelf.Shelf(), issued: o.issued, credited: o.credited, prices: o.prices,
		orders:   o.base.orders.With(o.orders),
		tickets:  o.base.tickets.With(o.tickets),
		invoices: o.base.invoices.With(o.invoices),
		numbers:  o.base.numbers.With(o.numbers),
	}).ready()
}

// fork is a change of the floor as this one has it, to try something on: nothing of it is this one's.
func (o *Overlay) fork() *Overlay {
	f := *o
	f.orders, f.tickets, f.invoices, f.numbers = maps.Clone(o.orders), maps.Clone(o.tickets), maps.Clone(o.invoices), maps.Clone(o.numbers)
	f.shelf = o.shelf.Fork()
	for id, order := range f.orders {
		own := *order
		own.Tickets = slices.Clone(order.Tickets)
		f.orders[id] = &own
	}
	for code, t := range f.tickets {
		own := t.copy()
		f.tickets[code] = own
		if order := f.orders[own.Order]; order != nil {
			order.Tickets[own.place] = own
		}
	}
	return &f
}

// order, ticket and invoice look things up, for reading.

func (o *Overlay) order(id string) *Order {
	if own := o.orders[id]; own != nil {
		return own
	}
	return o.base.orders.Get(id)
}

func (o *Overlay) ticket(code plan.Code) *Ticket {
	if own := o.tickets[code]; own != nil {
		return own
	}
	return o.base.tickets.Get(code)
}

// used reports whether a ticket or a bolt has a code: what is scanned means one thing.
func (o *Overlay) used(code plan.Code) bool {
	return o.ticket(code) != nil || o.shelf.Bolt(code) != nil
}

func (o *Overlay) invoice(id string) *invoice.Document {
	draft, ok := o.numbers[id]
	if !ok {
		draft = o.base.numbers.Get(id)
	}
	if draft != "" {
		id = draft
	}
	if own, ok := o.invoices[id]; ok {
		return own
	}
	return o.base.invoices.Get(id)
}

// ownOrder, ownTicket and ownInvoice return copies that the overlay may change.

func (o *Overlay) ownOrder(id string) *Order {
	if own := o.orders[id]; own != nil {
		return own
	}
	own := new(Order)
	*own = *o.base.orders.Get(id)
	own.Tickets = append([]*Ticket(nil), own.Tickets...)
	o.orders[id] = own
	return own
}

func (o *Overlay) ownTicket(code plan.Code) *Ticket {
	if own := o.tickets[code]; own != nil {
		return own
	}
	own := o.base.tickets.Get(code).copy()
	o.tickets[code] = own
	o.ownOrder(own.Order).Tickets[own.place] = own
	return own
}

func (o *Overlay) ownInvoice(draft string) *invoice.Document {
	if own := o.invoices[draft]; own != nil {
		return own
	}
	own := new(invoice.Document)
	*own = *o.base.invoices.Get(draft)
	own.Lines = append([]invoice.Line(nil), own.Lines...)
	o.invoices[draft] = own
	return own
}

// touch returns a ticket to change; what happened before can no longer be taken back.
func (o *Overlay) touch(code plan.Code, at time.Time) *Ticket {
	t := o.ownTicket(code)
	t.changes++
	t.Changed = at
	t.last = nil
	return t
}

// drafts returns the ids of the invoices that aren't issued; a credit note follows no price list.
func (o *Overlay) drafts() []string {
	all := o.base.invoices.Merged()
	maps.Copy(all, o.invoices)
	var ids []string
	for id, i := range all {
		if i != nil && i.Number == "" && !i.IsCredit() {
			ids = append(ids, id)
		}
	}
	return ids
}

// settle gives a released order the state that its tickets show.
func (o *Overlay) settle(id string) {
	order := o.ownOrder(id)
	if order.State == OrderTaken || order.State == OrderCancelled {
		return
	}
	order.State = order.derivedState(o.invoice)
}
