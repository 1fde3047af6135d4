package main

import (
	"fmt"
	"slices"
)

// Leaves of an expected tree. reLength, reRatio and reWord are strings in the JSON, reCount a number.
type (
	reLength struct {
		v    reNum
		unit string
		size reNum
	}
	reRatio struct{ v reNum }
	reCount int
	reWord  string
	// reMaybe marks what the documents leave open: it may be absent, but if there it must be this.
	reMaybe struct{ v any }
)

type reTree map[string]any

// reResult is what the second program makes of one treatment.
type reResult struct {
	failed   bool
	tree     reTree
	tape     string
	piece    rePiece
	inserts  int
	insert   reNum
	height   reNum
	stitched reNum
	fabrics  []reNeed
	problems reFindings
}

// reNeed is a treatment's need of one fabric.
type reNeed struct {
	fabric, use string
	cuts        int
	cut, length reNum
}

// reFindings are problem codes with their severity; open ones may be told or not.
type reFindings struct {
	told map[string]bool
	open map[string]bool
}

func (f *reFindings) tell(severity, code string, when bool) {
	if when {
		f.told[severity+" "+code] = true
	}
}

// treatment works one treatment out, in the unit u.
func (o reOrder) treatment(tr reTreatment) reResult {
	u, c := reUnits(o.unit), o.conv
	l := func(v reNum) reLength { return reLength{v, u.name, u.size} }
	face, d, asked := o.fabric(tr.face), o.tapeData(o.tapeOf(tr)), o.asked(tr)
	out := reResult{
		tree:     reTree{"window": reWord(tr.window), "heading": reWord("cartridge-tape"), "quantity": reCount(tr.count())},
		problems: reFindings{told: map[string]bool{}, open: map[string]bool{}},
	}
	sideHem, join := tr.sideHem.or(c.sideHem), reJoin(face, c.seam)
	inHalves := reHalves(tr, face)
	clothFor := func(flat reNum) reJoined {
		return reWidths(face.usable.reNum, join, flat.add(sideHem.times(4)), inHalves)
	}
	s := d.solve(asked, tr.pleats, func(flat reNum) int { return clothFor(flat).halves })
	if s.failed != "" {
		out.failed = true
		out.problems.tell("error", s.failed, true)
		return out
	}
	flat, toPleat := d.flat(s.n, s.e), s.e.add(d.space.half())
	joined := clothFor(flat)
	split := d.split(s, joined, face.usable.reNum, join, sideHem, c.step, c.edgeClear)
	fold := tr.headingFold.or(d.fold)
	plain, cut, repeats := o.cut(tr, face, fold)

	tubeAcross := d.takeUp.div(rePi)
	outside := tubeAcross.add(face.thickness.or(reInt(0)))
	gap := d.space.add(d.base).sub(outside)
	deviation := s.reached.sub(asked)
	pull := flat.sub(s.reached)
	inHand := pull.add(d.beyond)
	piece := flat.add(d.beyond.times(2))
	stitchLine := d.topDrop.add(d.height).sub(reFrac(1, 8))
	turns := d.insert.div(d.takeUp)
	cordEnd := tr.cordEnd
	if cordEnd == "" {
		cordEnd = "wound"
	}

	seams, centres := []any{}, []any{}
	for _, x := range split.seams {
		seams = append(seams, l(x))
	}
	for k := range s.n {
		centres = append(centres, l(s.e.add(d.period.half(), d.period.times(k))))
	}
	panel := reTree{
		"finished_width_asked": l(asked), "finished_width": l(s.reached), "tight_width": l(d.width(s.n, s.e)), "deviation": l(deviation),
		"pleats": reCount(s.n), "end_margin": l(s.e), "edge_to_pleat": l(toPleat), "take_up": l(d.takeUp), "space": l(d.space),
		"flat_width": l(flat), "fullness": reRatio{flat.div(s.reached)}, "widths": reRatio{reFrac(int64(joined.halves), 2)},
		"seams": seams, "trim_return": l(split.trimReturn), "trim_leading": l(split.trimLead), "pleat_positions": centres,
		"plain_length": l(plain), "cut_length": l(cut),
		"tape_piece": l(piece), "tape_start": l(s.e.add(d.beyond)), "tape_pitch": l(reUp(piece, d.period)),
		"stitching": l(flat.times(2)), "stitch_line": l(stitchLine),
		"cord_pull_out": l(pull), "cord_in_hand": l(inHand), "cords": reCount(d.cords), "cord_total": l(inHand.times(d.cords)),
		"cord_end": reWord(cordEnd),
		"inserts":  reCount(s.n), "insert_piece": reTree{"length": l(d.insert), "height": l(d.height)}, "insert_turns": reRatio{turns},
		"tube_diameter": l(tubeAcross), "tube_gap": l(gap),
		// "Both flats" are those from an edge to the first pleat, as the document names that flat.
		"stack_back":      l(outside.times(s.n).add(toPleat.times(2))),
		"seams_in_pleats": reCount(split.inPleats),
		"seams_hidden":    reCount(split.hidden),
		"corner_to_pleat": l(o.corner(tr, d, s)),
		"repeats_per_cut": reCount(repeats),
	}
	if len(seams) == 0 {
		// Absent or 0 where nothing is joined: "a key that doesn't apply is absent" allows both.
		panel["seams_in_pleats"], panel["seams_hidden"] = reMaybe{reCount(0)}, reMaybe{reCount(0)}
	}
	if repeats == 0 {
		delete(panel, "repeats_per_cut")
	}
	if tr.returnTo.given() && tr.returnTo.sign() == 0 {
		panel["corner_to_pleat"] = reMaybe{panel["corner_to_pleat"]} // no return, no corner: open
	}
	if s.below != nil {
		panel["alternative"] = reTree{
			"pleats": reCount(s.below.n), "end_margin": l(s.below.e), "finished_width": l(s.below.reached),
		}
	}
	var panels []any
	for _, name := range reSides(tr) {
		p := reTree{"panel": reWord(name)}
		for k, v := range panel {
			p[k] = v
		}
		panels = append(panels, p)
	}

	out.tape, out.piece = d.id, rePiece{pleats: s.n, alpha: s.e.add(d.beyond)}
	out.inserts, out.insert, out.height, out.stitched = s.n, d.insert, d.height, flat.times(2)
	out.fabrics = o.needs(tr, joined, flat, cut)
	var rows []any
	for _, need := range out.fabrics {
		rows = append(rows, reTree{
			"fabric": reWord(need.fabric), "use": reWord(need.use), "cuts": reCount(need.cuts), "cut_length": l(need.cut), "length": l(need.length),
		})
	}
	out.tree["panels"], out.tree["fabrics"] = panels, rows

	quarter := reFrac(1, 4)
	p := &out.problems
	p.tell("warning", "few_pleats", s.n < 3)
	p.tell("warning", "insert_turns", turns.less(reInt(2)) || reInt(5).less(turns))
	p.tell("warning", "tail_short", inHand.less(reInt(4)))
	p.tell("warning", "tubes_close", gap.sign() > 0 && gap.less(quarter))
	p.tell("error", "tubes_collide", gap.sign() <= 0)
	p.tell("note", "width_not_reached", deviation.sign() != 0 && deviation.abs().atMost(quarter))
	p.tell("warning", "width_not_reached", quarter.less(deviation.abs()))
	p.tell("note", "seam_shows", split.shows)
	p.tell("note", "stitch_below_fold", fold.less(stitchLine))
	p.tell("note", "pleat_in_hem", toPleat.less(sideHem))
	p.tell("note", "cord_hazard", cordEnd == "wound")
	o.lapNote(tr, d, s, p)
	return out
}

