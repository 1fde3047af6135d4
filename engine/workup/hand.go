package workup

import (
	"cmp"
	"math/big"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// pleating is a heading set by hand: pleats on a given flat width, with equal flat cloth between.
type pleating struct {
	pleats  int
	rule    string         // how they were counted: given, per_width, ranges
	flat    measure.Length // H, hemmed
	ret     measure.Length // stays flat at the return edge
	lead    measure.Length // stays flat at the leading edge
	spaces  measure.Length // all spaces together
	takeUps measure.Length // all take-ups together
	halves  bool           // half a space at each end: pleat_ends half_space
}

// gaps counts the spaces that the flat between return and lead makes: one fewer than pleats, or as many with half
// a one at each end. Both are published (Singer 102, Woodcock 2019 and P03 for the first).
func (p pleating) gaps() int {
	if p.halves {
		return p.pleats
	}
	return p.pleats - 1
}

// least is the fewest pleats that have a space.
func (p pleating) least() int {
	if p.halves {
		return 1
	}
	return 2
}

// withPleats is the same heading with n pleats.
func (p pleating) withPleats(n int) pleating {
	p.pleats = n
	return p
}

// before is the flat cloth from the return edge to pleat k (from 0), take-ups left out: the finished place of its
// fold. Rounded once, from the whole.
func (p pleating) before(k int) measure.Length {
	if p.halves {
		return p.ret + p.spaces.MulDiv(int64(2*k+1), int64(2*p.gaps()))
	}
	return p.ret + p.spaces.MulDiv(int64(k), int64(p.gaps()))
}

// within counts the pleats that stand nearer to the leading edge than the lap, on the finished heading.
func (p pleating) within(lap measure.Length) int {
	n := 0
	for n < p.pleats && p.fromLead2(n) < 2*lap.Times(p.gaps()) {
		n++
	}
	return n
}

// fromLead2 is the way along the finished heading from the leading edge to pleat j counted from there, times twice
// the gaps.
func (p pleating) fromLead2(j int) measure.Length {
	steps := 2 * j
	if p.halves {
		steps++
	}
	return p.lead.Times(2*p.gaps()) + p.spaces.Times(steps)
}

// outside is how far a sum shared by n lies outside a range, exactly; 0 inside.
func outside(sum measure.Length, n int, r orderfile.Range) *big.Rat {
	over := max(r.Min.Times(n)-sum, sum-r.Max.Times(n), 0)
	return big.NewRat(int64(over), int64(n))
}

// aside is how far a sum shared by n lies from a length, exactly.
func aside(sum measure.Length, n int, from measure.Length) *big.Rat {
	return big.NewRat(int64((sum - from.Times(n)).Abs()), int64(n))
}

// fits reports whether both the space and the mean take-up lie in the heading's ranges.
func (p pleating) fits(d *orderfile.HeadingData) bool {
	return outside(p.spaces, p.gaps(), d.Space).Sign() == 0 && outside(p.takeUps, p.pleats, d.TakeUp).Sign() == 0
}

// betterThan compares two counts of pleats by the heading's ranges: spaces first, since they are seen, then
// take-ups, then the space nearest the preferred one. The fewer pleats win a tie.
func (p pleating) betterThan(q pleating, d *orderfile.HeadingData) bool {
	return cmp.Or(
		outside(p.spaces, p.gaps(), d.Space).Cmp(outside(q.spaces, q.gaps(), d.Space)),
		outside(p.takeUps, p.pleats, d.TakeUp).Cmp(outside(q.takeUps, q.pleats, d.TakeUp)),
		aside(p.spaces, p.gaps(), d.PreferredSpace).Cmp(aside(q.spaces, q.gaps(), d.PreferredSpace)),
		cmp.Compare(p.pleats, q.pleats),
	) < 0
}

// byRanges counts the pleats by the heading's ranges. On either side of the range of spaces only the nearest count
// can be best.
func (p pleating) byRanges(d *orderfile.HeadingData) pleating {
	ends := p.withPleats(0).gaps() // pleats less gaps
	from := max(p.least(), int(p.spaces.FloorDiv(d.Space.Max))-ends)
	to := max(from, int(p.spaces.CeilDiv(d.Space.Min))-ends)
	best := p.withPleats(from)
	for n := from + 1; n <= min(to, mostPleats+1); n++ {
		if next := p.withPleats(n); next.betterThan(best, d) {
			best = next
		}
	}
	best.rule = "ranges"
	return best
}

// perWidth counts so many pleats a width (5 is Woodcock's, 2019); where halves leave a half pleat, the neighbour
// whose space is nearer the preferred one.
func (p pleating) perWidth(widths measure.Halves, each int, d *orderfile.HeadingData) pleating {
	twice := int(widths) * each
	best := p.withPleats(max(p.least(), twice/2))
	if more := p.withPleats(max(p.least(), (twice+1)/2)); more.pleats != best.pleats {
		if aside(more.spaces, more.gaps(), d.PreferredSpace).Cmp(aside(best.spaces, best.gaps(), d.PreferredSpace)) < 0 {
			best = more
		}
	}
	best.rule = "per_width"
	return best
}

// setByHand works out a heading whose pleats are marked and sewn: widths from the fullness asked, then pleats on
// the flat that they give.
func (w *window) setByHand(p *Panel) bool {
	if p.FinishedWidth <= w.ret()+w.leadFlat() {
		w.fail("too_narrow", w.widthKey(), map[string]any{"Width": p.FinishedWidth, "Narrowest": w.ret() + w.leadFlat()})
		w.problems[len(w.problems)-1].Key = "problem.too_narrow.hand"
		return false
	}
	wanted := w.wantedFlat()
	var ok bool
	if p.Widths, ok = w.widths(w.face, wanted+4*p.SideHem+w.order.Conventions.WidthAllowance, w.joinLoss(), "face", false); !ok {
		return false
	}
	surplus2 := w.joinedFace2(p) - 8*p.SideHem - 2*wanted
	p.FlatWidth = wanted
	if w.keepsSurplus() || surplus2 <= 0 {
		p.FlatWidth += surplus2.Div(2)
		surplus2 = 0
	}
	if p.FlatWidth <= p.FinishedWidth {
		w.fail("too_narrow", "face", map[string]any{"Flat": p.FlatWidth, "Width": p.FinishedWidth})
		w.problems[len(w.problems)-1].Key = "problem.too_narrow.cloth"
		return false
	}
	set, ok := w.pleats(p)
	if !ok {
		return false
	}
	w.hand = set
	w.layPleats(p, w.handJoint(p, surplus2))
	return true
}

// leadFlat is the flat from the leading edge to the first pleat: the lap of the two leading edges, unless given.
func (w *window) leadFlat() measure.Length { return first(w.lap(), w.line.LeadFlat) }

// fullness is the flat width asked, as a multiple of the finished one.
func (w *window) fullness() measure.Ratio {
	if w.line.Fullness != nil {
		return *w.line.Fullness
	}
	return w.heading.Fullness
}

// wantedFlat is the hemmed flat width that the fullness asks for. Published methods differ on what it multiplies:
// the whole finished width (UFGS 12 22 00, W05, W10), the bare track (W01), or the track with returns and lap added
// flat after it (M01 adds its allowance so).
func (w *window) wantedFlat() measure.Length {
	f := w.fullness()
	times, flat2 := w.finished2(), measure.Length(0)
	switch w.order.Conventions.FullnessBasis {
	case "track":
		times = w.track2()
	case "track_then_flat":
		times, flat2 = w.track2(), w.finished2()-w.track2()
	}
	return (times.MulDiv(f.Num, f.Den) + flat2).Div(2)
}

// pleats counts the pleats and tells where a space or a take-up is out of the heading's range.
func (w *window) pleats(p *Panel) (pleating, bool) {
	c, d := &w.order.Conventions, w.heading
	set := pleating{
		flat: p.FlatWidth, ret: w.ret(), lead: w.leadFlat(), takeUps: p.FlatWidth - p.FinishedWidth,
		halves: c.PleatEnds == "half_space",
	}
	set.spaces = p.FinishedWidth - set.ret - set.lead
	switch {
	case w.line.Pleats != nil:
		set = set.withPleats(*w.line.Pleats)
		set.rule = "given"
		if set.pleats < set.least() {
			w.fail("bad_value", "pleats", map[string]any{"Least": set.least()})
			w.problems[len(w.problems)-1].Key = "problem.bad_value.few"
			return set, false
		}
	case c.PleatCount == "ranges":
		set = set.byRanges(d)
	default:
		set = set.perWidth(p.Widths, c.PleatsPerWidth, d)
	}
	if w.tooManyPleats(set.pleats, "pleats") {
		return set, false
	}
	if set.fits(d) {
		return set, true
	}
	w.tellRange(set)
	return set, set.rule != "given"
}

// tellRange tells that a space or a take-up is out of its range, with both numbers and what would mend it: another
// number of pleats, or where none suits, the fullness that would.
func (w *window) tellRange(set pleating) {
	d := w.heading
	finished := set.flat - set.takeUps
	best := set.byRanges(d)
	args := map[string]any{
		"Count": set.pleats, "Space": set.spaces.Div(int64(set.gaps())), "TakeUp": set.takeUps.Div(int64(set.pleats)),
		"SpaceMin": d.Space.Min, "SpaceMax": d.Space.Max, "TakeUpMin": d.TakeUp.Min, "TakeUpMax": d.TakeUp.Max,
		"BestCount": best.pleats,
		"Least":     measure.Over(finished+d.TakeUp.Min.Times(best.pleats), finished),
		"Most":      measure.Over(finished+d.TakeUp.Max.Times(best.pleats), finished),
	}
	severity, key := engine.Warning, w.widthKey()
	if set.rule == "given" {
		severity, key = engine.Error, "pleats"
	}
	w.tell(severity, "pleat_out_of_range", key, args)
	told := &w.problems[len(w.problems)-1]
	told.Key = "problem.pleat_out_of_range.fullness"
	if best.fits(d) {
		told.Key = "problem.pleat_out_of_range.count"
	}
}

// layPleats fills in where pleats and seams lie.
func (w *window) layPleats(p *Panel, j handJoint) {
	set := w.hand
	laid := j.lay()
	p.Deviation = 0
	p.Pleats = set.pleats
	p.EdgeToPleat, p.LeadFlat = set.before(0), set.lead
	p.LeadToPleat = set.lead + p.EdgeToPleat - set.ret
	p.TakeUp = set.takeUps.Div(int64(set.pleats))
	p.Space = set.spaces.Div(int64(set.gaps()))
	p.Fullness, p.FullnessAsked = measure.Over(p.FlatWidth, p.FinishedWidth), w.fullness()
	p.TakeUps = laid.row.takeUps
	p.PleatPositions = make([]measure.Length, set.pleats)
	var taken measure.Length
	for k, t := range p.TakeUps {
		p.PleatPositions[k] = (2*(set.before(k)+taken) + t).Div(2)
		taken += t
	}
	p.PleatMarks = set.marks(p.TakeUps, w.order.Conventions.Step)
	p.Seams, p.SeamsInPleats, p.SeamsHidden = laid.seams, laid.row.hidden, laid.row.hidden
	p.TrimReturn, p.TrimLeading = laid.atReturn, laid.atLeading
	p.BuckramLength, p.BuckramHeight = p.FlatWidth, p.HeadingFold
	p.CornerToPleat = p.EdgeToPleat - set.ret
}

// handJoint decides where the joins of a panel set by hand fall. A pinch hides a seam anywhere inside its fold, so
// only which seams lie in one counts, and the less the take-ups differ for it the better.
type handJoint struct {
	joint
	set pleating
}

func (w *window) handJoint(p *Panel, surplus2 measure.Length) handJoint {
	j := w.joint(p)
	j.surplus2 = surplus2
	return handJoint{j, w.hand}
}

// laidPleats are the take-ups and the seams for one trim at the return edge.
type laidPleats struct {
	row                 foldedRow
	seams               []measure.Length
	atReturn, atLeading measure.Length
	nearEdge            int
}

// sameSpread is how far two least spreads may lie apart by rounding alone.
const sameSpread = 4 * measure.Nanometre

// triesATrim bounds the search of each of the many trims: enough for a dozen seams, and a panel of sixty widths still
// takes a second or so.
const triesATrim = 1 << 11

// lay tries every trim at the return edge, as for a tape, and keeps the last of the best: fewest seams near an edge,
// most hidden, least spread. Without a surplus there is one to try.
func (j handJoint) lay() laidPleats {
	step := j.trimStep()
	if pieces(j.halves) == 1 {
		return j.at((j.surplus2 / 2).FloorTo(step))
	}
	best := j.at(0)
	least := best.row.spread // of those as good as the best but for rounding
	for t := step; 2*t <= j.surplus2; t += step {
		l := j.at(t)
		switch c := cmp.Or(cmp.Compare(l.nearEdge, best.nearEdge), cmp.Compare(best.row.hidden, l.row.hidden)); {
		case c < 0:
			best, least = l, l.row.spread
		case c == 0 && l.row.spread <= least+sameSpread:
			best, least = l, min(least, l.row.spread)
		}
	}
	return best
}

func (j handJoint) at(t measure.Length) laidPleats {
	l := laidPleats{atReturn: t, atLeading: (j.surplus2 - 2*t).Div(2), seams: []measure.Length{}}
	row := pleatRow{flats: make([]measure.Length, j.set.pleats), total: j.set.takeUps}
	if j.surplus2 > 0 {
		row.tries = triesATrim
	}
	for k := range row.flats {
		row.flats[k] = j.set.before(k)
	}
	for i := 1; i < pieces(j.halves); i++ {
		x2 := j.seam2(i, t)
		row.seams2 = append(row.seams2, x2)
		l.seams = append(l.seams, x2.Div(2))
		if j.nearEdge(x2) {
			l.nearEdge++
		}
	}
	l.row = row.fold()
	return l
}
