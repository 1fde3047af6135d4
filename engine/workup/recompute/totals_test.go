package recompute

import "slices"

// reToOrder rounds a length to be bought, in the order's own rounding.
func (c reConv) toOrder(length reNum) reNum {
	switch c.orderRounding {
	case "none":
		return length
	case "nearest": // halves up
		return c.orderStep.times(length.div(c.orderStep).add(reFrac(1, 2)).floor())
	default:
		return reUp(length, c.orderStep)
	}
}

// reWork is the whole work-up of an order.
type reWork struct {
	tree       reTree
	treatments []reResult
	whole      reFindings // codes told of the order or a fabric, not of one treatment
	exit       int
}

// work works an order out.
func (o reOrder) work() reWork {
	u := reUnits(o.unit)
	w := reWork{whole: reFindings{told: map[string]bool{}, open: map[string]bool{}}}
	var rows []any
	anyFailed, anyCollide := false, false
	w.treatments = o.results
	if w.treatments == nil {
		for _, tr := range o.treatments {
			w.treatments = append(w.treatments, o.treatment(tr))
		}
	}
	for _, res := range w.treatments {
		anyFailed = anyFailed || res.failed
		if res.ofCloth != "" {
			w.whole.told[res.ofCloth] = true
		}
		if res.failed { // for another reason, before its joins were looked at
			w.whole.open["warning seam_narrow"], w.whole.open["error seam_narrow"] = true, true
		}
		for _, code := range reOfRods {
			if res.problems.told["warning "+code] {
				w.whole.told["warning "+code] = true
			}
			w.whole.open["warning "+code] = w.whole.open["warning "+code] || res.failed
		}
		w.whole.tell("note", "mass_not_known", res.weightless)
		w.whole.open["note mass_not_known"] = w.whole.open["note mass_not_known"] || res.failed
		anyCollide = anyCollide || res.problems.told["error tubes_collide"] || res.problems.told["error pleats_overlap"]
		for _, code := range reOfRods {
			w.whole.tell("warning", code, res.problems.told["warning "+code])
			if res.failed || res.problems.open["warning "+code] {
				w.whole.open["warning "+code] = true
			}
		}
		rows = append(rows, res.tree)
	}
	totals := reTree{"fabrics": o.fabricTotals(w.treatments), "tape": []any{}, "buckram": []any{}, "thread": []any{}}
	o.tapeTotals(w.treatments, totals)
	o.fittingTotals(w.treatments, totals)
	o.massTotals(w.treatments, totals)
	if anyFailed {
		totals["incomplete"] = true
	} else if anyCollide {
		// Panels and fabrics are kept, so the totals hold all; whether an error makes them "incomplete" all the same is open.
		totals["incomplete"] = reMaybe{true}
	}
	if anyFailed || anyCollide {
		w.exit = 1
	}
	gathered := slices.ContainsFunc(o.treatments, func(tr reTreatment) bool { return tr.heading == "pencil-tape" })
	w.whole.tell("note", "not_used", o.sets("hook_spacing") && !gathered)
	w.clothFindings(o)
	w.tree = reTree{"order": reWord(o.id), "units": reWord(u.name), "treatments": rows, "totals": totals}
	return w
}

// from is the range from another low.
func (r reRange) from(low reNum) reRange {
	r.low.v = low
	return r
}

func (o reOrder) fabricTotals(results []reResult) []any {
	u := reUnits(o.unit)
	rows := []any{}
	for _, f := range o.fabrics {
		cuts, length, ok := o.need(&f, results)
		if beside, _ := f.trimmings(results); cuts+beside == 0 {
			continue
		}
		bought := length
		if f.use == "face" && f.patterned() {
			bought = bought.add(o.conv.orderRepeats.mul(f.repeat.reNum))
		}
		beside, trimmed := f.trimmings(results)
		row := reTree{
			"fabric": reWord(f.id), "use": reWord(f.use), "cuts": reCount(cuts + beside), "length": reLength{v: length, unit: u.name, size: u.size},
			"to_order": reLength{v: o.conv.toOrder(bought), unit: u.buying, size: u.buyingSize},
		}
		if trimmed.sign() > 0 && f.patterned() && (f.dropped() || o.conv.repeatRule == "on_phase") {
			row["length"] = reRange{row["length"].(reLength), row["length"].(reLength)}.from(length.sub(trimmed))
			row["to_order"] = reRange{row["to_order"].(reLength), row["to_order"].(reLength)}.from(o.conv.toOrder(bought.sub(trimmed)))
		}
		if !ok {
			row["length"], row["to_order"] = reOpen{}, reOpen{}
		}
		if len(f.bolts) > 0 {
			row["on_bolts"] = reLength{v: f.onBolts(), unit: u.name, size: u.size}
		}
		if f.boltLength.given() {
			row["bolt_length"] = reLength{v: f.boltLength.reNum, unit: u.buying, size: u.buyingSize}
			if each := o.perBolt(&f, results); each > 0 {
				n := (cuts + each - 1) / each
				row["bolts"], row["bolts_come_to"] = reCount(n), reLength{v: f.boltLength.times(n), unit: u.buying, size: u.buyingSize}
			}
		}
		rows = append(rows, row)
	}
	return rows
}

