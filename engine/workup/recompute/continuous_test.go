package recompute

// reSpread is a panel whose cloth goes evenly over its width.
type reSpread struct {
	flow                  reFlow
	asked, ret            reNum
	fullness              reNum // asked; what tape and carriers come to
	wanted, flat, surplus reNum
	joined                reJoined
	untrimmed             []reNum // seams with nothing trimmed at the return
	trim                  reNum
	forced                reNum // the trim, where motifs have their places
	rePoints
}

// rePoints are where the rod holds a panel: so many, so far apart on the flat panel, the flat outside the first and last of them.
type rePoints struct {
	n                  int
	pitch, first, last reNum
}

// continuousTreatment works out a heading that has no pleats.
func (o reOrder) continuousTreatment(tr reTreatment, out *reResult) {
	s, wave := o.spread(tr)
	switch {
	case tr.heading != "rod-pocket" && s.asked.atMost(s.ret):
		out.fail("too_narrow")
		return
	case wave.n > 0 && s.joined.available.less(s.flat.add(o.hems(tr), o.motifCost(tr, s.joined.halves, s.flat))):
		out.fail("too_narrow")
		return
	case !o.joins(o.fabric(tr.face), s.joined, out):
		return
	case s.flat.less(s.asked) || s.flat.equal(s.asked) && !s.flow.flat:
		out.fail("too_narrow")
		return
	}
	// What is flat was rounded up to a nanometre, which is none too much.
	if tr.heading == "pencil-tape" && s.asked.mul(o.tapeOf(tr).tightest.or(reInt(4))).less(s.flat.sub(reNanometres(1))) {
		out.fail("gather_too_tight")
		return
	}
	if o.tooTight(tr) {
		out.fail("pocket_tight")
		return
	}
	settled := o.settle(tr, s, wave)
	if settled.n > 0 && settled.pitch.sign() <= 0 {
		out.fail("too_narrow")
		return
	}
	if o.collide(tr, settled.pitch) {
		out.fail("points_collide")
		return
	}
	o.spreadPanel(tr, settled, out)
}

// spread settles the cloth of such a panel. Points on a wave tape are settled with it, by its carriers.
func (o reOrder) spread(tr reTreatment) (s reSpread, wave reWave) {
	c, face, hems := o.conv, o.fabric(tr.face), o.hems(tr)
	s.flow = o.flowOf(tr.heading)
	if s.flow.holds == "gather" {
		s.flow.fullness, s.flow.fullHigh = o.sheerly(tr, s.flow.fullness, s.flow.fullHigh)
	}
	s.asked, s.ret = o.asked(tr), o.retOf(tr)
	if s.flow.holds == "carriers" {
		wave = o.waveOf(tr, s)
		s.fullness, s.wanted, s.flat = wave.each.div(wave.apart), wave.flat, wave.flat
		s.joined = o.placedCloth(tr, face, s.wanted, s.wanted.add(hems, c.widthAllowance), s.wanted)
		if tr.railroad {
			s.joined = o.turned(tr, s.flat)
		}
		s.surplus = s.joined.available.sub(hems).sub(s.flat)
	} else {
		s.fullness = tr.fullness.or(s.flow.fullness)
		s.wanted = o.wantedFlat(tr, s.asked, s.fullness)
		enough := s.wanted.mul(reInt(1).sub(c.slack))
		s.joined = o.placedCloth(tr, face, s.wanted, s.wanted.add(hems, c.widthAllowance), enough)
		if tr.railroad {
			s.joined = o.turned(tr, reUp(s.wanted, reNanometres(1)))
		}
		whole := s.joined.available.sub(hems)
		s.flat = o.mostFlat(tr, s.joined)
		s.surplus = whole.sub(s.flat)
		if wanted := reUp(s.wanted, reNanometres(1)); (tr.railroad || !o.keeps(tr)) && wanted.less(s.flat) {
			s.flat, s.surplus = wanted, whole.sub(wanted)
		}
	}
	if o.placed(tr) {
		s.forced = o.placedTrim(tr, s.joined, s.flat)
	}
	s.untrimmed = reSeams(s.joined, face.across(), reJoin(face, c.seam), o.beyond(tr, "return"))
	return s, wave
}

func (s reSpread) seams() []reNum {
	var seams []reNum
	for _, x := range s.untrimmed {
		seams = append(seams, x.sub(s.trim))
	}
	return seams
}

