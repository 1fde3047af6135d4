package recompute

import "slices"

// What a panel takes whose width runs along its bolt, in one piece, and what is told of a face for what it is.

// reTurned is the cloth of a panel that is all of one run.
func reTurned(run reNum) reJoined { return reJoined{halves: 2, pieces: 1, available: run} }

// turned is the cloth of such a panel: its hemmed flat width, and what that is rounded up by.
func (o reOrder) turned(tr reTreatment, flat reNum) reJoined {
	return reTurned(o.runOf(tr, flat).mul(o.fabric(tr.face).keptLong(o.conv)))
}

// runOf is how long a turned panel is cut along its bolt: what it is wide is grown for what shrinks that way.
func (o reOrder) runOf(tr reTreatment, flat reNum) reNum {
	wide := flat.add(o.hems(tr), o.conv.widthAllowance)
	return reUp(wide.div(o.fabric(tr.face).keptLong(o.conv)), o.conv.step)
}

// turnedCut is one that runs along the bolt for the width of the panel, and across it for its length.
func (o reOrder) turnedCut(tr reTreatment, flat reNum, length reCut) reCut {
	return reCut{plain: length.plain, length: o.runOf(tr, flat)}
}

// cantTurn says why a face, or a lining, isn't to be turned so: the first of what speaks against it; "" where nothing does.
func (o reOrder) cantTurn(tr reTreatment) string {
	face := o.fabric(tr.face)
	switch {
	case tr.railroad && face.oneWay:
		return "railroad_one_way"
	case tr.railroad && face.onePlace() && !face.railroads:
		return "railroad_pattern"
	case tr.railroad && face.usable.less(o.plainCut(tr, face).plain):
		return "railroad_short"
	case tr.railroadLining && tr.lining != "" && o.fabric(tr.lining).across().less(o.liningLength(tr)):
		return "railroad_short"
	}
	return ""
}

// sheerly is a usual fullness and its range where the face is sheer.
func (o reOrder) sheerly(tr reTreatment, usual, high reNum) (reNum, reNum) {
	if o.fabric(tr.face).sheer && usual.given() {
		usual = reInt(3)
		if high.given() {
			high = reInt(4)
		}
	}
	return usual, high
}

// ofFace tells what a face and its puddle ask to be thought of.
func (o reOrder) ofFace(tr reTreatment, out *reResult) {
	f, p := o.fabric(tr.face), &out.problems
	joined := false
	for _, m := range out.made {
		joined = joined || m.joined.pieces > 1
	}
	p.tell("note", "sheer_lined", f.sheer && tr.lining != "")
	p.tell("note", "sheer_seams", f.sheer && joined)
	p.tell("note", "price_by_width", tr.railroad)
	moves := tr.draw != "stationary" && tr.draw != "stationary_pair"
	p.tell("warning", "puddle_draws", moves && reInt(6).less(tr.puddle.or(reInt(0))))
}

// reTurnedNeeds are runs of cloth, one for every panel: a row for each length, of which an uneven pair has two.
func reTurnedNeeds(f *reFabric, tr reTreatment, made []reMade, run func(reMade) reNum) (needs []reNeed) {
	for _, m := range reEach(tr, made) {
		at := slices.IndexFunc(needs, func(n reNeed) bool { return n.cut.equal(run(m)) })
		if at < 0 {
			needs, at = append(needs, reNeed{fabric: f.id, use: f.use, turned: true, cut: run(m), plain: run(m), length: reInt(0)}), len(needs)
		}
		n := &needs[at]
		n.cuts += tr.count()
		n.length, n.classes = n.length.add(n.cut.times(tr.count())), [2]int{n.cuts, 0}
	}
	return needs
}

func (o reOrder) turnedLining(tr reTreatment, f *reFabric, made []reMade) []reNeed {
	return reTurnedNeeds(f, tr, made, func(m reMade) reNum { return reUp(m.flat, o.conv.step) })
}

func (o reOrder) turnedFace(tr reTreatment, face *reFabric, made []reMade) []reNeed {
	needs := reTurnedNeeds(face, tr, made, func(m reMade) reNum { return m.cut.length })
	needs[0].trimmings = o.trimmings(tr, made)
	return needs
}
