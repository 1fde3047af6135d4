package workup

import (
	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// pull is a tape's answer to the width asked. The end margin is kept doubled, since it is half of a difference.
type pull struct {
	pleats  int
	margin2 measure.Length // 2e
	reached measure.Length // the finished width that it will hang at
	rule    string         // which way it was solved: fits, opened, above, given
	below   *Alternative   // only with rule above
}

// pitch is what one pleat and its space take of the finished width: s + b.
func pitch(t *orderfile.Tape) measure.Length { return t.Space + t.PleatBase }

// flat is the hemmed panel lying flat: H = n·p + 2e.
func (p pull) flat(t *orderfile.Tape) measure.Length { return t.Period.Times(p.pleats) + p.margin2 }

// tight is the panel drawn up as far as it goes: n·(s + b) + 2e.
func (p pull) tight(t *orderfile.Tape) measure.Length { return pitch(t).Times(p.pleats) + p.margin2 }

// pullUp solves pleats and end margin for the width asked. A tape sets its own pleats, so a panel starts and ends
// in mid-space and only the margins give way; a pulled heading can be opened a little, never tightened further.
// It is false, with the reason told, where no panel can be made.
func (w *window) pullUp(asked measure.Length) (pull, bool) {
	q := pitch(w.tape)
	least2, most2 := 2*w.tape.EndMargin.Min, 2*w.tape.EndMargin.Max
	if asked < q+least2 {
		w.fail("too_narrow", w.widthKey(), map[string]any{"Tape": w.tape.ID, "Width": asked, "Narrowest": q + least2})
		return pull{}, false
	}
	if w.line.Pleats != nil {
		return w.pleatsGiven(asked, *w.line.Pleats)
	}
	fewest, most := max(1, (asked-most2).CeilDiv(q)), (asked - least2).FloorDiv(q)
	if w.tooManyPleats(int(max(fewest, most)), w.widthKey()) {
		return pull{}, false
	}
	if fewest <= most {
		n := w.nearestNominal(asked, int(fewest), int(most))
		return pull{pleats: n, margin2: asked - q.Times(n), reached: asked, rule: "fits"}, true
	}
	// No margin in range fits: the pleats that fit at the widest margin leave less than one pitch over.
	below := pull{pleats: int(most), margin2: most2, reached: asked, rule: "opened"}
	if ease := asked - below.tight(w.tape); ease <= w.easePerPleat().Times(below.pleats) {
		return below, true
	}
	above := pull{pleats: int(most) + 1, margin2: least2, rule: "above"}
	above.reached = above.tight(w.tape)
	above.below = &Alternative{Pleats: below.pleats, EndMargin: w.tape.EndMargin.Max, FinishedWidth: below.tight(w.tape)}
	w.notReached(asked, above)
	return above, true
}

// nearestNominal picks the pleats whose margin is nearest the tape's nominal one. At equal distance fewer pleats
// win: they are less flat cloth, so never more widths.
func (w *window) nearestNominal(asked measure.Length, fewest, most int) int {
	q, nominal2 := pitch(w.tape), 2*w.tape.EndMargin.Nominal
	lower := min(max(int((asked-nominal2).FloorDiv(q)), fewest), most)
	upper := min(lower+1, most)
	off := func(n int) measure.Length { return (asked - q.Times(n) - nominal2).Abs() }
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
	p := pull{pleats: n, margin2: asked - tight, reached: asked, rule: "given"}
	least2, most2 := 2*w.tape.EndMargin.Min, 2*w.tape.EndMargin.Max
	sewn := n >= 1 && p.margin2 >= least2
	if sewn && p.margin2 <= most2 {
		return p, true
	}
	severity := engine.Warning
	if !sewn {
		severity = engine.Error
	}
	w.tell(severity, "pleat_out_of_range", "pleats", map[string]any{
		"Count": n, "Width": asked, "Margin": p.margin2.Div(2), "Min": w.tape.EndMargin.Min, "Max": w.tape.EndMargin.Max,
		"Narrowest": tight + least2, "Widest": tight + most2,
	})
	return p, sewn
}

// notReached tells that the panel hangs wider than asked: up to a quarter inch, the tolerance of a finished panel
// (UFGS 12 22 00: ±6 mm), it is a note.
func (w *window) notReached(asked measure.Length, p pull) {
	severity := engine.Warning
	if p.reached-asked <= quarter {
		severity = engine.Note
	}
	w.tell(severity, "width_not_reached", w.widthKey(), map[string]any{
		"Tape": w.tape.ID, "Asked": asked, "Reached": p.reached, "Deviation": p.reached - asked, "Count": p.pleats,
		"Below": p.below.FinishedWidth, "BelowCount": p.below.Pleats,
	})
}
