package stations

import (
	"cmp"
	"maps"
	"slices"
	"time"

	"tablehand/engine/orderfile"
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
	Key    string     // as of a scan; "" for none
	At     *time.Time `json:",omitempty"`
	Person string
	Rows   []shelf.Receipt
	Asked  []shelf.Receipt `json:"-"` // the rows as they were sent: what is filled in since may be otherwise when they are sent again
	Again  bool            // pass over that a supplier's piece has come in before
}

// LinkCloth says which of the shop's cloths a fabric of an order is.
type LinkCloth struct {
	Actor   Actor
	Key     string // as of a scan; "" for none
	At      *time.Time
	Order   string
	Fabric  string
	Cloth   string   // the book's key; "" as the file says
	Differs []string // what the file has otherwise than the book: there has to be a reason
	Reason  string
	Person  string
	Sheet   Sheet // the order's newest file; no work-up while it isn't released
}

// MergeCloth has two of the shop's cloths be one, which was kept in the book twice.
type MergeCloth struct {
	Actor   Actor
	Key     string   // as of a scan; "" for none
	Cloth   string   // the book's key
	Into    string   // of the one that stays
	Differs []string // what the two have otherwise: there has to be a reason
	Reason  string
	Person  string
}

func (MergeCloth) action() Action   { return Merge }
func (c MergeCloth) actor() Actor   { return c.Actor }
func (LinkCloth) action() Action    { return Link }
func (c LinkCloth) actor() Actor    { return c.Actor }
func (c Handle) action() Action     { return Action(c.Command.Action) }
func (ReceiveBolts) action() Action { return Receive }

func (c Handle) actor() Actor       { return c.Actor }
func (c ReceiveBolts) actor() Actor { return c.Actor }

// officeDecides are what only the office does with cloth.
var officeDecides = []shelf.Action{shelf.Keep, shelf.FreeBolt, shelf.ReleaseCloth, shelf.BeginCount, shelf.Settle}

