package stations

import (
	"slices"

	"tablehand/stations/plan"
	"tablehand/stations/revision"
)

// decideRevise replaces an order's file. Before the release that is all. After it the new file's panels are matched
// with the tickets there are, and each ticket follows as far as cloth and work allow; nothing changes under the hands
// of somebody at work:
//
//   - A window is the same when it has its name and room, among those of one name in their order; or under another name
//     when all its numbers are the same. Within it panels go by copy and side.
//   - A panel whose cloth isn't cut, or is cut alike and not begun, takes all its new numbers. One that is begun keeps
//     those of the steps done, and of later steps what hangs together with them (see blend). One whose cloth is cut
//     otherwise than it is wanted now stays as it was released: the office sends it back, if the cloth suffices, or has
//     it remade.
//   - A new panel gets a new ticket. One that the file doesn't have any more is cancelled, or, once its cloth is cut,
//     stays and says so.
//   - A cutting ticket that nobody has begun is laid out anew in place; one begun or done stays, and what is to be cut
//     beyond it is on another ticket of the fabric, from what is left of the bolts, the lot of the same window first.
//     Cloth that is short or mixed there for what is newly wanted is refused unless the office overrides, as at the
//     release. Where only the bolts are others, or were not known before, the file tells what is so: it is taken, and the
//     ticket is held until the office decides.
//   - Codes stay: an old label leads to the same panel.
func (o *Overlay) decideRevise(c ReviseOrder, e *Event) *Refusal {
	order := o.order(c.Order)
	if r := o.notRevisable(order, c); r != nil {
		return r
	}
	file := c.Sheet.Work.Order
	e.Actor, e.Order = c.Actor, c.Order
	e.Revised = &Revised{Revision: order.Revision + 1, Customer: file.Customer, Due: file.Due, Digest: c.Sheet.Digest, Bolts: plan.NamedBolts(c.Sheet.Work),
		Practice: c.Practice}
	if order.State == OrderTaken {
		return nil
	}
	r := o.revise(order, c.Sheet, e)
	if len(r.short)+len(r.mixed) > 0 || c.Override && r.lacking() {
		if refusal := clothRefused(c.Actor, c.Override, c.Reason, c.Order, r.short, r.mixed, r.lack); refusal != nil {
			return refusal
		}
		r.goOn(c.Reason)
	}
	shared := o.shared(c.Order, r.boltsAfter())
	if refusal := boltShared(c.Actor, c.Override, c.Reason, c.Order, shared); refusal != nil {
		return refusal
	}
	if len(shared) > 0 {
		e.Override, e.Reason, e.Apart = true, c.Reason, names(shared)
	}
	for _, h := range r.holds {
		o.holdByCloth(e, h)
	}
	r.letStart()
	if !o.standing(order, e.Lays(), c.Sheet.Ways) {
		return refuse("busy", "")
	}
	return o.unknown(e.Tickets)
}

// notRevisable refuses an order that takes no new file.
func (o *Overlay) notRevisable(order *Order, c ReviseOrder) *Refusal {
	switch {
	case order == nil:
		return refuse("not_found", "order", "Order", c.Order)
	case c.Sheet.Work.Order.ID != c.Order:
		return refuse("bad_value", "order", "Name", "order", "Value", c.Sheet.Work.Order.ID)
	case order.State == OrderCancelled:
		return refuse("cancelled", "order", "Order", c.Order)
	case order.State == OrderInvoiced:
		return refuse("already_invoiced", "order", "Order", c.Order)
	case order.State == OrderFinished:
		return refuse("finished", "order", "Order", c.Order)
	case order.State == OrderReleased && blank(c.Sheet.Work.Order.Customer) && !blank(order.Customer):
		return customerMissing(c.Order)
	case c.From != 0 && c.From != order.Revision:
		return refuse("revised_meanwhile", "", "Order", c.Order, "Revision", order.Revision)
	case order.broughtUp(c.Sheet.Revision):
		return refuse("busy", "") // the new file was worked out by what the order was worked up with before
	}
	for _, t := range order.Tickets {
		if t.Invoice != "" && order.Customer != c.Sheet.Work.Order.Customer {
			return t.refuse("already_invoiced", "customer") // it is billed to the customer of before
		}
	}
	if c.UpToDate {
		return refuse("up_to_date", "", "Order", c.Order)
	}
	return nil
}

// clothRefused refuses cloth that is short or of mixed lots, unless the office passes over that for a reason.
func clothRefused(actor Actor, override bool, reason, order string, short, mixed []string, lack ClothLack) *Refusal {
	switch {
	case override && !mayDecide(actor):
		return refuse("forbidden", "override")
	case override && blank(reason):
		return refuse("reason_missing", "reason")
	case override:
		return nil
	case len(short) > 0:
		return lack.on(refuse("fabric_short", "", "Order", order, "Fabrics", short))
	}
	return lack.on(refuse("lots_mixed", "", "Order", order, "Fabrics", mixed))
}

// unknown refuses codes that were drawn twice: the next draw will do.
func (o *Overlay) unknown(tickets []plan.Ticket) *Refusal {
	for i := range tickets {
		if o.ticket(tickets[i].Code) != nil {
			return refuse("busy", "")
		}
	}
	return nil
}

