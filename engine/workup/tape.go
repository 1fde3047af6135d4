package workup

import (
	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// pull is a tape's answer to the width asked. An end margin is half of a difference, so both are kept together.
type pull struct {
	pleats  int
	margins measure.Length // from each edge to the dot nearest it, both together: 2e where they are alike
	skew    measure.Length // by how much the one at the return edge is the wider
	reached measure.Length // the finished width that it will hang at
	rule    string         // which way it was solved: fits, opened, above, given; corners, corners_given
	below   *Alternative   // only where the width asked isn't reached
}

// first and last are the margins at the return edge and at the leading edge.
func (p pull) first() doubled { return doubled(p.margins + p.skew) }
func (p pull) last() doubled  { return doubled(p.margins - p.skew) }

// atCorners reports whether the pleats begin at the rod's corners, return and lead staying flat.
func (p pull) atCorners() bool { return p.rule == "corners" || p.rule == "corners_given" }

// pitch is what one pleat and its space take of the finished width: s + b.
func pitch(t *orderfile.Tape) measure.Length { return t.Space + t.PleatBase }

// flat is the hemmed panel lying flat: H = n·p + 2e.
func (p pull) flat(t *orderfile.Tape) measure.Length { return t.Period.Times(p.pleats) + p.margins }

// tight is the panel drawn up as far as it goes: n·(s + b) + 2e.
func (p pull) tight(t *orderfile.Tape) measure.Length { return pitch(t).Times(p.pleats) + p.margins }

// pullUp solves pleats and end margin for the width asked. A tape sets its own pleats, so a panel starts and ends
// in mid-space and only the margins give way; a pulled heading can be opened a little, never tightened further.
// It is false, with the reason told, where no panel can be made.
func (w *window) pullUp(asked measure.Length) (pull, bool) {
	if w.tape.Ends == orderfile.FlatEnds {
		return w.pullToCorners(asked)
	}
	q := pitch(w.tape)
	least, widest := 2*w.tape.EndMargin.Min, 2*w.tape.EndMargin.Max
	if asked < q+least {
		w.fail("too_narrow", w.widthKey(), map[string]any{"Tape": w.tape.ID, "Width": asked, "Narrowest": q + least})
		return pull{}, false
	}
	if w.line.Pleats != nil {
		return w.pleatsGiven(asked, *w.line.Pleats)
	}
	fewest, most := max(1, (asked-widest).CeilDiv(q)), (asked - least).FloorDiv(q)
	if w.tooManyPleats(int(max(fewest, most)), w.widthKey()) {
		return pull{}, false
	}
	if fewest <= most {
		n := w.nearestNominal(asked, int(fewest), int(most))
		return pull{pleats: n, margins: asked - q.Times(n), reached: asked, rule: "fits"}, true
	}
	// No margin in range fits: the pleats that fit at the widest margin leave less than one pitch over.
	below := pull{pleats: int(most), margins: widest, reached: asked, rule: "opened"}
	if ease := asked - below.tight(w.tape); ease <= w.easePerPleat().Times(below.pleats) {
		return below, true
	}
	above := pull{pleats: int(most) + 1, margins: least, rule: "above"}
	above.reached = above.tight(w.tape)
	above.below = &Alternative{Pleats: below.pleats, EndMargin: w.tape.EndMargin.Max, FinishedWidth: below.tight(w.tape)}
	w.notReached(asked, above)
	return above, true
}

// pullToCorners takes the fewest pleats that reach the width asked from the rod's corner to the flat at the lead: the first begins
// where the return ends, the last ends where the lead begins. The dots beside them lie half a space further out, of a short return
// past the edge.
func (w *window) pullToCorners(asked measure.Length) (pull, bool) {
	q, ret, lead := pitch(w.tape), w.ret(), w.leadFlat()
	p := pull{margins: ret + lead - w.tape.Space, skew: ret - lead, rule: "corners"}
	one := q + p.margins // of one pleat
	switch {
	case w.line.Pleats != nil:
		p.pleats, p.rule = *w.line.Pleats, "corners_given"
	case asked < one:
		w.fail("too_narrow", w.widthKey(), map[string]any{"Tape": w.tape.ID, "Width": asked, "Narrowest": one})
		return pull{}, false
	default:
		p.pleats = 1 + int((asked - one).CeilDiv(q))
	}
	if w.tooManyPleats(p.pleats, w.pleatsAskedAt()) {
		return pull{}, false
	}
	if p.reached = p.tight(w.tape); p.reached != asked {
		if w.line.Pleats == nil {
			p.below = &Alternative{Pleats: p.pleats - 1, EndMargin: max(0, p.first().half()), FinishedWidth: p.reached - q}
		}
		w.notReached(asked, p)
	}
	return p, true
}

// pleatsAskedAt is the key that set how many pleats a tape makes.
func (w *window) pleatsAskedAt() string {
	if w.line.Pleats != nil {
		return "pleats"
	}
	return w.widthKey()
}

// nearestNominal picks the pleats whose margin is nearest the tape's nominal one. At equal distance fewer pleats
// win: they are less flat cloth, so never more widths.
func (w *window) nearestNominal(asked measure.Length, fewest, most int) int {
	q, nominal := pitch(w.tape), 2*w.tape.EndMargin.Nominal
	lower := min(max(int((asked-nominal).FloorDiv(q)), fewest), most)
	upper := min(lower+1, most)
	off := func(n int) measure.Length { return (asked - q.Times(n) - nominal).Abs() }
	if off(upper) < off(lower) {
		return upper
	}
	return lower
}

// pleatsGiven solves the margin for the pleats that the order asks. Under the least margin they can't be sewn, which is
// an error; over the greatest they are worked out and told. Both name the range and the widths that these pleats can
// hang at.
func (w *window) pleatsGiven(asked measure.Length, n int) (pull, bool) {
	if w.tooManyPleats(n, "pleats") {
		return pull{}, false
	}
	tight := pitch(w.tape).Times(max(n, 1))
	p := pull{pleats: n, margins: asked - tight, reached: asked, rule: "given"}
	least, widest := 2*w.tape.EndMargin.Min, 2*w.tape.EndMargin.Max
	sewn := n >= 1 && p.margins >= least
	if sewn && p.margins <= widest {
		return p, true
	}
	severity := engine.Warning
	if !sewn {
		severity = engine.Error
	}
	w.tell(severity, "pleat_out_of_range", "pleats", map[string]any{
		"Count": n, "Width": asked, "Margin": p.margins.Div(2), "Min": w.tape.EndMargin.Min, "Max": w.tape.EndMargin.Max,
		"Narrowest": tight + least, "Widest": tight + widest,
	})
	return p, sewn
}

// notReached tells that the panel hangs wider than asked, or with the pleats that the order gives narrower: up to a quarter inch, the
// tolerance of a finished panel (UFGS 12 22 00: ±6 mm), it is a note.
func (w *window) notReached(asked measure.Length, p pull) {
	severity := engine.Warning
	if (p.reached - asked).Abs() <= quarter {
		severity = engine.Note
	}
	args := map[string]any{"Tape": w.tape.ID, "Asked": asked, "Reached": p.reached, "Deviation": (p.reached - asked).Abs(), "Count": p.pleats}
	code := "width_not_reached.given"
	if p.below != nil {
		code = "width_not_reached"
		args["Below"], args["BelowCount"] = p.below.FinishedWidth, p.below.Pleats
	}
	w.tell(severity, code, w.pleatsAskedAt(), args)
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
	w.settle(w.side, &j)
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
