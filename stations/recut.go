package stations

import (
	"fmt"
	"maps"
	"slices"

	"tablehand/engine/cutting"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
	"tablehand/stations/revision"
)

// promises are the stretches of the shelf's bolts that the revision gives to fabrics laid out before.
func (r *revising) promises() map[string][]orderfile.Flaw {
	given := map[string][]orderfile.Flaw{}
	add := func(s *plan.Ticket) {
		for i := range s.Cuts {
			if l := &s.Cuts[i]; r.shelf.Bolt(plan.Code(l.Bolt)) != nil {
				given[l.Bolt] = append(given[l.Bolt], orderfile.Flaw(l.Span()))
			}
		}
	}
	for i := range r.out.Revised.Specs {
		add(&r.out.Revised.Specs[i].Spec)
	}
	for i := range r.out.Tickets {
		add(&r.out.Tickets[i])
	}
	return given
}

// recut lays out anew what is still to be cut: cutting tickets that nobody has begun change in place, and what has no
// ticket yet gets one.
func (r *revising) recut() {
	seen := map[string]bool{}
	for i := range r.sheet.Work.Cloth {
		plan := &r.sheet.Work.Cloth[i]
		seen[plan.Fabric.ID] = true
		r.recutFabric(plan.Fabric.ID, plan)
	}
	for _, t := range r.order.Tickets {
		if !t.isPanel() && !seen[t.Spec.Fabric] {
			seen[t.Spec.Fabric] = true
			r.recutFabric(t.Spec.Fabric, nil)
		}
	}
}

// fabricCut is one fabric's cutting while it is laid out anew.
type fabricCut struct {
	open   []*Ticket                 // not begun
	fixed  map[plan.Code][]plan.Cut  // of an open ticket: cuts that stay as they are, since other cloth of their panel is cut
	before int                       // cuts that are made or fixed, on a bolt or on none
	known  bool                      // bolts were listed before
	were   map[int][]string          // of which lots a lot group has its cloth, or was to have it
	taken  map[string][]cutting.Span // what is cut or fixed, by bolt
	spoken map[string][]cutting.Span // what other orders are cut from
	lots   map[int][]string          // of which lots a lot group has cloth already
	cuts   []workup.Cut              // to be laid
	on     map[string]plan.Code      // by cut: the ticket that it stands on, "" a new one
}

func (r *revising) recutFabric(fabric string, layout *workup.ClothPlan) {
	known := r.boltsOf(r.order, fabric, nil)
	c := fabricCut{fixed: map[plan.Code][]plan.Cut{}, taken: map[string][]cutting.Span{}, lots: map[int][]string{}, were: map[int][]string{}, on: map[string]plan.Code{}}
	for _, t := range r.order.Tickets {
		if t.isPanel() || t.Cancelled || t.Spec.Fabric != fabric {
			continue
		}
		lines := t.Spec.Cuts
		c.known = c.known || t.Spec.KnowsCloth()
		r.addLots(c.were, lines)
		if !t.layable() {
			r.flag(t)
		} else {
			c.open = append(c.open, t)
			lines = r.staying(t)
			c.fixed[t.Spec.Code] = lines
			addSpans(c.taken, slices.DeleteFunc(slices.Clone(lines), func(l plan.Cut) bool { return l.Done }))
		}
		c.before += len(lines)
		r.addLots(c.lots, lines)
	}
	for bolt, spans := range known.taken {
		c.taken[bolt] = slices.Concat(c.taken[bolt], spans)
	}
	if layout == nil {
		for _, t := range c.open {
			r.replan(t, r.shortened(t, c.fixed[t.Spec.Code]))
		}
		return
	}
	layout = withBolts(layout, known.on(r.withShelf(r.order, layout.Fabric, r.sheet.Ways).Besides(r.promises())))
	whole := r.owed(&c, layout) && !known.known() && !slices.ContainsFunc(layout.Fabric.Bolts, func(b orderfile.Bolt) bool { return b.Shelf != "" })
	laid := layout
	c.spoken = r.spoken(r.order, layout)
	if !whole {
		laid = layout.Relay(c.cuts, together(c.taken, c.spoken), c.lots)
	}
	specs := r.tickets(&c, laid, whole)
	mixed := append(laid.MixedGroups(), r.clear(&c, layout, specs)...)
	for _, t := range c.open {
		r.replan(t, specs[t.Spec.Code])
	}
	if fresh := specs[""]; fresh != nil {
		fresh.Code = r.sheet.Codes()
		fresh.Revision = r.out.Revised.Revision
		r.out.Tickets = append(r.out.Tickets, *fresh)
	}
	r.weigh(layout.Fabric, &c, mixed, specs)
	if id := layout.Fabric.ID; slices.Contains(r.short, id) || slices.Contains(r.mixed, id) {
		r.lack.add(laid, together(c.taken, c.spoken), r.sheet.Work.Order.Units)
	}
}

