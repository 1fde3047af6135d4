// Package refold folds a ledger a second time and holds the floor against it. It shares no step with stations.Apply:
// where a ticket stands is what the events told of it, not what they do to it; what stands on a step is what remains of
// the step's own history; an order's state and a panel's invoice are found when they are asked for.
package refold

import (
	"slices"
	"time"

	"tablehand/engine/billing"
	"tablehand/engine/orderfile"
	"tablehand/stations"
	"tablehand/stations/invoice"
	"tablehand/stations/plan"
)

// Book is what the events of a ledger say. It is for one goroutine.
type Book struct {
	seq       int64
	orders    map[string]*order
	tickets   map[plan.Code]*ticket
	documents map[string]*invoice.Document // by draft, as their last event has them
	prices    billing.PriceList
	bolts     map[plan.Code]*bolt
	counts    map[string]*count
}

// New returns the book of an empty ledger.
func New() *Book {
	return &Book{orders: map[string]*order{}, tickets: map[plan.Code]*ticket{}, documents: map[string]*invoice.Document{},
		bolts: map[plan.Code]*bolt{}, counts: map[string]*count{}}
}

// order is what its own events say of an order.
type order struct {
	customer, due, digest string
	taken                 time.Time
	revision              int
	released, cancelled   bool
	asked                 plan.Measuring
	layout                plan.Layout
	practice              orderfile.Practice
	links                 []stations.Event // of its fabrics with the shop's cloths
	tickets               []*ticket
	received              []stations.Event // that a piece came in, and its pictures since
}

// Add takes in the next event of the ledger.
func (b *Book) Add(e stations.Event) {
	b.seq = e.Seq
	for _, told := range e.Told {
		told.Seq, told.At = e.Seq, e.At
		b.Add(told)
	}
	if e.Shelf != nil {
		b.shelved(e)
		if e.Ticket == "" && e.Action != stations.Merge {
			return
		}
	}
	switch e.Action {
	case stations.Take:
		b.orders[e.Order] = &order{customer: e.Taken.Customer, due: e.Taken.Due, digest: e.Taken.Digest, taken: e.At, revision: 1, practice: e.Taken.Practice}
	case stations.Release:
		o := b.orders[e.Order]
		o.released, o.asked, o.layout = true, e.Asked, e.Layout
		b.add(e)
		b.endKeep(e)
	case stations.Revise:
		b.revise(e)
	case stations.Cancel:
		o := b.orders[e.Order]
		o.cancelled = true
		for _, t := range o.tickets {
			t.cancelled = true
		}
		b.endKeep(e)
	case stations.Close:
		b.end(e)
	case stations.Link:
		b.orders[e.Order].links = append(b.orders[e.Order].links, e)
		b.also(e)
		b.hold(e)
	case stations.Merge:
		b.merge(e.Shelf)
	case stations.Join:
		for i := range e.Lines { // what was done last with one can't be taken back any more
			b.tickets[e.Lines[i].Ticket].told = nil
		}
	case stations.Receive, stations.Unreceive:
		b.orders[e.Order].received = append(b.orders[e.Order].received, e)
	case stations.SetPrices:
		b.prices = *e.Prices
	case stations.Draft, stations.Amounts, stations.Credit, stations.Issue:
		b.documents[e.Draft] = e.Invoice
	case stations.DropDraft:
		delete(b.documents, e.Draft)
	default:
		b.scan(e)
	}
}

// add puts an event's new tickets on its order.
func (b *Book) add(e stations.Event) {
	o := b.orders[e.Order]
	for i := range e.Tickets {
		t := newTicket(&e.Tickets[i], e.Order)
		b.tickets[t.spec.Code] = t
		o.tickets = append(o.tickets, t)
	}
}

// revise takes in what a new file did: what it says of the order, what stands on tickets now, which there are no more,
// and where panels stand whose cloth is wanted otherwise.
func (b *Book) revise(e stations.Event) {
	o, r := b.orders[e.Order], e.Revised
	o.customer, o.due, o.digest, o.revision = r.Customer, r.Due, r.Digest, r.Revision
	if r.Practice != nil {
		o.practice = r.Practice
	}
	for i := range r.Specs {
		s := &r.Specs[i]
		b.tickets[s.Spec.Code].respec(&s.Spec, s.Kept)
	}
	for _, code := range r.Dropped {
		b.tickets[code].cancelled = true
	}
	b.add(e)
	b.also(e)
}

