package workup

import (
	"slices"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// joint is everything that decides where the joins of a panel fall. A half width and the middle of a join are halves.
type joint struct {
	halves  measure.Halves
	usable  measure.Length
	loss    measure.Length // λ, cloth that a join takes
	hems    doubled        // 2·side hem, off the return edge
	flat    doubled        // H
	first   doubled        // e + s/2, the flat before the first take-up
	period  doubled
	takeUp  doubled
	pleats  int
	clear   doubled // a seam nearer a finished edge than this is avoided
	surplus doubled
	step    measure.Length
	shut    bool // a pleat hides a seam anywhere in it
}

// trimming says where the surplus is trimmed and where the joins lie then.
type trimming struct {
	atReturn  measure.Length
	atLeading measure.Length
	seams     []measure.Length
	inPleats  int
	hidden    int
}

// look is how well a trim hides its seams. Visibility is counted in halves of a take-up's nanometre: 0 at the base
// of a tube, a take-up on its nose, two take-ups in a space.
type look struct {
	nearEdge, inSpace int
	worst, sum        doubled
}

func (a look) worseThan(b look) bool {
	switch {
	case a.nearEdge != b.nearEdge:
		return a.nearEdge > b.nearEdge
	case a.inSpace != b.inSpace:
		return a.inSpace > b.inSpace
	case a.worst != b.worst:
		return a.worst > b.worst
	}
	return a.sum > b.sum
}

// maxTrials bounds the trims tried where a shop's step is finer than any table's mark.
const maxTrials = 1 << 16

// hide tries every trim at the return edge, in steps, and keeps the one that hides the seams best: a cartridge is
// an open tube, its middle in full view, so the order is no seam near a finished edge, none in a space, the worst
// one nearest the base of its tube, then all together; last the smaller trim at the leading edge.
func (j joint) hide() trimming {
	step := j.trimStep()
	best, at := j.look(0), measure.Length(0)
	if pieces(j.halves) > 1 {
		for t := step; twice(t) <= j.surplus; t += step {
			if l := j.look(t); !l.worseThan(best) {
				best, at = l, t
			}
		}
	} else {
		at = measure.Length(j.surplus / 2).FloorTo(step)
	}
	return j.trimmed(at)
}

// trimStep is the shop's step, or a coarser one where it would make too many trials.
func (j joint) trimStep() measure.Length {
	step := j.step
	if step <= 0 {
		step = measure.Inch / 16
	}
	if least := measure.Length(j.surplus / (2 * maxTrials)); step < least {
		return least.CeilTo(step)
	}
	return step
}

// nearEdge reports whether a seam at x lies too near a finished edge.
func (j joint) nearEdge(x doubled) bool { return x < j.clear || j.flat-x < j.clear }

// seam is the middle of join i (from 1), from the return edge, when t is trimmed there.
func (j joint) seam(i int, t measure.Length) doubled {
	strips := measure.Halves(2 * i) // the half lies first
	if j.halves%2 == 1 {
		strips--
	}
	return doubled(j.usable.Times(int(strips))-j.loss.Times(2*i-1)) - twice(t) - j.hems
}

// visible tells how far a seam at x is seen, and whether it lies in a space. It lies in a pleat when it is an
// eighth of an inch clear of its sides (from memory: less, and the fold shows it).
func (j *joint) visible(x doubled) (doubled, bool) {
	k := (x - j.first).floorDiv(j.period)
	into := x - j.first - j.period*doubled(k)
	aside := min(into, j.takeUp-into)
	switch {
	case k < 0 || k >= int64(j.pleats) || aside < twice(eighth):
		return j.takeUp, true
	case j.shut:
		return 0, false
	}
	return aside, false
}

func (j *joint) look(t measure.Length) look {
	var l look
	for i := 1; i < pieces(j.halves); i++ {
		x := j.seam(i, t)
		if j.nearEdge(x) {
			l.nearEdge++
		}
		v, space := j.visible(x)
		if space {
			l.inSpace++
		}
		l.worst = max(l.worst, v)
		l.sum += v
	}
	return l
}

// trimmed lists the seams of a trim; in the back half of its tube (visibility up to ½) a seam counts as hidden.
func (j joint) trimmed(t measure.Length) trimming {
	r := trimming{atReturn: t, atLeading: (j.surplus - twice(t)).half(), seams: []measure.Length{}}
	for i := 1; i < pieces(j.halves); i++ {
		x := j.seam(i, t)
		r.seams = append(r.seams, x.half())
		v, space := j.visible(x)
		if space {
			continue
		}
		r.inPleats++
		if 4*v <= j.takeUp {
			r.hidden++
		}
	}
	return r
}

// The hooks that carry a panel, the weights that draw its hem straight, and how its lining hangs in it.

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
