package stations

import (
	"cmp"
	"slices"
	"sync"
	"time"

	"tablehand/engine/billing"
	"tablehand/engine/orderfile"
	"tablehand/stations/invoice"
	"tablehand/stations/layers"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
)

// Floor is everything on the floor at one moment: an immutable value that many may read without locks. New ones
// come from an Overlay and share what it didn't change.
type Floor struct {
	seq      int64
	orders   layers.Map[string, *Order]
	tickets  layers.Map[plan.Code, *Ticket]
	invoices layers.Map[string, *invoice.Document] // by draft
	numbers  layers.Map[string, string]            // of issued invoices, to their drafts
	issued   int                                   // invoices
	credited int                                   // credit notes that are issued
	prices   billing.PriceList
	shelf    shelf.Shelf

	inOrder  func() []*Order            // sorted on first use
	billed   func() []*invoice.Document // likewise
	promises func() map[plan.Code][]shelf.Promise
}

// NewFloor returns a floor with nothing on it.
func NewFloor() *Floor { return (&Floor{}).ready() }

// ready sets the lists that are made on first use.
func (f *Floor) ready() *Floor {
	f.inOrder = sync.OnceValue(f.sortOrders)
	f.billed = sync.OnceValue(f.sortInvoices)
	f.promises = sync.OnceValue(f.gatherPromises)
	return f
}

// Seq is the sequence of the last event applied.
func (f *Floor) Seq() int64 { return f.seq }

// Order returns an order, nil where there is none.
func (f *Floor) Order(id string) *Order { return f.orders.Get(id) }

// Orders returns all orders, by due date (those without one last) and id. The slice is shared: read only.
func (f *Floor) Orders() []*Order { return f.inOrder() }

func (f *Floor) sortOrders() []*Order {
	all := f.orders.All()
	slices.SortFunc(all, func(a, b *Order) int {
		if (a.Due == "") != (b.Due == "") {
			return cmp.Compare(b.Due, a.Due)
		}
		return cmp.Or(cmp.Compare(a.Due, b.Due), cmp.Compare(a.ID, b.ID))
	})
	return all
}

// Ticket returns a ticket, nil where there is none.
func (f *Floor) Ticket(code plan.Code) *Ticket { return f.tickets.Get(code) }

// Prices returns the price list in force.
func (f *Floor) Prices() billing.PriceList { return f.prices }

// Ready returns the panels that can be billed and stand on no invoice, by customer, order and position; without those whose mate
// is held because it differs from them.
func (f *Floor) Ready() []*Ticket {
	var ready []*Ticket
	for _, o := range f.Orders() {
		undecided := o.undecided()
		for _, t := range o.Tickets {
			if t.Billable() && t.Invoice == "" && !undecided[t.Spec.Code] {
				ready = append(ready, t)
			}
		}
	}
	slices.SortStableFunc(ready, func(a, b *Ticket) int {
		return cmp.Or(cmp.Compare(a.Customer, b.Customer), cmp.Compare(a.Order, b.Order))
	})
	return ready
}

// window is one window of an order that a pair hangs at.
type window struct {
	order           string
	treatment, copy int
}

func windowOf(t *Ticket) window { return window{t.Order, t.Spec.Treatment, t.Spec.Copy} }

// AwaitingMates are those of Ready whose windows have another panel that is still being made: a window is billed whole
// unless somebody asks for less.
func (f *Floor) AwaitingMates() map[plan.Code]bool {
	ready := f.Ready()
	making, seen := map[window]bool{}, map[string]bool{}
	for _, t := range ready {
		if seen[t.Order] {
			continue
		}
		seen[t.Order] = true
		for _, m := range f.Order(t.Order).Tickets {
			if m.isPanel() && !m.Cancelled && m.State() != Finished {
				making[windowOf(m)] = true
			}
		}
	}
	awaiting := map[plan.Code]bool{}
	for _, t := range ready {
		if making[windowOf(t)] {
			awaiting[t.Spec.Code] = true
		}
	}
	return awaiting
}

// Invoice returns a draft or an issued invoice by draft id or number, nil where there is none. A draft's lines have
// the prices now in force.
func (f *Floor) Invoice(id string) *invoice.Document {
	if draft := f.numbers.Get(id); draft != "" {
		id = draft
	}
	return f.invoices.Get(id)
}

// Invoices returns all drafts and issued invoices and credit notes, newest first. The slice is shared: read only.
func (f *Floor) Invoices() []*invoice.Document { return f.billed() }

func (f *Floor) sortInvoices() []*invoice.Document {
	all := f.invoices.All()
	slices.SortFunc(all, func(a, b *invoice.Document) int {
		return cmp.Or(b.Drafted.Compare(a.Drafted), cmp.Compare(b.Draft, a.Draft))
	})
	return all
}

