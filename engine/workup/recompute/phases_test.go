package recompute

import "slices"

// together says whether cuts start where a room's patterns hang at one height.
func (o reOrder) together(tr reTreatment) bool {
	return o.conv.roomPhase == "together" && o.fabric(tr.face).patterned() && !tr.railroad
}

// phaseOf is how far behind a repeat's start a treatment's cuts start; 0 where each starts with it. On the bolt, before it has shrunk.
func (o reOrder) phaseOf(tr reTreatment) reNum {
	if !o.together(tr) {
		return reInt(0)
	}
	f := o.fabric(tr.face)
	kept := f.keptLong(o.conv)
	h := reHeight{
		top: o.topOf(tr).div(kept), finished: o.onTable(tr).div(kept), hem: tr.hemUp.or(reInt(0)).div(kept), motif: tr.motifHeight.or(reInt(0)).div(kept),
	}
	return h.phase(f.repeat.reNum, o.conv.motifFrom == "top").toNanometre()
}

// phases are those that a fabric's cuts start on, each once. Where the practice lets them, the second class of a half-drop starts half a
// repeat behind the first.
func (o reOrder) phases(f *reFabric, own []reNeed) (all []reNum) {
	for _, need := range own {
		for class, n := range need.classes {
			at := need.phase.or(reInt(0))
			if class == 1 && o.conv.phased() {
				at = at.add(f.repeat.half())
			}
			if at = at.mod(f.repeat.reNum); n > 0 && !slices.ContainsFunc(all, at.equal) {
				all = append(all, at)
			}
		}
	}
	return all
}
