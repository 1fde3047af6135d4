package workup

import (
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// hung is a panel as far as the order alone says: the size that it hangs at, its hems and fold.
func (w *window) hung() Panel {
	asked := w.finishedWidth()
	p := Panel{
		FinishedWidthAsked: asked, FinishedWidth: asked, FinishedLength: w.finishedLength() + w.line.Puddle,
		SideHem: w.sideHem(), BottomHem: w.bottomHem(), HeadingFold: w.headingFold(),
		Family: w.heading.Family, Holds: w.heading.Holds, Top: w.heading.Top, Ringed: w.heading.Pole == orderfile.OnRings, Body: w.heading.Body, Fingers: w.heading.Fingers, Interlining: w.line.Interlining,
		Sheer: w.face.Sheer, Pile: w.face.Pile,
	}
	if w.face.Relax > 0 {
		p.TableLength = w.tableLength() + w.line.Puddle
	}
	return p
}

// setByTape works out a heading whose tape sets its own pleats: the flat width first, then the widths that hold it.
func (w *window) setByTape(p *Panel) bool {
	var ok bool
	if w.pulled, ok = w.pullUp(p.FinishedWidthAsked); !ok {
		return false
	}
	w.pulledHeading(p)
	w.tapeAndCords(p)
	if w.heading.Body == orderfile.Tube {
		w.inserts(p)
	} else {
		p.Fingers = w.tape.Fingers
		p.FingerProjection = w.tape.TakeUp().Div(int64(2 * w.tape.Fingers))
	}
	return w.joinTapePanel(p)
}

// pulledHeading fills in the pulled-up heading: pleats, where they lie flat and how they stand on the rod.
func (w *window) pulledHeading(p *Panel) {
	t, n, pulled := w.tape, w.pulled.pleats, w.pulled
	p.FinishedWidth = pulled.reached
	p.TightWidth = pulled.tight(t)
	p.Deviation = p.FinishedWidth - p.FinishedWidthAsked
	p.Alternative = pulled.below
	p.Pleats = n
	p.EndMargin, p.LeadMargin = pulled.first().half(), pulled.last().half()
	p.EdgeToPleat = (pulled.first() + doubled(t.Space)).half()
	p.LeadToPleat = (pulled.last() + doubled(t.Space)).half()
	if p.CornerEnds = pulled.atCorners(); p.CornerEnds {
		p.LeadFlat = p.LeadToPleat
	}
	p.TakeUp, p.Space = t.TakeUp(), t.Space
	p.FlatWidth = pulled.flat(t)
	p.Fullness = measure.Over(p.FlatWidth, p.FinishedWidth)
	p.PleatPositions = make([]measure.Length, n)
	for k := range p.PleatPositions { // e + p/2 + k·p, halved once
		p.PleatPositions[k] = (pulled.first() + doubled(t.Period.Times(2*k+1))).half()
	}
	p.CornerToPleat = pulled.nearestPleat(w.ret())
}

// standing2n is 2n times the finished position of pleat j's middle from the return edge: n equal pitches between the
// margins, opened alike where the heading was.
func (p pull) standing2n(j int) measure.Length {
	return measure.Length(p.first()).Times(p.pleats) + (p.reached - p.margins).Times(2*j+1)
}

// fromLead2n is the same from the leading edge, of the pleat j counted from there.
func (p pull) fromLead2n(j int) measure.Length {
	return measure.Length(p.last()).Times(p.pleats) + (p.reached - p.margins).Times(2*j+1)
}

// nearestPleat is the way along the finished heading from a place (the rod's corner lies one return from the edge)
// to the middle of the nearest pleat, without sign.
func (p pull) nearestPleat(place measure.Length) measure.Length {
	place2n := place.Times(2 * p.pleats)
	best := (p.standing2n(0) - place2n).Abs()
	for j := 1; j < p.pleats; j++ {
		best = min(best, (p.standing2n(j) - place2n).Abs())
	}
	return best.Div(int64(2 * p.pleats))
}

// pleatsWithin counts the pleats whose middle stands nearer to the leading edge than the lap.
func (p pull) pleatsWithin(lap measure.Length) int {
	n := 0
	for n < p.pleats && p.fromLead2n(n) < lap.Times(2*p.pleats) {
		n++
	}
	return n
}

// tapeAndCords fills in the piece of tape, its stitching and its cords. The piece starts the panel's own margin
// and what is tucked under before a dot; equal pieces stand whole periods apart on the roll.
func (w *window) tapeAndCords(p *Panel) {
	t := w.tape
	p.TapeID, p.TapeHeight, p.TopDrop = t.ID, t.Height, t.TopDrop
	p.TapePiece = p.FlatWidth + 2*t.TrimBeyond
	p.startOfTape, p.endOfTape = w.pulled.first()+twice(t.TrimBeyond), w.pulled.last()+twice(t.TrimBeyond)
	p.TapeStart = p.startOfTape.half()
	if p.CornerEnds { // whole periods before it are as good
		p.TapeStart = (p.startOfTape - twice(t.Period)*doubled(p.startOfTape.floorDiv(twice(t.Period)))).half()
	}
	p.TapePitch = p.TapePiece.CeilTo(t.Period)
	p.Stitching = 2*p.FlatWidth + w.halfLost()
	p.StitchLine = t.TopDrop + t.Height - eighth // the tape is sewn an eighth inside its edge (common practice)
	p.CordPullOut = p.FlatWidth - p.FinishedWidth
	p.CordInHand = p.CordPullOut + t.TrimBeyond
	p.Cords = t.Cords
	p.CordTotal = p.CordInHand.Times(t.Cords)
	p.CordEnd = w.line.CordEnd
}

// halfLost is what doubling the flat width of a pair has too much where halving its odd face width has rounded up:
// −1 nm, or nothing. It would come back in the order's thread as often as panels are made.
func (w *window) halfLost() measure.Length {
	fromWidth := w.pulled.rule == "fits" || w.pulled.rule == "given"
	if w.ordered() || w.line.Draw != orderfile.Pair || !fromWidth {
		return 0
	}
	return -(w.line.FaceWidth + w.lap()) % 2
}

// inserts fills in the buckram of each pleat and the tube that it makes. The gap is what stays free between the
// outsides of two tubes.
func (w *window) inserts(p *Panel) {
	t := w.tape
	p.Inserts = p.Pleats
	p.InsertLength, p.InsertHeight = t.InsertLength, t.Height
	p.InsertTurns = measure.Over(t.InsertLength, t.TakeUp())
	p.TubeDiameter = t.TakeUp().OverPi()
	p.TubeGap = pitch(t) - p.TubeDiameter - w.face.Thickness
}

// joinTapePanel fills in the widths of a tape's panel and where its seams fall. The tape fixes the flat width, so
// there is a surplus: it is trimmed off, or turned into the side hems where the shop keeps it.
func (w *window) joinTapePanel(p *Panel) bool {
	wanted, allowance := p.FlatWidth+w.besides(), w.order.Conventions.WidthAllowance
	var ok bool
	if p.Widths, ok = w.tapeWidths(p, wanted+allowance); !ok {
		return false
	}
	if !w.joins(p) {
		return false
	}
	j := w.joint(p)
	j.surplus = w.joinedFace(p) - twice(wanted)
	w.settle(&j)
	trim := j.hide()
	p.Seams, p.SeamsInPleats, p.SeamsHidden = trim.seams, trim.inPleats, trim.hidden
	p.TrimReturn, p.TrimLeading = trim.atReturn, trim.atLeading
	if p.Turned = w.keepsSurplus(); p.Turned {
		p.TurnedReturn, p.TurnedLeading = p.TrimReturn, p.TrimLeading
		p.TrimReturn, p.TrimLeading = 0, 0
	}
	return true
}

// tapeWidths are those that the order gives, as long as they hold the flat width that the tape fixes, else the fewest
// that do.
func (w *window) tapeWidths(p *Panel, wanted measure.Length) (measure.Halves, bool) {
	given := w.line.Widths
	if w.line.Railroad {
		return w.turned(p, wanted), true
	}
	if given == nil {
		h, ok := w.widths(w.face, wanted+w.motifCost(2, p.FlatWidth), wanted, w.joinLoss(), "face", true)
		if !ok {
			return 0, false
		}
		return w.roomy(h, p.FlatWidth, "face")
	}
	if !w.joinable(*given, w.face, w.joinLoss(), "widths") {
		return 0, false
	}
	if gives := joined(*given, usable(w.face), w.joinLoss()); gives < twice(p.FlatWidth+w.besides()) {
		w.fail("too_narrow.widths", "widths", map[string]any{
			"Tape": w.tape.ID, "Widths": *given, "Gives": gives.half(), "Flat": p.FlatWidth, "Hems": w.besides(),
		})
		return 0, false
	}
	if most := w.widest(*given); most < twice(p.FlatWidth) {
		w.fail("too_narrow.motif", "widths", map[string]any{"Widths": *given, "Gives": most.half(), "Flat": p.FlatWidth, "Tape": w.tape.ID})
		return 0, false
	}
	return *given, true
}

// clothKey is the key of the order file that set the panel's widths.
func (w *window) clothKey() string {
	if w.line.Widths != nil {
		return "widths"
	}
	return "face"
}

// joint gathers what decides where the joins of the face fall.
func (w *window) joint(p *Panel) joint {
	conv := &w.order.Conventions
	j := joint{
		halves: p.Widths, usable: usable(w.face), loss: w.joinLoss(), hems: twice(w.beyond(orderfile.BandReturn)), flat: twice(p.FlatWidth),
		clear: twice(conv.EdgeClear), step: conv.Step, shut: w.heading.Seams == orderfile.HiddenInFold,
	}
	if w.heading.Family == orderfile.SetByTape {
		j.first, j.period = w.pulled.first()+doubled(w.tape.Space), twice(w.tape.Period)
		j.takeUp, j.pleats = twice(p.TakeUp), p.Pleats
	}
	return j
}

// joinedFace is the cloth that the joined widths of the face give, or what shrinking leaves of the run of one that is railroaded.
func (w *window) joinedFace(p *Panel) doubled {
	if p.Railroaded() {
		return doubled((2 * p.Run).MulDiv(w.keptAlong(), whole))
	}
	return joined(p.Widths, usable(w.face), w.joinLoss())
}

// keepsSurplus reports whether cloth over the width wanted stays in the panel: as the order says, all of it where the
// order counts the widths, else by the shop's rule.
func (w *window) keepsSurplus() bool {
	switch {
	case w.placed(), w.line.Railroad && w.heading.Family != orderfile.SetByTape: // cut for the fullness asked, there is none
		return false
	case w.line.Surplus != "":
		return w.line.Surplus == orderfile.KeepSurplus
	case w.line.Widths != nil:
		return true
	case w.order.Conventions.Surplus == orderfile.SurplusByHeading:
		return w.heading.KeepsSurplus
	}
	return w.order.Conventions.Surplus == orderfile.KeepSurplus
}

// cloth fills in the cut lengths of face, lining and interlining, and the widths of the latter two.
func (w *window) cloth(p *Panel) bool {
	conv := &w.order.Conventions
	p.TopAllowance = w.topAllowance()
	p.PlainLength = w.plainLength()
	p.CutLength = cutLength(conv, w.face, p.PlainLength)
	if p.Phased = w.phased(); p.Phased {
		p.Phase = w.phase()
	}
	if p.Railroaded() {
		p.CutLength = p.Run
	} else if conv.RepeatRule == orderfile.WholeRepeats {
		p.RepeatsPerCut = repeats(p.PlainLength, w.face.VerticalRepeat)
	}
	ok := true
	if w.lining != nil {
		if p.LiningWidths, ok = w.liningWidths(p); !ok || !w.liningHangs() {
			return false
		}
		p.LiningCutLength, p.LiningHem = w.liningLength(), conv.LiningHem
		if !w.hangLining(p) {
			return false
		}
	}
	if w.interlining != nil {
		p.InterliningWidths, ok = w.backing(w.interlining, p.FlatWidth, "interlining")
		p.InterliningCutLength = w.interliningLength()
	}
	return ok
}

// fabrics adds up what the panels of all such windows take of each cloth.
func (w *window) fabrics(panels []Panel) []FabricUse {
	widths := func(of func(*Panel) measure.Halves) []measure.Halves {
		list := make([]measure.Halves, len(panels))
		for i := range panels {
			list[i] = of(&panels[i])
		}
		return list
	}
	p := &panels[0] // all are cut alike, but for the runs of railroaded ones
	var list []FabricUse
	if p.Railroaded() {
		list = w.turnedUses(w.face, panels, p.PlainLength, func(p *Panel) measure.Length { return p.Run })
	} else {
		list = append(list, w.fabricUse(w.face, widths(func(p *Panel) measure.Halves { return p.Widths }), p.PlainLength))
	}
	if w.heading.Pole == orderfile.ByTabs {
		list[0].trim(w.tabTrimmings(panels)...)
	}
	switch {
	case w.lining == nil:
	case p.LiningRun > 0:
		list = append(list, w.turnedUses(w.lining, panels, p.LiningCutLength, func(p *Panel) measure.Length { return p.LiningRun })...)
	default:
		list = append(list, w.fabricUse(w.lining, widths(func(p *Panel) measure.Halves { return p.LiningWidths }), p.LiningCutLength))
	}
	if w.interlining != nil {
		list = append(list, w.fabricUse(w.interlining, widths(func(p *Panel) measure.Halves { return p.InterliningWidths }), p.InterliningCutLength))
	}
	return w.cutBands(list, panels)
}
