package recompute

// reCut is the length of one cut of a treatment's face.
type reCut struct {
	plain, length reNum
	repeats       int // in whole_repeats, else 0
}

// cut is one of a panel's face, which lies so wide.
func (o reOrder) cut(tr reTreatment, flat reNum) reCut {
	length := o.plainCut(tr, o.fabric(tr.face))
	if tr.railroad {
		return o.turnedCut(tr, flat, length)
	}
	return length
}

// plainCut works out the plain length, the cut length and the repeats in it. A cut of whole repeats is exactly that, even where
// the repeat is no multiple of the step: rounding it would put the next cut off its phase.
func (o reOrder) plainCut(tr reTreatment, face *reFabric) reCut {
	c := o.conv
	turned := o.topOf(tr).add(o.beyond(tr, "bottom"))
	if c.lengthAllowance.given() {
		turned = c.lengthAllowance
	}
	hung := o.onTable(tr).add(tr.puddle.or(reInt(0)), turned)
	kept := face.keptLong(c)
	if tr.railroad { // the panel's length lies across the bolt
		kept = face.keptWide()
	}
	out := reCut{plain: reUp(hung.div(kept).add(c.squaring), c.step)}
	out.length = out.plain
	if !face.patterned() {
		return out
	}
	v := face.repeat.reNum
	switch c.repeatRule {
	case "on_phase":
	case "add_one":
		out.length = out.plain.add(v)
	default:
		out.repeats = out.plain.div(v).ceil()
		out.length = v.times(out.repeats)
	}
	if face.dropped() && c.halfDrop == "half_repeat_a_cut" {
		out.length = out.length.add(v.half())
	}
	return out
}

// needs lists the cloth of a treatment: face, lining, interlining.
func (o reOrder) needs(tr reTreatment, made []reMade) []reNeed {
	c := o.conv
	needs := []reNeed{o.faceNeed(tr, o.fabric(tr.face), made)}
	if tr.railroad {
		needs = o.turnedFace(tr, o.fabric(tr.face), made)
	}
	for _, id := range []string{tr.lining, tr.interlining} {
		if id == "" {
			continue
		}
		f := o.fabric(id)
		var halves []int
		for _, m := range made {
			halves = append(halves, o.backCloth(tr, f, m.flat).halves)
		}
		cuts, length := reCuts(tr, f, halves), o.liningLength(tr)
		switch {
		case f.use == "interlining":
			length = reUp(o.backed(tr), c.step)
		case tr.railroadLining: // each panel's for itself: they may differ
			needs = append(needs, o.turnedLining(tr, f, made)...)
			continue
		}
		needs = append(needs, reNeed{fabric: f.id, use: f.use, cuts: cuts, cut: length, plain: length, length: length.times(cuts)})
	}
	return o.bandNeeds(tr, made, needs)
}

// backed is the length that lining and interlining hang by.
func (o reOrder) backed(tr reTreatment) reNum {
	if o.conv.liningPuddle == "stop" {
		return o.drop(tr)
	}
	return o.drop(tr).add(tr.puddle.or(reInt(0)))
}

// liningLength is how long a lining is cut.
func (o reOrder) liningLength(tr reTreatment) reNum {
	c := o.conv
	if c.liningRule == "allowance" {
		return reUp(o.backed(tr).add(c.liningAllowance), c.step)
	}
	return reUp(o.backed(tr).sub(c.liningLift).add(c.liningHem.times(2), c.liningTop, c.liningTrim), c.step)
}

// backCloth is a panel's lining or interlining, which has no side hems and joins of its own.
func (o reOrder) backCloth(tr reTreatment, f *reFabric, flat reNum) reJoined {
	if f.use == "lining" && tr.railroadLining {
		return reTurned(reUp(flat, o.conv.step))
	}
	return reWidths(f.across(), o.conv.seam.times(2), flat, o.inHalves(tr, f))
}

// reCuts counts whole cuts of the half widths that each panel of a window takes. An odd panel's half is of a width that is
// split: the right half of it goes to the left panel or the only one, the left half to the right panel. Where cloth has a
// pattern or a direction nobody else can use it; where it has none two halves are a width, whoever they are for.
func reCuts(tr reTreatment, f *reFabric, halves []int) int {
	whole, odd := 0, [2]int{}
	for panel, n := range halves {
		whole += n / 2
		odd[panel] = n % 2
	}
	split := (odd[0]*tr.count() + odd[1]*tr.count() + 1) / 2
	if f.oneWay || f.patterned() || f.sideways.given() {
		split = max(odd[0], odd[1]) * tr.count()
	}
	return whole*tr.count() + split
}

