package workup

import (
	"slices"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// The hooks that carry a panel, the weights that draw its hem straight, and how its lining hangs in it.

const (
	foot = 12 * measure.Inch
	// unhooked is the longest flat that hangs well between its edge's hook and the first pleat (from memory).
	unhooked = 8 * measure.Inch
)

// fit fills in hooks and weights.
func (w *window) fit(p *Panel) {
	w.hooks(p)
	w.weights(p)
}

// hooks puts one behind each pleat, and one near an edge whose flat would flap (common practice).
func (w *window) hooks(p *Panel) {
	inset := w.order.Conventions.HookInset
	first, last := p.EdgeToPleat, p.LeadToPleat
	if w.tape != nil {
		last = first // a tape lies alike at both edges
	}
	if first > 2*inset {
		p.HookPlaces = append(p.HookPlaces, inset)
	}
	for k := range p.Pleats {
		p.HookPlaces = append(p.HookPlaces, w.standing(k))
	}
	if last > 2*inset {
		p.HookPlaces = append(p.HookPlaces, p.FinishedWidth-inset)
	}
	p.HookDrop = w.line.HookDrop
	for _, flat := range []struct {
		key string
		l   measure.Length
	}{{"return", first}, {"lead_flat", last}} {
		if flat.l > unhooked {
			w.tell(engine.Note, "flat_unhooked", flat.key, map[string]any{"Flat": flat.l, "Limit": unhooked})
			return
		}
	}
}

// standing is the place of pleat k on the finished heading, from the return edge.
func (w *window) standing(k int) measure.Length {
	if w.tape == nil {
		return w.hand.before(k)
	}
	return w.pulled.standing2n(k).Div(int64(2 * w.pulled.pleats))
}

// weights puts them into the hem by the shop's convention: in the corners and at each seam is K. Stein's list of
// practices, in the corners alone a university's contract, one a foot or a cord common advice for sheers.
func (w *window) weights(p *Panel) {
	near := p.SideHem.Div(2) // in the middle of the side hem
	corners := []measure.Length{near, p.FlatWidth - near}
	switch w.order.Conventions.Weights {
	case orderfile.WeightsAtCornersAndSeams:
		p.WeightPlaces = slices.Sorted(slices.Values(append(corners, p.Seams...)))
	case orderfile.WeightsAtCorners:
		p.WeightPlaces = corners
	case orderfile.WeightsEveryFoot:
		gaps := max(1, p.FlatWidth.CeilDiv(foot))
		for k := range gaps + 1 {
			p.WeightPlaces = append(p.WeightPlaces, near+(p.FlatWidth-2*near).MulDiv(k, gaps))
		}
	case orderfile.WeightCord:
		p.WeightCord = p.FlatWidth
	}
}

// hangLining fills in how the lining hangs: narrower than the face by an inset at each side, its hem above the face's,
// and what is trimmed off the joined widths and at the top. A shop that cuts linings by one allowance says neither lift
// nor trim.
func (w *window) hangLining(p *Panel) bool {
	c := &w.order.Conventions
	p.LiningWidth = p.FlatWidth - 2*c.LiningInset
	p.LiningSurplus = (joined(p.LiningWidths, w.lining.UsableWidth, w.liningLoss()) - twice(p.FlatWidth)).half()
	if p.LiningComputed = c.LiningRule != orderfile.LiningByAllowance; p.LiningComputed {
		p.LiningLift, p.LiningTrim = w.puddleUnbacked()+c.LiningLift, c.LiningTrim
	}
	return w.positive(p.LiningWidth, "lining_width", "conventions.lining_inset", map[string]any{"Inset": c.LiningInset, "Flat": p.FlatWidth})
}

// puddleUnbacked is what of the puddle the lining leaves to the face.
func (w *window) puddleUnbacked() measure.Length {
	return w.finishedLength() + w.line.Puddle - w.backed()
}
