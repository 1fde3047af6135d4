package workup

import (
	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/takeups"
)

// layPleats fills in where pleats and seams lie.
func (w *window) layPleats(p *Panel, laid laidPleats) {
	set := w.hand
	p.Deviation = 0
	p.Pleats = set.pleats
	p.EdgeToPleat, p.LeadFlat = set.before(0), set.lead
	p.LeadToPleat = set.lead + p.EdgeToPleat - set.ret
	p.TakeUp = set.takeUps.Div(int64(set.pleats))
	p.Space = set.spaces.Div(int64(set.gaps()))
	p.Fullness, p.FullnessAsked = measure.Over(p.FlatWidth, p.FinishedWidth), w.fullness()
	p.TakeUps = laid.row.TakeUps
	p.PleatPositions = make([]measure.Length, set.pleats)
	var taken measure.Length
	for k, t := range p.TakeUps {
		p.PleatPositions[k] = (2*(set.before(k)+taken) + t).Div(2)
		taken += t
	}
	p.PleatMarks = set.marks(p.TakeUps, w.order.Conventions.Step)
	p.Seams, p.SeamsInPleats, p.SeamsHidden = laid.seams, laid.row.Inside, laid.row.Hidden
	p.TrimReturn, p.TrimLeading = laid.atReturn, max(0, laid.atLeading) // below none by a rounding
	p.BuckramLength, p.BuckramHeight = p.FlatWidth, p.HeadingFold
	p.CornerToPleat = p.EdgeToPleat - set.ret
	w.bodies(p)
}

// handJoint decides where the joins of a panel set by hand fall. A pinch hides a seam anywhere inside its fold, a loop that stays
// open or is pressed flat in an outer quarter of what it takes up; the less the take-ups differ for it the better.
type handJoint struct {
	joint
	set pleating
}

func (w *window) handJoint(side PanelID, p *Panel, set pleating, cloth handCloth) handJoint {
	j := w.joint(p)
	j.flat, j.surplus = twice(set.flat), cloth.surplus(set.flat)
	if w.placed() {
		j.surplus = w.over(p, set.flat)
		w.settle(side, &j)
	}
	return handJoint{j, set}
}

// handPanels are the panels for which one count of pleats is chosen, each with its own joins.
type handPanels []handJoint

func (w *window) handPanels(p *Panel, set pleating, cloth handCloth) handPanels {
	var list handPanels
	for _, side := range w.together() {
		list = append(list, w.handJoint(side, p, set, cloth))
	}
	return list
}

// lay has each of the panels laid as well as it can be. ok is false where that doesn't leave fewer than below seams in view, of all of them
// together.
func (list handPanels) lay(below int, one func(j handJoint, below int) (laidPleats, bool)) (all laidPanels, ok bool) {
	for _, j := range list {
		l, ok := one(j, below)
		if !ok {
			return nil, false
		}
		below -= l.inView()
		all = append(all, l)
	}
	return all, true
}

// laidPanels are the panels for which one count of pleats was chosen.
type laidPanels []laidPleats

func (all laidPanels) inView() (n int) {
	for _, l := range all {
		n += l.inView()
	}
	return n
}

func (all laidPanels) near() (n int) {
	for _, l := range all {
		n += l.near
	}
	return n
}

// bestLaid looks among the counts of pleats for the one with fewest seams in view, in all the panels that have one count. Where the widths
// give less than the fullness asked there is nothing over to trim for the seams; then the flat width comes down within the slack, as
// little as hides most of them.
func (w *window) bestLaid(p *Panel, cloth handCloth, counts []pleating) (best pleating, laid laidPanels) {
	b := searchBudget(len(w.together()))
	for i, set := range counts {
		panels, below := w.handPanels(p, set, cloth), laid.inView()
		if i == 0 {
			below = len(panels) * pieces(p.Widths) // more than all their seams
		}
		if l, ok := panels.lay(below, func(j handJoint, below int) (laidPleats, bool) { return j.lay(below, b) }); ok {
			best, laid = set, l
		}
		if laid.inView() == 0 || b.spent() {
			return best, laid
		}
	}
	if cloth.keep || cloth.most >= twice(cloth.asked) {
		return best, laid
	}
	step, near := w.joint(p).trimStep(), laid.near()
	for t := step; cloth.most-twice(t) >= twice(cloth.least) && laid.inView() > 0 && !b.spent(); t += step {
		for _, set := range w.counted(p, cloth.without(t)) {
			if cloth.surplus(set.flat).half() != t {
				continue // it suits another flat width, which has been tried
			}
			trimmed := func(j handJoint, below int) (laidPleats, bool) { return j.trimmed(t, below, b) }
			if l, ok := w.handPanels(p, set, cloth).lay(laid.inView(), trimmed); ok && l.near() <= near {
				best, laid = set, l
			}
		}
	}
	return best, laid
}

