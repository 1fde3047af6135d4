package recompute

import "slices"

// tapeTreatment works out a heading whose tape sets the pleats.
func (o reOrder) tapeTreatment(tr reTreatment, out *reResult) {
	c := o.conv
	face, d, asked := o.fabric(tr.face), o.tapeData(o.tapeOf(tr)), o.asked(tr)
	sideHem := tr.sideHem.or(c.sideHem)
	clothFor := func(flat reNum) reJoined {
		wanted := flat.add(sideHem.times(4), c.widthAllowance)
		return o.faceCloth(tr, face, wanted, wanted)
	}
	s := d.solve(asked, tr.pleats, func(flat reNum) int { return clothFor(flat).halves })
	if s.failed != "" {
		out.fail(s.failed)
		return
	}
	flat, fold := d.flat(s.n, s.e), tr.headingFold.or(d.fold)
	joined := clothFor(flat)
	if joined.available.less(flat.add(sideHem.times(4))) {
		out.fail("too_narrow")
		return
	}
	if !o.joins(face, joined, out) {
		return
	}
	split := d.split(s, joined, face.usable.reNum, reJoin(face, c.seam), sideHem, c.step, c.edgeClear)
	out.tape = d.id
	panel := o.tapePanel(tr, d, s, asked)
	o.splitKeys(panel, split, o.keeps(tr))
	made := reMade{
		tree: panel, joined: joined, flat: flat, cut: o.cut(tr, face, fold), piece: rePiece{pleats: s.n, alpha: s.e.add(d.beyond)},
		inserts: s.n, insert: d.insert, height: d.height, stitched: flat.times(2),
	}
	toPleat := s.e.add(d.space.half())
	o.fit(tr, out, &made, reHung{flat: flat, finished: s.reached, sideHem: sideHem, first: toPleat, last: toPleat, stands: s.tapeStands(), seams: split.seams})
	o.add(out, made)
	o.tapeFindings(tr, d, s, asked, &out.problems)
	out.problems.tell("note", "seam_shows", split.shows)
	out.problems.tell("note", "stitch_below_fold", fold.less(d.stitchLine()))
	out.problems.tell("note", "pleat_in_hem", s.e.add(d.space.half()).less(sideHem))
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
func (o reOrder) tapePanel(tr reTreatment, d reTapeData, s reSolved, asked reNum) reTree {
	u := reUnits(o.unit)
	l := u.length
	flat, toPleat := d.flat(s.n, s.e), s.e.add(d.space.half())
	piece, pull := flat.add(d.beyond.times(2)), flat.sub(s.reached)
	inHand := pull.add(d.beyond)
	across, outside, gap := d.tube(o.fabric(tr.face))
	var centres []reNum
	for k := range s.n {
		centres = append(centres, s.e.add(d.period.half(), d.period.times(k)))
	}
	panel := reTree{
		"finished_width_asked": l(asked), "finished_width": l(s.reached), "tight_width": l(d.width(s.n, s.e)), "deviation": l(s.reached.sub(asked)),
		"pleats": reCount(s.n), "end_margin": l(s.e), "edge_to_pleat": l(toPleat), "take_up": l(d.takeUp), "space": l(d.space),
		"fullness": reRatio{flat.div(s.reached)}, "pleat_positions": u.lengths(centres),
		"tape_piece": l(piece), "tape_start": l(s.e.add(d.beyond)), "tape_pitch": l(reUp(piece, d.period)),
		"stitching": l(flat.times(2)), "stitch_line": l(d.stitchLine()),
		"cord_pull_out": l(pull), "cord_in_hand": l(inHand), "cords": reCount(d.cords), "cord_total": l(inHand.times(d.cords)),
		"cord_end": reWord(reCordEnd(tr)),
		"inserts":  reCount(s.n), "insert_piece": reTree{"length": l(d.insert), "height": l(d.height)}, "insert_turns": reRatio{d.insert.div(d.takeUp)},
		"tube_diameter": l(across), "tube_gap": l(gap),
		// "Both flats" are those from an edge to the first pleat, as the document names that flat.
		"stack_back":      l(outside.times(s.n).add(toPleat.times(2))),
		"corner_to_pleat": l(o.corner(tr, d, s)),
	}
	if tr.returnTo.given() && tr.returnTo.sign() == 0 {
		panel["corner_to_pleat"] = reMaybe{panel["corner_to_pleat"]} // no return, no corner: open
	}
	if s.below != nil {
		panel["alternative"] = reTree{
			"pleats": reCount(s.below.n), "end_margin": l(s.below.e), "finished_width": l(s.below.reached),
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

func (o reOrder) tapeFindings(tr reTreatment, d reTapeData, s reSolved, asked reNum, p *reFindings) {
	quarter, deviation := reFrac(1, 4), s.reached.sub(asked)
	_, _, gap := d.tube(o.fabric(tr.face))
	turns, inHand := d.insert.div(d.takeUp), d.flat(s.n, s.e).sub(s.reached).add(d.beyond)
	p.tell("warning", "few_pleats", s.n < 3)
	p.tell("warning", "insert_turns", turns.less(reInt(2)) || reInt(5).less(turns))
	p.tell("warning", "tail_short", inHand.less(reInt(4)))
	p.tell("warning", "tubes_close", gap.sign() > 0 && gap.less(quarter))
	p.tell("error", "tubes_collide", gap.sign() <= 0)
	p.tell("note", "width_not_reached", deviation.sign() != 0 && deviation.abs().atMost(quarter))
	p.tell("warning", "width_not_reached", quarter.less(deviation.abs()))
	p.tell("warning", "pleat_out_of_range", s.wide)
	p.tell("note", "cord_hazard", reCordEnd(tr) == "wound")
	o.lapNote(tr, d, s, p)
}

// onHeading is the finished position of a pleat's centre from either edge: each pleat keeps its space, its base and its ease.
func (d reTapeData) onHeading(s reSolved, k int) reNum {
	each := d.unit.add(s.opened)
	return s.e.add(each.half(), each.times(k))
}

// corner is the distance, whichever way, from the rod's corner to the centre of the nearest pleat.
func (o reOrder) corner(tr reTreatment, d reTapeData, s reSolved) reNum {
	ret := tr.returnTo.or(reUnits(o.unit).returnTo)
	var all []reNum
	for k := range s.n {
		all = append(all, d.onHeading(s, k).sub(ret).abs())
	}
	return slices.MinFunc(all, func(a, b reNum) int { return a.r.Cmp(b.r) })
}

// lapNote: the centre of the first pleat inside the lap of a pair is in the lap for certain; if only its side is, or if
// only a reading of past_centre makes it so, the note is left open. A stationary pair doesn't lap.
func (o reOrder) lapNote(tr reTreatment, d reTapeData, s reSolved, p *reFindings) {
	if tr.draw != "pair" && tr.draw != "" {
		return
	}
	stated := tr.lap.or(reUnits(o.unit).lap)
	centre, side := d.onHeading(s, 0), s.e.add(d.space.half())
	switch {
	case centre.less(stated):
		p.tell("note", "pleat_in_lap", true)
	case side.atMost(o.lapOf(tr)):
		p.open["note pleat_in_lap"] = true
	}
}
