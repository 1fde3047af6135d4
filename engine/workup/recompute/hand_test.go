package recompute

import "cmp"

// How far take-ups may differ, and how far a hidden seam lies inside its pleat, in inches.
var (
	reMostSpread = reFrac(1, 2)
	reSeamClear  = reFrac(1, 8)
)

// reHand is a panel whose pleats are set by hand.
type reHand struct {
	row                    reRow
	asked, ret, lead, room reNum // room: what the spaces share of the finished width
	wanted, flat, surplus  reNum // flat widths as the fullness asks and as it will be; what is to be trimmed
	enough, available      reNum // flat widths: the least that the slack lets pass, and what the widths give
	keep                   bool  // all that they give
	hemmed                 reNum // what so many pleats a width are counted on, less the flat width
	each                   int   // pleats in 54 in
	usable                 reNum
	whole                  reNum             // all of the cloth
	forced                 func(reNum) reNum // the trim at the return edge of a flat width on which motifs have their places
	mates                  func(reNum) reNum // that of the mate that has as many pleats
	rule                   string
	byRanges               bool // and on no other flat width
	given                  int
	fullness               reNum
	joined                 reJoined
	n                      int
	halfSpace              bool
	seams                  []reNum // with nothing trimmed at the return
	step, edgeClear        reNum
}

// handTreatment works out a heading whose pleats are set by hand on buckram.
func (o reOrder) handTreatment(tr reTreatment, out *reResult) {
	h := o.hand(tr)
	if h.room.sign() <= 0 {
		out.fail("too_narrow")
		return
	}
	if !o.joins(o.fabric(tr.face), h.joined, out) {
		return
	}
	if h.flat.atMost(h.asked) {
		out.fail("too_narrow")
		return
	}
	h, split := h.best()
	inRange := h.spaceOf(h.n).between(h.row.spaceLow, h.row.spaceHigh) && h.takeUpOf(h.n).between(h.row.takeLow, h.row.takeHigh)
	sideHem, fold, lap := o.sideHem(tr), o.foldOf(tr), o.lapOf(tr)
	panel := o.handPanel(tr, h, split)
	panel["buckram_piece"] = reTree{"length": reUnits(o.unit).length(h.flat), "height": reUnits(o.unit).length(fold)}
	made := reMade{tree: panel, joined: h.joined, flat: h.flat, cut: o.cut(tr, h.flat), buckram: []reStrip{{1, h.flat, fold}}}
	if in := h.inserts(tr); in.length.given() {
		made.buckram = append(made.buckram, reStrip{in.pieces, in.length, fold})
	}
	o.fit(tr, out, &made, reHung{
		flat: h.flat, finished: h.asked, sideHem: sideHem, first: h.edge(h.ret), last: h.edge(h.lead), stands: h.handStands(),
		seams: h.seamsAt(split.trims[0]), seamsFree: len(split.trims) > 1,
	})
	o.add(out, made)
	p := &out.problems
	o.bodyOf(tr, h, panel, p)
	p.tell("warning", "pleat_out_of_range", !inRange)
	p.tell("warning", "widths_out_of_range", h.row.fullLow.given() && tr.halves > 0 && !h.flat.div(h.asked).between(h.row.fullLow, h.row.fullHigh))
	p.tell("warning", "few_pleats", h.n < 3)
	p.tell("note", "seam_shows", split.inside < len(h.seams))
	p.tell("note", "pleat_in_hem", h.edge(h.ret).less(sideHem))
	p.tell("note", "pleat_in_lap", (tr.draw == "pair" || tr.draw == "") && h.edge(h.lead).less(lap))
}

func (a reNum) between(low, high reNum) bool { return low.atMost(a) && a.atMost(high) }

// beyond is how far a lies outside a range, 0 within it.
func (a reNum) beyond(low, high reNum) reNum {
	switch {
	case a.less(low):
		return low.sub(a)
	case high.less(a):
		return a.sub(high)
	}
	return reInt(0)
}

// hand settles the cloth of such a panel; the pleats come after.
func (o reOrder) hand(tr reTreatment) reHand {
	c, face := o.conv, o.fabric(tr.face)
	row := o.rowOf(tr.heading)
	row.fullness, row.fullHigh = o.sheerly(tr, row.fullness, row.fullHigh)
	h := reHand{
		row: row, asked: o.asked(tr), ret: o.retOf(tr), lead: o.leadOf(tr), halfSpace: c.pleatEnds == "half_space",
		fullness: tr.fullness.or(row.fullness),
		step:     c.step, edgeClear: c.edgeClear,
	}
	h.room = h.asked.sub(h.ret).sub(h.lead)
	h.wanted = o.wantedFlat(tr, h.asked, h.fullness)
	hems := o.hems(tr)
	h.enough = h.wanted.mul(reInt(1).sub(c.slack))
	h.joined = o.placedCloth(tr, face, h.wanted, h.wanted.add(hems, c.widthAllowance), h.enough)
	if tr.railroad {
		h.joined = o.turned(tr, h.wanted.toNanometre())
	}
	if o.placed(tr) {
		h.forced = func(flat reNum) reNum { return o.placedTrim(tr, h.joined, flat) }
	}
	if mate, ok := o.mate(tr); ok {
		h.mates = func(flat reNum) reNum { return o.placedTrim(mate, h.joined, flat) }
	}
	h.whole = h.joined.available.sub(hems)
	h.available, h.keep, h.hemmed = o.mostFlat(tr, h.joined), o.keeps(tr), o.sideHem(tr).times(4)
	h.rule, h.each, h.usable, h.given = cmp.Or(c.pleatCount, "best"), row.perWidth, face.across(), tr.pleats
	if tr.railroad {
		h.rule, h.keep, h.byRanges = "ranges", false, true
	}
	h = h.on(h.available)
	if wanted := h.wanted.toNanometre(); !h.keep && wanted.less(h.available) {
		h = h.on(wanted)
	}
	h.seams = reSeams(h.joined, face.across(), reJoin(face, c.seam), o.beyond(tr, "return"))
	return h
}