// Order is an order on the floor; read only.
type Order struct {
	ID       string
	Customer string
	Due      string // YYYY-MM-DD or ""
	State    OrderState
	Revision int // 1 as taken
	Digest   string
	Taken    time.Time
	Bolts    []plan.NamedBolt   // of its newest file; none of an order that was taken before they were kept
	Apart    []string           // orders whose bolts of the same names are others
	Linked   map[string]string  // by fabric, which of the shop's cloths it is, as the office says: that counts
	Practice orderfile.Practice // what it is worked up with; a revision keeps it, unless it brings it up to the shop's
	Former   []FormerPractice   // what it was worked up with before, oldest first
	Asked    plan.Measuring     // what its tickets ask otherwise than always, as of its release
	Layout   plan.Layout        // by which its tickets are planned whenever they come, as of its release
	Tickets  []*Ticket          // cutting tickets first, then panels in file order
	Received []Receipt          // customers' own pieces that came in, in that order
}

// Receipt says when a customer's own piece came in, and who took it.
type Receipt struct {
	ReceivedPiece
	Ticket  plan.Code // its ticket's, from the release on
	At      time.Time
	By      string // the person, or the device that said so
	Picture string // "" for none
}

// ReceiptOf returns the receipt of a ticket's piece, also of one that was remade since; nil while it hasn't come in.
func (o *Order) ReceiptOf(code plan.Code) *Receipt {
	for code != "" {
		for i := range o.Received {
			if o.Received[i].Ticket == code {
				return &o.Received[i]
			}
		}
		at := slices.IndexFunc(o.Tickets, func(t *Ticket) bool { return t.Spec.Code == code })
		if at < 0 {
			break
		}
		code = o.Tickets[at].Spec.RemadeFrom
	}
	return nil
}

// Worked reports whether somebody has worked on the piece of one of its tickets, or on what that was remade from.
func (o *Order) Worked(code plan.Code) bool {
	return slices.ContainsFunc(o.Tickets, func(t *Ticket) bool { return t.Spec.Code == code && (t.Begun() || t.Spec.RemadeFrom != "") })
}

// ReceiptFor returns the receipt of a piece of an order that isn't released, by what it is called; nil while it hasn't come in.
func (o *Order) ReceiptFor(piece ReceivedPiece) *Receipt {
	for i := range o.Received {
		if o.Received[i].ReceivedPiece == piece {
			return &o.Received[i]
		}
	}
	return nil
}

// FormerPractice is what an order was worked up with until a revision, the last that it holds for.
type FormerPractice struct {
	Until    int
	Practice orderfile.Practice
}

// PracticeAt returns what the order's file of a revision was worked up with.
func (o *Order) PracticeAt(revision int) orderfile.Practice {
	for _, f := range o.Former {
		if revision <= f.Until {
			return f.Practice
		}
	}
	return o.Practice
}

// broughtUp reports whether the order has got another practice since a revision; 0 is none that anybody looked at.
func (o *Order) broughtUp(since int) bool {
	n := len(o.Former)
	return since > 0 && n > 0 && since <= o.Former[n-1].Until
}

// Late reports whether the order is due before today (YYYY-MM-DD in the shop's zone) and not finished.
func (o *Order) Late(today string) bool {
	return (o.State == OrderTaken || o.State == OrderReleased) && PastDue(o.Due, today)
}

// PastDue reports whether a due date ("" for none) lies before today.
func PastDue(due, today string) bool { return due != "" && due < today }

// riskDays is how many days before its due date unfinished work counts as due soon: it then has that day and two more.
// Our own choice, from no published source: the steps' standard minutes ship empty, so the time that is left to do
// can't be reckoned yet.
const riskDays = 2

// AtRisk reports whether the order is on the books and not finished, not late yet, and due within two days of today
// (YYYY-MM-DD in the shop's zone).
func (o *Order) AtRisk(today string) bool {
	return (o.State == OrderTaken || o.State == OrderReleased) && DueSoon(o.Due, today)
}

// DueSoon reports whether a due date ("" for none) is today or within the two days after it.
func DueSoon(due, today string) bool {
	if due == "" || PastDue(due, today) {
		return false
	}
	day, err := time.Parse(time.DateOnly, today)
	return err == nil && due <= day.AddDate(0, 0, riskDays).Format(time.DateOnly)
}