// revising is a released order being held against a new file.
type revising struct {
	*Overlay
	order  *Order
	sheet  Sheet
	out    *Event
	panels []*pairing             // of the new file, in its order
	by     map[plan.Code]*pairing // likewise
	ended  map[plan.Code]int      // panels that are scrapped, and their treatments in the new file
	gone   map[plan.Code]bool     // panels that the file doesn't have; true where their cloth is cut
	who    map[plan.Seat]plan.Code
	has    revision.Pieces // what is cut for the panels, or to be cut as the order stands
	asks   revision.Pieces // what the new file wants for them
	made   revision.Places // what is cut for the panels, or may be; nil until it is asked for
	placed revision.Places // the pieces that the file wants for them

	short, mixed []string    // fabrics that don't do for what is newly wanted
	lack         ClothLack   // of those
	holds        []ClothHold // what the bolts lack for tickets there are, or no more

	away   map[int]int // what nowhere has given
	lowest int
}

// pairing is a panel of the new file with its ticket, nil for a new one.
type pairing struct {
	want  plan.Ticket
	t     *Ticket
	now   plan.Ticket // what stands on the ticket afterwards
	cloth bool        // its cloth stays as it is cut, or planned with what is
	kept  bool        // something of it isn't as the file wants it
}

// revise fills the event in with all that the new file changes.
func (o *Overlay) revise(order *Order, sheet Sheet, e *Event) *revising {
	r := &revising{Overlay: o, order: order, sheet: sheet, out: e, by: map[plan.Code]*pairing{}, gone: map[plan.Code]bool{}, ended: map[plan.Code]int{},
		who: map[plan.Seat]plan.Code{}, has: revision.Pieces{}, asks: revision.Pieces{}, placed: revision.Places{}}
	r.pair()
	for i := range sheet.Work.Cloth {
		fabric := sheet.Work.Cloth[i].Fabric.ID
		lines := plan.ClothOf(sheet.Work, &sheet.Work.Cloth[i]).Lines(sheet.Work, r.who)
		r.asks.Add(fabric, lines)
		for k := range lines {
			r.placed.Add(fabric, &lines[k], func(plan.Code) bool { return true })
		}
	}
	for _, t := range order.Tickets {
		if !t.isPanel() && !t.Cancelled {
			r.has.Add(t.Spec.Fabric, t.Spec.Cuts)
		}
	}
	for _, p := range r.panels {
		r.renumber(p)
	}
	for _, t := range order.Tickets {
		if _, gone := r.gone[t.Spec.Code]; gone {
			r.remove(t)
		}
		r.seatEnded(t)
	}
	r.recut()
	r.move()
	return r
}

// pair finds the tickets of the new file's panels, and those that it has no panel for.
func (r *revising) pair() {
	places := map[plan.Seat]*Ticket{}
	for _, t := range r.order.Tickets {
		switch {
		case t.isPanel() && t.Scrapped:
			places[plan.SeatOf(t.Spec)] = t
		case t.isPanel() && !t.Cancelled:
			places[plan.SeatOf(t.Spec)] = t
			r.gone[t.Spec.Code] = r.cutFor(t)
		}
	}
	planned := plan.Panels(r.sheet.Work, r.order.Layout)
	r.order.Asked.Set(planned)
	var were []revision.Panel
	for _, t := range r.order.Tickets {
		if t.isPanel() && (!t.Cancelled || t.Scrapped) {
			were = append(were, revision.Panel{Ticket: t.Spec, Newest: places[plan.SeatOf(t.Spec)].newest()})
		}
	}
	old := revision.SameWindows(were, planned)
	for i := range planned {
		p := &pairing{want: planned[i]}
		p.want.Revision = r.out.Revised.Revision
		if treatment, known := old[p.want.Treatment]; known {
			p.t = places[plan.Seat{Treatment: treatment, Copy: p.want.Copy, Panel: p.want.Panel}]
		}
		if p.t != nil && p.t.Scrapped { // it has ended: the file may still have it, but nobody makes it
			r.ended[p.t.Spec.Code] = p.want.Treatment
			continue
		}
		if p.t == nil {
			p.want.Code = r.sheet.Codes()
		} else {
			p.want.Code, p.want.RemadeFrom = p.t.Spec.Code, p.t.Spec.RemadeFrom
			delete(r.gone, p.want.Code)
		}
		r.who[plan.SeatOf(&p.want)] = p.want.Code
		r.panels = append(r.panels, p)
		r.by[p.want.Code] = p
	}
}

func (o *Overlay) applyRevise(e Event) {
	order := o.ownOrder(e.Order)
	rev := e.Revised
	if rev.Practice != nil {
		order.Former = append(slices.Clone(order.Former), FormerPractice{order.Revision, order.Practice})
		order.Practice = rev.Practice
	}
	order.Revision, order.Digest, order.Bolts = rev.Revision, rev.Digest, rev.Bolts
	order.Apart = union(order.Apart, e.Apart)
	words := order.Customer != rev.Customer || order.Due != rev.Due
	order.Customer, order.Due = rev.Customer, rev.Due
	changed := map[plan.Code]bool{}
	for _, c := range rev.Changed {
		changed[c.Ticket] = true
	}
	for i := range rev.Specs {
		code := rev.Specs[i].Spec.Code
		t := o.ownTicket(code)
		if changed[code] {
			t = o.touch(code, e.At)
		}
		t.respec(&rev.Specs[i])
	}
	for _, code := range rev.Dropped {
		o.touch(code, e.At).Cancelled = true
	}
	o.add(order, e.Tickets, e)
	for _, m := range e.Also {
		o.applyCloth(m, e)
	}
	o.applyHolds(e)
	for i := 0; words && i < len(order.Tickets); i++ {
		t := o.ownTicket(order.Tickets[i].Spec.Code)
		t.Customer, t.Due = order.Customer, order.Due
	}
	o.settle(e.Order)
}
