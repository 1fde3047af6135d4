package cutplan

import (
	"cmp"
	"slices"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
)

// reckon finds from the placements alone what a plan comes to.
func (plan *Plan) reckon(p *cutting.Problem) {
	on := map[string][]cutting.Placement{}
	for _, pl := range plan.Placements {
		on[pl.Bolt] = append(on[pl.Bolt], pl)
	}
	for i := range p.Bolts {
		b := &p.Bolts[i]
		cuts := on[b.ID]
		if len(cuts) == 0 {
			continue
		}
		switch {
		case b.Opens():
			plan.Opened++
			plan.Length += b.Length
		case b.Remnant:
			plan.Kept++
		}
		switch p.Aim {
		case cutting.LeastLength:
			plan.Value += int64(b.Length)
		case cutting.LeastCost:
			plan.Value += b.Cost
		}
		plan.Waste += b.Length
		for _, c := range cuts {
			plan.Waste -= c.To - c.From
		}
		for _, r := range left(p, b, cuts) {
			plan.Remnants = append(plan.Remnants, r)
			plan.Waste -= r.To - r.From
			plan.Longest = max(plan.Longest, r.To-r.From)
		}
	}
	if p.Aim == cutting.FewestBolts || p.Aim == "" {
		plan.Value = int64(plan.Opened)
	}
}

// left are the remnants of a bolt that is cut from.
func left(p *cutting.Problem, b *cutting.Bolt, cuts []cutting.Placement) []Remnant {
	type block struct { // kerf is lost beside cuts, not beside flaws and ends
		cutting.Span
		kerf measure.Length
	}
	var blocks []block
	for _, f := range b.Flaws {
		if f.From < f.To {
			blocks = append(blocks, block{f, 0})
		}
	}
	for _, c := range cuts {
		blocks = append(blocks, block{cutting.Span{From: c.From, To: c.To}, p.Kerf})
	}
	slices.SortFunc(blocks, func(a, b block) int { return cmp.Compare(a.From, b.From) })
	blocks = append(blocks, block{cutting.Span{From: b.Length, To: b.Length}, 0})
	var list []Remnant
	at, kerf := measure.Length(0), measure.Length(0)
	for _, next := range blocks {
		from, to := at+kerf, min(next.From-next.kerf, b.Length)
		if to > from && to-from >= p.MinRemnant {
			list = append(list, Remnant{b.ID, from, to})
		}
		if next.To > at {
			at, kerf = next.To, next.kerf
		}
	}
	return list
}

// mostLeft is what no remnant of any plan is longer than.
func (plan *Plan) mostLeft(p *cutting.Problem) measure.Length {
	shortest := measure.Length(-1)
	for _, c := range p.Cuts {
		if shortest < 0 || c.Length < shortest {
			shortest = c.Length
		}
	}
	most := measure.Length(0)
	for i := range p.Bolts {
		most = max(most, p.Bolts[i].Length-shortest)
	}
	return max(most, plan.Longest)
}