func reSides(tr reTreatment) []string {
	if tr.paired() {
		return []string{"L", "R"}
	}
	return []string{"S"}
}

// reJoin is what one join takes off the joined width.
func reJoin(f *reFabric, seam reNum) reNum {
	join := seam.times(2)
	if f.matchWidth.given() {
		if lost := f.usable.sub(f.matchWidth.reNum); join.less(lost) {
			return lost
		}
	}
	return join
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

// cut works out the plain length, the cut length and the repeats in it. A cut of whole repeats is exactly that, even where
// the repeat is no multiple of the step: rounding it would put the next cut off its phase.
func (o reOrder) cut(tr reTreatment, face *reFabric, fold reNum) (plain, cut reNum, repeats int) {
	c := o.conv
	hung := tr.drop().add(tr.puddle.or(reInt(0)), fold.times(2), tr.bottomHem.or(c.bottomHem).times(2))
	plain = reUp(hung.div(reInt(1).sub(c.shrink)).add(c.squaring), c.step)
	if !face.repeat.given() || face.repeat.sign() == 0 {
		return plain, plain, 0
	}
	for cut = reInt(0); cut.less(plain); repeats++ {
		cut = cut.add(face.repeat.reNum)
	}
	return plain, cut, repeats
}

// needs lists the cloth of a treatment: face, lining, interlining.
func (o reOrder) needs(tr reTreatment, joined reJoined, flat, cut reNum) []reNeed {
	c := o.conv
	face := o.fabric(tr.face)
	needs := []reNeed{reFaceNeed(tr, face, joined, cut)}
	for _, id := range []string{tr.lining, tr.interlining} {
		if id == "" {
			continue
		}
		f := o.fabric(id)
		w := reWidths(f.usable.reNum, c.seam.times(2), flat, reHalves(tr, f))
		cuts := reCuts(tr, w)
		length := tr.drop() // interlining
		if f.use == "lining" {
			length = length.sub(c.liningLift).add(c.liningHem.times(2), c.liningTop, c.liningTrim)
		}
		length = reUp(length, c.step)
		needs = append(needs, reNeed{fabric: f.id, use: f.use, cuts: cuts, cut: length, length: length.times(cuts)})
	}
	return needs
}

// reCuts counts whole cuts: an odd number of halves buys one whole.
func reCuts(tr reTreatment, w reJoined) int { return (w.halves*tr.panels()*tr.count() + 1) / 2 }

// reFaceNeed lays the cuts of the face on one length of cloth. The class of a width in a half-drop is its count from the
// leading edge; the half width, at the return edge, has the last one.
func reFaceNeed(tr reTreatment, face *reFabric, w reJoined, cut reNum) reNeed {
	need := reNeed{fabric: face.id, use: face.use, cuts: reCuts(tr, w), cut: cut}
	classes := [2]int{}
	for i := range w.halves / 2 {
		classes[i%2] += tr.panels() * tr.count()
	}
	if w.halves%2 == 1 {
		classes[(w.pieces-1)%2] += (tr.panels()*tr.count() + 1) / 2
	}
	if classes[0]+classes[1] != need.cuts {
		panic(fmt.Sprintf("recompute: %v classes for %d cuts", classes, need.cuts))
	}
	if face.match != "half_drop" {
		classes = [2]int{need.cuts, 0}
	}
	need.length = reLay(cut, face.repeat.reNum, classes[0], classes[1])
	return need
}
