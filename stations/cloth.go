package stations

import (
	"slices"

	"tablehand/engine/cutting"
	"tablehand/stations/plan"
	"tablehand/stations/revision"
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
