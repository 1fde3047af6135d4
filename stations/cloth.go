package stations

import (
	"cmp"
	"slices"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/engine/workup/relief"
	"tablehand/stations/plan"
	"tablehand/stations/revision"
	"tablehand/stations/shelf"
)

// Cutters returns the tickets that cut a panel's cloth.
func (f *Floor) Cutters(panel *Ticket) []*Ticket { return f.Overlay().cutters(panel) }

func (o *Overlay) cutters(panel *Ticket) []*Ticket {
	var cuts []*Ticket
	for _, code := range panel.cutBy {
		cuts = append(cuts, o.ticket(code))
	}
	return cuts
}

// cutFrom reports whether the cutting ticket cuts cloth of the panel.
func (t *Ticket) cutFrom(cut *Ticket) bool { return slices.Contains(t.cutBy, cut.Spec.Code) }

// assignCloth tells every panel of an order which tickets cut its cloth: those with a piece of it among their cuts.
func (o *Overlay) assignCloth(order *Order) {
	cutBy := map[plan.Code][]plan.Code{}
	for _, t := range order.Tickets {
		if t.isPanel() || t.Cancelled {
			continue
		}
		for code := range t.Spec.Panels() {
			cutBy[code] = append(cutBy[code], t.Spec.Code)
		}
	}
	for _, t := range order.Tickets {
		if by := cutBy[t.Spec.Code]; t.isPanel() && !t.Cancelled && !slices.Equal(by, t.cutBy) {
			o.ownTicket(t.Spec.Code).cutBy = by
		}
	}
}

// named fills in whose the pieces of a release's cuts are where its event doesn't say, as those of old ledgers: by
// window, copy and panel, and among windows of one name whose piece of that place is not there yet.
func named(tickets []plan.Ticket) []plan.Ticket {
	tickets = slices.Clone(tickets)
	for i := range tickets {
		cut := &tickets[i]
		if cut.Kind != plan.CuttingTicket || !slices.ContainsFunc(cut.Cuts, func(l plan.Cut) bool { return l.For[0].Ticket == "" }) {
			continue
		}
		type slot struct {
			code  plan.Code
			place int
		}
		given := map[slot]bool{}
		cut.Cuts = slices.Clone(cut.Cuts)
		for j := range cut.Cuts {
			line := &cut.Cuts[j]
			line.For = slices.Clone(line.For)
			for k := range line.For {
				part := &line.For[k]
				for n := range tickets {
					p := &tickets[n]
					if p.Kind == plan.PanelTicket && p.Window == part.Window && p.Copy == part.Copy && p.Panel == part.Panel &&
						slices.Contains(p.Fabrics, cut.Fabric) && !given[slot{p.Code, part.Place}] {
						part.Ticket = p.Code
						given[slot{p.Code, part.Place}] = true
						break
					}
				}
			}
		}
	}
	return tickets
}

// addSpans adds the stretches that cuts take of their bolts.
func addSpans(taken map[string][]cutting.Span, lines []plan.Cut) {
	for i := range lines {
		if l := &lines[i]; l.Bolt != "" {
			taken[l.Bolt] = append(taken[l.Bolt], l.Span())
		}
	}
}

// flag marks a ticket that is begun or done when the new file wants the cloth of its panels cut otherwise, and clears
// the mark when it doesn't.
func (r *revising) flag(t *Ticket) {
	var kept []string
	news := false // that this very revision brings
	own := revision.Pieces{}
	own.Add(t.Spec.Fabric, t.Spec.Cuts)
	for code := range t.Spec.Panels() {
		cloth := false
		if p := r.by[code]; p != nil {
			cloth = p.cloth && p.kept && !slices.Equal(own.Of(code, t.Spec.Fabric), r.asks.Of(code, t.Spec.Fabric))
		} else if cut, gone := r.gone[code]; gone {
			cloth = cut
		}
		if !cloth {
			continue
		}
		kept = []string{"cuts", "length"}
		news = news || slices.ContainsFunc(r.out.Revised.Changed, func(c Changed) bool { return c.Ticket == code })
	}
	if news {
		r.out.Revised.Changed = append(r.out.Revised.Changed, Changed{Ticket: t.Spec.Code, Values: kept, Protected: true})
	}
	if !slices.Equal(kept, t.Kept) {
		r.out.Revised.Specs = append(r.out.Revised.Specs, Renumbered{Spec: *t.Spec, Kept: kept})
	}
}

