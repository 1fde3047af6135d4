package cutplan

import (
	"cmp"
	"slices"

	"tablehand/engine/cutting"
)

// weights are what cuts weigh, by kind, and what no filling of a class weighs more than.
type weights struct {
	of    []int64
	most  []int64
	bonus []int64 // by class
	scale int64
	step  int64
}

// lengthWeights weighs each cut by what it takes at least. Pieces fullest for their cost come first; the one with which
// they would do sets the scale, and what is fuller has a bonus.
func (j *job) lengthWeights() *weights {
	w := &weights{bonus: make([]int64, len(j.classes)), step: 1}
	times := int64(1)
	if j.problem.Aim != cutting.FewestBolts {
		times = max(1, min(1_000_000, (1<<60)/max(1, j.need())))
	}
	for i := range j.kinds {
		w.of = append(w.of, j.kinds[i].weight*times)
	}
	order := make([]int, len(j.classes))
	for i := range j.classes {
		w.most = append(w.most, j.classes[i].most*times)
		order[i] = i
	}
	ratio := func(i int) float64 {
		if j.classes[i].cost == 0 {
			return 1e300
		}
		return float64(w.most[i]) / float64(j.classes[i].cost)
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(ratio(b), ratio(a)) })
	left := j.need() * times
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
