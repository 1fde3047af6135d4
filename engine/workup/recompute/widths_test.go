package recompute

// reJoined is the cloth of one panel: half widths, pieces, and what the joins leave.
type reJoined struct {
	halves, pieces int
	available      reNum
}

// reHalfWidths joins so many half widths.
func reHalfWidths(halves int, usable, join reNum) reJoined {
	pieces := (halves + 1) / 2
	return reJoined{halves: halves, pieces: pieces, available: usable.half().times(halves).sub(join.times(pieces - 1))}
}

// reWidths adds half widths one after another (whole ones where halves serve nobody) until they reach what is wanted.
func reWidths(usable, join, wanted reNum, inHalves bool) reJoined {
	for h := 1; ; h++ {
		if h%2 == 1 && !inHalves {
			continue
		}
		if j := reHalfWidths(h, usable, join); wanted.atMost(j.available) {
			return j
		}
	}
}

// reNearestWidths takes the nearest count of whole widths, or of halves where a pair shares them, and never none.
func reNearestWidths(usable, join, wanted reNum, inHalves bool) reJoined {
	exact := wanted.sub(join).div(usable.sub(join))
	if inHalves {
		return reHalfWidths(max(1, reNearest(exact.times(2))), usable, join)
	}
	return reHalfWidths(2*max(1, reNearest(exact)), usable, join)
}

// reNearest rounds to a whole number, halves up.
func reNearest(v reNum) int { return v.add(reFrac(1, 2)).floor() }

// reHalves says whether half widths serve somebody. The rule is put to the cloth itself, so a plain lining may be halved
// under a patterned face.
func reHalves(tr reTreatment, f *reFabric) bool {
	plain := !f.patterned() && !f.sideways.given() || f.use != "face" // the lining has no repeat by rule
	return tr.paired() || (plain && !f.oneWay && tr.count() >= 2)
}

// inHalves says whether the practice counts a panel's cloth in halves: where each panel rounds up to halves that serve
// somebody, or where the total of a pair is rounded and halved.
func (o reOrder) inHalves(tr reTreatment, f *reFabric) bool {
	c := o.conv
	if c.pairSplit == "total" && tr.paired() {
		return true
	}
	return (c.widthsRounding == "" || c.widthsRounding == "up_to_half") && reHalves(tr, f)
}

// faceCloth is the cloth of one panel's face. A tape takes what its pleats need, pleats set by hand what the practice gives.
// Widths given are the order's own. Of pleats set by hand fewer suffice that give the least of what is wanted.
func (o reOrder) faceCloth(tr reTreatment, face *reFabric, wanted, enough reNum) reJoined {
	usable, join, inHalves := face.across(), reJoin(face, o.conv.seam), o.inHalves(tr, face)
	if tr.halves > 0 {
		return reHalfWidths(tr.halves, usable, join)
	}
	least := reWidths(usable, join, enough, inHalves)
	if o.conv.widthsRounding != "nearest_whole" {
		return least
	}
	nearest := reNearestWidths(usable, join, wanted, inHalves)
	if !tr.exactCloth() != (nearest.halves < least.halves) {
		return least
	}
	return nearest
}

// exactCloth says whether what is sewn on needs its flat width, neither more nor less.
func (tr reTreatment) exactCloth() bool { return tr.setByTape() || tr.heading == "wave-tape" }

// reJoin is what one join takes off the joined width.
func reJoin(f *reFabric, seam reNum) reNum {
	if match := f.matched(seam); match.given() {
		return f.across().sub(match)
	}
	return seam.times(2)
}

// joins tells of joins that a match width makes narrower than the practice's; false where they can't be sewn.
func (o reOrder) joins(face *reFabric, j reJoined, out *reResult) bool {
	join := reJoin(face, o.conv.seam)
	if !face.matched(o.conv.seam).given() || j.pieces == 1 || !join.less(o.conv.seam.times(2)) {
		return true
	}
	out.ofCloth = "warning seam_narrow"
	if join.less(reFrac(1, 4)) {
		out.ofCloth, out.failed = "error seam_narrow", true
	}
	return !out.failed
}

// reSeams are the joins of a panel from its return edge, the half width first, when nothing is trimmed there. atReturn is the cloth
// beyond that edge.
func reSeams(j reJoined, usable, join, atReturn reNum) []reNum {
	var seams []reNum
	reach := usable
	if j.halves%2 == 1 {
		reach = usable.half()
	}
	for i := 1; i < j.pieces; i++ {
		seams = append(seams, reach.sub(join.mul(reFrac(int64(2*i-1), 2))).sub(atReturn))
		reach = reach.add(usable)
	}
	return seams
}