// move sends panels on that have all their cloth now, and back to waiting those that have to get some more; a piece also to where
// its way now begins. A held one stays held.
func (r *revising) move() {
	uncut := map[plan.Code]bool{} // panels with cloth still to be cut
	count := func(s *plan.Ticket, done bool) {
		for code := range s.Panels() {
			uncut[code] = uncut[code] || !done
		}
	}
	specs := map[plan.Code]*plan.Ticket{}
	for i := range r.out.Revised.Specs {
		specs[r.out.Revised.Specs[i].Spec.Code] = &r.out.Revised.Specs[i].Spec
	}
	for _, t := range r.order.Tickets {
		if t.isPanel() || t.Cancelled || slices.Contains(r.out.Revised.Dropped, t.Spec.Code) {
			continue
		}
		s := t.Spec
		if now := specs[t.Spec.Code]; now != nil {
			s = now
		}
		count(s, t.State() == Finished)
	}
	for i := range r.out.Tickets {
		if r.out.Tickets[i].Kind == plan.CuttingTicket {
			count(&r.out.Tickets[i], false)
		}
	}
	for _, p := range r.panels {
		if p.t == nil || p.t.Begun() {
			continue
		}
		m := Moved{Ticket: p.want.Code, Station: p.now.Steps[0].Station, State: Ready}
		switch {
		case p.now.IsCut() && uncut[p.want.Code]:
			m.State = Waiting
		case p.now.IsCut():
			m.Station = p.now.Steps[1].Station
		}
		if m.Station == p.t.Station() {
			continue
		}
		if p.t.State() == Held {
			m.State = Held
		}
		r.out.Also = append(r.out.Also, m)
	}
}

// ClothLack is what there is to say where cloth is refused as short or of mixed lots: the shelf's bolts that it was looked for on, and how
// much is short however they are cut, as far as that is proven.
type ClothLack struct {
	Bolts []plan.Code
	Least measure.Quantity
}

// LackOf is what an order as it is worked out lacks.
func LackOf(w *workup.Workup) (lack ClothLack) {
	for i := range w.Cloth {
		if p := &w.Cloth[i]; len(p.Plan.Unplaced)+len(p.Plan.Mixed) > 0 {
			lack.add(p, nil, w.Order.Units)
		}
	}
	return lack
}

// add takes a fabric in whose cuts are laid on what is left of its bolts.
func (l *ClothLack) add(p *workup.ClothPlan, taken map[string][]cutting.Span, units measure.Unit) {
	for i := range p.Fabric.Bolts {
		if code := plan.Code(p.Fabric.Bolts[i].Shelf); code != "" && !slices.Contains(l.Bolts, code) {
			l.Bolts = append(l.Bolts, code)
		}
	}
	if len(p.Plan.Unplaced) == 0 {
		return
	}
	if least := p.Least(taken); least > 0 {
		l.Least = measure.OfLength(l.Least.Length()+least, units)
	}
}

// on is a refusal that says so.
func (l ClothLack) on(r *Refusal) *Refusal {
	if len(l.Bolts) > 0 || !l.Least.IsZero() {
		r.Where = &Place{Bolts: l.Bolts, Least: l.Least}
	}
	return r
}

// ClothFor is how the shop's cloth stands to an order's fabric.
type ClothFor struct {
	Free     measure.Length // it may be cut from so much, flaws and what is promised off
	Held     measure.Length // it might be cut from so much that is held
	Promised []workup.Promised

	overlay *Overlay
	order   *Order
	fabric  *orderfile.Fabric
	ways    shelf.Ways
	lots    []string // that are held
}

// ClothFor looks at the shelf for an order's fabric, as Pieces does. The order may be one that isn't on the books.
func (f *Floor) ClothFor(order *orderfile.Order, fabric *orderfile.Fabric, ways shelf.Ways) *ClothFor {
	c := &ClothFor{overlay: f.Overlay(), order: f.Order(order.ID), fabric: fabric, ways: ways}
	if c.order == nil {
		c.order = &Order{ID: order.ID, Customer: order.Customer, Due: order.Due}
	}
	c.Free = clean(c.overlay.withShelf(c.order, fabric, ways).Bolts)
	cloth, promised := c.order.ClothOf(fabric), map[string]measure.Length{}
	any := supposed{free: func(*shelf.Bolt) bool { return true }}
	for _, b := range c.overlay.shelf.Those(func(b *shelf.Bolt) bool {
		return cloth != "" && b.Cloth == cloth && c.overlay.mayCut(any, c.order, fabric, b)
	}) {
		if b.Hold != "" && !slices.Contains(c.lots, b.Lot) {
			c.lots = append(c.lots, b.Lot)
		}
		for _, p := range f.Promised(b.Code) {
			if p.Order != order.ID {
				promised[p.Order] += p.Length()
			}
		}
	}
	if len(c.lots) > 0 {
		c.Held = c.with(any).Length
	}
	for id, length := range promised {
		c.Promised = append(c.Promised, workup.Promised{Order: id, Due: f.Order(id).Due, Length: length})
	}
	slices.SortFunc(c.Promised, func(a, b workup.Promised) int {
		if (a.Due == "") != (b.Due == "") { // those without a date last
			return cmp.Compare(b.Due, a.Due)
		}
		return cmp.Or(cmp.Compare(a.Due, b.Due), cmp.Compare(a.Order, b.Order))
	})
	return c
}

