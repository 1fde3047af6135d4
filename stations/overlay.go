package stations

import (
	"maps"
	"time"

	"tablehand/engine/billing"
	"tablehand/stations/invoice"
	"tablehand/stations/plan"
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
}

// Overlay begins a change of the floor.
func (f *Floor) Overlay() *Overlay {
	return &Overlay{
		base: f, seq: f.seq, issued: f.issued, credited: f.credited, prices: f.prices,
		orders: map[string]*Order{}, tickets: map[plan.Code]*Ticket{}, invoices: map[string]*invoice.Document{}, numbers: map[string]string{},
	}
}

// Floor returns the floor with the changes; the overlay must not be used afterwards.
func (o *Overlay) Floor() *Floor {
	return (&Floor{
		seq: o.seq, issued: o.issued, credited: o.credited, prices: o.prices,
		orders:   o.base.orders.with(o.orders),
		tickets:  o.base.tickets.with(o.tickets),
		invoices: o.base.invoices.with(o.invoices),
		numbers:  o.base.numbers.with(o.numbers),
	}).ready()
}

// order, ticket and invoice look things up, for reading.

func (o *Overlay) order(id string) *Order {
	if own := o.orders[id]; own != nil {
		return own
	}
	return o.base.orders.get(id)
}

func (o *Overlay) ticket(code plan.Code) *Ticket {
	if own := o.tickets[code]; own != nil {
		return own
	}
	return o.base.tickets.get(code)
}

func (o *Overlay) invoice(id string) *invoice.Document {
	draft, ok := o.numbers[id]
	if !ok {
		draft = o.base.numbers.get(id)
	}
	if draft != "" {
		id = draft
	}
	if own, ok := o.invoices[id]; ok {
		return own
	}
	return o.base.invoices.get(id)
}

// ownOrder, ownTicket and ownInvoice return copies that the overlay may change.

func (o *Overlay) ownOrder(id string) *Order {
	if own := o.orders[id]; own != nil {
		return own
	}
	own := new(Order)
	*own = *o.base.orders.get(id)
	own.Tickets = append([]*Ticket(nil), own.Tickets...)
	o.orders[id] = own
	return own
}

func (o *Overlay) ownTicket(code plan.Code) *Ticket {
	if own := o.tickets[code]; own != nil {
		return own
	}
	own := o.base.tickets.get(code).copy()
	o.tickets[code] = own
	o.ownOrder(own.Order).Tickets[own.place] = own
	return own
}

func (o *Overlay) ownInvoice(draft string) *invoice.Document {
	if own := o.invoices[draft]; own != nil {
		return own
	}
	own := new(invoice.Document)
	*own = *o.base.invoices.get(draft)
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
	all := o.base.invoices.merged()
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

// layers is a map that a floor shares with the floors before it: what has changed lately lies over a base that
// nobody changes any more. Now and then the two become a new base, so a change copies few entries and reads look
// in at most two places. The zero value is empty; a zero V means that the key isn't there.
type layers[K comparable, V comparable] struct {
	base, top map[K]V
}

// mostOnTop is how many entries the top has before it goes into the base. A change copies the top, and each
// mostOnTop changes copy the base once.
const mostOnTop = 256

func (l *layers[K, V]) get(k K) V {
	if v, ok := l.top[k]; ok {
		return v
	}
	return l.base[k]
}

// with returns the map with the changes, which it keeps; l stays as it is.
func (l *layers[K, V]) with(changes map[K]V) layers[K, V] {
	if len(changes) == 0 {
		return *l
	}
	into := layers[K, V]{base: l.base, top: make(map[K]V, len(l.top)+len(changes))}
	for k, v := range l.top {
		into.top[k] = v
	}
	for k, v := range changes {
		into.top[k] = v
	}
	if len(into.top) <= mostOnTop {
		return into
	}
	return layers[K, V]{base: into.merged()}
}

// all returns the values in no order.
func (l *layers[K, V]) all() []V {
	merged := l.merged()
	values := make([]V, 0, len(merged))
	for _, v := range merged {
		values = append(values, v)
	}
	return values
}

func (l *layers[K, V]) merged() map[K]V {
	var none V
	m := make(map[K]V, len(l.base)+len(l.top))
	for k, v := range l.base {
		m[k] = v
	}
	for k, v := range l.top {
		if v == none {
			delete(m, k)
			continue
		}
		m[k] = v
	}
	return m
}