func (o *Overlay) decideHandle(c Handle, e *Event) *Refusal {
	if slices.Contains(officeDecides, c.Command.Action) && !mayDecide(c.Actor) {
		return refuse("forbidden", "")
	}
	if b := o.shelf.Bolt(c.Bolt); b != nil && c.Command.Action == shelf.Undo {
		if t := o.toldAt(b); t != nil { // the ticket's too: both go back
			return o.decideScan(Scan{Actor: c.Actor, Ticket: t.Spec.Code, Action: Undo, At: c.At, Person: c.Person}, e)
		}
	}
	around := o.around(c.Actor, c.Person, e.At)
	around.Promised = o.promised(c.Bolt)
	if order := o.order(c.Order); order != nil {
		around.Customer = order.Customer
	}
	if r := cmp.Or(o.keptFor(c), o.theTickets(c)); r != nil {
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

// theTickets refuses to do or to take back at a bolt what is a cutting ticket's too: that is told of the ticket.
func (o *Overlay) theTickets(c Handle) *Refusal {
	tickets := append(slices.Clone(c.Tickets), c.Ticket)
	if b := o.shelf.Bolt(c.Bolt); b != nil && c.Command.Action == shelf.Undo {
		tickets = b.Told()
	}
	for _, code := range tickets {
		if t := o.ticket(code); t != nil {
			r := t.refuse("undo_overtaken", "bolt")
			r.Where = &Place{Station: plan.Cutting, Tickets: []plan.Code{code}}
			return r
		}
	}
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
	for i := range c.Rows {
		if r := o.underTheShears(c.Rows[i].From); r != nil {
			r.Row = i
			return r
		}
	}
	told, refused := o.shelf.Receive(c.Rows, c.Again, o.around(c.Actor, c.Person, e.At))
	if refused != nil {
		return ofShelf(refused)
	}
	e.Actor, e.DeviceAt, e.Person, e.Shelf = c.Actor, c.At, c.Person, &told
	if len(told.Came) == 1 {
		e.Bolt = string(told.Came[0].Bolt)
	}
	return nil
}

// underTheShears refuses a bolt of an order's file that is being cut, nobody saying how far.
func (o *Overlay) underTheShears(from *shelf.Origin) *Refusal {
	if from == nil || o.order(from.Order) == nil {
		return nil
	}
	for _, t := range o.order(from.Order).Tickets {
		lies := func(l plan.Cut) bool { return l.Bolt == from.Bolt }
		if t.Spec.Fabric == from.Fabric && t.At == 0 && t.cutInto() && !t.told && slices.ContainsFunc(t.Spec.Cuts, lies) {
			r := t.refuse("on_table", "from")
			r.Args["Bolt"] = from.Bolt
			return r
		}
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
	all := map[plan.Code][]shelf.Promise{}
	for _, order := range f.orders.All() {
		for _, t := range order.Tickets {
			t.promises(&f.shelf, f.shelf.Called(), all)
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
	for code := range o.laid {
		tickets[code] = true
	}
	for code := range tickets {
		t := o.ticket(code)
		if _, moved := o.laid[code]; moved {
			s := o.asLaid(t)
			t = t.copy()
			t.Spec = &s
		}
		t.promises(o.shelf, called, all)
	}
	byMark(all[bolt])
	return all[bolt]
}

// ClothOf is which of the shop's cloths a fabric of the order is, "" for none: as the office says, else as the file does.
func (o *Order) ClothOf(f *orderfile.Fabric) string { return cmp.Or(o.Linked[f.ID], f.Cloth) }

// decideLink says which of the shop's cloths a fabric is, before any of it is cut. What is to be cut of it is laid out anew.
func (o *Overlay) decideLink(c LinkCloth, e *Event) *Refusal {
	order := o.order(c.Order)
	switch {
	case !mayDecide(c.Actor):
		return refuse("forbidden", "")
	case order == nil:
		return refuse("not_found", "order", "Order", c.Order)
	case order.State == OrderCancelled:
		return refuse("cancelled", "order", "Order", c.Order)
	case !order.unfinished():
		return refuse("finished", "order", "Order", c.Order)
	case len(c.Differs) > 0 && blank(c.Reason):
		return refuse("cloth_differs", "reason", "Fabric", c.Fabric, "Cloth", c.Cloth, "Into", "", "Fields", c.Differs)
	}
	var open *Ticket
	for _, t := range order.Tickets {
		if t.isPanel() || t.Cancelled || t.Spec.Fabric != c.Fabric {
			continue
		}
		if t.cutInto() {
			r := t.refuse("already_cut", "fabric")
			r.Args["Link"] = true
			r.Where = &Place{Station: plan.Cutting, Tickets: []plan.Code{t.Spec.Code}}
			return r
		}
		open = t
	}
	e.Actor, e.DeviceAt, e.Person, e.Order, e.Fabric, e.Cloth, e.Differs, e.Reason = c.Actor, c.At, c.Person, c.Order, c.Fabric, o.shelf.Joined(c.Cloth), c.Differs, c.Reason
	if open == nil {
		return nil
	}
	if c.Sheet.Work == nil || c.Sheet.Digest != order.Digest || order.broughtUp(c.Sheet.Revision) {
		return refuse("busy", "") // revised while its file was read
	}
	linked := *o // as it will be
	linked.orders = maps.Clone(o.orders)
	linked.orders[order.ID] = order.linked(c.Fabric, e.Cloth)
	return linked.layAnew(open.copy(), &c.Sheet, e)
}

// linked is the order with a fabric linked.
func (o *Order) linked(fabric, cloth string) *Order {
	now := *o
	if now.Linked = maps.Clone(o.Linked); now.Linked == nil {
		now.Linked = map[string]string{}
	}
	now.Linked[fabric] = cloth
	if cloth == "" {
		delete(now.Linked, fabric)
	}
	return &now
}

func (o *Overlay) applyLink(e Event) {
	order := o.ownOrder(e.Order)
	order.Linked = order.linked(e.Fabric, e.Cloth).Linked
	o.relaid(e)
	o.applyHolds(e)
}

// Knows reports whether a bolt, or an order that the office linked, is of a cloth.
func (f *Floor) Knows(cloth string) bool {
	linked := func(o *Order) bool { return slices.Contains(slices.Collect(maps.Values(o.Linked)), cloth) }
	return slices.ContainsFunc(f.shelf.Bolts(), func(b *shelf.Bolt) bool { return b.Cloth == cloth }) || slices.ContainsFunc(f.Orders(), linked)
}

// decideMerge has a cloth's bolts and the orders that the office linked with it go by another. Bolts stay where they are, on the table too, and
// what is promised from them stays promised.
func (o *Overlay) decideMerge(c MergeCloth, e *Event) *Refusal {
	switch from, into := o.shelf.Joined(c.Cloth), o.shelf.Joined(c.Into); {
	case !mayDecide(c.Actor):
		return refuse("forbidden", "")
	case from == into:
		return refuse("bad_value", "into", "Name", "into", "Value", c.Into)
	case len(c.Differs) > 0 && blank(c.Reason):
		return refuse("cloth_differs", "reason", "Fabric", "", "Cloth", c.Cloth, "Into", c.Into, "Fields", c.Differs)
	default:
		told := o.shelf.Merge(from, into)
		e.Actor, e.Person, e.Cloth, e.Differs, e.Reason, e.Shelf = c.Actor, c.Person, into, c.Differs, c.Reason, &told
		return nil
	}
}

// applyMerge has what orders were linked with go by the cloth that stays.
func (o *Overlay) applyMerge(e Event) {
	all := o.base.orders.Merged()
	maps.Copy(all, o.orders)
	for id, order := range all {
		for fabric, cloth := range order.Linked {
			if cloth == e.Shelf.Cloth {
				own := o.ownOrder(id)
				own.Linked = own.linked(fabric, e.Shelf.Into).Linked
			}
		}
	}
}