// end takes in which tickets a scrap or a close ended.
func (b *Book) end(e stations.Event) {
	for _, code := range e.Ended.Scrapped {
		t := b.tickets[code]
		t.cancelled, t.scrapped, t.billable = true, true, e.Ended.Billable
	}
	for _, code := range e.Ended.Cancelled {
		b.tickets[code].cancelled = true
	}
	for i := range e.Ended.Specs {
		t := b.tickets[e.Ended.Specs[i].Code]
		t.respec(&e.Ended.Specs[i], t.kept)
	}
}

// scan takes in what was done with one ticket.
func (b *Book) scan(e stations.Event) {
	t := b.tickets[e.Ticket]
	switch e.Action {
	case stations.Remake:
		t.cancelled, t.remadeAs = true, e.New
		b.add(e)
	case stations.Scrap:
		b.end(e)
	case stations.Lay, stations.Cut, stations.Flaw, stations.Spoil, stations.Rest:
		b.tell(t, e)
	case stations.Undo:
		if t.told != nil {
			b.untell(t)
		} else {
			t.takeBack(e)
		}
		t.stand(e)
	default:
		t.done(e)
		t.stand(e)
	}
	b.also(e)
	if e.Action != stations.Undo {
		b.hold(e)
	}
}

// also takes in where an event moved other tickets.
func (b *Book) also(e stations.Event) {
	for _, m := range e.Also {
		b.tickets[m.Ticket].moved(m, e)
	}
	if e.Action == stations.Revise {
		b.hold(e)
	}
}

// hold takes in which cutting tickets their cloth holds from now on, or no more.
func (b *Book) hold(e stations.Event) {
	for i := range e.Holds {
		b.tickets[e.Holds[i].Ticket].cloth = e.Holds[i].Reason
	}
}

// tell takes in what was said at the cutting table. It says nothing of the step but whether the cloth holds it, which is
// kept for the undo.
func (b *Book) tell(t *ticket, e stations.Event) {
	told := map[plan.Code]string{}
	for _, h := range e.Holds {
		told[h.Ticket] = b.tickets[h.Ticket].cloth
	}
	t.stand(e)
	t.told = told
}

func (b *Book) untell(t *ticket) {
	for code, was := range t.told {
		b.tickets[code].cloth = was
	}
}

// invoiceOf returns the document on which a panel stands, nil for none: no credit note, and no invoice whose panels a
// credit note has freed.
func (b *Book) standing() map[plan.Code]*invoice.Document {
	freed := map[string]bool{}
	for _, d := range b.documents {
		if d.IsCredit() && d.Number != "" && d.Frees {
			freed[d.RefersTo] = true
		}
	}
	on := map[plan.Code]*invoice.Document{}
	for _, d := range b.documents {
		if d.IsCredit() || d.Number != "" && freed[d.Number] {
			continue
		}
		for _, l := range d.Lines {
			on[l.Ticket] = d
		}
	}
	return on
}

// state is what an order's tickets and their invoices make of it.
func (o *order) state(on map[plan.Code]*invoice.Document) stations.OrderState {
	panel := func(t *ticket) bool { return t.isPanel() }
	open := func(t *ticket) bool { return t.isPanel() && !t.cancelled && t.state != stations.Finished }
	unbilled := func(t *ticket) bool {
		d := on[t.spec.Code]
		return t.bills() && (d == nil || d.Number == "")
	}
	switch {
	case o.cancelled:
		return stations.OrderCancelled
	case !o.released:
		return stations.OrderTaken
	case !slices.ContainsFunc(o.tickets, panel), slices.ContainsFunc(o.tickets, open):
		return stations.OrderReleased
	case slices.ContainsFunc(o.tickets, unbilled), !slices.ContainsFunc(o.tickets, (*ticket).bills):
		return stations.OrderFinished
	}
	return stations.OrderInvoiced
}
