package recompute

import "slices"

// tapeTreatment works out a heading whose tape sets the pleats.
func (o reOrder) tapeTreatment(tr reTreatment, out *reResult) {
	c := o.conv
	face, d, asked := o.fabric(tr.face), o.tapeData(o.tapeOf(tr)), o.asked(tr)
	sideHem := o.sideHem(tr)
	clothFor := func(flat reNum) reJoined {
		if tr.railroad {
			return o.turned(tr, flat)
		}
		wanted := flat.add(o.hems(tr), c.widthAllowance)
		return o.placedCloth(tr, face, flat, wanted, flat)
	}
	s := o.layout(tr, d, asked, func(flat reNum) int { return clothFor(flat).halves })
	if s.failed != "" {
		out.fail(s.failed)
		return
	}
	flat, fold := s.flat, tr.headingFold.or(d.fold)
	joined := clothFor(flat)
	if joined.available.less(flat.add(o.hems(tr), o.motifCost(tr, joined.halves, flat))) {
		out.fail("too_narrow")
		return
	}
	if !o.joins(face, joined, out) {
		return
	}
	var forced reNum
	if o.placed(tr) {
		forced = o.placedTrim(tr, joined, flat)
	}
	split := d.split(s, forced, joined, face.across(), reJoin(face, c.seam), o.hems(tr), o.beyond(tr, "return"), c.step, c.edgeClear)
	out.tape = d.id
	panel := o.tapePanel(tr, d, s, asked)
	o.splitKeys(panel, split, o.keeps(tr))
	made := reMade{
		tree: panel, joined: joined, flat: flat, cut: o.cut(tr, flat), stitched: flat.times(2),
		piece: rePiece{pleats: s.n, alpha: d.beside(s.first), beta: d.beside(s.last)},
	}
	if !d.pinched {
		made.buckram = []reStrip{{s.n, d.insert, d.height}}
	}
	o.fit(tr, out, &made, reHung{flat: flat, finished: s.reached, sideHem: sideHem, first: s.first, last: s.last, stands: s.stands, seams: split.seams})
	o.add(out, made)
	o.tapeFindings(tr, d, s, asked, &out.problems)
	out.problems.tell("note", "seam_shows", split.shows)
	out.problems.tell("note", "stitch_below_fold", fold.less(d.stitchLine()))
	out.problems.tell("note", "pleat_in_hem", s.first.less(sideHem))
}

func (d reTapeData) stitchLine() reNum { return d.topDrop.add(d.height).sub(reFrac(1, 8)) }

// tube is how far a cartridge stands across, the cloth's own thickness included, and gap what is left between two.
func (d reTapeData) tube(face *reFabric) (across, outside, gap reNum) {
	across = d.takeUp.div(rePi)
	outside = across.add(face.thickness.or(reInt(0)))
	return across, outside, d.space.add(d.base).sub(outside)
}

func reCordEnd(tr reTreatment) string {
	if tr.cordEnd == "" {
		return "wound"
	}
	return tr.cordEnd
}

// tapePanel are the numbers that the tape and its pleats settle.
func (o reOrder) tapePanel(tr reTreatment, d reTapeData, s reLayout, asked reNum) reTree {
	u := reUnits(o.unit)
	l := u.length
	piece, pull := s.flat.add(d.beyond.times(2)), s.flat.sub(s.reached)
	inHand := pull.add(d.beyond)
	var centres []reNum
	for k := range s.n {
		centres = append(centres, s.first.add(d.takeUp.half(), d.period.times(k)))
	}
	panel := reTree{
		"finished_width_asked": l(asked), "finished_width": l(s.reached), "tight_width": l(s.tight(d)), "deviation": l(s.reached.sub(asked)),
		"pleats": reCount(s.n), "edge_to_pleat": l(s.first), "take_up": l(d.takeUp), "space": l(d.space),
		"fullness": reRatio{s.flat.div(s.reached)}, "pleat_positions": u.lengths(centres), "pleat_places": u.lengths(s.stands),
		"tape_piece": l(piece), "tape_start": l(d.start(s)), "tape_pitch": l(reUp(piece, d.period)),
		"stitching": l(s.flat.times(2)), "stitch_line": l(d.stitchLine()),
		"cord_pull_out": l(pull), "cord_in_hand": l(inHand), "cords": reCount(d.cords), "cord_total": l(inHand.times(d.cords)),
		"cord_end":        reWord(reCordEnd(tr)),
		"corner_to_pleat": l(o.corner(tr, s)),
	}
	if d.pinched {
		panel["fingers"], panel["finger_projection"] = reCount(d.fingers), l(d.takeUp.div(reInt(int64(2*d.fingers))))
	} else {
		across, outside, gap := d.tube(o.fabric(tr.face))
		panel["inserts"], panel["insert_turns"] = reCount(s.n), reRatio{d.insert.div(d.takeUp)}
		panel["insert_piece"] = reTree{"length": l(d.insert), "height": l(d.height)}
		panel["tube_diameter"], panel["tube_gap"] = l(across), l(gap)
		// "Both flats" are those from an edge to the first pleat, as the document names that flat.
		panel["stack_back"] = l(outside.times(s.n).add(s.first, s.last))
	}
	panel["end_margin"] = s.margin(d, l)
	if d.flatEnds {
		panel["lead_flat"] = l(s.lead)
	}
	if tr.returnTo.given() && tr.returnTo.sign() == 0 {
		panel["corner_to_pleat"] = reMaybe{panel["corner_to_pleat"]} // no return, no corner: open
	}
	if s.below != nil {
		panel["alternative"] = reTree{
			"pleats": reCount(s.below.n), "end_margin": reLayout{reSolved: *s.below, first: s.first}.margin(d, l), "finished_width": l(s.below.reached),
		}
	}
	return panel
}