// laidPleats are the take-ups and the seams for one trim at the return edge.
type laidPleats struct {
	row                 takeups.Folded
	seams               []measure.Length
	near                int // of the seams, too near an edge
	atReturn, atLeading measure.Length
}

// inView counts the seams that no pleat hides, inSpaces those that lie in none.
func (l laidPleats) inView() int   { return len(l.seams) - l.row.Hidden }
func (l laidPleats) inSpaces() int { return len(l.seams) - l.row.Inside }

// sameSpread is how far two least spreads may lie apart by rounding alone.
const sameSpread = 4 * measure.Nanometre

// budget bounds the search of the panels of one count, all their trims and counts of pleats together; what was best by then stands.
type budget struct{ trims, tries int }

// searchBudget is enough for panels of a dozen widths; one of sixty takes a fraction of a second.
func searchBudget(panels int) *budget { return &budget{trims: panels << 15, tries: panels << 16} }

func (b *budget) spent() bool { return b.trims <= 0 || b.tries <= 0 }

// lay tries every trim at the return edge, as for a tape, and keeps the best: fewest seams near an edge, most hidden,
// least spread, then the smallest trim at the leading edge, with which it begins. Equal pleats have no spread, so a
// trim with which they hide all seams needs no other beside it. ok is false where no trim leaves fewer than below in view.
func (j handJoint) lay(below int, b *budget) (l laidPleats, ok bool) {
	row := j.row()
	trims := j.clearest(row.Seams2)
	h := row.Hiding(&b.tries)
	h.Below(below)
	best := trims[0]
	for _, t := range trims {
		if j.place(row.Seams2, t); h.TakeEven(takeups.Rounded) {
			best, ok = t, true
		}
		if b.trims--; h.Missed() == 0 || b.trims <= 0 {
			break
		}
	}
	if h.Missed() > 0 {
		for _, t := range trims {
			if b.spent() {
				break
			}
			b.trims--
			if j.place(row.Seams2, t); h.Improve(sameSpread) {
				best, ok = t, true
			}
		}
	}
	if !ok {
		return laidPleats{}, false
	}
	return j.laid(row, h, best), true
}

// trimmed is the heading with one trim. ok is false where that doesn't leave fewer than below in view.
func (j handJoint) trimmed(t measure.Length, below int, b *budget) (l laidPleats, ok bool) {
	row := j.row()
	h := row.Hiding(&b.tries)
	h.Below(below)
	if b.trims--; j.settled {
		t = j.at
	}
	j.place(row.Seams2, t)
	if even, uneven := h.TakeEven(0), h.Improve(0); !even && !uneven {
		return laidPleats{}, false
	}
	return j.laid(row, h, t), true
}

// laid is the heading as the search has found it best for a trim.
func (j handJoint) laid(row takeups.Row, h *takeups.Hiding, t measure.Length) laidPleats {
	l := laidPleats{near: j.place(row.Seams2, t), seams: make([]measure.Length, len(row.Seams2)), atReturn: t, atLeading: (j.surplus - twice(t)).half()}
	l.row = h.Folded()
	for i, x := range row.Seams2 {
		l.seams[i] = doubled(x).half()
	}
	return l
}

// row is the heading with room for its seams.
func (j handJoint) row() takeups.Row {
	r := takeups.Row{Flats: make([]measure.Length, j.set.pleats), Total: j.set.takeUps, Seams2: make([]measure.Length, pieces(j.halves)-1)}
	for k := range r.Flats {
		r.Flats[k] = j.set.before(k)
	}
	if !j.shut {
		r.Quarter = j.set.takeUps.Div(int64(4 * j.set.pleats))
	}
	return r
}

// place puts the seams where a trim leaves them and counts those too near an edge.
func (j handJoint) place(seams2 []measure.Length, t measure.Length) (near int) {
	for i := range seams2 {
		x := j.seam(i+1, t)
		seams2[i] = measure.Length(x)
		if j.nearEdge(x) {
			near++
		}
	}
	return near
}

