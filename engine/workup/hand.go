package workup

import (
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// pleating is a heading set by hand: pleats on a given flat width, with equal flat cloth between.
type pleating struct {
	pleats  int
	rule    string         // how they were counted: given, best, by_cloth, per_width, ranges
	flat    measure.Length // H, hemmed
	ret     measure.Length // stays flat at the return edge
	lead    measure.Length // stays flat at the leading edge
	spaces  measure.Length // all spaces together
	takeUps measure.Length // all take-ups together
	halves  bool           // half a space at each end: pleat_ends half_space
}

// gaps counts the spaces that the flat between return and lead makes: one fewer than pleats, or as many with half
// a one at each end. Singer 102, Woodcock 2019 and P03 have the first; the second is common practice.
func (p pleating) gaps() int {
	if p.halves {
		return p.pleats
	}
	return p.pleats - 1
}

// least is the fewest pleats that have a space.
func (p pleating) least() int {
	if p.halves {
		return 1
	}
	return 2
}

// withPleats is the same heading with n pleats.
func (p pleating) withPleats(n int) pleating {
	p.pleats = n
	return p
}

// on is the same heading on another flat width.
func (p pleating) on(flat measure.Length) pleating {
	p.takeUps += flat - p.flat
	p.flat = flat
	return p
}

// before is the flat cloth from the return edge to pleat k (from 0), take-ups left out: the finished place of its
// fold. Rounded once, from the whole.
func (p pleating) before(k int) measure.Length {
	if p.halves {
		return p.ret + p.spaces.MulDiv(int64(2*k+1), int64(2*p.gaps()))
	}
	return p.ret + p.spaces.MulDiv(int64(k), int64(p.gaps()))
}

// within counts the pleats that stand nearer to the leading edge than the lap, on the finished heading.
func (p pleating) within(lap measure.Length) int {
	n := 0
	for n < p.pleats && p.fromLead(n) < 2*lap.Times(p.gaps()) {
		n++
	}
	return n
}

// fromLead is the way along the finished heading from the leading edge to pleat j counted from there, times twice
// the gaps.
func (p pleating) fromLead(j int) measure.Length {
	steps := 2 * j
	if p.halves {
		steps++
	}
	return p.lead.Times(2*p.gaps()) + p.spaces.Times(steps)
}

// handCloth is what a panel set by hand may lie flat.
type handCloth struct {
	finished measure.Length
	asked    measure.Length // by the fullness
	least    measure.Length // what the slack lets it come down to
	most     doubled        // what its widths give, hems taken off
	keep     bool           // all of that is used
}

// flat is the fullness asked as far as the widths give it, or all that they give.
func (c handCloth) flat() measure.Length {
	if most := c.most.half(); c.keep || most < c.asked {
		return most
	}
	return c.asked
}

// without is the cloth with so much cut off.
func (c handCloth) without(t measure.Length) handCloth {
	c.most -= twice(t)
	return c
}

// surplus is what is trimmed off for a flat width.
func (c handCloth) surplus(flat measure.Length) doubled { return max(0, c.most-twice(flat)) }

// setByHand works out a heading whose pleats are marked and sewn: widths from the fullness asked, then pleats on
// the flat that they give.
func (w *window) setByHand(p *Panel) bool {
	if p.FinishedWidth <= w.ret()+w.leadFlat() {
		w.fail("too_narrow.hand", w.widthKey(), map[string]any{"Width": p.FinishedWidth, "Narrowest": w.ret() + w.leadFlat()})
		return false
	}
	cloth := handCloth{finished: p.FinishedWidth, asked: w.wantedFlat(), keep: w.keepsSurplus()}
	cloth.least = w.leastFlat(cloth.asked)
	var ok bool
	if p.Widths, ok = w.handWidths(p, cloth); !ok {
		return false
	}
	if !w.joins(p) {
		return false
	}
	cloth.most = w.mostFlat(p)
	if p.FlatWidth = cloth.flat(); p.FlatWidth <= p.FinishedWidth {
		w.fail("too_narrow.cloth", w.clothKey(), map[string]any{"Flat": p.FlatWidth, "Width": p.FinishedWidth})
		return false
	}
	laid, ok := w.pleats(p, cloth)
	if !ok {
		return false
	}
	w.handCloth = cloth
	p.FlatWidth = w.hand.flat
	w.layPleats(p, laid)
	return true
}

// handWidths are those that the order gives, else the fewest that give the fullness asked or, within the slack,
// nearly.
func (w *window) handWidths(p *Panel, c handCloth) (measure.Halves, bool) {
	hems := w.besides() + w.order.Conventions.WidthAllowance
	if w.line.Railroad {
		return w.turned(p, c.asked+hems), true
	}
	if w.line.Widths != nil {
		return *w.line.Widths, w.joinable(*w.line.Widths, w.face, w.joinLoss(), "widths")
	}
	h, ok := w.widths(w.face, c.asked+hems+w.motifCost(2, c.asked), c.least+hems, w.joinLoss(), "face", false)
	if !ok || w.order.Conventions.WidthsRounding == orderfile.NearestWhole {
		return h, ok
	}
	return w.roomy(h, c.least, "face")
}

// leastFlat is the flat width asked less the slack that the shop gives the fullness, up to a nanometre.
func (w *window) leastFlat(asked measure.Length) measure.Length {
	kept := whole - int64(w.order.Conventions.FullnessSlack)
	return measure.Length((asked * measure.Length(kept)).CeilDiv(whole))
}

// leadFlat is the flat from the leading edge to the first pleat, unless given: in a pair the lap of the two leading
// edges (Singer 102), where a single panel turns to the wall at that end its return there, else the shop's own.
func (w *window) leadFlat() measure.Length {
	lead := w.order.Conventions.SingleLead
	switch {
	case w.line.Draw == orderfile.Pair:
		lead = w.lap()
	case w.line.OtherReturn() > 0:
		lead = w.line.OtherReturn()
	}
	return first(lead, w.line.LeadFlat)
}

// fullness is the flat width asked, as a multiple of the finished one.
func (w *window) fullness() measure.Ratio {
	if w.line.Fullness != nil {
		return *w.line.Fullness
	}
	return w.heading.Fullness
}

// wantedFlat is the hemmed flat width that the fullness asks for. Published methods differ on what it multiplies:
// the whole finished width (UFGS 12 22 00, W05, W10), the bare track (W01), or the track with returns and lap added
// flat after it (M01 adds its allowance so).
func (w *window) wantedFlat() measure.Length {
	f := w.fullness()
	times, flat := w.finished(), doubled(0)
	switch w.order.Conventions.FullnessBasis {
	case orderfile.OfTrack:
		times = w.track()
	case orderfile.OfTrackThenFlat:
		times, flat = w.track(), w.finished()-w.track()
	}
	return (times.times(f) + flat).half()
}
