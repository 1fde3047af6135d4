package recompute

// clothFindings decides what can be decided of the cloth without placing cuts: no bolts at all; bolts that hold less than
// the plain cuts alone, or one flawless bolt that holds everything laid out with room to spare.
func (w *reWork) clothFindings(o reOrder) {
	failedUses := map[string]bool{}
	for i, res := range w.treatments {
		if tr := o.treatments[i]; res.failed {
			failedUses[tr.face], failedUses[tr.lining], failedUses[tr.interlining] = true, true, true
		}
	}
	for _, f := range o.fabrics {
		cuts, least := w.leastCloth(f.id, o.conv.reckonsAsCut())
		switch {
		case len(f.bolts) == 0 && cuts > 0:
			w.whole.told["note cloth_not_known"] = true
		case len(f.bolts) == 0 && failedUses[f.id]:
			w.whole.open["note cloth_not_known"] = true
		case cuts == 0 || len(f.bolts) == 1 && len(f.bolts[0].flaws) == 0 && o.ample(&f, w.treatments).atMost(f.onBolts()):
		case f.onBolts().less(least):
			w.whole.told["warning fabric_short"] = true
			w.whole.open["warning lots_mixed"] = true
		default:
			w.whole.open["warning fabric_short"] = true
			w.whole.open["warning lots_mixed"] = true
		}
	}
}

// ample is cloth that surely holds all cuts of a fabric. Where the practice reckons with whole repeats and phases, what it
// reckons is laid as it is cut; else every cut has its own repeat for finding its phase.
func (o reOrder) ample(f *reFabric, results []reResult) reNum {
	cuts, length, _ := o.need(f, results)
	v := f.repeat.or(reInt(0))
	if o.conv.reckonsAsCut() {
		return length.add(v.times(6))
	}
	return length.add(v.times(2*cuts + 6))
}

// reckonsAsCut says whether every cut takes just what is reckoned for it: whole repeats, and the two classes of a half-drop
// half a repeat apart.
func (c reConv) reckonsAsCut() bool {
	return c.phased() && (c.repeatRule == "" || c.repeatRule == "whole_repeats")
}

// leastCloth is a fabric's cuts end to end, which no placement can undercut: as they are cut, or the plain ones.
func (w *reWork) leastCloth(fabric string, asCut bool) (cuts int, length reNum) {
	length = reInt(0)
	for _, res := range w.treatments {
		for _, need := range res.fabrics {
			if need.fabric != fabric {
				continue
			}
			each := need.plain
			if asCut {
				each = need.cut
			}
			cuts += need.cuts
			length = length.add(each.times(need.cuts), need.trimmed())
			for _, t := range need.trimmings {
				cuts += t.cuts
			}
		}
	}
	return cuts, length
}
