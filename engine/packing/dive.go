package packing

import (
	"cmp"
	"slices"
)

// diving settles the fillings that the linear solution likes most, one after the other, and solves what is left anew by a few steps.
type diving struct {
	*solver
	m     *master
	right []float64
	left  int
	found []Filling
	cost  int64
	goal  int64 // no dearer solution is wanted
}

const (
	mostFitted    = 60 // lengths that are left, for best fit to try
	mostCompleted = 30 // for completion to try
)

// dive looks for a solution of at most a cost. At one of the steps, by its number, it takes the second choice.
func (s *solver) dive(root *master, goal int64, number int, work int64) []Filling {
	d := &diving{solver: s, m: root.clone(), right: slices.Clone(root.right), goal: goal}
	for _, n := range d.m.limits {
		d.left += n
	}
	until := d.m.work + work
	for step := 0; d.left > 0; {
		settled := d.whole()
		if !settled {
			if !d.fraction(number > 0 && (number-1)%12 == step || number > 12 && (number-1)/12 == step) {
				return nil
			}
			step++
		}
		if d.left == 0 {
			break
		}
		if list := d.rest(); list != nil {
			return list
		}
		d.m.want(d.right)
		target := (float64(goal-d.cost) + 1e-6*float64(s.step)) / s.unit
		bound, _, _ := d.m.generate(target, until-d.m.work)
		if bound > target || d.m.work >= until || s.meter.Done() {
			return nil
		}
	}
	if d.cost > goal {
		return nil
	}
	return d.found
}

// whole settles each filling as often as the solution has it whole.
func (d *diving) whole() (settled bool) {
	for i := range d.m.basis {
		if c := &d.m.basis[i]; c.sort == pattern && d.m.value[i] >= 1-1e-6 {
			settled = d.settle(c, int(d.m.value[i]+1e-6)) || settled
		}
	}
	return settled
}

// fraction settles the filling with the largest part of a whole, or the second.
func (d *diving) fraction(second bool) bool {
	type part struct {
		i     int
		value float64
	}
	var parts []part
	for i := range d.m.basis {
		if d.m.basis[i].sort == pattern && d.m.value[i] >= 1e-6 {
			parts = append(parts, part{i, d.m.value[i]})
		}
	}
	slices.SortStableFunc(parts, func(a, b part) int { return cmp.Compare(int64(b.value*1e9), int64(a.value*1e9)) })
	if second && len(parts) > 1 {
		parts = parts[1:]
	}
	for _, p := range parts {
		if d.settle(&d.m.basis[p.i], 1) {
			return true
		}
	}
	return false
}

// settle takes a filling some times, less what of it is no longer wanted.
func (d *diving) settle(c *column, times int) bool {
	f := Filling{Class: c.class}
	for _, e := range c.entries {
		row := int(e.row)
		left := int(d.right[row] + 0.5)
		if row >= len(d.Kinds) {
			times = min(times, left)
			continue
		}
		if n := min(int(e.count), left); n > 0 {
			f.take(row, n)
			times = min(times, left/n)
		}
	}
	if times <= 0 || len(f.Takes) == 0 {
		return false
	}
	for _, t := range f.Takes {
		d.right[t.Kind] -= float64(t.Count * times)
		d.left -= t.Count * times
	}
	if row := d.m.supplies[c.class]; row >= 0 {
		d.right[row] -= float64(times)
	}
	for range times {
		d.found = append(d.found, f)
		d.cost += d.Classes[c.class].Cost
	}
	return true
}

// rest cuts what is left without the linear problem, where that is little, and returns the whole solution.
func (d *diving) rest() []Filling {
	if d.left > mostFitted {
		return nil
	}
	left := *d.solver
	left.Classes = slices.Clone(d.Classes)
	for i, row := range d.m.supplies {
		if row >= 0 {
			left.Classes[i].Supply = int(d.right[row] + 0.5)
		}
	}
	wants := make([]int, len(d.Kinds))
	for k := range wants {
		wants[k] = int(d.right[k] + 0.5)
	}
	d.m.work += 3000
	try := func(list []Filling) []Filling {
		cost := d.cost
		for _, f := range list {
			cost += d.Classes[f.Class].Cost
		}
		if list == nil || cost > d.goal {
			return nil
		}
		return slices.Concat(d.found, list)
	}
	for class := range d.Classes {
		if all := try(left.bestFit(wants, class)); all != nil {
			return all
		}
		if d.left <= mostCompleted {
			if all := try(left.complete(wants, class, 300)); all != nil {
				return all
			}
		}
	}
	return nil
}
