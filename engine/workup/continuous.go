package workup

import (
	"fmt"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// continuous works out a heading without pleats: cloth as for pleats set by hand, and then what holds it: cords, a rod, points, or
// carriers.
func (w *window) continuous(p *Panel) bool {
	if w.heading.Top != orderfile.PocketTop && p.FinishedWidth <= w.ret() { // a rod gathers its return too
		w.fail("too_narrow.return", w.widthKey(), map[string]any{"Width": p.FinishedWidth, "Return": w.ret()})
		return false
	}
	if !w.continuousCloth(p) {
		return false
	}
	p.Fullness = measure.Over(p.FlatWidth, p.FinishedWidth)
	switch w.heading.Holds {
	case orderfile.Gathered:
		w.layJoins(p, w.bestTrim(w.side, p, nil, 1).trim)
	default:
		if !w.layPoints(p) {
			return false
		}
	}
	w.top(p)
	if w.tape != nil {
		w.plainTape(p)
	}
	return w.hangs(p)
}

// continuousCloth fills in the flat width and the widths that give it. A wave's is fixed by tape and carriers; another's is what its
// fullness asks, or all that the widths give.
func (w *window) continuousCloth(p *Panel) bool {
	if w.heading.Holds == orderfile.OnCarriers {
		w.carried = w.carriers(p.FinishedWidth)
		if w.tooManyPoints(w.carried.n) {
			return false
		}
		p.FlatWidth, p.Reach = w.carried.flat.half(), w.carried.reach.half()
		var ok bool
		p.Widths, ok = w.tapeWidths(p, p.FlatWidth+w.besides()+w.order.Conventions.WidthAllowance)
		w.handCloth = handCloth{finished: p.FinishedWidth, asked: p.FlatWidth, least: p.FlatWidth, most: w.mostFlat(p)}
		return ok && w.joins(p) && w.hasFolds(p)
	}
	p.FullnessAsked = w.fullness()
	cloth := handCloth{finished: p.FinishedWidth, asked: w.wantedFlat(), keep: w.keepsSurplus()}
	cloth.least = w.leastFlat(cloth.asked)
	var ok bool
	if p.Widths, ok = w.handWidths(p, cloth); !ok || !w.joins(p) {
		return false
	}
	cloth.most = w.mostFlat(p)
	p.FlatWidth, w.handCloth = cloth.flat(), cloth
	return w.hasFolds(p)
}

// hasFolds refuses less cloth than the panel is wide, and as much where the heading can't hang flat.
func (w *window) hasFolds(p *Panel) bool {
	if p.FlatWidth > p.FinishedWidth || p.FlatWidth == p.FinishedWidth && w.heading.Full1() {
		return true
	}
	w.fail("too_narrow.cloth", w.clothKey(), map[string]any{"Flat": p.FlatWidth, "Width": p.FinishedWidth})
	return false
}

// bestTrim tries every trim at the return edge, in steps, and keeps the one with fewest joins near a finished edge, then fewest near a
// point, then fewest in a fold that stands to the room, then the smallest trim at the leading edge; of a panel without joins
// all of it is trimmed at the return. In one search so many are tried.
func (w *window) bestTrim(side PanelID, p *Panel, at *points, tries int) seamsAt {
	j := w.trimmable(side, p)
	step := j.trimStep()
	if j.settled {
		return j.seamsAt(at, w.clear(), j.at)
	}
	if pieces(j.halves) == 1 {
		return seamsAt{trim: measure.Length(j.surplus / 2).FloorTo(step)}
	}
	if least := measure.Length(j.surplus/(2*maxTrials)) * measure.Length(tries); step < least {
		step = least.CeilTo(step)
	}
	clear := w.clear()
	best := j.seamsAt(at, clear, 0)
	for t := step; twice(t) <= j.surplus; t += step {
		if s := j.seamsAt(at, clear, t); !s.worseThan(best) {
			best = s
		}
	}
	return best
}

// trimmable is the joints of the panel at a side and what of its cloth is over.
func (w *window) trimmable(side PanelID, p *Panel) joint {
	j := w.joint(p)
	j.surplus = w.over(p, p.FlatWidth)
	w.settle(side, &j)
	return j
}

// layJoins fills in the trims and where the joins lie then.
func (w *window) layJoins(p *Panel, trim measure.Length) {
	j := w.trimmable(w.side, p)
	p.TrimReturn, p.TrimLeading = trim, max(0, (j.surplus-twice(trim)).half())
	p.Seams = make([]measure.Length, 0, pieces(p.Widths)-1)
	for i := 1; i < pieces(p.Widths); i++ {
		p.Seams = append(p.Seams, j.seam(i, trim).half())
	}
}

// seamsAt is a trim, and how its joins lie.
type seamsAt struct {
	trim                    measure.Length
	nearEdge, near, inFront int
}

func (a seamsAt) worseThan(b seamsAt) bool {
	switch {
	case a.nearEdge != b.nearEdge:
		return a.nearEdge > b.nearEdge
	case a.near != b.near:
		return a.near > b.near
	}
	return a.inFront > b.inFront
}

// add counts the joins of another panel in; the trim is each panel's own.
func (a *seamsAt) add(b seamsAt) {
	a.nearEdge, a.near, a.inFront = a.nearEdge+b.nearEdge, a.near+b.near, a.inFront+b.inFront
}

func (a seamsAt) clear() bool { return a.nearEdge+a.near+a.inFront == 0 }

// seamsAt is how the joins lie with a trim.
func (j joint) seamsAt(at *points, clear doubled, t measure.Length) seamsAt {
	s := seamsAt{trim: t}
	for i := 1; i < pieces(j.halves); i++ {
		x := j.seam(i, t)
		if j.nearEdge(x) {
			s.nearEdge++
		}
		if at == nil {
			continue
		}
		if at.near(x, clear) {
			s.near++
		}
		if at.inFront(x) {
			s.inFront++
		}
	}
	return s
}

// top fills in what stiffens the top and what is cut above the finished length for it.
func (w *window) top(p *Panel) {
	if w.heading.Buckram {
		p.BuckramLength, p.BuckramHeight = p.FlatWidth, p.HeadingFold
	}
	switch w.heading.Pole {
	case orderfile.InPocket:
		p.Pocket, p.Stand, p.Turn = w.pocket(), w.line.Pocket.Stand, w.line.Pocket.Turn
		lines := 1
		if p.Stand > 0 {
			lines = 2
		}
		p.PocketStitching = p.FlatWidth.Times(lines)
	case orderfile.InEyelets:
		p.EyeletDrop, p.EyeletInner, p.EyeletOuter = w.line.Eyelet.Drop, w.line.Eyelet.Inner, w.line.Eyelet.Outer
	case orderfile.ByTabs:
		p.TabLoop = w.tabLoop()
		p.TabCutLength, p.TabCutWidth = p.TabLoop+2*w.tabSeam(), 2*w.line.Tab.Width+2*w.tabSeam()
		p.FacingLength, p.FacingHeight = p.FlatWidth+2*w.tabSeam(), w.line.Tab.Facing
	}
	if above, known := w.order.AboveBearing(w.line); known {
		p.Bearing, p.BearingKnown = above, true
	}
}

// topAllowance is the cloth above the finished length that the heading turns to the back.
func (w *window) topAllowance() measure.Length {
	switch w.heading.Top {
	case orderfile.PocketTop:
		return w.line.Pocket.Stand + w.pocket() + w.line.Pocket.Turn
	case orderfile.SeamTop:
		return w.tabSeam()
	}
	return w.headingFold().Times(w.heading.Top.Turns())
}

// rod is what the panel hangs from, empty where the order names none.
func (w *window) rod() *orderfile.Rod {
	if r := w.order.Rod(w.line.Rod); r != nil {
		return r
	}
	return &orderfile.Rod{}
}

// pocket is how deep the rod's tunnel is sewn, up to the step: half of the rod's circumference and the ease, both sides of a flat
// tunnel being half of it; or the rod's diameter and the ease (published both ways).
func (w *window) pocket() measure.Length {
	c := &w.order.Conventions
	switch {
	case w.line.Pocket.Depth != nil:
		return *w.line.Pocket.Depth
	case c.PocketRule == orderfile.RodAcross && w.rod().Through() > 0:
		return (w.rod().Through() + c.PocketEase).CeilTo(c.Step)
	}
	return c.Step * measure.Length((w.rod().Around() + c.PocketEase).CeilDiv(2*c.Step))
}

// tabSeam is what is turned in where tabs and facing are sewn to the panel (common practice).
func (w *window) tabSeam() measure.Length {
	if w.order.Units.Metric() {
		return 15 * measure.Millimetre
	}
	return measure.Inch / 2
}

// tabLoop is a tab's length from seam to seam, up to the step: over half of the pole, down both of its sides and the gap below it:
// d·(π/2 + 1) + 2·gap (two sewing manuals and a leaflet).
func (w *window) tabLoop() measure.Length {
	if w.line.Tab.Loop != nil {
		return *w.line.Tab.Loop
	}
	step, d := w.order.Conventions.Step, w.rod().Through()
	return step * measure.Length((d.TimesPi() + 2*d + 4*w.line.Tab.Gap).CeilDiv(2*step))
}

// plainTape fills in a tape that sets no pleats: its piece, its two lines of stitches, and the cords that draw it up where it has any.
func (w *window) plainTape(p *Panel) {
	t := w.tape
	p.TapeID, p.TapeHeight, p.TopDrop = t.ID, t.Height, t.TopDrop
	p.TapePiece = p.FlatWidth + 2*t.TrimBeyond
	p.Stitching = 2 * p.FlatWidth
	p.StitchLine = t.TopDrop + t.Height - eighth // the tape is sewn an eighth inside its edge (common practice)
	if t.Kind == orderfile.WaveKind {
		p.TapePitch = p.TapePiece.CeilTo(t.PocketPitch)
		return
	}
	p.CordPullOut = p.FlatWidth - p.FinishedWidth
	p.CordInHand = p.CordPullOut + t.TrimBeyond
	p.Cords = t.Cords
	p.CordTotal = p.CordInHand.Times(t.Cords)
	p.CordEnd = w.line.CordEnd
}

// hangs tells what a person should know of how the panel hangs, false where it can't.
func (w *window) hangs(p *Panel) bool {
	w.tellFull(p)
	w.tellHang(p)
	if w.tape != nil {
		w.tellSingleFold(p)
		return w.heading.Holds != orderfile.Gathered || w.gathers(p)
	}
	switch w.heading.Pole {
	case orderfile.InPocket:
		return w.pocketHolds(p)
	case orderfile.InEyelets:
		w.tellEyelet(p)
	case orderfile.ByTabs:
		if w.line.Draw != orderfile.Stationary && w.line.Draw != orderfile.StationaryPair {
			w.tell(engine.Note, "tabs_drag", "draw", nil)
		}
	case orderfile.OnRings:
		if rod := w.rod(); rod.RingInner > 0 && rod.Through() > 0 && rod.RingInner < rod.Through()+halfInch {
			w.tellAt(engine.Warning, "ring_tight", w.rodKey("ring_inner"), map[string]any{"Inner": rod.RingInner, "Rod": rod.Through(), "Least": rod.Through() + halfInch})
		}
	}
	return true
}

// tellFull tells of a fullness outside of what the heading usually has.
func (w *window) tellFull(p *Panel) {
	least, most := w.heading.FullnessMin, w.heading.FullnessMax
	flat, hung := p.FlatWidth, p.FinishedWidth
	if p.Holds == orderfile.OnCarriers { // settled by tape and track; the panel may hang narrower
		flat, hung = w.carried.flatOf, w.carried.openOf
	}
	// A nanometre off is a rounding.
	if flat >= hung.MulDiv(least.Num, least.Den)-1 && (most.Num == 0 || flat <= hung.MulDiv(most.Num, most.Den)+1) {
		return
	}
	key := w.widthKey()
	switch {
	case w.line.Widths != nil:
		key = "widths"
	case w.line.Fullness != nil:
		key = "fullness"
	}
	w.tell(engine.Warning, "fullness_out_of_range", key, map[string]any{"Fullness": measure.Over(flat, hung), "Min": least, "Max": most})
}

// tellHang tells where the order puts the top edge otherwise over the bearing than the heading does.
func (w *window) tellHang(p *Panel) {
	h := w.line.Hang
	if h == nil || h.Own || !p.BearingKnown || (h.HeadingAboveBearing-p.Bearing).Abs() <= eighth {
		return
	}
	w.tell(engine.Warning, "hang_differs", "hang", map[string]any{"Given": h.HeadingAboveBearing, "Own": p.Bearing})
}

// gathers refuses more cloth than the tape's cords draw up into the width asked, and says what would do.
func (w *window) gathers(p *Panel) bool {
	tight := w.tape.Tightest
	if most := p.FinishedWidth.MulDiv(tight.Num, tight.Den); p.FlatWidth > most {
		args := map[string]any{
			"Tape": w.tape.ID, "Flat": p.FlatWidth, "Width": p.FinishedWidth, "Tightest": tight,
			"Narrowest": p.FlatWidth.MulDiv(tight.Den, tight.Num).CeilTo(w.order.Conventions.Step), "Widths": w.widthsWithin(p, most),
		}
		code := "gather_too_tight"
		if p.Railroaded() {
			code += ".railroaded"
		}
		w.fail(code, w.widthKey(), args)
		return false
	}
	return true
}

// widthsWithin are the most widths whose flat cloth is no more than that, half a one at the least.
func (w *window) widthsWithin(p *Panel, most measure.Length) measure.Halves {
	h := p.Widths
	for h > 1 && joined(h, usable(w.face), w.joinLoss())-twice(w.besides()) > twice(most) {
		h--
	}
	return h
}

// tellSingleFold tells of a raw edge that the tape doesn't cover: it has to lie half an inch below the tape's upper edge, and an eighth
// over its lower line of stitches (common practice).
func (w *window) tellSingleFold(p *Panel) {
	least, most := p.TopDrop+halfInch, p.StitchLine
	if p.HeadingFold < least || p.HeadingFold > most {
		w.tell(engine.Warning, "fold_outside_tape", "heading_fold", map[string]any{"Fold": p.HeadingFold, "Least": least, "Most": most, "Tape": p.TapeID})
	}
}

// flops is how much may stand above a rod before it falls over (from memory).
const flops = 5 * measure.Inch

// pocketHolds refuses a pocket that the rod doesn't go into, and tells of one that it hardly does.
func (w *window) pocketHolds(p *Panel) bool {
	around := w.rod().Around()
	args := map[string]any{"Pocket": p.Pocket, "Around": around, "Least": around.Div(2) + quarter}
	if p.Stand > flops {
		w.tell(engine.Note, "stand_flops", "pocket.stand", map[string]any{"Stand": p.Stand, "Most": flops})
	}
	switch {
	case 2*p.Pocket < around:
		w.fail("pocket_tight.error", "pocket.depth", args)
		return false
	case 2*p.Pocket < around+2*quarter:
		w.tell(engine.Warning, "pocket_tight", "pocket.depth", args)
	}
	return true
}

// tellEyelet tells of eyelets that are narrow for their pole, or stand out of the band.
func (w *window) tellEyelet(p *Panel) {
	e, rod, clearance := w.line.Eyelet, w.rod().Through(), w.order.Conventions.EyeletClearance
	if rod > 0 && e.Inner < rod+clearance {
		w.tell(engine.Warning, "eyelet_tight", "eyelet.inner", map[string]any{"Inner": e.Inner, "Rod": rod, "Least": rod + clearance})
	}
	if 2*e.Drop+e.Outer > 2*(p.HeadingFold-quarter) || 2*e.Drop < e.Outer+2*quarter {
		w.tell(engine.Warning, "eyelet_off_band", "eyelet.drop", map[string]any{"Drop": e.Drop, "Outer": e.Outer, "Band": p.HeadingFold, "Least": e.Outer.Div(2) + quarter})
	}
}

// rodKey is a key of the panel's rod.
func (w *window) rodKey(key string) string {
	for i := range w.order.Rods {
		if w.order.Rods[i].ID == w.line.Rod {
			return fmt.Sprintf("rods[%d].%s", i, key)
		}
	}
	return ""
}
