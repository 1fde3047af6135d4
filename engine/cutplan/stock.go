package cutplan

import (
	"slices"

	"tablehand/engine/cutting"
	"tablehand/engine/packing"
)

// simple reports whether a job is lengths on stock: plain cloth without flaws, and no lots to choose from.
func (j *job) simple() bool {
	return j.problem.VerticalRepeat == 0 && len(j.lots) == 1 && !slices.ContainsFunc(j.classes, func(c class) bool { return len(c.stretches) != 1 }) && j.unit > 0
}

// byHand is what a job of several sorts of cloth may take before it is looked at as lengths on stock.
const byHand = 1_000_000

// asStock plans a simple job as lengths on stock. Where remnants, or bolts of several lengths, are there to choose from, fullest
// fillings are tried first: they suffice nearly always.
func (j *job) asStock(a *answer) {
	if j.problem.Aim == cutting.FewestBolts && len(j.classes) > 1 {
		j.meter.within(byHand, func() { j.openFew(a) })
		if a.layout != nil && int64(len(a.layout.opens())) <= a.bound {
			return
		}
	}
	st := j.newStock(true)
	sol := packing.Solve(st.problem, j.meter)
	if sol.Fillings != nil && !st.enough(sol) {
		st = j.newStock(false)
		sol = packing.Solve(st.problem, j.meter)
	}
	w := st.weightsOf(&sol.Weights)
	if sol.Weights.Bound >= j.weighed(a.weights) {
		a.weights = w
	}
	a.bound = max(a.bound, sol.Bound)
	if sol.Fillings == nil || a.layout != nil && j.problem.Aim == cutting.FewestBolts && int64(len(a.layout.opens())) <= sol.Cost {
		return
	}
	s := j.splitter()
	a.layout = s.layoutOf(make([]int, len(s.units)), [][]packed{st.packed(sol)})
}

// opens are the pieces of a layout that it opens.
func (l *layout) opens() []piece {
	return slices.DeleteFunc(l.pieces(), func(p piece) bool { return !l.job.classes[p.class].opens })
}

// stock is a job as lengths on stock: a kerf longer each, in units.
type stock struct {
	job     *job
	problem packing.Problem
	kinds   []int // of the job
	classes []int
}

// newStock makes it; freely: of classes with many pieces there are as many as are wanted.
func (j *job) newStock(freely bool) *stock {
	st := &stock{job: j}
	cuts := 0
	for k := range j.kinds {
		if j.kinds[k].want > 0 {
			st.kinds = append(st.kinds, k)
			st.problem.Kinds = append(st.problem.Kinds, packing.Kind{Length: j.size(k), Want: j.kinds[k].want})
			cuts += j.kinds[k].want
		}
	}
	for i := range j.classes {
		c := &j.classes[i]
		room := c.stretches[0].room() + int64(j.problem.Kerf)
		if room < j.unit {
			continue
		}
		supply := len(c.bolts)
		if c.cost > 0 && (supply >= cuts || freely && int64(supply)*c.most >= 2*j.need()) || freely && len(j.classes) == 1 && c.cost > 0 {
			supply = -1
		}
		st.classes = append(st.classes, i)
		st.problem.Classes = append(st.problem.Classes, packing.Class{Length: room / j.unit, Cost: c.cost, Supply: supply})
	}
	return st
}

// enough reports whether there are as many pieces as a solution takes.
func (st *stock) enough(sol packing.Solution) bool {
	used := make([]int, len(st.classes))
	for _, f := range sol.Fillings {
		if used[f.Class]++; used[f.Class] > len(st.job.classes[st.classes[f.Class]].bolts) {
			return false
		}
	}
	return true
}

func (st *stock) packed(sol packing.Solution) (list []packed) {
	j := st.job
	used := make([]int, len(st.classes))
	for _, f := range sol.Fillings {
		class := st.classes[f.Class]
		p := packed{piece: piece{class, used[f.Class]}, filling: filling{take: make([]int, len(j.kinds))}}
		used[f.Class]++
		at := j.classes[class].stretches[0].from
		for _, t := range f.Takes {
			k := st.kinds[t.Kind]
			for range t.Count {
				p.filling.lays = append(p.filling.lays, lay{k, at})
				at += j.kinds[k].length + int64(j.problem.Kerf)
			}
			p.filling.take[k] += t.Count
		}
		list = append(list, p)
	}
	return list
}

func (st *stock) weightsOf(w *packing.Weights) *weights {
	j := st.job
	out := &weights{of: make([]int64, len(j.kinds)), most: make([]int64, len(j.classes)), bonus: make([]int64, len(j.classes)), scale: w.Scale, step: w.Step}
	for i, k := range st.kinds {
		out.of[k] = w.Of[i]
	}
	for i, c := range st.classes {
		out.most[c], out.bonus[c] = w.Most[i], w.Bonus[i]
	}
	return out
}
