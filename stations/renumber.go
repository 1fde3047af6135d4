package stations

import (
	"maps"
	"slices"

	"tablehand/engine/workup"
	"tablehand/stations/plan"
	"tablehand/stations/revision"
)

// newest is a panel's ticket as the order's newest file has it.
func (t *Ticket) newest() *plan.Ticket {
	if t.Wanted != nil {
		return t.Wanted
	}
	return t.Spec
}

// cutFor reports whether any of a panel's cloth is cut, or may be, or a piece without cloth is begun.
func (r *revising) cutFor(t *Ticket) bool {
	if !t.Spec.IsCut() && t.Begun() {
		return true
	}
	return slices.ContainsFunc(r.cutters(t), func(c *Ticket) bool { return len(r.madeFor(t, c.Spec.Fabric)) > 0 })
}

// madeFor are the pieces of one fabric that are cut for a panel, or may be, by their place in it.
func (r *revising) madeFor(t *Ticket, fabric string) map[revision.Spot]revision.Piece {
	if r.made == nil { // of all panels at once: an order may have thousands, each with a few among thousands of cuts
		r.made = revision.Places{}
		for _, c := range r.order.Tickets {
			for i := range c.Spec.Cuts {
				if l := &c.Spec.Cuts[i]; c.made(l) {
					r.made.Add(c.Spec.Fabric, l, func(panel plan.Code) bool { p := r.ticket(panel); return p != nil && p.cutFrom(c) })
				}
			}
		}
	}
	return r.made.Of(t.Spec.Code, fabric)
}

// renumber settles what stands on a panel's ticket from now on.
func (r *revising) renumber(p *pairing) {
	t := p.t
	if t == nil {
		p.now = p.want
		r.out.Tickets = append(r.out.Tickets, p.want)
		return
	}
	names := revision.Differences(t.newest(), &p.want)
	cloth, suffices := r.clothStays(p)
	p.cloth = cloth
	if len(names) == 0 && cloth && !suffices && !t.ClothStays {
		names = []string{cutsOnly} // its numbers are those of before, its pieces aren't: cloth found to be half-drop
	}
	freed := t.Wanted != nil && t.At == 0 && !cloth
	if freed {
		names = revision.Differences(t.Spec, &p.want) // none of its cloth is cut, as it turned out at the table
	}
	n := Renumbered{Spec: *t.Spec, Kept: t.Kept, Wanted: t.Wanted, ClothStays: t.ClothStays}
	cleared := freed || suffices && slices.Equal(t.Kept, []string{cutsOnly})
	if len(names) > 0 || t.Removed || cleared {
		n = t.renumbered(&p.want, cloth, !suffices, plan.Origin{Revision: r.order.Revision, Treatment: t.Spec.Treatment})
		n.ClothStays = cloth && !suffices
	}
	if len(names) > 0 {
		r.out.Revised.Changed = append(r.out.Revised.Changed, Changed{Ticket: p.want.Code, Values: names, Protected: len(n.Kept) > 0})
	}
	moved := n.Spec.Treatment != p.want.Treatment || t.Removed
	n.Spec.Treatment = p.want.Treatment
	if n.Wanted != nil && moved {
		wanted := *n.Wanted
		wanted.Treatment = p.want.Treatment
		n.Wanted = &wanted
	}
	p.now, p.kept = n.Spec, len(n.Kept) > 0
	if len(names) > 0 || moved || cleared {
		r.out.Revised.Specs = append(r.out.Revised.Specs, n)
	}
}

// cutsOnly is what a panel keeps when only the way its pieces are cut is wanted otherwise.
const cutsOnly = "cuts"

// renumbered is what a panel's ticket has when the newest file wants it otherwise. clothStays and clothShort: what is
// cut isn't what is wanted, and doesn't do for it; drawn is where the file of before has the panel.
func (t *Ticket) renumbered(want *plan.Ticket, clothStays, clothShort bool, drawn plan.Origin) Renumbered {
	n := Renumbered{Spec: revision.Blend(t.Spec, want, t.Begun(), clothStays, t.done)}
	n.Spec.Drawn = nil
	if n.Kept = revision.Differences(&n.Spec, want); len(n.Kept) == 0 && clothShort {
		n.Kept = []string{cutsOnly}
	}
	if len(n.Kept) > 0 {
		n.Wanted = want
		if n.Spec.Drawn = t.Spec.Drawn; n.Spec.Drawn == nil {
			n.Spec.Drawn = &drawn
		}
	}
	if len(revision.Differences(t.Spec, &n.Spec)) == 0 {
		n.Spec.Revision = t.Spec.Revision // its paper is still good
	}
	return n
}