// faceNeed lays the cuts of a treatment's face on one length of cloth. The class of a width in a half-drop is its count from
// the leading edge; the half width, at the return edge, has the last one. A left and a right half of one class are a cut, two of
// different classes start at different heights and are two.
func (o reOrder) faceNeed(tr reTreatment, face *reFabric, made []reMade) reNeed {
	need := reNeed{fabric: face.id, use: face.use, cut: made[0].cut.length, plain: made[0].cut.plain}
	var all []int
	for _, m := range made {
		all = append(all, m.joined.halves)
	}
	need.cuts = reCuts(tr, face, all)
	need.classes, need.phase = [2]int{need.cuts, 0}, o.phaseOf(tr)
	if face.dropped() {
		need.classes = [2]int{}
		byClass := [2][]int{make([]int, len(made)), make([]int, len(made))}
		for panel, m := range made {
			for i := range m.joined.halves / 2 {
				byClass[i%2][panel] += 2
			}
			if m.joined.halves%2 == 1 {
				byClass[(m.joined.pieces-1)%2][panel]++
			}
		}
		for class := range byClass {
			need.classes[class] = reCuts(tr, face, byClass[class])
		}
		need.cuts = need.classes[0] + need.classes[1]
	}
	need.length, need.trimmings = o.laid(face, need), o.trimmings(tr, made)
	return need
}

// phased says whether the practice lets the two classes of a half-drop start half a repeat apart.
func (c reConv) phased() bool { return c.halfDrop == "" || c.halfDrop == "phases" }

// laid is where the last of a treatment's cuts ends.
func (o reOrder) laid(face *reFabric, need reNeed) reNum {
	v := face.repeat.reNum
	both := o.conv.phased() && need.classes[1] > 0
	switch {
	case !face.patterned() || o.conv.repeatRule == "add_one":
		return need.cut.times(need.cuts)
	case o.conv.repeatRule == "on_phase" && both:
		return reAlternating(need.cut, v, need.classes[0], need.classes[1])
	case o.conv.repeatRule == "on_phase":
		return reUp(need.cut, v).times(need.cuts - 1).add(need.cut)
	case both:
		return need.cut.times(need.cuts).add(v.half())
	}
	return need.cut.times(need.cuts)
}

// reAlternating is the least run of a cuts of one class and b of the other, all of one length, by the documents' formula:
// changing classes after a cut is worth it where that leaves less waste.
func reAlternating(length, v reNum, a, b int) reNum {
	same := reUp(length, v)
	other := v.times(length.sub(v.half()).div(v).ceil()).add(v.half())
	changes := 1
	if other.less(same) {
		changes = 2 * min(a, b)
		if a == b {
			changes = a + b - 1
		}
	}
	return same.times(a+b-1-changes).add(other.times(changes), length)
}

// need sums a fabric over the treatments; ok is false where its least run is beyond this program's search and the length is
// that of each treatment by itself.
func (o reOrder) need(f *reFabric, results []reResult) (cuts int, length reNum, ok bool) {
	var own []reNeed
	length, beside := reInt(0), reInt(0)
	for _, res := range results {
		for _, need := range res.fabrics {
			if need.fabric == f.id {
				cuts += need.cuts
				switch {
				case need.turned: // starts wherever there is room
					beside = beside.add(need.length, need.trimmed())
					continue
				case need.cuts > 0: // else bands alone
					own = append(own, need)
				}
				length, beside = length.add(need.length), beside.add(need.trimmed())
			}
		}
	}
	length, ok = o.needOf(f, own, length)
	return cuts, length.add(beside), ok
}

// needOf is the length of a face's cuts over all treatments, which come to so much each by itself.
func (o reOrder) needOf(f *reFabric, own []reNeed, length reNum) (all reNum, ok bool) {
	if f.use != "face" || !f.patterned() || len(own) == 0 {
		return length, true
	}
	if o.conv.repeatRule == "on_phase" && (!f.dropped() || o.conv.phased()) {
		if least, ok := reLeastRun(f.repeat.reNum, own); ok {
			return least, true
		}
		return length, false
	}
	if o.conv.repeatRule != "add_one" && (!f.dropped() || o.conv.reckonsAsCut()) {
		return o.inPhases(f, own), true
	}
	if f.dropped() && o.conv.onceMore(f.repeat.reNum, own) {
		length = length.add(f.repeat.reNum)
	}
	return length, true
}

// inPhases lays whole repeats of one phase after those of another, all of a fabric together.
func (o reOrder) inPhases(f *reFabric, own []reNeed) reNum {
	sum := reInt(0)
	for _, need := range own {
		sum = sum.add(need.cut.times(need.cuts))
	}
	return sum.add(reLost(f.repeat.reNum, o.phases(f, own)))
}

// onceMore says whether a half-drop takes one repeat more for the whole order.
func (c reConv) onceMore(v reNum, own []reNeed) bool {
	for _, need := range own {
		spare := need.cut.sub(need.plain)
		if need.classes[1] > 0 && (c.halfDrop == "one_repeat_an_order" || c.halfDrop == "within_spare" && spare.less(v.half())) {
			return true
		}
	}
	return false
}
