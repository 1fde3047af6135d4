package stations

import (
	"slices"

	"tablehand/engine/cutting"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
	"tablehand/stations/revision"
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

// notEnded refuses to end what is no panel, or has ended already, and an actor that doesn't decide.
func notEnded(t *Ticket, c Scan) *Refusal {
	switch {
	case !mayDecide(c.Actor):
		return refuse("forbidden", "")
	case !t.isPanel():
		return t.refuse("not_a_panel", "ticket")
	case t.Cancelled:
		return t.refuse("cancelled", "ticket")
	}
	return nil
}

// decideScrap ends a panel once its cloth is being cut: before that a revision takes it off the order. Whether it is
// billed has to be said.
func (o *Overlay) decideScrap(t *Ticket, c Scan, e *Event) *Refusal {
	if r := notEnded(t, c); r != nil {
		return r
	}
	switch {
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

// decideRemake cancels a held panel and makes it anew: a new ticket of the same window, copy and side with the numbers
// of the order's newest file, and a cutting ticket for its pieces of each fabric. Before anybody promises it, their
// cloth is looked for in what the order's cutting tickets leave of the bolts, in the lots that the window has already:
// short or mixed cloth is refused unless the office overrides for the reason given.
//
// It is for a panel held out of tolerance, and for one that was held for any other reason once its cloth was cut: a
// damage is found by people, not by tape measures.
func (o *Overlay) decideRemake(t *Ticket, c Scan, e *Event) *Refusal {
	if r := notRemade(t, c); r != nil {
		return r
	}
	order := o.order(t.Order)
	if !o.hasSheet(t, c) {
		return refuse("busy", "") // the order was revised while its cloth was looked for
	}
	again := o.plannedAgain(t, c.Sheet)
	if again == nil {
		return t.refuse("not_in_order", "ticket")
	}
	again.Code, again.RemadeFrom, again.Revision = c.Sheet.Codes(), t.Spec.Code, order.Revision
	cuts, short, mixed, lack := o.cutAgain(order, c.Sheet, again)
	if len(short)+len(mixed) > 0 {
		if r := clothRefused(c.Actor, c.Override, c.Reason, t.Order, short, mixed, lack); r != nil {
			return r
		}
		e.Override = true
	}
	e.Tickets = append(cuts, *again)
	order.Asked.Set(e.Tickets)
	if r := o.unknown(e.Tickets); r != nil {
		return r
	}
	e.Station, e.State, e.Reason, e.New = t.Station(), Cancelled, c.Reason, again.Code
	e.Also = o.freed(t)
	for i := range cuts {
		e.Also = append(e.Also, Moved{Ticket: cuts[i].Code, Station: plan.Cutting, State: Ready})
	}
	return nil
}

// notRemade refuses a ticket that isn't a held panel with cut cloth, or an actor that doesn't decide.
func notRemade(t *Ticket, c Scan) *Refusal {
	if r := notEnded(t, c); r != nil {
		return r
	}
	switch {
	case t.State() != Held:
		return t.refuse("not_held", "ticket")
	case t.At == 0 && t.Spec.IsCut():
		return t.refuse("not_ready", "ticket")
	case blank(c.Reason):
		return refuse("reason_missing", "reason")
	}
	return nil
}

// plannedAgain is a panel's ticket as the newest file has it, nil where it has it no more.
func (o *Overlay) plannedAgain(t *Ticket, sheet *Sheet) *plan.Ticket {
	planned := plan.Panels(sheet.Work, o.order(t.Order).Layout)
	i := slices.IndexFunc(planned, func(s plan.Ticket) bool { return plan.SeatOf(&s) == plan.SeatOf(t.Spec) })
	if i < 0 {
		return nil
	}
	return &planned[i]
}

// cutAgain makes the cutting tickets of a panel that is remade, and names the fabrics whose cloth is short or mixed.
func (o *Overlay) cutAgain(order *Order, sheet *Sheet, panel *plan.Ticket) (tickets []plan.Ticket, short, mixed []string, lack ClothLack) {
	for i := range sheet.Work.Cloth {
		layout := &sheet.Work.Cloth[i]
		cuts := cutsFor(layout, panel)
		if len(cuts) == 0 {
			continue
		}
		group := sheet.Work.LotGroup(panel.Treatment)
		taken, lots := o.cutOff(order, layout.Fabric.ID, func(p *Ticket) bool { return sheet.Work.LotGroup(p.Spec.Treatment) == group })
		known := o.boltsOf(order, layout.Fabric.ID, nil)
		layout = withBolts(layout, known.on(o.withShelf(order, layout.Fabric, sheet.Ways)))
		spoken := o.spoken(order, layout)
		laid := layout.Relay(cuts, together(taken, spoken), map[int][]string{group: lots})
		switch {
		case len(laid.Plan.Unplaced) > 0:
			short = append(short, layout.Fabric.ID)
		case len(laid.Plan.Mixed) > 0:
			mixed = append(mixed, layout.Fabric.ID)
		}
		if len(laid.Plan.Unplaced)+len(laid.Plan.Mixed) > 0 {
			lack.add(laid, together(taken, spoken), sheet.Work.Order.Units)
		}
		of := plan.ClothOf(sheet.Work, laid)
		of.Taken, of.Spoken = spansOf(taken, laid.Plan.Placements), spoken
		t := of.Part(sheet.Work, sheet.Codes(), map[plan.Seat]plan.Code{plan.SeatOf(panel): panel.Code}, nil, false)
		t.Revision = order.Revision
		tickets = append(tickets, *t)
	}
	return tickets, short, mixed, lack
}

// cutsFor are the cuts of a fabric that one panel has pieces of, for it alone.
func cutsFor(layout *workup.ClothPlan, panel *plan.Ticket) []workup.Cut {
	return workup.Reduced(layout.Cuts, func(cut *workup.Cut, p workup.Part) int {
		if plan.SeatOf(panel) != (plan.Seat{Treatment: cut.Treatment, Copy: p.Copy, Panel: string(p.Panel)}) {
			return 0
		}
		return max(1, p.Count)
	})
}

// cutOff says what an order's cutting tickets take of a fabric's bolts, begun or not, and of which lots some panels have
// their cloth.
func (o *Overlay) cutOff(order *Order, fabric string, of func(*Ticket) bool) (taken map[string][]cutting.Span, lots []string) {
	taken = o.boltsOf(order, fabric, nil).taken
	for _, t := range order.Tickets {
		if t.isPanel() || t.Cancelled || t.Spec.Fabric != fabric {
			continue
		}
		addSpans(taken, t.Spec.Cuts)
		for _, l := range t.Spec.Cuts {
			for _, part := range l.For {
				p := o.ticket(part.Ticket)
				if p != nil && !p.Cancelled && of(p) && l.Bolt != "" && !slices.Contains(lots, l.Lot) {
					lots = append(lots, l.Lot)
				}
			}
		}
	}
	return taken, lots
}

func (o *Overlay) applyRemake(t *Ticket, e Event) {
	t.Cancelled, t.RemadeAs = true, e.New
	o.add(o.ownOrder(t.Order), e.Tickets, e)
}

// takenUp is what a panel's ticket has when it is sent back: the numbers that a revision wants and that its work kept
// are taken from that step on, as far as the cloth that is cut does for them. nil: nothing changes.
func (t *Ticket) takenUp(e Event) *Renumbered {
	if t.Wanted == nil {
		return nil
	}
	after := t.copy()
	after.sendBack(e)
	n := after.renumbered(t.Wanted, t.ClothStays, t.ClothStays, *t.Spec.Drawn)
	if len(revision.Differences(t.Spec, &n.Spec)) == 0 && slices.Equal(n.Kept, t.Kept) {
		return nil
	}
	n.ClothStays = t.ClothStays && len(n.Kept) > 0
	return &n
}