// perBolt is how many cuts of a fabric, which are all of one length and one phase, lie on a usual bolt: each starts a whole
// number of repeats behind the first one, which starts so far behind the end of the bolt, where a repeat does.
func (o reOrder) perBolt(f *reFabric, results []reResult) int {
	cut, first, _ := f.onlyCut(results)
	apart := cut
	if f.use == "face" && f.patterned() && o.conv.repeatRule != "add_one" {
		apart = reUp(cut, f.repeat.reNum)
	} else {
		first = reInt(0)
	}
	if f.boltLength.less(first.add(cut)) {
		return 0
	}
	return 1 + f.boltLength.sub(first).sub(cut).div(apart).floor()
}

// onlyCut is the length of all cuts of a fabric, and their phase; ok is false where they differ, or are of two classes.
func (f reFabric) onlyCut(results []reResult) (cut, phase reNum, ok bool) {
	for _, res := range results {
		for _, need := range res.fabrics {
			if need.fabric != f.id {
				continue
			}
			now := need.phase.or(reInt(0))
			if cut.given() && (!cut.equal(need.cut) || !phase.equal(now)) || len(need.trimmings) > 0 || need.turned && f.patterned() || f.use == "face" && f.dropped() {
				return cut, phase, false
			}
			cut, phase = need.cut, now
		}
	}
	return cut, phase, cut.given()
}

func (f reFabric) onBolts() reNum {
	sum := reInt(0)
	for _, b := range f.bolts {
		sum = sum.add(b.length.reNum).sub(b.from.or(reInt(0)))
	}
	return sum
}

func (o reOrder) tapeTotals(results []reResult, totals reTree) {
	l := reUnits(o.unit).length
	tapes, thread := []any{}, []any{}
	pieces := map[string][]reMade{}
	stitched, tunnels := reInt(0), reInt(0)
	for i, res := range results {
		if res.failed {
			continue
		}
		count := o.treatments[i].count()
		for _, m := range res.made {
			if res.tape != "" {
				pieces[res.tape] = append(pieces[res.tape], slices.Repeat([]reMade{m}, count)...)
				stitched = stitched.add(m.stitched.times(count))
			}
			if m.tunnel.given() {
				tunnels = tunnels.add(m.tunnel.times(count))
			}
		}
	}
	for _, tape := range o.tapes {
		if own := pieces[tape.id]; len(own) > 0 {
			used, more := tape.used(own)
			tapes = append(tapes, reTree{"tape": reWord(tape.id), "pieces": reCount(len(own)), "used": l(used), "to_order": l(used.add(more))})
		}
	}
	for _, sewn := range []struct {
		what   string
		length reNum
	}{{"heading", stitched}, {"pocket", tunnels}} {
		if sewn.length.sign() == 0 {
			continue
		}
		length := sewn.length.mul(reInt(2).add(o.conv.seamThickness.mul(o.conv.stitchDensity).times(2)))
		row := reTree{"for": reWord(sewn.what), "length": reLength{v: length, unit: reUnits(o.unit).name, size: reUnits(o.unit).size, loose: true}}
		if o.conv.coneLength.given() {
			row["cones"] = reCount(length.div(o.conv.coneLength).ceil())
		}
		thread = append(thread, row)
	}
	totals["tape"], totals["thread"], totals["buckram"] = tapes, thread, o.buckram(results)
}

// used is what the pieces of a tape take of its roll, and what has to be bought beside it: a period to begin on a dot, or a pocket to
// begin at one. A pencil tape is cut wherever it comes.
func (t reTape) used(own []reMade) (used, more reNum) {
	used = reInt(0)
	if t.kind == "pencil" || t.kind == "wave" {
		for _, m := range own {
			used = used.add(m.pitch)
		}
		return used, t.pocketPitch.or(reInt(0))
	}
	var pieces []rePiece
	for _, m := range own {
		pieces = append(pieces, m.piece)
	}
	return reTapeUsed(t.period.reNum, pieces), t.period.reNum
}

// buckram sums the inserts of tapes and the strips of hand-set headings by their height, in the order of the file.
func (o reOrder) buckram(results []reResult) []any {
	l := reUnits(o.unit).length
	var strips []reStrip
	for i, res := range results {
		if res.failed {
			continue
		}
		for _, m := range res.made {
			for _, cut := range m.buckram {
				pieces := cut.pieces * o.treatments[i].count()
				at := slices.IndexFunc(strips, func(s reStrip) bool { return s.height.equal(cut.height) })
				if at < 0 {
					strips, at = append(strips, reStrip{0, reInt(0), cut.height}), len(strips)
				}
				strips[at].pieces += pieces
				strips[at].length = strips[at].length.add(cut.length.times(pieces))
			}
		}
	}
	rows := []any{}
	for _, s := range strips {
		rows = append(rows, reTree{"height": l(s.height), "pieces": reCount(s.pieces), "length": l(s.length)})
	}
	return rows
}