// toNanometre rounds to whole nanometres, halves up.
func (a reNum) toNanometre() reNum {
	nm := reMM(1).div(reInt(1_000_000))
	return nm.times(reNearest(a.div(nm)))
}

// wantedFlat is the flat width that the fullness asks for. A panel ordered by its own width has no track to go by.
func (o reOrder) wantedFlat(tr reTreatment, asked, fullness reNum) reNum {
	if o.conv.fullnessBasis == "" || o.conv.fullnessBasis == "finished" || tr.finishedWidth.given() {
		return asked.mul(fullness)
	}
	track := tr.faceWidth.reNum
	if tr.paired() {
		track = track.half()
	}
	if o.conv.fullnessBasis == "track" {
		return track.mul(fullness)
	}
	return track.mul(fullness).add(asked.sub(track))
}

// spaces is how many spaces n pleats have, and least the fewest pleats that leave one.
func (h reHand) spaces(n int) int {
	if h.halfSpace {
		return n
	}
	return n - 1
}

func (h reHand) least() int {
	if h.halfSpace {
		return 1
	}
	return 2
}

func (h reHand) spaceOf(n int) reNum  { return h.room.div(reInt(int64(h.spaces(n)))) }
func (h reHand) takeUpOf(n int) reNum { return h.flat.sub(h.asked).div(reInt(int64(n))) }

// edge is the flat from an edge to the first pleat, where flat cloth is kept there.
func (h reHand) edge(kept reNum) reNum {
	if h.halfSpace {
		return kept.add(h.spaceOf(h.n).half())
	}
	return kept
}

// reUpTo is a count of pleats whose spaces are below the range for certain: more only lie farther below.
func reUpTo(h reHand) int { return h.room.div(h.row.spaceLow).ceil() + 2 }

// bestBy is the count between low and high whose figures are least, compared one after another; the fewest of equals.
func (h reHand) bestBy(low, high int, figures func(n int) []reNum) int {
	best, least := low, figures(low)
	for n := low + 1; n <= high; n++ {
		now := figures(n)
		for i := range now {
			if now[i].equal(least[i]) {
				continue
			}
			if now[i].less(least[i]) {
				best, least = n, now
			}
			break
		}
	}
	return best
}

// handPanel are the numbers of such a panel. Where a seam may be hidden in more ways than one the list is a sample, and laws
// judge what the program says.
func (o reOrder) handPanel(tr reTreatment, h reHand, split reHandSplit) reTree {
	u := reUnits(o.unit)
	l := u.length
	trims := map[string]reNum{"trim_return": split.trims[0], "trim_leading": h.surplus.sub(split.trims[0])}
	panel := reTree{
		"finished_width_asked": l(h.asked), "finished_width": l(h.asked), "deviation": l(reInt(0)),
		"pleats": reCount(h.n), "edge_to_pleat": l(h.edge(h.ret)), "lead_flat": l(h.lead),
		"take_up": l(h.takeUpOf(h.n)), "space": l(h.spaceOf(h.n)), "take_ups": reFree{u.lengths(split.takeUps)},
		"pleat_positions": reFree{u.lengths(h.centres(split.takeUps))}, "pleat_marks": reFree{u.lengths(h.marks(split.takeUps))},
		"pleat_places": u.lengths(h.handStands()),
		"fullness":     reRatio{h.flat.div(h.asked)}, "fullness_asked": reRatio{h.fullness},
		"seams": u.lengths(h.seamsAt(split.trims[0])), "seams_in_pleats": reCount(split.inside), "seams_hidden": reCount(split.hidden),
		"corner_to_pleat": l(h.edge(h.ret).sub(h.ret)),
		"":                reLaws{u, h, split, o.weighted(tr) == "" || o.weighted(tr) == "corners_and_seams"},
	}
	for key, v := range trims {
		panel[key] = l(v)
		if len(split.trims) > 1 {
			panel[key] = reFree{l(v)}
		}
	}
	if len(split.trims) > 1 {
		panel["seams"] = reFree{panel["seams"]}
	}
	return panel
}

// seamsAt are the joins with so much trimmed at the return edge.
func (h reHand) seamsAt(trim reNum) []reNum {
	var seams []reNum
	for _, x := range h.seams {
		seams = append(seams, x.sub(trim))
	}
	return seams
}

// base is where pleat k would start if no pleat before it took anything up.
func (h reHand) base(k int) reNum {
	return h.edge(h.ret).add(h.room.times(k).div(reInt(int64(h.spaces(h.n)))))
}

// sides are where pleats start and end by turns, from the return edge.
func (h reHand) sides(takeUps []reNum) []reNum {
	var sides []reNum
	before := reInt(0)
	for k, takeUp := range takeUps {
		sides = append(sides, h.base(k).add(before), h.base(k).add(before, takeUp))
		before = before.add(takeUp)
	}
	return sides
}

// marks are the sides on the step nearest to each.
func (h reHand) marks(takeUps []reNum) []reNum {
	marks := h.sides(takeUps)
	for i, side := range marks {
		marks[i] = h.step.times(reNearest(side.div(h.step)))
	}
	return marks
}

// centres are the middles of take-ups that stand one after another.
func (h reHand) centres(takeUps []reNum) []reNum {
	var centres []reNum
	before := reInt(0)
	for k, takeUp := range takeUps {
		centres = append(centres, h.base(k).add(before, takeUp.half()))
		before = before.add(takeUp)
	}
	return centres
}
