package recompute

// reFlow is what a heading without pleats has of its own: its cloth goes evenly over its whole width.
type reFlow struct {
	holds                         string // gather, points or carriers
	pole                          bool   // on a pole that is seen, straight and without a lap
	top                           string // turned to the back: double, single, pocket or seam
	buckram                       bool   // in the band
	flat                          bool   // a panel may hang as wide as its cloth
	fullness, fullLow, fullHigh   reNum  // the usual one is absent where tape and carriers settle it
	ends                          string // of points: half_pitch, inset or tab
	even                          bool   // points come in even numbers
	pitchLow, pitchHigh, pitchFor reNum
	end, inset                    reNum // flat outside the first and last point, where ends says so
}

// reFlowOf is a heading's row in an order of one unit; ok is false for a heading with pleats.
func reFlowOf(heading, unit string) (f reFlow, ok bool) {
	pitch := func(low, high, best, lowMM, highMM, bestMM int64) {
		f.pitchLow, f.pitchHigh, f.pitchFor = reInt(low), reInt(high), reInt(best)
		if unit != "in" {
			f.pitchLow, f.pitchHigh, f.pitchFor = reMM(lowMM), reMM(highMM), reMM(bestMM)
		}
	}
	full := func(usual, low, high reNum) { f.fullness, f.fullLow, f.fullHigh = usual, low, high }
	switch heading {
	case "pencil-tape":
		f.holds, f.top = "gather", "single"
		full(reInt(2), reFrac(7, 4), reInt(3))
	case "rod-pocket":
		f.holds, f.top, f.pole = "gather", "pocket", true
		full(reInt(2), reFrac(3, 2), reInt(3))
	case "eyelet":
		f.holds, f.top, f.pole, f.buckram, f.ends, f.even = "points", "double", true, true, "half_pitch", true
		full(reInt(2), reFrac(3, 2), reFrac(9, 4))
		pitch(6, 8, 7, 150, 200, 175)
	case "tab":
		f.holds, f.top, f.pole, f.flat, f.ends = "points", "seam", true, true, "tab"
		full(reFrac(3, 2), reInt(1), reInt(2))
		pitch(6, 8, 7, 150, 200, 175)
	case "ring":
		f.holds, f.top, f.pole, f.flat, f.buckram, f.ends, f.even = "points", "double", true, true, true, "inset", true
		full(reInt(2), reInt(1), reFrac(5, 2))
		pitch(5, 7, 6, 125, 175, 150)
	case "wave-tape":
		f.holds, f.top, f.ends, f.even = "carriers", "single", "half_pitch", true
		full(reNum{}, reFrac(8, 5), reFrac(5, 2))
	default:
		return reFlow{}, false
	}
	return f, true
}

func (tr reTreatment) continuous() bool {
	_, ok := reFlowOf(tr.heading, "in")
	return ok
}

func (tr reTreatment) onPole() bool {
	f, _ := reFlowOf(tr.heading, "in")
	return f.pole
}

// setByTape says whether a tape sets the panel's pleats, onTape whether it has a tape at all.
func (tr reTreatment) setByTape() bool { return !tr.byHand() && !tr.continuous() }

func (tr reTreatment) onTape() bool {
	return tr.setByTape() || tr.heading == "pencil-tape" || tr.heading == "wave-tape"
}

// foldOf is the depth of a turn of the heading; absent where nothing is turned by that depth.
func (o reOrder) foldOf(tr reTreatment) reNum {
	fold := o.foldFor(tr.heading)
	switch f, ok := reFlowOf(tr.heading, o.unit); {
	case tr.heading == "pencil-tape":
		fold = o.tapeOf(tr).fold.or(o.figures[tr.heading].fold.or(reUnits(o.unit).small(reInt(2), 50)))
	case tr.heading == "wave-tape":
		fold = o.tapeOf(tr).fold.or(o.figures[tr.heading].fold.or(o.tapeOf(tr).height.reNum))
	case ok && f.top != "double":
		return reNum{}
	case tr.setByTape():
		fold = o.tapeOf(tr).fold.or(fold)
	}
	return tr.headingFold.or(fold)
}

// small is a default in inches, and the round millimetres of a metric order.
func (u reUnit) small(inches reNum, mm int64) reNum {
	if u.name == "in" {
		return inches
	}
	return reMM(mm)
}

// topOf is the cloth above the finished length, which the heading turns to the back.
func (o reOrder) topOf(tr reTreatment) reNum {
	f, ok := reFlowOf(tr.heading, o.unit)
	switch {
	case !ok || f.top == "double":
		return o.foldOf(tr).times(2)
	case f.top == "single":
		return o.foldOf(tr)
	case f.top == "seam":
		return o.tabSeam()
	}
	p := o.pocketOf(tr)
	return p.stand.add(p.depth, p.turn)
}

// bearing is where the top of the pole is: so far below the top edge, above it where it is below nothing. It is absent
// where the heading doesn't know.
func (o reOrder) bearing(tr reTreatment) reNum {
	rod := o.rodOf(tr)
	switch tr.heading {
	case "rod-pocket":
		return o.pocketOf(tr).stand
	case "eyelet":
		e := o.eyeletOf(tr)
		return e.at.sub(e.in.half())
	case "tab":
		if rod.kind != "flat" && rod.across().given() {
			return reInt(0).sub(rod.across().add(o.tabOf(tr).gap))
		}
	case "ring":
		if rod.ringDrop.given() {
			return reInt(0).sub(rod.ringDrop.reNum)
		}
	}
	return reNum{}
}

// rodOf is the rod a treatment names, or the only one.
func (o reOrder) rodOf(tr reTreatment) reRod {
	for _, rod := range o.rods {
		if rod.id == tr.rod || tr.rod == "" && len(o.rods) == 1 {
			return rod
		}
	}
	return reRod{}
}