// clothStays reports whether the new file wants a panel's cloth otherwise while some of it is cut or the panel begun,
// and whether what is cut would do for it.
func (r *revising) clothStays(p *pairing) (stays, suffices bool) {
	suffices = true
	for _, fabric := range union(p.t.Spec.Fabrics, p.want.Fabrics) {
		has, asks := r.has.Of(p.want.Code, fabric), r.asks.Of(p.want.Code, fabric)
		if slices.Equal(has, asks) {
			continue
		}
		made := r.madeFor(p.t, fabric)
		switch {
		case len(made) == 0 && !p.t.Begun():
		case revision.Many(maps.Values(made)) < revision.Many(slices.Values(has)) && !p.t.Begun() &&
			revision.Wanted(made, r.placed.Of(p.want.Code, fabric)): // and what isn't cut is laid anew
		default:
			stays = true
			suffices = suffices && len(made) > 0 && revision.Fit(asks, has)
		}
	}
	return stays, suffices || !stays
}

// union returns the texts of both lists, each once.
func union(a, b []string) []string {
	all := slices.Clone(a)
	for _, s := range b {
		if !slices.Contains(all, s) {
			all = append(all, s)
		}
	}
	return all
}

// remove takes a panel off that the new file doesn't have: it is cancelled, or kept and flagged when its cloth is cut.
func (r *revising) remove(t *Ticket) {
	switch {
	case !r.gone[t.Spec.Code]:
		r.out.Revised.Dropped = append(r.out.Revised.Dropped, t.Spec.Code)
	case t.Removed:
	default:
		names := []string{"quantity"}
		n := Renumbered{Spec: *t.Spec, Kept: names, Removed: true}
		if n.Spec.Drawn == nil {
			n.Spec.Drawn = &plan.Origin{Revision: r.order.Revision, Treatment: t.Spec.Treatment}
		}
		n.Spec.Treatment = r.nowhere(t.Spec.Treatment)
		r.out.Revised.Specs = append(r.out.Revised.Specs, n)
		r.out.Revised.Changed = append(r.out.Revised.Changed, Changed{Ticket: t.Spec.Code, Values: names, Protected: true})
	}
}

// seatEnded keeps a scrapped panel at its place in the new file, so that no later file takes another for it.
func (r *revising) seatEnded(t *Ticket) {
	treatment, there := r.ended[t.Spec.Code]
	if !t.Scrapped || there && treatment == t.Spec.Treatment || !there && t.Spec.Treatment < 0 {
		return
	}
	if !there {
		treatment = r.nowhere(t.Spec.Treatment)
	}
	n := Renumbered{Spec: *t.Spec, Kept: t.Kept, Wanted: t.Wanted, ClothStays: t.ClothStays, Removed: t.Removed}
	if n.Spec.Drawn == nil {
		n.Spec.Drawn = &plan.Origin{Revision: r.order.Revision, Treatment: t.Spec.Treatment}
	}
	n.Spec.Treatment = treatment
	r.out.Revised.Specs = append(r.out.Revised.Specs, n)
}

// nowhere gives the treatments that the file has no more each a number of its own, below 0 and free.
func (r *revising) nowhere(treatment int) int {
	if r.away == nil {
		r.away = map[int]int{}
		for _, t := range r.order.Tickets {
			r.lowest = min(r.lowest, t.Spec.Treatment)
		}
	}
	if _, known := r.away[treatment]; !known {
		r.lowest--
		r.away[treatment] = r.lowest
	}
	return r.away[treatment]
}

// seated is a panel's treatment in the new file, or the number below 0 of one that the file doesn't have any more and whose cloth
// waits for the office. It is false for panels that have ended, or are dropped.
func (r *revising) seated(panel plan.Code) (treatment int, has bool) {
	if p := r.by[panel]; p != nil {
		return p.want.Treatment, true
	}
	t := r.ticket(panel)
	switch {
	case !r.gone[panel]:
		return 0, false
	case t.Removed:
		return t.Spec.Treatment, true
	}
	return r.nowhere(t.Spec.Treatment), true
}

// done reports whether a step has been begun, so that its numbers are under somebody's hands or behind them.
func (t *Ticket) done(i int) bool {
	if i != t.At {
		return i < t.At
	}
	s := &t.Steps[i]
	return s.State == AtWork || s.State == Held && s.Before == AtWork
}

// Outdated reports whether tickets of an order keep numbers of their release that a work-up of its newest file gives
// otherwise, since rules of the calculation have changed. What a revision left as it was is another matter: those tickets
// say so themselves.
func (o *Order) Outdated(w *workup.Workup) bool {
	whole := o.Revision == 1 // else its cuts are laid out anew, or of panels that are no more
	for _, t := range o.Tickets {
		whole = whole && !t.Cancelled && !t.told
	}
	return slices.ContainsFunc(o.Tickets, func(t *Ticket) bool {
		switch {
		case t.Cancelled || t.Spec.Drawn != nil:
			return false
		case t.isPanel():
			return !t.Spec.MadeBy(w, t.Spec.Treatment)
		}
		return whole && !t.Spec.CutBy(w)
	})
}
