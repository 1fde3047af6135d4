package workup

import (
	"cmp"
	"math/big"
	"slices"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// pleating is a heading set by hand: pleats on a given flat width, with equal flat cloth between.
type pleating struct {
	pleats  int
	rule    string         // how they were counted: given, best, by_cloth, per_width, ranges
	flat    measure.Length // H, hemmed
	ret     measure.Length // stays flat at the return edge
	lead    measure.Length // stays flat at the leading edge
	spaces  measure.Length // all spaces together
	takeUps measure.Length // all take-ups together
	halves  bool           // half a space at each end: pleat_ends half_space
}

// gaps counts the spaces that the flat between return and lead makes: one fewer than pleats, or as many with half
// a one at each end. Singer 102, Woodcock 2019 and P03 have the first; the second is common practice.
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

// on is the same heading on another flat width.
func (p pleating) on(flat measure.Length) pleating {
	p.takeUps += flat - p.flat
	p.flat = flat
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
	for n < p.pleats && p.fromLead(n) < 2*lap.Times(p.gaps()) {
		n++
	}
	return n
}

// fromLead is the way along the finished heading from the leading edge to pleat j counted from there, times twice
// the gaps.
func (p pleating) fromLead(j int) measure.Length {
	steps := 2 * j
	if p.halves {
		steps++
	}
	return p.lead.Times(2*p.gaps()) + p.spaces.Times(steps)
}

// handCloth is what a panel set by hand may lie flat.
type handCloth struct {
	finished measure.Length
	asked    measure.Length // by the fullness
	least    measure.Length // what the slack lets it come down to
	most     doubled        // what its widths give, hems taken off
	keep     bool           // all of that is used
}

// flat is the fullness asked as far as the widths give it, or all that they give.
func (c handCloth) flat() measure.Length {
	if most := c.most.half(); c.keep || most < c.asked {
		return most
	}
	return c.asked
}

// without is the cloth with so much cut off.
func (c handCloth) without(t measure.Length) handCloth {
	c.most -= twice(t)
	return c
}

// surplus is what is trimmed off for a flat width.
func (c handCloth) surplus(flat measure.Length) doubled { return max(0, c.most-twice(flat)) }

// setByHand works out a heading whose pleats are marked and sewn: widths from the fullness asked, then pleats on
// the flat that they give.
func (w *window) setByHand(p *Panel) bool {
	if p.FinishedWidth <= w.ret()+w.leadFlat() {
		w.fail("too_narrow.hand", w.widthKey(), map[string]any{"Width": p.FinishedWidth, "Narrowest": w.ret() + w.leadFlat()})
		return false
	}
	cloth := handCloth{finished: p.FinishedWidth, asked: w.wantedFlat(), keep: w.keepsSurplus()}
	cloth.least = w.leastFlat(cloth.asked)
	var ok bool
	if p.Widths, ok = w.handWidths(p, cloth); !ok {
		return false
	}
	if !w.joins(p) {
		return false
	}
	cloth.most = w.mostFlat(p)
	if p.FlatWidth = cloth.flat(); p.FlatWidth <= p.FinishedWidth {
		w.fail("too_narrow.cloth", w.clothKey(), map[string]any{"Flat": p.FlatWidth, "Width": p.FinishedWidth})
		return false
	}
	laid, ok := w.pleats(p, cloth)
	if !ok {
		return false
	}
	w.handCloth = cloth
	p.FlatWidth = w.hand.flat
	w.layPleats(p, laid)
	return true
}

// handWidths are those that the order gives, else the fewest that give the fullness asked or, within the slack,
// nearly.
func (w *window) handWidths(p *Panel, c handCloth) (measure.Halves, bool) {
	hems := w.besides() + w.order.Conventions.WidthAllowance
	if w.line.Railroad {
		return w.turned(p, c.asked+hems), true
	}
	if w.line.Widths != nil {
		return *w.line.Widths, w.joinable(*w.line.Widths, w.face, w.joinLoss(), "widths")
	}
	h, ok := w.widths(w.face, c.asked+hems+w.motifCost(2, c.asked), c.least+hems, w.joinLoss(), "face", false)
	if !ok || w.order.Conventions.WidthsRounding == orderfile.NearestWhole {
		return h, ok
	}
	return w.roomy(h, c.least, "face")
}

// leastFlat is the flat width asked less the slack that the shop gives the fullness, up to a nanometre.
func (w *window) leastFlat(asked measure.Length) measure.Length {
	kept := whole - int64(w.order.Conventions.FullnessSlack)
	return measure.Length((asked * measure.Length(kept)).CeilDiv(whole))
}

// leadFlat is the flat from the leading edge to the first pleat, unless given: in a pair the lap of the two leading
// edges (Singer 102), where a single panel turns to the wall at that end its return there, else the shop's own.
func (w *window) leadFlat() measure.Length {
	lead := w.order.Conventions.SingleLead
	switch {
	case w.line.Draw == orderfile.Pair:
		lead = w.lap()
	case w.line.OtherReturn() > 0:
		lead = w.line.OtherReturn()
	}
	return first(lead, w.line.LeadFlat)
}

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
	times, flat := w.finished(), doubled(0)
	switch w.order.Conventions.FullnessBasis {
	case orderfile.OfTrack:
		times = w.track()
	case orderfile.OfTrackThenFlat:
		times, flat = w.track(), w.finished()-w.track()
	}
	return (times.times(f) + flat).half()
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

// ofWidth is the width of cloth that the rule of so many pleats a width is for (Woodcock, 2019): cloth of another
// width has its share of them.
const ofWidth = 54 * measure.Inch

// perWidth counts so many pleats a width (5 is Woodcock's, 2019); where that leaves a part of one, the neighbour whose
// space is nearer the preferred one.
func (p pleating) perWidth(widths measure.Halves, usable measure.Length, each int, d *orderfile.HeadingData) pleating {
	twice := usable.Times(int(widths) * each)
	best := p.withPleats(max(p.least(), int(twice.FloorDiv(2*ofWidth))))
	if more := p.withPleats(max(p.least(), int(twice.CeilDiv(2*ofWidth)))); more.pleats != best.pleats {
		if aside(more.spaces, more.gaps(), d.PreferredSpace).Cmp(aside(best.spaces, best.gaps(), d.PreferredSpace)) < 0 {
			best = more
		}
	}
	best.rule = "per_width"
	return best
}

// pleats counts the pleats by the shop's rule and lays them, and tells where a space or a take-up is out of the
// heading's range. It is false where the pleats given can't be sewn.
func (w *window) pleats(p *Panel, cloth handCloth) (laidPleats, bool) {
	if n := w.line.Pleats; n != nil && *n < w.pleating(p, cloth).least() {
		w.fail("bad_value.few", "pleats", map[string]any{"Least": w.pleating(p, cloth).least()})
		return laidPleats{}, false
	}
	counts := w.counted(p, cloth)
	if w.tooManyPleats(counts[0].pleats, "pleats") {
		return laidPleats{}, false
	}
	at := slices.Index(w.together(), w.side)
	if at == 0 || w.laid == nil { // the second of a pair was laid beside the first, on as much cloth
		w.hand, w.laid = w.bestLaid(p, cloth, counts)
	}
	if !w.hand.fits(w.heading) {
		w.tellRange(w.hand)
	}
	return w.laid[at], true
}

// pleating is the heading on a cloth before its pleats are counted.
func (w *window) pleating(p *Panel, cloth handCloth) pleating {
	set := pleating{
		flat: cloth.flat(), ret: w.ret(), lead: w.leadFlat(), takeUps: cloth.flat() - p.FinishedWidth,
		halves: w.order.Conventions.PleatEnds == orderfile.HalfSpaceAtEnds,
	}
	set.spaces = p.FinishedWidth - set.ret - set.lead
	return set
}

// counted lists the counts of pleats that may be on a cloth, each on the flat width that suits it, in the order in
// which they are preferred where they hide as many seams: one, but where the best is looked for.
func (w *window) counted(p *Panel, cloth handCloth) []pleating {
	c, d, set := &w.order.Conventions, w.heading, w.pleating(p, cloth)
	switch {
	case w.line.Pleats != nil:
		set = set.withPleats(*w.line.Pleats)
		set.rule = "given"
	case w.line.Railroad: // a rule by the width would count one width, however long
		set = set.byRanges(d)
	case !d.PerWidth:
		if list := w.inRange(p, set, cloth, "in_range"); len(list) > 0 {
			return list
		}
		set = set.byRanges(d)
	case c.PleatCount == orderfile.CountByRanges:
		set = set.byRanges(d)
	case c.PleatCount == orderfile.CountPerWidth:
		set = set.perWidth(p.Widths, usable(w.face), d.PleatsPerWidth, d)
	default:
		if list := w.inRange(p, set, cloth, "best"); len(list) > 0 {
			return list
		}
		set = w.byCloth(p, set)
	}
	if flat, ok := cloth.suiting(set, d); ok && flat < set.flat && !w.line.Railroad {
		set = set.on(flat)
	}
	return []pleating{set}
}

// inRange are the counts whose spaces and take-ups are in range, in the order in which the rule prefers them: nearest the usual
// number by the width, where the heading has one, then with the space nearest the preferred one, then the fewer.
func (w *window) inRange(p *Panel, set pleating, cloth handCloth, rule string) []pleating {
	d, ends := w.heading, set.withPleats(0).gaps() // pleats less gaps
	from := max(set.least(), int(set.spaces.CeilDiv(d.Space.Max))-ends)
	to := min(int(set.spaces.FloorDiv(d.Space.Min))-ends, mostPleats+1)
	var list []pleating
	for n := from; n <= to; n++ {
		next := set.withPleats(n)
		if flat, ok := cloth.suiting(next, d); ok {
			next = next.on(flat)
			next.rule = rule
			list = append(list, next)
		}
	}
	slices.SortStableFunc(list, func(a, b pleating) int {
		return cmp.Or(
			cmp.Compare(w.offCount(p, a), w.offCount(p, b)),
			aside(a.spaces, a.gaps(), d.PreferredSpace).Cmp(aside(b.spaces, b.gaps(), d.PreferredSpace)),
		)
	})
	return list
}

// suiting is the flat width nearest the one asked that brings the take-ups of so many pleats into their range: less
// of it as far as the slack goes, more of it as far as the cloth goes. It is false where none does.
func (c handCloth) suiting(p pleating, d *orderfile.HeadingData) (measure.Length, bool) {
	flat := c.flat()
	least, most := c.finished+d.TakeUp.Min.Times(p.pleats), c.finished+d.TakeUp.Max.Times(p.pleats)
	switch {
	case least <= flat && flat <= most:
		return flat, true
	case c.keep:
		return flat, false
	case flat > most:
		return most, most >= c.least
	}
	return least, twice(least) <= c.most
}

// cloth54 is the cloth of a panel, hems and all, as often as it has pleats a width: divided by ofWidth their number.
func (w *window) cloth54(p *Panel, flat measure.Length) measure.Length {
	return (flat + 4*p.SideHem).Times(w.heading.PleatsPerWidth)
}

// offCount is how far the count of pleats is from the usual one by the width, times ofWidth; 0 where the heading has none.
func (w *window) offCount(p *Panel, set pleating) measure.Length {
	if !w.heading.PerWidth {
		return 0
	}
	return (ofWidth.Times(set.pleats) - w.cloth54(p, set.flat)).Abs()
}

// byCloth counts so many pleats a width of 54 in of the panel's own cloth, to the nearest.
func (w *window) byCloth(p *Panel, set pleating) pleating {
	set = set.withPleats(max(2, int(w.cloth54(p, set.flat).RoundTo(ofWidth)/ofWidth)))
	set.rule = "by_cloth"
	return set
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
	code := "pleat_out_of_range.fullness"
	if best.fits(d) {
		code = "pleat_out_of_range.count"
	}
	w.tell(engine.Warning, code, w.pleatsKey(set), args)
}

// pleatsKey is the key of the order file that set how many pleats there are and what they take up.
func (w *window) pleatsKey(set pleating) string {
	switch {
	case set.rule == "given":
		return "pleats"
	case w.line.Widths != nil:
		return "widths"
	}
	return w.widthKey()
}