// places are where points stand on the heading as it hangs: the return flat, the rest closed up evenly.
func (s reSpread) places() []reNum {
	var places []reNum
	shut := s.asked.sub(s.ret).div(s.flat.sub(s.ret))
	for _, x := range s.positions() {
		if s.ret.less(x) {
			x = s.ret.add(x.sub(s.ret).mul(shut))
		}
		places = append(places, x)
	}
	return places
}

func (p rePoints) positions() []reNum {
	var at []reNum
	for k := range p.n {
		at = append(at, p.first.add(p.pitch.times(k)))
	}
	return at
}

// spreadPanel writes a panel down and tells what is wrong with it.
func (o reOrder) spreadPanel(tr reTreatment, s reSettled, out *reResult) {
	u, p := reUnits(o.unit), &out.problems
	l := u.length
	panel := reTree{
		"finished_width_asked": l(s.asked), "finished_width": l(s.asked), "deviation": l(reInt(0)),
		"fullness": reRatio{s.flat.div(s.asked)}, "seams": u.lengths(s.seams()),
		"trim_return": l(s.trim), "trim_leading": l(s.surplus.sub(s.trim)), "top_allowance": l(o.topOf(tr)),
	}
	if s.flow.fullness.given() {
		panel["fullness_asked"] = reRatio{s.fullness}
	}
	fold, sideHem := o.foldOf(tr), o.sideHem(tr)
	made := reMade{tree: panel, joined: s.joined, flat: s.flat, cut: o.cut(tr, s.flat), points: s.n}
	if s.flow.buckram {
		panel["buckram_piece"] = reTree{"length": l(s.flat), "height": l(fold)}
		made.buckram = []reStrip{{1, s.flat, fold}}
	}
	o.fitHem(tr, &made, reHung{flat: s.flat, finished: s.asked, sideHem: sideHem, seams: s.seams()})
	o.poleKeys(tr, s.reSpread, &made, p)
	if tr.onTape() {
		o.onTape(tr, s, &made, out)
	}
	if s.n > 0 {
		panel["points"], panel["pitch"] = reCount(s.n), l(s.pitch)
		panel["edge_to_point"], panel["lead_to_point"] = l(s.first), l(s.last)
		panel["positions"], panel["places"] = u.lengths(s.positions()), u.lengths(s.stands)
		panel["seams_in_front"], panel["fold_depth"] = reCount(s.inFront), l(s.pitch.half())
		if s.joined.pieces == 1 {
			panel["seams_in_front"] = reMaybe{reCount(0)}
		}
		p.tell("warning", "few_pleats", s.n < 3)
		p.tell("note", "flat_unhooked", reInt(8).less(s.ret))
		if reInt(8).less(s.first) || reInt(8).less(s.last) { // whether half a fold at an edge is such a flat is open
			p.open["note flat_unhooked"] = true
		}
		p.tell("note", "seam_at_point", s.atPoint > 0)
		p.tell("note", "seam_shows", s.inFront > 0)
		rod := o.rodOf(tr)
		p.tell("warning", "folds_touch_wall", s.flow.holds == "points" && rod.projection.given() && rod.projection.less(s.pitch.half().add(reFrac(1, 2))))
	}
	if s.flow.holds == "carriers" { // that carriers throw such folds too is left open
		panel["fold_depth"] = reMaybe{panel["fold_depth"]}
		p.open["warning folds_touch_wall"] = true
	}
	if s.flow.holds == "points" {
		low, high, _ := o.pitches(tr, s.flow)
		p.tell("warning", "pitch_out_of_range", !s.pitch.between(low, high))
	}
	p.tell("warning", "fullness_out_of_range", !s.fullOf().between(s.flow.fullLow, s.flow.fullHigh))
	o.hooksOf(tr, s, &made)
	o.add(out, made)
}

// fullOf is the fullness that is held against the usual: of the cloth as it hangs, of a wave tape on its carriers. Rounding the
// flat width to a nanometre puts nothing out of range.
func (s reSettled) fullOf() reNum {
	if s.flow.holds == "carriers" {
		return s.fullness
	}
	for _, bound := range []reNum{s.flow.fullLow, s.flow.fullHigh} {
		if s.asked.mul(bound).within(s.flat, reNanometres(1)) {
			return bound
		}
	}
	return s.flat.div(s.asked)
}
