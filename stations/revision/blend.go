package revision

import (
	"slices"

	"tablehand/engine/workup"
	"tablehand/stations/plan"
)

// Blend gives a panel's ticket the numbers of a newer file as far as its work allows, and its words in any case. begun says whether
// somebody has worked on it since its cloth was cut, done which steps are begun or behind it:
//
//   - while nothing is done to the panel, all of them;
//   - where the cloth that is cut doesn't do any more (clothStays), or the route or the unit is another, none: the
//     panel stays as it was released, and the office sends it back or has it remade;
//   - else a step that is begun or done keeps its numbers, and so do the steps after it for every number that lies
//     along an axis on which one of those kept numbers changed. The rest is taken.
func Blend(was, want *plan.Ticket, begun, clothStays bool, done func(step int) bool) plan.Ticket {
	b := *want
	b.Code, b.RemadeFrom = was.Code, was.RemadeFrom
	if !clothStays && !begun {
		return b
	}
	if clothStays || was.Heading != want.Heading || was.HeadingLike != want.HeadingLike || was.Units != want.Units || !sameRoute(was, want) {
		b.Steps, b.Heading, b.Made, b.Units = was.Steps, was.Heading, was.Made, was.Units
		b.Fabrics, b.Lining, b.Interlining = was.Fabrics, was.Lining, was.Interlining
		b.Widths, b.CordEnd, b.Tape, b.Edition = was.Widths, was.CordEnd, was.Tape, was.Edition
		b.Piece = was.Piece
		return b
	}
	own := 0 // the first step that isn't done by others
	if was.IsCut() {
		own = 1
	}
	var stays workup.Axis
	for i := own; i < len(was.Steps); i++ {
		if done(i) {
			stays |= axesOf(plan.Known(differingIn(&was.Steps[i], &want.Steps[i]), was, want)...)
		}
	}
	b.Steps = slices.Clone(want.Steps)
	for i := range was.Steps {
		switch {
		case i >= own && done(i): // of the first, cloth that is cut wider or longer does too
			b.Steps[i], b.Edition = was.Steps[i], min(b.Edition, was.Edition)
		case stays != 0:
			b.Steps[i] = mixed(&was.Steps[i], &want.Steps[i], stays)
		}
	}
	if stays&workup.Across != 0 {
		b.Widths, b.Tape = was.Widths, was.Tape
	}
	if stays&workup.CordEnd != 0 {
		b.CordEnd = was.CordEnd
	}
	return b
}

func sameRoute(a, b *plan.Ticket) bool {
	return slices.EqualFunc(a.Steps, b.Steps, func(x, y plan.Step) bool { return x.Station == y.Station })
}

// mixed is a step's new numbers but for those along the axes that stay.
func mixed(was, want *plan.Step, stays workup.Axis) plan.Step {
	m := plan.Step{Station: want.Station, Checks: was.Checks, Cautions: was.Cautions, Minutes: was.Minutes, Pair: want.Pair,
		Asked: plan.Together(was.Asked, want.Asked)}
	for _, name := range valueNames(want, was) {
		from := want
		if axesOf(name)&stays != 0 {
			from = was
		}
		if v := from.Value(name); !v.IsZero() {
			m.Values = append(m.Values, plan.Value{Name: name, Value: v})
		}
	}
	for _, name := range entryNames(want, was) {
		from := want
		if axesOf(name)&stays != 0 {
			from = was
		}
		if e := from.Entry(name); e != nil {
			m.Enter = append(m.Enter, *e)
		}
	}
	return m
}
