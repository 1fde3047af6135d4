package workup

import (
	"fmt"
	"slices"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// The hooks that carry a panel, the weights that draw its hem straight, how its lining hangs in it, the room it takes drawn back, and what it
// weighs.

const (
	foot = 12 * measure.Inch
	// unhooked is the longest flat that hangs well between its edge's hook and the first pleat (from memory).
	unhooked = 8 * measure.Inch
)

// fit fills in where the pleats stand, hooks and weights.
func (w *window) fit(p *Panel) {
	for k := range p.Pleats { // none of a heading without
		p.PleatPlaces = append(p.PleatPlaces, w.standing(k))
	}
	w.hooks(p)
	w.weights(p)
}

// hooks puts them where they carry the panel, by what its heading is.
func (w *window) hooks(p *Panel) {
	switch p.Holds {
	case orderfile.Gathered:
		if p.TapeID != "" { // the rod itself carries the other
			w.gatheredHooks(p)
		}
	case orderfile.OnCarriers:
		w.hooksAt(p, p.Places, p.EdgeToPoint, 0)
	case orderfile.OnPoints: // the points carry it, but for a return
		w.hooksAt(p, nil, w.ret(), 0)
	default:
		w.hooksAt(p, p.PleatPlaces, p.EdgeToPleat, p.LeadToPleat)
	}
	if len(p.HookPlaces) > 0 || p.Ringed {
		p.HookDrop = w.line.HookDrop
	}
}

// gatheredHooks stand evenly along a gathered heading, no further apart than the shop has it: from the end of the return to an inset from
// the leading edge, and one at the edge of a return that would flap (common practice).
func (w *window) gatheredHooks(p *Panel) {
	c := &w.order.Conventions
	from := c.HookInset
	if ret := w.ret(); ret > 2*c.HookInset {
		p.HookPlaces = append(p.HookPlaces, c.HookInset)
		from = ret
	}
	along := p.FinishedWidth - c.HookInset - from
	if along <= 0 { // the return's end is as near to the leading edge
		p.HookPlaces = append(p.HookPlaces, from)
		return
	}
	gaps := max(1, along.CeilDiv(c.HookSpacing))
	for k := range gaps + 1 {
		p.HookPlaces = append(p.HookPlaces, from+along.MulDiv(k, gaps))
	}
}

// hooksAt puts one at each place, and one near an edge whose flat would flap (common practice).
func (w *window) hooksAt(p *Panel, places []measure.Length, first, last measure.Length) {
	inset := w.order.Conventions.HookInset
	if first > 2*inset && (p.Pleated() || w.ret() > 0) {
		p.HookPlaces = append(p.HookPlaces, inset)
	}
	p.HookPlaces = append(p.HookPlaces, places...)
	if last > 2*inset {
		p.HookPlaces = append(p.HookPlaces, p.FinishedWidth-inset)
	}
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
	if w.heading.Family != orderfile.SetByTape {
		return w.hand.before(k)
	}
	return w.pulled.standing2n(k).Div(int64(2 * w.pulled.pleats))
}

// weights puts them into the hem by the shop's convention: in the corners and at each seam is K. Stein's list of
// practices, in the corners alone a university's contract, one a foot or a cord common advice for sheers.
func (w *window) weights(p *Panel) {
	near := p.SideHem.Div(2) // in the middle of the side hem
	corners := []measure.Length{near, p.FlatWidth - near}
	switch w.weighting() {
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

// weighting is what weighs the hem down: of a sheer, through which weights would be seen, a cord all along it; nothing where the shop has
// nothing.
func (w *window) weighting() orderfile.Weights {
	if of := w.order.Conventions.Weights; !w.sheer() || of == orderfile.NoWeights {
		return of
	}
	return orderfile.WeightCord
}

// hangLining fills in how the lining hangs: narrower than the face by an inset at each side, its hem above the face's,
// and what is trimmed off the joined widths and at the top. A shop that cuts linings by one allowance says neither lift
// nor trim.
func (w *window) hangLining(p *Panel) bool {
	c := &w.order.Conventions
	p.LiningWidth = p.FlatWidth - 2*c.LiningInset
	p.LiningSurplus = (joined(p.LiningWidths, usable(w.lining), w.liningLoss()) - twice(p.FlatWidth)).half()
	if p.LiningRun > 0 {
		p.LiningSurplus = p.LiningRun - p.FlatWidth
	}
	if p.LiningComputed = c.LiningRule != orderfile.LiningByAllowance; p.LiningComputed {
		p.LiningLift, p.LiningTrim = w.puddleUnbacked()+c.LiningLift, c.LiningTrim
	}
	return w.positive(p.LiningWidth, "lining_width", "conventions.lining_inset", map[string]any{"Inset": c.LiningInset, "Flat": p.FlatWidth})
}

// puddleUnbacked is what of the puddle the lining leaves to the face.
func (w *window) puddleUnbacked() measure.Length {
	return w.finishedLength() + w.line.Puddle - w.backed()
}

// stackOfWidth is what a width of cloth takes drawn back (a shop's page of 2008: 5 to 6 in).
const stackOfWidth = 11 * measure.Inch / 2

// farSide is what a one-way panel's rod has beyond the glass where it doesn't stack (98905.com).
const farSide = 6 * measure.Inch

// stack fills in the room that a drawn panel takes on its rod, and the rod that clears the glass then. Rules of thumb differ; cartridges
// that a tape sets have their own.
func (w *window) stack(p *Panel) {
	if w.line.Draw == orderfile.Stationary || w.line.Draw == orderfile.StationaryPair {
		if w.cartridges() {
			p.StackBack = w.tubesStacked()
		}
		return
	}
	if p.StackBack = w.stackBack(p); p.StackBack == 0 || w.line.GlassWidth == 0 {
		return
	}
	p.RodWanted = w.line.GlassWidth + p.StackBack
	if w.line.Draw == orderfile.Pair {
		p.RodWanted += w.otherStack(p)
	} else {
		p.RodWanted += farSide
	}
	if w.line.FaceWidth > 0 && w.line.FaceWidth < p.RodWanted {
		w.tell(engine.Note, "stack_covers_glass", "face_width", map[string]any{
			"Face": w.line.FaceWidth, "Wanted": p.RodWanted, "Stack": p.StackBack, "Glass": w.line.GlassWidth,
		})
	}
}

// otherStack is the stack-back of a pair's other panel, which may turn another corner.
func (w *window) otherStack(p *Panel) measure.Length {
	if w.alike() {
		return p.StackBack
	}
	mate := *w
	mate.problems, mate.side = nil, Left
	if w.side == Left {
		mate.side = Right
	}
	other := mate.hung()
	if !mate.head(&other) {
		return 0
	}
	return mate.stackBack(&other)
}

// cartridges reports whether a tape sets open tubes, which stack badly.
func (w *window) cartridges() bool {
	return w.heading.Family == orderfile.SetByTape && w.heading.Body == orderfile.Tube
}

// tubesStacked is the room of cartridges that a tape sets: their tubes side by side and both flats (from memory: no published figure).
func (w *window) tubesStacked() measure.Length {
	n := w.pulled.pleats
	tubes := w.tape.TakeUp().Times(n).OverPi() + w.face.Thickness.Times(n)
	return tubes + w.pulled.margins + w.tape.Space
}

// stackBack is a drawn panel's by the shop's rule, 0 where that goes by what the order doesn't say.
func (w *window) stackBack(p *Panel) measure.Length {
	if w.cartridges() {
		return w.tubesStacked()
	}
	if w.order.Conventions.StackRule == orderfile.AWidth {
		return stackOfWidth.MulDiv(int64(p.Widths), 2)
	}
	of, share := w.stackShare()
	if w.line.Draw == orderfile.Pair {
		share.Den *= 2
	}
	return of.MulDiv(share.Num, share.Den)
}

// stackShare is what share of the rod, or of the glass, all panels of a window take together.
func (w *window) stackShare() (of measure.Length, share measure.Ratio) {
	switch w.order.Conventions.StackRule {
	case orderfile.GlassThird:
		return w.line.GlassWidth, measure.Ratio{Num: 1, Den: 3}
	case orderfile.Glass30:
		return w.line.GlassWidth, measure.Ratio{Num: 3, Den: 10}
	case orderfile.Build:
		if w.lining != nil {
			return w.line.GlassWidth, measure.Ratio{Num: 1, Den: 4}
		}
		return w.line.GlassWidth, measure.Ratio{Num: 1, Den: 5}
	}
	return w.line.FaceWidth, measure.Ratio{Num: 1, Den: 3}
}

// supports tells of a rod that its maker wants held at more places, and of a middle one that rings of cloth or metal can't pass.
func (w *window) supports() {
	rod := w.rod()
	if rod.Supports == 0 {
		return
	}
	if rod.Span > 0 && w.line.FaceWidth > 0 {
		if wanted := int(w.line.FaceWidth.CeilDiv(rod.Span)) + 1; rod.Supports < wanted {
			w.tell(engine.Warning, "rod_span", "rod", map[string]any{"Rod": rod.ID, "Supports": rod.Supports, "Wanted": wanted, "Span": rod.Span, "Face": w.line.FaceWidth})
		}
	}
	oneWay := w.line.Draw == orderfile.OneWayLeft || w.line.Draw == orderfile.OneWayRight
	threaded := w.heading.Pole != "" && w.heading.Pole != orderfile.OnRings
	if rod.Supports > 2 && oneWay && threaded {
		w.tell(engine.Warning, "support_blocks", "rod", map[string]any{"Rod": rod.ID, "Supports": rod.Supports})
	}
}

// weighed is what a panel has of one cloth, and what that weighs.
type weighed struct {
	of     string // face, lining, interlining, bands
	fabric *orderfile.Fabric
	measure.Weighing
}

// clothsOf are a panel's cloths as they hang: the face less what is trimmed off, lining and interlining as wide as the flat panel, and each
// strip of its bands.
func (w *window) clothsOf(p *Panel) []weighed {
	var list []weighed
	add := func(of string, f *orderfile.Fabric, wide doubled, length measure.Length) {
		if f == nil || wide <= 0 {
			return
		}
		cloth := weighed{of: of, fabric: f}
		cloth.Add(int64(f.Mass), measure.Length(wide), length)
		list = append(list, cloth)
	}
	whole := doubled(w.face.UsableWidth.Times(int(p.Widths))) // as it is bought: its weight is of that
	if p.Railroaded() {
		whole = twice(p.Run)
	}
	add("face", w.face, whole-twice(p.TrimReturn+p.TrimLeading), p.PlainLength)
	add("lining", w.lining, twice(p.FlatWidth), p.LiningCutLength)
	add("interlining", w.interlining, twice(p.FlatWidth), w.backed())
	for i := range p.Bands {
		b := &p.Bands[i]
		add("bands", w.order.Fabric(b.Fabric), twice(b.Cut), b.Length.Times(b.Pieces))
	}
	return list
}

// weigh adds up what the panel's cloths weigh, and tells of those whose weight is wanted for the rod and isn't known.
func (w *window) weigh(p *Panel) {
	var all measure.Weighing
	known := true
	for _, cloth := range w.clothsOf(p) {
		if all.AddAll(&cloth.Weighing); cloth.fabric.Mass > 0 {
			continue
		}
		if known = false; w.rod().Limit > 0 {
			where := fmt.Sprintf("fabrics[%d].mass", w.order.FabricIndex(cloth.fabric.ID))
			w.tellAt(engine.Note, "mass_not_known", where, map[string]any{"Fabric": cloth.fabric.ID, "Rod": w.line.Rod, "Limit": w.limit()})
		}
	}
	if known {
		p.Mass = all.Mass()
	}
}

// limit is what the rod carries by its maker, 0 unknown.
func (w *window) limit() measure.Mass { return measure.Mass(w.rod().Limit) }

// massOf is what the panels of one window weigh, 0 where that isn't known of all.
func massOf(panels []Panel) (sum measure.Mass) {
	for i := range panels {
		if panels[i].Mass == 0 {
			return 0
		}
		sum += panels[i].Mass
	}
	return sum
}

// tellHeavy tells of a window that weighs more than its rod carries.
func (w *window) tellHeavy(panels []Panel) {
	if mass, limit := massOf(panels), w.limit(); limit > 0 && mass > limit {
		w.tell(engine.Warning, "hardware_heavy", "rod", map[string]any{"Mass": mass, "Limit": limit, "Rod": w.line.Rod})
	}
}