// clearest lists the trims that leave fewest seams near an edge, the greatest first; one where nothing is joined.
func (j handJoint) clearest(seams2 []measure.Length) []measure.Length {
	if j.settled {
		return []measure.Length{j.at}
	}
	step := j.trimStep()
	last := measure.Length(j.surplus / 2).FloorTo(step)
	if len(seams2) == 0 {
		return []measure.Length{last}
	}
	var trims []measure.Length
	fewest := 0
	for t := last; t >= 0; t -= step {
		near := j.place(seams2, t)
		if len(trims) == 0 || near < fewest {
			fewest, trims = near, trims[:0]
		}
		if near == fewest {
			trims = append(trims, t)
		}
	}
	return trims
}

// marks are what a hand chalks on a heading set by hand: start and end of each pleat by turns, along the flat panel
// from the return edge. Each is rounded once, from the whole, to the step: measured off one tape laid along the edge
// none is out by more than half a step, where rounded take-ups and spaces measured one after another add up what each
// of them lost.
func (p pleating) marks(takeUps []measure.Length, step measure.Length) []measure.Length {
	parts := 2 * p.gaps() // a space's end may lie at half of one
	halves := 0
	if p.halves {
		halves = 1
	}
	list := make([]measure.Length, 0, 2*len(takeUps))
	var taken measure.Length
	for k, takeUp := range takeUps {
		flat := p.ret.Times(parts) + p.spaces.Times(2*k+halves)
		list = append(list, stepped(flat+taken.Times(parts), parts, step))
		taken += takeUp
		list = append(list, stepped(flat+taken.Times(parts), parts, step))
	}
	return list
}

// stepped rounds a length given in parts to the nearest step, halves up.
func stepped(inParts measure.Length, parts int, step measure.Length) measure.Length {
	whole := max(1, step).Times(parts)
	return max(1, step) * measure.Length((2*inParts + whole).FloorDiv(2*whole))
}

// bodies fills in what becomes of the loops that pleats are sewn as, and tells where they don't fit.
func (w *window) bodies(p *Panel) {
	set := w.hand
	reach := doubled(0) // how far a body stands over its line of stitches
	switch w.heading.Body {
	case orderfile.Tube:
		p.TubeDiameter = p.TakeUp.OverPi()
		p.TubeGap = p.Space - p.TubeDiameter - w.face.Thickness
		reach = doubled(p.TubeDiameter)
		w.fill(p)
	case orderfile.Flat, orderfile.FlatBack:
		p.PleatFace = set.takeUps.Div(int64(2 * set.pleats))
		p.FaceGap = (set.spaces.Times(2*set.pleats) - set.takeUps.Times(set.gaps())).Div(int64(2 * set.pleats * set.gaps()))
		reach = doubled(set.takeUps.Div(int64(2 * set.pleats)))
		w.tellFaces(p)
	}
	for _, flat := range []struct {
		key string
		l   measure.Length
	}{{"return", p.EdgeToPleat}, {"lead_flat", p.LeadToPleat}} {
		if twice(flat.l)+doubled(measure.Nanometre) < reach { // both are rounded
			w.tell(engine.Warning, "pleat_over_edge", flat.key, map[string]any{"Flat": flat.l, "Reach": reach.half()})
			return
		}
	}
}

// fill fills in what goes into each tube: of a rolled piece its buckram, about three times round (common practice).
func (w *window) fill(p *Panel) {
	set := w.hand
	if w.line.Inserts == orderfile.Unfilled {
		return
	}
	p.Inserts = set.pleats
	if w.line.Inserts == orderfile.Rolled {
		step := max(1, w.order.Conventions.Step)
		p.InsertLength = step * measure.Length(set.takeUps.Times(3).CeilDiv(step.Times(set.pleats)))
		p.InsertHeight = p.HeadingFold
		p.InsertTurns = measure.Over(p.InsertLength.Times(set.pleats), set.takeUps)
	}
}

// tellFaces tells of pleats pressed flat that lie over each other: in front nobody can sew them so, behind they only make bulk.
func (w *window) tellFaces(p *Panel) {
	set := w.hand
	if set.spaces.Times(2*set.pleats) >= set.takeUps.Times(set.gaps()) {
		return
	}
	severity := engine.Error
	if w.heading.Body == orderfile.FlatBack {
		severity = engine.Warning
	}
	w.tell(severity, "pleats_overlap", w.pleatsKey(set), map[string]any{"Face": p.PleatFace, "Space": p.Space, "Over": -p.FaceGap})
}