// clear lays out anew what is still to be cut where cuts that stayed in their place can't: the new file has a flaw there,
// or the bolt no more.
func (r *revising) clear(c *fabricCut, layout *workup.ClothPlan, specs map[plan.Code]*plan.Ticket) (mixed []int) {
	stays := func(l plan.Cut) bool { return !l.Done }
	if !slices.ContainsFunc(c.open, func(t *Ticket) bool { return slices.ContainsFunc(c.fixed[t.Spec.Code], stays) }) {
		return nil
	}
	l := laying{Overlay: r.Overlay, plan: layout, taken: r.boltsOf(r.order, layout.Fabric.ID, nil).taken, spoken: c.spoken, lots: map[int][]string{}, were: c.were,
		made: func(c *plan.Cut) bool { return c.Done }, group: func(panel plan.Code) int {
			treatment, has := r.seated(panel)
			if !has {
				treatment = r.treatmentOf(panel)
			}
			return r.sheet.Work.LotGroup(treatment)
		}}
	for _, code := range slices.Sorted(maps.Keys(specs)) {
		if s := specs[code]; s != nil {
			l.tickets = append(l.tickets, s)
		}
	}
	for _, t := range r.order.Tickets {
		for i := range t.Spec.Cuts {
			if line := &t.Spec.Cuts[i]; !t.Cancelled && t.Spec.Fabric == layout.Fabric.ID && t.made(line) {
				l.addLot(l.lots, line)
			}
		}
	}
	mixed, _ = l.anew(&r.sheet.Work.Order.Conventions)
	return mixed
}

// staying are the cuts of an open ticket that are for panels whose other cloth is cut and stays: they wait with it for
// the office.
//
// Those that are made stay whole.
func (r *revising) staying(t *Ticket) []plan.Cut {
	stays := func(code plan.Code) bool {
		if p := r.by[code]; p != nil {
			return p.cloth
		}
		return r.gone[code]
	}
	var lines []plan.Cut
	for i := range t.Spec.Cuts {
		if l := &t.Spec.Cuts[i]; l.Done {
			lines = append(lines, *l)
		} else {
			lines = append(lines, only([]plan.Cut{*l}, stays)...)
		}
	}
	return lines
}

// only returns the cuts that are for some of the panels, and for those alone.
func only(lines []plan.Cut, of func(plan.Code) bool) []plan.Cut {
	var some []plan.Cut
	for _, l := range lines {
		l.For = slices.DeleteFunc(slices.Clone(l.For), func(p plan.CutPart) bool { return !of(p.Ticket) })
		if len(l.For) > 0 {
			some = append(some, l)
		}
	}
	return some
}

// addLots notes which lots the windows of cuts have cloth of.
func (r *revising) addLots(lots map[int][]string, lines []plan.Cut) {
	for _, l := range lines {
		for _, part := range l.For {
			if treatment, has := r.seated(part.Ticket); has && l.Bolt != "" {
				group := r.sheet.Work.LotGroup(treatment)
				lots[group] = union(lots[group], []string{l.Lot})
			}
		}
	}
}

// owed lists the cuts that the new file's panels want and don't have yet, each with the ticket that it stands on, and
// reports whether those are all of the fabric's, with nothing cut before.
func (r *revising) owed(c *fabricCut, layout *workup.ClothPlan) (whole bool) {
	whole = c.before == 0
	fabric := layout.Fabric.ID
	cuts := workup.Reduced(layout.Cuts, func(cut *workup.Cut, part workup.Part) int {
		owed := r.owedOf(cut, part, fabric)
		whole = whole && owed == max(1, part.Count)
		return owed
	})
	for _, cut := range cuts {
		var on plan.Code
		if len(c.open) > 0 {
			on = c.open[0].Spec.Code
		}
		first := r.by[r.who[plan.Seat{Treatment: cut.Treatment, Copy: cut.For[0].Copy, Panel: string(cut.For[0].Panel)}]]
		for _, t := range c.open {
			if first.t != nil && first.t.cutFrom(t) {
				on = t.Spec.Code
				break
			}
		}
		c.on[cut.ID] = on
		c.cuts = append(c.cuts, cut)
	}
	return whole && len(c.open) <= 1
}

