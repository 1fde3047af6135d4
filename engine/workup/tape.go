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
