package stations

import (
	"slices"

	"tablehand/stations/plan"
)

// CloseOrder ends an order after cutting began: what isn't finished is made no more.
type CloseOrder struct {
	Actor  Actor
	Key    string // as of a scan; "" for none
	Order  string
	Reason string
}

func (CloseOrder) action() Action { return Close }
func (c CloseOrder) actor() Actor { return c.Actor }

// Ended is what an event that ends panels does to the tickets of an order. Each of them is cancelled from then on.
type Ended struct {
	// Scrapped are panels whose cloth is cut, or may be.
	Scrapped []plan.Code `json:"scrapped,omitempty"`
	// Billable: they are ready to invoice although they aren't finished. Else they are never billed.
	Billable bool `json:"billable,omitempty"`
	// Cancelled are panels of which nothing is cut, and cutting tickets that have nothing to cut any more.
	Cancelled []plan.Code `json:"cancelled,omitempty"`
	// Specs are cutting tickets less the pieces that need not be cut any more.
	Specs []plan.Ticket `json:"specs,omitempty"`
}

// decideScrap ends a panel once its cloth is being cut: before that a revision takes it off the order. Whether it is
// billed has to be said.
func (o *Overlay) decideScrap(t *Ticket, c Scan, e *Event) *Refusal {
	switch {
	case !mayDecide(c.Actor):
		return refuse("forbidden", "")
	case !t.isPanel():
		return t.refuse("not_a_panel", "ticket")
	case t.Cancelled:
		return t.refuse("cancelled", "ticket")
	case t.Invoice != "":
		return t.refuse("already_invoiced", "ticket")
	case !o.begunToCut(t):
		return t.refuse("nothing_cut", "ticket")
	case c.Billable == nil:
		return refuse("missing_key", "billable", "Name", "billable")
	case blank(c.Reason):
		return refuse("reason_missing", "reason")
	}
	e.Station, e.State, e.Reason = t.Station(), Cancelled, c.Reason
	e.Ended = o.ending(o.order(t.Order), map[plan.Code]bool{t.Spec.Code: true})
	e.Ended.Billable = *c.Billable
	e.Also = o.freed(t) // its mate may be held for what it measured
	return nil
}

// decideClose ends an order that is on the floor and partly cut. Before any cut it is cancelled instead.
func (o *Overlay) decideClose(c CloseOrder, e *Event) *Refusal {
	order := o.order(c.Order)
	switch {
	case order == nil:
		return refuse("not_found", "order", "Order", c.Order)
	case order.State == OrderTaken:
		return refuse("not_released", "order", "Order", c.Order)
	case order.State == OrderCancelled:
		return refuse("cancelled", "order", "Order", c.Order)
	case order.State == OrderInvoiced:
		return refuse("already_invoiced", "order", "Order", c.Order)
	case order.State == OrderFinished:
		return refuse("finished", "order", "Order", c.Order)
	case !slices.ContainsFunc(order.Tickets, func(t *Ticket) bool { return !t.Spec.IsCut() && t.cutInto() }):
		return refuse("nothing_cut", "order", "Order", c.Order)
	case blank(c.Reason):
		return refuse("reason_missing", "reason")
	}
	open := map[plan.Code]bool{}
	for _, t := range order.Tickets {
		if t.isPanel() && t.Current() != nil {
			open[t.Spec.Code] = true
		}
	}
	e.Actor, e.Order, e.Reason = c.Actor, c.Order, c.Reason
	e.Ended = o.ending(order, open)
	for _, t := range order.Tickets { // nothing is cut for nobody
		if code := t.Spec.Code; !t.isPanel() && t.Current() != nil && !slices.Contains(e.Ended.Cancelled, code) {
			e.Ended.Cancelled = append(e.Ended.Cancelled, code)
		}
	}
	e.Ended.Specs = nil
	return nil
}

