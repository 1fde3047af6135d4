package sample

import (
	"slices"

	"tablehand/engine/measure"
	"tablehand/engine/workup"
)

// Number is one number of a window: of its first panel, which is like its mate, or of the window's cloth and fittings.
type Number struct {
	Of    string // catalogue: sample.of.<of>; panel, face, lining, interlining, tape, buckram, thread, hooks, fittings
	Name  string // catalogue: value.<name>
	Value measure.Quantity
}

// Change is a number that isn't as it was. Where one of the two is Nothing, there was no such number before, or there is none after.
type Change struct {
	Of, Name      string
	Before, After measure.Quantity
}

// Compare lists what of a window is otherwise after than before, in the order in which it is worked out.
func Compare(before, after *workup.Workup) []Change {
	was, is := Numbers(before), Numbers(after)
	find := func(list []Number, n Number) measure.Quantity {
		if i := slices.IndexFunc(list, func(o Number) bool { return o.Of == n.Of && o.Name == n.Name }); i >= 0 {
			return list[i].Value
		}
		return measure.Quantity{}
	}
	var changes []Change
	for _, n := range is {
		if old := find(was, n); old != n.Value {
			changes = append(changes, Change{n.Of, n.Name, old, n.Value})
		}
	}
	for _, n := range was {
		if !slices.ContainsFunc(is, func(o Number) bool { return o.Of == n.Of && o.Name == n.Name }) {
			changes = append(changes, Change{n.Of, n.Name, n.Value, measure.Quantity{}})
		}
	}
	return changes
}

// Numbers lists all numbers of a window; those of its panel alone are missing where the conventions leave none to be made.
func Numbers(w *workup.Workup) []Number {
	var list []Number
	add := func(of string, steps []workup.Step) {
		for _, s := range steps {
			list = append(list, Number{of, s.Name, s.Value})
		}
	}
	for i := range w.Treatments {
		t := &w.Treatments[i]
		if len(t.Panels) > 0 {
			add("panel", t.Panels[0].Trail)
		}
		for k := range t.Fabrics {
			add(string(t.Fabrics[k].Use), onlyCuts(w.UseTrail(t, &t.Fabrics[k])))
		}
	}
	for i := range w.Totals.Fabrics {
		add(string(w.Totals.Fabrics[i].Use), w.FabricTrail(&w.Totals.Fabrics[i]))
	}
	for i := range w.Totals.Tape {
		add("tape", w.TapeTrail(&w.Totals.Tape[i]))
	}
	for i := range w.Totals.Buckram {
		add("buckram", w.BuckramTrail(&w.Totals.Buckram[i]))
	}
	for i := range w.Totals.Thread {
		add("thread", w.ThreadTrail(&w.Totals.Thread[i]))
	}
	for i := range w.Totals.Eyelets {
		add("eyelets", w.EyeletTrail(&w.Totals.Eyelets[i]))
	}
	for i := range w.Totals.Hooks {
		add("hooks", w.HookTrail(&w.Totals.Hooks[i]))
	}
	add("fittings", w.FittingTrail())
	return list
}

// onlyCuts leaves of what a window takes of a fabric what its totals don't say too.
func onlyCuts(steps []workup.Step) []workup.Step {
	return slices.DeleteFunc(steps, func(s workup.Step) bool { return s.Name != "cut_length" })
}