// splitKeys says where the surplus goes: cut off, or turned into the side hems where it is kept.
func (o reOrder) splitKeys(panel reTree, split reSplit, kept bool) {
	u := reUnits(o.unit)
	atReturn, atLead := u.length(split.trimReturn), u.length(split.trimLead)
	panel["seams"], panel["seams_in_pleats"], panel["seams_hidden"] = u.lengths(split.seams), reCount(split.inPleats), reCount(split.hidden)
	panel["trim_return"], panel["trim_leading"] = atReturn, atLead
	if kept {
		panel["turned_return"], panel["turned_leading"] = atReturn, atLead
		panel["trim_return"], panel["trim_leading"] = u.length(reInt(0)), u.length(reInt(0))
	}
}

func (o reOrder) tapeFindings(tr reTreatment, d reTapeData, s reLayout, asked reNum, p *reFindings) {
	quarter, deviation := reFrac(1, 4), s.reached.sub(asked)
	inHand := s.flat.sub(s.reached).add(d.beyond)
	p.tell("warning", "few_pleats", s.n < 3)
	p.tell("warning", "tail_short", inHand.less(reInt(4)))
	if !d.pinched {
		_, _, gap := d.tube(o.fabric(tr.face))
		turns := d.insert.div(d.takeUp)
		p.tell("warning", "insert_turns", turns.less(reInt(2)) || reInt(5).less(turns))
		p.tell("warning", "tubes_close", gap.sign() > 0 && gap.less(quarter))
		p.tell("error", "tubes_collide", gap.sign() <= 0)
	}
	p.tell("note", "width_not_reached", deviation.sign() != 0 && deviation.abs().atMost(quarter))
	p.tell("warning", "width_not_reached", quarter.less(deviation.abs()))
	p.tell("warning", "pleat_out_of_range", s.wide)
	p.tell("note", "cord_hazard", reCordEnd(tr) == "wound")
	o.lapNote(tr, s, p)
}

// corner is the distance, whichever way, from the rod's corner to the centre of the nearest pleat.
func (o reOrder) corner(tr reTreatment, s reLayout) reNum {
	ret := o.retOf(tr)
	var all []reNum
	for _, place := range s.stands {
		all = append(all, place.sub(ret).abs())
	}
	return slices.MinFunc(all, func(a, b reNum) int { return a.r.Cmp(b.r) })
}

// lapNote: the centre of the first pleat inside the lap of a pair is in the lap for certain; if only its side is, or if
// only a reading of past_centre makes it so, the note is left open. A stationary pair doesn't lap.
func (o reOrder) lapNote(tr reTreatment, s reLayout, p *reFindings) {
	if tr.draw != "pair" && tr.draw != "" {
		return
	}
	stated := tr.lap.or(reUnits(o.unit).lap)
	centre, side := s.reached.sub(s.stands[s.n-1]), s.last
	switch {
	case centre.less(stated):
		p.tell("note", "pleat_in_lap", true)
	case side.atMost(o.lapOf(tr)):
		p.open["note pleat_in_lap"] = true
	}
}
