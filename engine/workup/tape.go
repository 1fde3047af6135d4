package workup

import (
	"cmp"
	"slices"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// pull is a tape's answer to the width asked. An end margin is half of a difference, so both are kept together.
type pull struct {
	pleats  int
	margins measure.Length // 2e
	reached measure.Length // the finished width that it will hang at
	rule    string         // which way it was solved: fits, opened, above, given
	below   *Alternative   // only with rule above
}

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

// rollPiece is one kind of tape piece and how many of it the order cuts.
type rollPiece struct {
	pleats int
	start  doubled // e + trim beyond, the same before the first dot and after the last
	count  int
}

// tapeUsed is the least tape that the pieces take off a roll of period p, cut in the best order:
//
//	p·(Σn + Σ⌈(βᵢ + αᵢ₊₁)/p⌉) + α₁ + βₘ    with α = β = e + trim beyond of each piece.
//
// Only what the starts leave over whole periods matters to the order. With r the rest of 2α by 2p, two pieces in a
// row cost one period where r + r' ≤ 2p and two where more; both 0 cost none. Pieces added by distance from the
// middle p/2, outermost last, therefore each either follow cheaply on every piece before (a small r) or on none (a
// large one): small pieces join runs of cheap neighbours, large ones start a run, and runs are joined at one period
// more. Which pieces end the row is tried for every pair of kinds, so the time grows with their square and not with
// the number of panels.
func tapeUsed(period measure.Length, list []rollPiece) measure.Length {
	wholePeriods, panels := 0, 0
	counts := map[doubled]int{}
	twoPeriods := doubled(2 * period)
	for _, piece := range list {
		k := piece.start.floorDiv(twoPeriods)
		wholePeriods += piece.count * (piece.pleats + 2*int(k))
		counts[piece.start-twoPeriods*doubled(k)] += piece.count
		panels += piece.count
	}
	if panels == 0 {
		return 0
	}
	// Pieces that start on whole periods lie in one block, free of cost among themselves, or in two where both ends
	// of the row gain by it; a third would only replace a join that costs the same.
	zeros := counts[0]
	best := doubled(-1)
	for blocks := min(zeros, 1); blocks <= min(zeros, 3); blocks++ {
		counts[0] = blocks
		inner := zeros - blocks // gaps inside the blocks, which cost nothing
		used := twoPeriods*doubled(wholePeriods+panels-inner-2) + bestRow(twoPeriods, rests(twoPeriods, counts))
		if best < 0 || used < best {
			best = used
		}
	}
	return best.half()
}

// rest is a kind of piece by what its start leaves over whole periods.
type rest struct {
	over  doubled
	count int
	large bool // two of these in a row take a period more
}

// rests sorts the kinds by their distance from the middle; at equal distance a small one still follows a large one
// cheaply, so it comes after.
func rests(period doubled, counts map[doubled]int) []rest {
	var list []rest
	for over, count := range counts {
		if count > 0 {
			list = append(list, rest{over, count, 2*over > period})
		}
	}
	slices.SortFunc(list, func(a, b rest) int {
		if c := cmp.Compare((2*a.over - period).abs(), (2*b.over - period).abs()); c != 0 {
			return c
		}
		return cmp.Compare(b.over, a.over)
	})
	return list
}

// bestRow is the least of 2p·runs + both ends' rests (doubled) over the kinds of piece that may end the row.
func bestRow(period doubled, kinds []rest) doubled {
	after := tails(kinds)
	last := len(kinds) - 1
	best := doubled(-1)
	try := func(runs int, from int, a, b rest) {
		cost := period*doubled(after[from].apply(runs)) + a.over + b.over
		if best < 0 || cost < best {
			best = cost
		}
	}
	before := 0
	for i, a := range kinds {
		if last == 0 && a.count == 1 {
			return period + 2*a.over
		}
		if a.count > 1 {
			try(a.end(a.end(a.add(before, a.count-2, 1), 1), ends(i, last)), i+1, a, a)
		}
		runs := a.end(a.add(before, a.count-1, 1), 1)
		for j := i + 1; j <= last; j++ {
			b := kinds[j]
			try(b.end(b.add(runs, b.count-1, 1), ends(j, last)), j+1, a, b)
			runs = b.add(runs, b.count, 1)
		}
		before = a.add(before, a.count, 1)
	}
	return best
}

// add puts n pieces of the kind to the runs there are: each large one begins a run, each small one joins two, down
// to the least that must stay open.
func (r rest) add(runs, n, least int) int {
	switch {
	case r.large:
		return runs + n
	case n == 0:
		return runs
	}
	return max(least, runs-n)
}

// end puts in one piece that ends the row: it can follow a run but join none.
func (r rest) end(runs, least int) int {
	if r.large {
		return runs + 1
	}
	return max(least, runs)
}

// ends says how many runs must stay open once both ends of the row are placed: two, one at each end, until the
// last piece closes the row.
func ends(kind, last int) int {
	if kind == last {
		return 1
	}
	return 2
}

// tail is what the kinds from one on make of the open runs once both ends are placed: runs ↦ max(least, runs+more).
type tail struct{ least, more int }

func (t tail) apply(runs int) int { return max(t.least, runs+t.more) }

func tails(kinds []rest) []tail {
	list := make([]tail, len(kinds)+1)
	for i := len(kinds) - 1; i >= 0; i-- {
		next, step := list[i+1], tail{ends(i, len(kinds)-1), -kinds[i].count}
		if kinds[i].large {
			step = tail{0, kinds[i].count}
		}
		list[i] = tail{max(next.least, step.least+next.more), step.more + next.more}
	}
	return list
}
