package stations

import (
	"cmp"
	"slices"

	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
)

// axesOf says along which axes numbers, entries and limits of a pair lie: as their rows say, an entry as its target, a
// limit as its entry. A name that no row has, of an older release's ticket, counts for all: better to ask the office once
// too often.
func axesOf(names ...string) workup.Axis {
	var a workup.Axis
	for _, name := range names {
		if n := workup.NumberOf(plan.Target(name)); n != nil && n.Axes != 0 {
			a |= n.Axes
		} else {
			a |= workup.AllAxes
		}
	}
	return a
}

// differing returns the names of the numbers, and of the words, that two tickets of one panel or fabric have
// otherwise, in the order of b. What a station only checks by eye, and its cautions, are no numbers.
func differing(a, b *plan.Ticket) []string {
	var names []string
	add := func(more ...string) {
		for _, n := range more {
			if !slices.Contains(names, n) {
				names = append(names, n)
			}
		}
	}
	when := func(differs bool, name string) {
		if differs {
			add(name)
		}
	}
	when(a.Window != b.Window, "window")
	when(a.Room != b.Room, "room")
	when(a.Copies != b.Copies, "quantity")
	when(a.Heading != b.Heading, "heading")
	when(!slices.Equal(a.Fabrics, b.Fabrics), "fabric")
	for i := range b.Steps {
		add(differingIn(a.At(b.Steps[i].Station), &b.Steps[i])...)
	}
	for i := range a.Steps {
		if b.At(a.Steps[i].Station) == nil {
			add(differingIn(&a.Steps[i], nil)...)
		}
	}
	when(a.Widths != b.Widths, "widths")
	when(a.CordEnd != b.CordEnd, "cord_end")
	when(!slices.Equal(a.Notes, b.Notes), "notes")
	when(a.Tape != b.Tape, "tape")
	when(a.Under != b.Under, "under")
	return plan.Known(names, a, b)
}

// differingIn returns the names of a step's numbers that differ; nil is a step that isn't there. An entry is named only
// where no number that the station shows says the same.
func differingIn(a, b *plan.Step) []string {
	if a == nil {
		a = &plan.Step{}
	}
	if b == nil {
		b = &plan.Step{}
	}
	var names []string
	told := map[[2]measure.Quantity]bool{}
	for _, name := range valueNames(b, a) {
		was, is := a.Value(name), b.Value(name)
		if was != is {
			names = append(names, name)
			told[[2]measure.Quantity{was, is}] = true
		}
	}
	for _, name := range entryNames(b, a) {
		was, is := a.Entry(name), b.Entry(name)
		if cmp.Or(was, is).AtStart {
			continue // what the cloth should measure is among the values
		}
		if was == nil || is == nil {
			names = append(names, name)
			continue
		}
		if (was.Target != is.Target && !told[[2]measure.Quantity{was.Target, is.Target}]) || !sameTolerance(was.Tolerance, is.Tolerance) {
			names = append(names, name)
		}
	}
	for _, l := range b.Pair {
		if was := a.Limit(l.Name); !was.IsZero() && was != l.Limit { // Nothing: released before pairs were compared
			names = append(names, l.Name)
		}
	}
	return names
}

func sameTolerance(a, b *plan.Tolerance) bool {
	if a == nil || b == nil {
		return a == b
	}
	return *a == *b
}

// valueNames and entryNames are those of the steps, each once.
func valueNames(steps ...*plan.Step) []string {
	var names []string
	for _, s := range steps {
		for _, v := range s.Values {
			if !slices.Contains(names, v.Name) {
				names = append(names, v.Name)
			}
		}
	}
	return names
}

func entryNames(steps ...*plan.Step) []string {
	var names []string
	for _, s := range steps {
		for _, e := range s.Enter {
			if !slices.Contains(names, e.Name) {
				names = append(names, e.Name)
			}
		}
	}
	return names
}

// blend gives a panel's ticket the numbers of a newer file as far as its work allows, and its words in any case:
//
//   - while nothing is done to the panel, all of them;
//   - where the cloth that is cut doesn't do any more (clothStays), or the route or the unit is another, none: the
//     panel stays as it was released, and the office sends it back or has it remade;
//   - else a step that is begun or done keeps its numbers, and so do the steps after it for every number that lies
//     along an axis on which one of those kept numbers changed. The rest is taken.
func (t *Ticket) blend(want *plan.Ticket, clothStays bool) plan.Ticket {
	b, was := *want, t.Spec
	b.Code, b.RemadeFrom = was.Code, was.RemadeFrom
	if !clothStays && !t.Begun() {
		return b
	}
	if clothStays || was.Heading != want.Heading || was.Units != want.Units || !sameRoute(was, want) {
		b.Steps, b.Heading, b.Units = was.Steps, was.Heading, was.Units
		b.Fabrics, b.Lining, b.Interlining = was.Fabrics, was.Lining, was.Interlining
		b.Widths, b.CordEnd, b.Tape, b.Edition = was.Widths, was.CordEnd, was.Tape, was.Edition
		return b
	}
	var stays workup.Axis
	for i := 1; i < len(t.Steps); i++ {
		if t.done(i) {
			stays |= axesOf(plan.Known(differingIn(&was.Steps[i], &want.Steps[i]), was, want)...)
		}
	}
	b.Steps = slices.Clone(want.Steps)
	for i := range t.Steps {
		switch {
		case i > 0 && t.done(i): // of the first, cloth that is cut wider or longer does too
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

// done reports whether a step has been begun, so that its numbers are under somebody's hands or behind them.
func (t *Ticket) done(i int) bool {
	if i != t.At {
		return i < t.At
	}
	s := &t.Steps[i]
	return s.State == AtWork || s.State == Held && s.Before == AtWork
}

func sameRoute(a, b *plan.Ticket) bool {
	return slices.EqualFunc(a.Steps, b.Steps, func(x, y plan.Step) bool { return x.Station == y.Station })
}

// mixed is a step's new numbers but for those along the axes that stay.
func mixed(was, want *plan.Step, stays workup.Axis) plan.Step {
	m := plan.Step{Station: want.Station, Checks: was.Checks, Cautions: was.Cautions, Minutes: was.Minutes, Pair: want.Pair}
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

// Outdated reports whether tickets of an order keep numbers of their release that a work-up of its newest file gives
// otherwise, since rules of the calculation have changed. What a revision left as it was is another matter: those tickets
// say so themselves.
func (o *Order) Outdated(w *workup.Workup) bool {
	whole := o.Revision == 1 // else its cuts are laid out anew, or of panels that are no more
	for _, t := range o.Tickets {
		whole = whole && !t.Cancelled && !t.told
	}
	return slices.ContainsFunc(o.Tickets, func(t *Ticket) bool {
		switch {
		case t.Cancelled || t.Spec.Drawn != nil:
			return false
		case t.isPanel():
			return !t.Spec.MadeBy(w, t.Spec.Treatment)
		}
		return whole && !t.Spec.CutBy(w)
	})
}
