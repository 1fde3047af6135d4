package cutplan

import (
	"cmp"
	"slices"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
)

// weights are what cuts weigh, by kind, and what no filling of a class weighs more than.
type weights struct {
	of    []int64
	most  []int64
	bonus []int64 // by class
	scale int64
	step  int64
}

// lengthWeights weighs each cut by what it takes at least.
func (j *job) lengthWeights() *weights {
	most := make([]int64, len(j.classes))
	for i := range j.classes {
		most[i] = j.classes[i].most
	}
	return j.scaled(j.takes(), most)
}

// phaseWeights weighs the cuts that lead from one phase to the other half a repeat more where they start on one of the two, and as much
// less where they start on the other. A bolt on which they take turns holds no more for that than half a repeat; where cuts of one phase
// are left over their pattern is lost, and so all together prove more.
func (j *job) phaseWeights(more measure.Length) *weights {
	of, most := j.takes(), make([]int64, len(j.classes))
	half := int64(j.problem.VerticalRepeat) / 2
	for i := range j.kinds {
		k := &j.kinds[i]
		switch {
		case !j.changesPhase(k):
		case k.start == more:
			of[i] += half
		default:
			of[i] = max(0, of[i]-half)
		}
	}
	for i := range j.classes {
		most[i] = j.most(&j.classes[i], of)
	}
	return j.scaled(of, most)
}

// changesPhase reports whether behind a cut one of the other phase can start sooner than one of its own.
func (j *job) changesPhase(k *kind) bool {
	c := &j.classes[0]
	at := c.begins[k.start] + c.repeat
	own := c.next(k, at+k.length+int64(j.problem.Kerf))
	return slices.ContainsFunc(j.starts, func(s measure.Length) bool {
		return c.next(&kind{start: s}, at+k.length+int64(j.problem.Kerf)) < own
	})
}

// scaled makes weights prove a bound. Pieces fullest for their cost come first; the one with which they would do sets the scale, and what is
// fuller has a bonus.
func (j *job) scaled(of, most []int64) *weights {
	w := &weights{bonus: make([]int64, len(j.classes)), step: 1}
	need := int64(0)
	for i := range j.kinds {
		need += of[i] * int64(j.kinds[i].want)
	}
	times := int64(1)
	if j.problem.Aim != cutting.FewestBolts {
		times = max(1, min(1_000_000, (1<<60)/max(1, need)))
	}
	for i := range j.kinds {
		w.of = append(w.of, of[i]*times)
	}
	order := make([]int, len(j.classes))
	for i := range j.classes {
		w.most = append(w.most, most[i]*times)
		order[i] = i
	}
	ratio := func(i int) float64 {
		if j.classes[i].cost == 0 {
			return 1e300
		}
		return float64(w.most[i]) / float64(j.classes[i].cost)
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(ratio(b), ratio(a)) })
	left := need * times
	w.scale = 1
	for _, i := range order {
		if c := &j.classes[i]; c.cost > 0 {
			w.scale = max(1, (w.most[i]+c.cost-1)/c.cost)
		}
		if left -= w.most[i] * int64(len(j.classes[i].bolts)); left <= 0 {
			break
		}
	}
	for i := range j.classes {
		w.bonus[i] = max(0, w.most[i]-w.scale*j.classes[i].cost)
	}
	return w
}

// sharpen looks on patterned cloth for a better bound: with as many of each cut as there are where all start on one phase, and by weights
// that count the phases where they start on two.
func (j *job) sharpen(a *answer) {
	if j.free || len(j.starts) == 0 || len(j.starts) > 2 {
		return
	}
	all := []*weights{}
	if len(j.starts) == 1 {
		j.limited = true
		j.setMost()
		a.short = max(a.short, j.leastShort())
		all = append(all, j.lengthWeights())
	} else {
		all = append(all, j.phaseWeights(j.starts[0]), j.phaseWeights(j.starts[1]))
	}
	for _, w := range all {
		if b := j.weighed(w); b > a.bound {
			a.bound, a.weights = b, w
		}
	}
}

// bound is what the weights prove.
func (j *job) weighed(w *weights) int64 {
	sum := int64(0)
	for i := range j.kinds {
		sum += w.of[i] * int64(j.kinds[i].want)
	}
	for i := range j.classes {
		sum -= w.bonus[i] * int64(len(j.classes[i].bolts))
	}
	return roundedUp(sum, w.scale, w.step)
}

func roundedUp(sum, scale, step int64) int64 {
	if sum <= 0 {
		return 0
	}
	by := scale * step
	return (sum + by - 1) / by * step
}

// certificate is the weights by the names of cuts and bolts. Without weights it proves nothing.
func (j *job) certificate(w *weights) Certificate {
	c := Certificate{Weights: map[string]int64{}, Bolts: map[string]Weighed{}, Bonus: map[string]int64{}, Scale: 1, Step: 1}
	if w == nil {
		return c
	}
	c.Scale, c.Step = w.scale, max(1, w.step)
	for _, it := range j.items {
		for _, i := range it.cuts {
			c.Weights[j.problem.Cuts[i].ID] = w.of[it.kind]
		}
	}
	for i := range j.classes {
		for _, b := range j.classes[i].bolts {
			id := j.problem.Bolts[b].ID
			c.Bolts[id] = Weighed{j.classes[i].cost, w.most[i]}
			if w.bonus[i] > 0 {
				c.Bonus[id] = w.bonus[i]
			}
		}
	}
	return c
}

// bound is what the certificate proves of a problem.
func (c *Certificate) bound(p *cutting.Problem) int64 {
	sum := int64(0)
	for i := range p.Cuts {
		sum += c.Weights[p.Cuts[i].ID]
	}
	for i := range p.Bolts {
		sum -= c.Bonus[p.Bolts[i].ID]
	}
	return roundedUp(sum, c.Scale, c.Step)
}

// setMost finds the weight of the fullest filling of each class.
func (j *job) setMost() {
	takes := j.takes()
	for i := range j.classes {
		j.classes[i].most = j.most(&j.classes[i], takes)
	}
}

// leastStep is how far behind its start the next cut can start, on the cloth and for the cut where that is least.
func (j *job) leastStep(k *kind) int64 {
	takes := k.length + int64(j.problem.Kerf)
	if k.anywhere || j.free || len(j.starts) == 0 {
		return takes
	}
	least := int64(-1)
	for i := range j.classes {
		c := &j.classes[i]
		for _, s := range j.starts {
			if step := c.next(&kind{start: s}, c.begins[k.start]+c.repeat+takes) - c.begins[k.start] - c.repeat; least < 0 || step < least {
				least = step
			}
		}
	}
	return max(least, takes)
}

func (j *job) need() (sum int64) {
	for i := range j.kinds {
		sum += j.kinds[i].weight * int64(j.kinds[i].want)
	}
	return sum
}

// takes is what cuts take at least, by kind.
func (j *job) takes() []int64 {
	list := make([]int64, len(j.kinds))
	for i := range j.kinds {
		list[i] = j.kinds[i].weight
	}
	return list
}

func (j *job) lengths() []int64 {
	list := make([]int64, len(j.kinds))
	for i := range j.kinds {
		list[i] = j.kinds[i].length
	}
	return list
}