// Tell puts what there is to say of it among a problem's arguments.
func (c *ClothFor) Tell(args map[string]any) {
	args["Free"], args["Held"], args["Promised"] = c.Free, c.Held, c.Promised
}

// with is the bolts that there would be, and how much more that is.
func (c *ClothFor) with(so supposed) relief.Cloth {
	bolts := c.overlay.asIf(so, c.order, c.fabric, c.ways).Bolts
	return relief.Cloth{Length: clean(bolts) - c.Free, Bolts: bolts}
}

// HeldLots are the lots that are held, the longest first, each with the bolts that there would be if it weren't.
func (c *ClothFor) HeldLots() (list []relief.Cloth) {
	for _, lot := range c.lots {
		held := c.with(supposed{free: func(b *shelf.Bolt) bool { return b.Lot == lot }})
		held.Lot = lot
		list = append(list, held)
	}
	slices.SortStableFunc(list, func(a, b relief.Cloth) int { return cmp.Compare(b.Length, a.Length) })
	return list
}

// DueLater are the orders that are due later, the latest first, each with the bolts that there would be if nothing that isn't begun were
// promised to it.
func (c *ClothFor) DueLater() (list []relief.Cloth) {
	for _, to := range slices.Backward(c.Promised) {
		if c.order.Due == "" || to.Due != "" && to.Due <= c.order.Due {
			continue
		}
		if later := c.with(supposed{yields: to.Order}); later.Length > 0 {
			later.Order, later.Due = to.Order, to.Due
			list = append(list, later)
		}
	}
	return list
}

// clean is how much of bolts is neither flawed nor spoken for.
func clean(bolts []orderfile.Bolt) (sum measure.Length) {
	for i := range bolts {
		b := &bolts[i]
		var off []cutting.Span
		for _, f := range slices.Concat(b.Flaws, b.Spoken) {
			off = append(off, cutting.Span(f))
		}
		for _, s := range shelf.Besides(cutting.Span{From: b.From, To: b.Length}, off) {
			sum += s.To - s.From
		}
	}
	return sum
}

// ToCut is what is still to be cut of an order's fabric as its tickets have it, on the bolts that it may be cut from; nil where its newest
// file hasn't the fabric. What of those is cut, or another order's, is as a flaw.
func (f *Floor) ToCut(order *Order, w *workup.Workup, fabric string, ways shelf.Ways) *workup.ClothPlan {
	o, layout := f.Overlay(), planOf(w, fabric)
	if layout == nil {
		return nil
	}
	known := o.boltsOf(order, fabric, nil)
	on := *known.on(o.withShelf(order, layout.Fabric, ways))
	on.Bolts = slices.Clone(on.Bolts)
	off := together(known.taken, o.spoken(order, layout))
	for i := range on.Bolts {
		for _, s := range off[on.Bolts[i].ID] {
			on.Bolts[i].Spoken = append(slices.Clone(on.Bolts[i].Spoken), beside(s, on.Bolts[i].Kerf))
		}
	}
	l := laying{Overlay: o, plan: withBolts(layout, &on), made: func(c *plan.Cut) bool { return c.Done }, group: o.treatmentOf, lots: map[int][]string{}}
	for _, t := range order.Tickets {
		if t.isPanel() || t.Cancelled || t.Spec.Fabric != fabric {
			continue
		}
		for i := range t.Spec.Cuts {
			if line := &t.Spec.Cuts[i]; t.made(line) {
				l.addLot(l.lots, line)
			}
		}
		if t.layable() {
			l.tickets = append(l.tickets, t.Spec)
		}
	}
	cuts, at, of := l.cuts(&w.Order.Conventions)
	if len(l.tickets) == 1 { // their numbers say which they are
		for i := range cuts {
			cuts[i].ID = of[cuts[i].ID].Cut
		}
		for i := range at {
			at[i].Cut = of[at[i].Cut].Cut
		}
	}
	left := withBolts(layout, &on)
	left.Bind(l.lots)
	left.Cuts = cuts
	left.AsLaid(at)
	return left
}
