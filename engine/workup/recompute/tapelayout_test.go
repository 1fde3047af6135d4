package recompute

// reTapeData is a tape with its defaults filled in.
type reTapeData struct {
	id                                            string
	pinched, flatEnds                             bool // groups of fingers; pleats that begin at the rod's corner
	fingers                                       int
	period, space, takeUp, height, base, unit     reNum // unit = space + base: what one pleat keeps of the finished width
	topDrop, nominal, least, most, beyond, insert reNum
	ease                                          reNum
	fold                                          reNum
	cords                                         int
}

func (o reOrder) tapeData(tape reTape) reTapeData {
	u := reUnits(o.unit)
	d := reTapeData{
		id: tape.id, period: tape.period.reNum, space: tape.space.reNum, height: tape.height.reNum, cords: tape.cords,
		base: tape.base.or(reInt(0)), topDrop: tape.topDrop.or(u.topDrop), nominal: tape.nominal.or(u.nominal),
		least: tape.least.or(u.least), most: tape.most.or(u.least.add(tape.space.half())), beyond: tape.beyond.or(u.beyond),
		ease: tape.easeEach.or(o.conv.ease), fold: tape.fold.or(o.conv.headingFold),
		pinched: tape.kind == "pinch", flatEnds: tape.ends == "flat", fingers: tape.fingers,
	}
	if d.fingers == 0 {
		d.fingers = 3
	}
	d.takeUp = d.period.sub(d.space)
	d.unit = d.space.add(d.base)
	// The 12 that stands beside insert_length is the worked tape's; what an order leaves out is three take-ups, in any unit.
	d.insert = tape.insert.or(d.takeUp.times(3))
	return d
}

// reLayout is a panel's pleats along a tape: so many, and the flat from each edge to the first of them.
type reLayout struct {
	reSolved
	first, last reNum
	flat        reNum
	stands      []reNum // the pleats' places on the finished heading
	lead        reNum   // what stays flat at the lead; absent where pleats start amid a space
}

// layout is the answer of a tape to a width. Amid a space at each end it is solved for the margin; with flat ends the return and
// the lead stay as they are, and the pleats are the fewest that reach.
func (o reOrder) layout(tr reTreatment, d reTapeData, asked reNum, halves func(flat reNum) int) reLayout {
	var l reLayout
	if d.flatEnds {
		ret := o.retOf(tr)
		l = reLayout{first: ret, last: o.leadOf(tr), lead: o.leadOf(tr), reSolved: d.solveFlat(asked, ret.add(o.leadOf(tr)), tr.pleats)}
		for k := range l.n {
			l.stands = append(l.stands, ret.add(d.base.half(), d.unit.times(k)))
		}
	} else {
		l.reSolved = d.solve(asked, tr.pleats, halves)
		if l.failed == "" {
			l.first = l.e.add(d.space.half())
			l.last, l.stands = l.first, l.tapeStands()
		}
	}
	if l.failed == "" {
		l.flat = l.first.add(l.last, d.takeUp, d.period.times(l.n-1))
	}
	return l
}

// solveFlat counts the pleats between flat ends that come to so much together.
func (d reTapeData) solveFlat(asked, ends reNum, given int) reSolved {
	reached := func(n int) reNum { return d.unit.times(n-1).add(d.base, ends) }
	if given > 0 {
		return reSolved{n: given, reached: reached(given), opened: reInt(0)}
	}
	if asked.less(reached(1)) {
		return reSolved{failed: "too_narrow"}
	}
	n := 1
	for reached(n).less(asked) {
		n++
	}
	s := reSolved{n: n, reached: reached(n), opened: reInt(0)}
	if asked.less(s.reached) {
		s.below = &reSolved{n: n - 1, reached: reached(n - 1)}
	}
	return s
}

// tight is the width of the heading before any ease.
func (l reLayout) tight(d reTapeData) reNum {
	if d.flatEnds {
		return l.reached
	}
	return d.width(l.n, l.e)
}

// margin is the end margin: from the edge to the first dot. Flat ends aren't solved for any; what says one says the return's.
func (l reLayout) margin(d reTapeData, say func(reNum) reLength) any {
	if d.flatEnds { // said, if at all, as far as it lies on the panel
		e := l.first.sub(d.space.half())
		if e.sign() < 0 {
			e = reInt(0)
		}
		return reMaybe{say(e)}
	}
	return say(l.e)
}

// beside is the tape before its first dot or after its last, where so much lies flat before the pleat beside it. Below nothing the
// dot is past the end.
func (d reTapeData) beside(flat reNum) reNum { return flat.sub(d.space.half()).add(d.beyond) }

// start is how far before a dot the piece starts.
func (d reTapeData) start(l reLayout) reNum {
	alpha := d.beside(l.first)
	if d.flatEnds {
		return alpha.sub(d.period.times(alpha.div(d.period).floor()))
	}
	return alpha
}
