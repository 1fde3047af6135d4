package workup

import "tablehand/engine/measure"

// marks are what a hand chalks on a heading set by hand: start and end of each pleat by turns, along the flat panel
// from the return edge. Each is rounded once, from the whole, to the step: measured off one tape laid along the edge
// none is out by more than half a step, where rounded take-ups and spaces measured one after another add up what each
// of them lost.
func (p pleating) marks(takeUps []measure.Length, step measure.Length) []measure.Length {
	parts := 2 * p.gaps() // a space's end may lie at half of one
	halves := 0
	if p.halves {
		halves = 1
	}
	list := make([]measure.Length, 0, 2*len(takeUps))
	var taken measure.Length
	for k, takeUp := range takeUps {
		flat := p.ret.Times(parts) + p.spaces.Times(2*k+halves)
		list = append(list, stepped(flat+taken.Times(parts), parts, step))
		taken += takeUp
		list = append(list, stepped(flat+taken.Times(parts), parts, step))
	}
	return list
}

// stepped rounds a length given in parts to the nearest step, halves up.
func stepped(inParts measure.Length, parts int, step measure.Length) measure.Length {
	whole := max(1, step).Times(parts)
	return max(1, step) * measure.Length((2*inParts + whole).FloorDiv(2*whole))
}