// owedOf is how many of what a panel is to have of a cut it doesn't have: of a width 1 or 0, of trimmings as many as aren't made.
func (r *revising) owedOf(cut *workup.Cut, part workup.Part, fabric string) int {
	all := max(1, part.Count)
	p := r.by[r.who[plan.Seat{Treatment: cut.Treatment, Copy: part.Copy, Panel: string(part.Panel)}]]
	switch {
	case p == nil: // of a panel that has ended
		return 0
	case p.t == nil:
		return all
	case p.cloth:
		return 0
	}
	made, ok := r.madeFor(p.t, fabric)[revision.SpotOf(cut.Trimming, cut.Length, cut.Across, part.Place)]
	if !ok {
		return all
	}
	return max(0, all-made.Count())
}

// tickets writes what is laid on the fabric's open tickets, "" being a new one; a ticket without cuts is nil.
func (r *revising) tickets(c *fabricCut, laid *workup.ClothPlan, whole bool) map[plan.Code]*plan.Ticket {
	specs := map[plan.Code]*plan.Ticket{}
	taken := spansOf(c.taken, laid.Plan.Placements)
	codes := []plan.Code{""}
	for _, t := range c.open {
		codes = append(codes, t.Spec.Code)
	}
	for _, code := range codes {
		part := *laid
		part.Cuts = slices.DeleteFunc(slices.Clone(laid.Cuts), func(cut workup.Cut) bool { return c.on[cut.ID] != code })
		part.Plan.Placements = slices.DeleteFunc(slices.Clone(laid.Plan.Placements), func(p cutting.Placement) bool { return c.on[p.Cut] != code })
		if len(part.Cuts)+len(c.fixed[code]) == 0 {
			continue
		}
		of := plan.ClothOf(r.sheet.Work, &part)
		of.Taken, of.Spoken = taken, c.spoken
		spec := []plan.Ticket{*of.Part(r.sheet.Work, code, r.who, c.fixed[code], whole)}
		r.order.Asked.Set(spec)
		specs[code] = &spec[0]
	}
	return specs
}

// spansOf are stretches and those of placements together.
func spansOf(taken map[string][]cutting.Span, placements []cutting.Placement) map[string][]cutting.Span {
	all := map[string][]cutting.Span{}
	for bolt, spans := range taken {
		all[bolt] = slices.Clone(spans)
	}
	for _, p := range placements {
		all[p.Bolt] = append(all[p.Bolt], cutting.Span{From: p.From, To: p.To})
	}
	return all
}

// shortened is an open ticket of a fabric that the file doesn't use any more, with the cuts that stay; nil for none.
func (r *revising) shortened(t *Ticket, fixed []plan.Cut) *plan.Ticket {
	if len(fixed) == 0 {
		return nil
	}
	s := *t.Spec
	s.Cuts = slices.Clone(fixed)
	s.Steps = slices.Clone(s.Steps)
	s.NumberCuts()
	return &s
}

// replan puts its new cuts on an open ticket; without any it is dropped.
func (r *revising) replan(t *Ticket, spec *plan.Ticket) {
	if spec == nil {
		r.out.Revised.Dropped = append(r.out.Revised.Dropped, t.Spec.Code)
		return
	}
	names := revision.Differences(t.Spec, spec)
	if !slices.EqualFunc(t.Spec.Cuts, spec.Cuts, sameLine) && !slices.Contains(names, "cuts") {
		names = append(names, "cuts")
	}
	switch {
	case len(names) == 0 && len(t.Kept) == 0:
		return
	case len(names) == 0:
		r.out.Revised.Specs = append(r.out.Revised.Specs, Renumbered{Spec: *t.Spec})
		return
	}
	spec.Revision = r.out.Revised.Revision
	r.out.Revised.Specs = append(r.out.Revised.Specs, Renumbered{Spec: *spec})
	r.out.Revised.Changed = append(r.out.Revised.Changed, Changed{Ticket: spec.Code, Values: names})
}

// sameLine reports whether two cuts are one but for their number.
func sameLine(a, b plan.Cut) bool {
	parts, others := a.For, b.For
	a.For, b.For, a.Cut, b.Cut = nil, nil, "", ""
	return fmt.Sprint(a) == fmt.Sprint(b) && slices.Equal(parts, others)
}