// begunToCut reports whether any of a panel's cloth is cut, or may be; of a piece without cloth whether its work has begun.
func (o *Overlay) begunToCut(panel *Ticket) bool {
	if !panel.Spec.IsCut() {
		return panel.Begun()
	}
	return slices.ContainsFunc(o.cutters(panel), (*Ticket).cutInto)
}

// BegunToCut reports whether any of a panel's cloth is cut, or may be: from then on the panel can be scrapped.
func (f *Floor) BegunToCut(panel *Ticket) bool { return f.Overlay().begunToCut(panel) }

// UntoldCut reports whether a ticket's cloth is being cut at a table where nobody has told a cut yet. Which pieces are
// made isn't known there, so all of them count as cut.
func (f *Floor) UntoldCut(t *Ticket) bool {
	return t.untold() || slices.ContainsFunc(f.Cutters(t), (*Ticket).untold)
}

// untold reports whether a cutting is at work and nothing is known of what is cut.
func (t *Ticket) untold() bool { return !t.isPanel() && t.Current() != nil && t.cutInto() && !t.told }

// ending is what becomes of an order's tickets when panels end. A piece that is only theirs and known not to be cut need
// not be: it goes off its cutting ticket, and the other cuts stay where they lie. At a table where nobody tells each cut
// nobody knows which are made, so there the ticket stays as it is; and so does one that its cloth holds, as the office
// decides on what it says.
func (o *Overlay) ending(order *Order, ends map[plan.Code]bool) *Ended {
	e := &Ended{}
	for _, t := range order.Tickets {
		switch {
		case t.isPanel() && ends[t.Spec.Code] && o.begunToCut(t):
			e.Scrapped = append(e.Scrapped, t.Spec.Code)
		case t.isPanel() && ends[t.Spec.Code]:
			e.Cancelled = append(e.Cancelled, t.Spec.Code)
		case t.isPanel() || t.Current() == nil || t.heldByCloth() || t.untold():
		default:
			s := t.without(ends)
			switch {
			case s == nil:
			case len(s.Cuts) == 0:
				e.Cancelled = append(e.Cancelled, t.Spec.Code)
			default:
				e.Specs = append(e.Specs, *s)
			}
		}
	}
	return e
}

// without is a cutting ticket less the uncut pieces of panels, nil where it has none.
func (t *Ticket) without(panels map[plan.Code]bool) *plan.Ticket {
	s := *t.Spec
	s.Cuts = nil
	changed := false
	for _, l := range t.Spec.Cuts {
		parts := l.For
		if !l.Done {
			parts = slices.DeleteFunc(slices.Clone(l.For), func(p plan.CutPart) bool { return panels[p.Ticket] })
		}
		changed = changed || len(parts) != len(l.For)
		if l.For = parts; len(parts) > 0 {
			s.Cuts = append(s.Cuts, l)
		}
	}
	if !changed {
		return nil
	}
	s.Steps = slices.Clone(s.Steps)
	s.NumberCuts()
	return &s
}

// applyEnded does what an event says of panels that end.
func (o *Overlay) applyEnded(e Event) {
	for _, code := range e.Ended.Scrapped {
		t := o.touch(code, e.At)
		t.Cancelled, t.Scrapped, t.BillsScrap = true, true, e.Ended.Billable
	}
	for _, code := range e.Ended.Cancelled {
		o.touch(code, e.At).Cancelled = true
	}
	for i := range e.Ended.Specs {
		t := o.touch(e.Ended.Specs[i].Code, e.At)
		t.respec(&Renumbered{Spec: e.Ended.Specs[i], Kept: t.Kept})
	}
	o.assignCloth(o.ownOrder(e.Order))
}

// Billable reports whether a panel can stand on an invoice: it is finished, or was scrapped and is billed all the same.
func (t *Ticket) Billable() bool {
	return t.isPanel() && (t.State() == Finished || t.Scrapped && t.BillsScrap)
}
