package stations

import (
	"slices"

	"tablehand/engine/cutting"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
	"tablehand/stations/revision"
)

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
	cuts, short, mixed := o.cutAgain(order, c.Sheet, again)
	if len(short)+len(mixed) > 0 {
		if r := clothRefused(c.Actor, c.Override, c.Reason, t.Order, short, mixed); r != nil {
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
	switch {
	case !mayDecide(c.Actor):
		return refuse("forbidden", "")
	case !t.isPanel():
		return t.refuse("not_a_panel", "ticket")
	case t.Cancelled:
		return t.refuse("cancelled", "ticket")
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
func (o *Overlay) cutAgain(order *Order, sheet *Sheet, panel *plan.Ticket) (tickets []plan.Ticket, short, mixed []string) {
	for i := range sheet.Work.Cloth {
		layout := &sheet.Work.Cloth[i]
		cuts := cutsFor(layout, panel)
		if len(cuts) == 0 {
			continue
		}
		taken, lots := o.cutOff(order, layout.Fabric.ID, panel.Treatment)
		known := o.boltsOf(order, layout.Fabric.ID, nil)
		layout = withBolts(layout, known.on(o.withShelf(order, layout.Fabric, sheet.Ways)))
		spoken := o.spoken(order, layout)
		laid := layout.Relay(cuts, together(taken, spoken), map[int][]string{panel.Treatment: lots})
		switch {
		case len(laid.Plan.Unplaced) > 0:
			short = append(short, layout.Fabric.ID)
		case len(laid.Plan.Mixed) > 0:
			mixed = append(mixed, layout.Fabric.ID)
		}
		of := plan.ClothOf(sheet.Work, laid)
		of.Taken, of.Spoken = spansOf(taken, laid.Plan.Placements), spoken
		t := of.Part(sheet.Work, sheet.Codes(), map[plan.Seat]plan.Code{plan.SeatOf(panel): panel.Code}, nil, false)
		t.Revision = order.Revision
		tickets = append(tickets, *t)
	}
	return tickets, short, mixed
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

// cutOff says what an order's cutting tickets take of a fabric's bolts, begun or not, and of which lots a treatment has
// its cloth.
func (o *Overlay) cutOff(order *Order, fabric string, treatment int) (taken map[string][]cutting.Span, lots []string) {
	taken = o.boltsOf(order, fabric, nil).taken
	for _, t := range order.Tickets {
		if t.isPanel() || t.Cancelled || t.Spec.Fabric != fabric {
			continue
		}
		addSpans(taken, t.Spec.Cuts)
		for _, l := range t.Spec.Cuts {
			for _, part := range l.For {
				p := o.ticket(part.Ticket)
				if p != nil && !p.Cancelled && p.Spec.Treatment == treatment && l.Bolt != "" && !slices.Contains(lots, l.Lot) {
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
