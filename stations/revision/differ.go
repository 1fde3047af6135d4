// Package revision compares the tickets of an order with those that a newer file wants: which window is which, in what numbers two
// tickets differ, which of the new ones a panel can still take, and whether the cloth that is cut for it does. It compares values, and
// knows nothing of a floor.
package revision

import (
	"cmp"
	"slices"

	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
)

// Differences returns the names of the numbers, and of the words, that two tickets of one panel or fabric have
// otherwise, in the order of b. What a station only checks by eye, and its cautions, are no numbers.
func Differences(a, b *plan.Ticket) []string {
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
	when(a.Heading != b.Heading || a.Made != b.Made, "heading")
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
	when(a.Piece != b.Piece, "piece")
	when(a.Outside.String() != b.Outside.String(), "outside")
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

// onlyRenamed reports whether two tickets have all numbers in common.
func onlyRenamed(was, is *plan.Ticket) bool {
	return len(slices.DeleteFunc(Differences(was, is), isWord)) == 0
}

// isWord reports whether a name of differing is of words on the ticket, which no work depends on.
func isWord(name string) bool {
	return name == "window" || name == "room" || name == "quantity" || name == "notes" || name == "under" || name == "outside"
}

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