// derivedState is the state of a released order that its tickets show.
func (o *Order) derivedState(document func(id string) *invoice.Document) OrderState {
	panels, billable, issued := 0, 0, 0
	for _, t := range o.Tickets {
		if !t.isPanel() {
			continue
		}
		panels++
		switch {
		case t.Billable():
			billable++
			if i := document(t.Invoice); i != nil && i.Number != "" {
				issued++
			}
		case t.Cancelled:
		default:
			return OrderReleased
		}
	}
	switch {
	case panels == 0:
		return OrderReleased
	case billable > 0 && issued == billable:
		return OrderInvoiced
	}
	return OrderFinished
}

// Planned is what a command does to a floor, worked out beforehand on that floor: thousands of tickets are planned beside
// whoever keeps the floor's events in order, who then only looks whether it still holds.
type Planned struct {
	Event   Event    // its Seq and At are settled when it is kept
	Refused *Refusal // instead of an event

	order string
	bolts []plan.NamedBolt // that the order is cut from, before or after
	ways  shelf.Ways       // by which it is cut from the shelf's
	on    *Floor
	after *Overlay // the floor with the event; nil once it is kept
}

// IsLarge reports whether a command is about all of an order's tickets, so that it is better planned.
func IsLarge(cmd Command) bool {
	switch cmd.(type) {
	case ReleaseOrder, ReviseOrder:
		return true
	}
	return false
}

// Plan decides a large command on the floor as it is, and what the floor is with it.
func (f *Floor) Plan(cmd Command, now time.Time) *Planned {
	p := &Planned{on: f, after: f.Overlay()}
	switch c := cmd.(type) {
	case ReleaseOrder:
		p.order, p.bolts, p.ways = c.Order, c.Bolts, c.Ways
	case ReviseOrder:
		p.order, p.bolts, p.ways = c.Order, plan.NamedBolts(c.Sheet.Work), c.Sheet.Ways
	default:
		panic("stations: a command that isn't planned")
	}
	if o := f.Order(p.order); o != nil {
		p.bolts = slices.Concat(p.bolts, o.bolts(&f.shelf))
	}
	e := Event{At: stamp(now), Action: cmd.action()}
	if p.Refused = p.after.decide(cmd, &e); p.Refused == nil {
		p.after.Apply(e)
		p.Event = e
	}
	return p
}

// Keep takes what was planned for the overlay's own, as of now, and returns its event, or its refusal. ok is false, and
// nothing is done, where something that it was planned by has changed since: the order or one of its tickets, the bolts
// that others are cut from, a code that it draws.
func (o *Overlay) Keep(p *Planned, now time.Time, seq int64) (e Event, refused *Refusal, ok bool) {
	if p.after == nil || !o.holds(p) {
		return Event{}, nil, false
	}
	if p.Refused != nil {
		return Event{}, p.Refused, true
	}
	e = p.Event
	e.Seq, e.At = seq, stamp(now)
	for code, t := range p.after.tickets {
		if t.Changed.Equal(p.Event.At) {
			t.Changed = e.At
		}
		o.tickets[code] = t
	}
	o.orders[p.order] = p.after.orders[p.order]
	if e.Action == Release {
		o.shelf.EndKeep(p.order, seq)
	}
	o.seq = seq
	p.after = nil // they are the overlay's, which may change them
	return e, nil, true
}

// holds reports whether a plan's command would be decided here as it was.
func (o *Overlay) holds(p *Planned) bool {
	if o.order(p.order) != p.on.Order(p.order) {
		return false
	}
	for i := range p.Event.Tickets {
		if o.used(p.Event.Tickets[i].Code) {
			return false
		}
	}
	if !o.standing(p.on.Order(p.order), p.Event.Lays(), p.ways) {
		return false
	}
	if len(p.bolts) == 0 {
		return true
	}
	named := map[plan.NamedBolt]bool{}
	for _, b := range p.bolts {
		named[b.Name()] = true
	}
	were := map[string]*Order{}
	for _, other := range p.on.Overlay().others(p.order) {
		were[other.ID] = other
	}
	for _, other := range o.others(p.order) {
		was := were[other.ID]
		delete(were, other.ID)
		if was != other && !slices.Equal(was.cutFrom(named, &p.on.shelf), other.cutFrom(named, o.shelf)) {
			return false
		}
	}
	for _, gone := range were {
		if len(gone.cutFrom(named, &p.on.shelf)) > 0 {
			return false
		}
	}
	return true
}

// cutFrom are those of an order's bolts that are named; nil has none.
func (o *Order) cutFrom(named map[plan.NamedBolt]bool, on bolted) []plan.NamedBolt {
	if o == nil {
		return nil
	}
	return slices.DeleteFunc(slices.Clone(o.bolts(on)), func(b plan.NamedBolt) bool { return !named[b.Name()] })
}

// stamp is an instant as an event has it.
func stamp(now time.Time) time.Time { return now.UTC().Truncate(time.Microsecond) }
