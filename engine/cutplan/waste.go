package cutplan

import (
	"cmp"
	"context"
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
		if f.From <= f.To {
			blocks = append(blocks, block{f, 0})
		}
	}
	for _, c := range cuts {
		blocks = append(blocks, block{cutting.Span{From: c.From, To: c.To}, p.Kerf})
	}
	// Of a cut and a flaw without length at its start, the cut comes first: the kerf beside it is lost there too.
	slices.SortFunc(blocks, func(a, b block) int { return cmp.Or(cmp.Compare(a.From, b.From), cmp.Compare(b.To, a.To)) })
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

// Appraise is a plan that was made otherwise, with what it comes to and what is proven of it by planning anew. What it says is Mixed may
// come from any lots in any other plan too.
func Appraise(ctx context.Context, p cutting.Problem, made cutting.Plan, b Budget) Plan {
	p = p.Mixing(made.Mixed)
	best := Best(ctx, p, b)
	p.Aim = best.Aim
	plan := Plan{Plan: made, Aim: p.Aim, Bound: best.Bound, Proof: best.Proof, Certificate: best.Certificate, Work: best.Work, CutOff: best.CutOff}
	plan.reckon(&p)
	plan.ShortBound = min(best.ShortBound, plan.Short)
	if plan.Short > best.Short { // there is more to choose from for who places less
		j := newJob(&p, &meter{ctx: ctx, left: b.work()})
		beside := plan.Short
		for _, i := range j.tooLong {
			beside -= p.Cuts[i].Length
		}
		plan.Bound, plan.Certificate, plan.Proof = j.boltsFor(j.lengthOfAll()-int64(beside)), j.certificate(nil), BySearch
		if aimOfAll(p.Aim) {
			plan.Bound = 0
		}
		if plan.Certificate.bound(&p) >= plan.Bound {
			plan.Proof = ByWeights
		}
	}
	plan.Optimal = plan.Short == plan.ShortBound && plan.Bound == plan.Value
	plan.thenAs(&p, &best)
	return plan
}

// thenAs says what is known of the further aims from the best plan that was found.
func (plan *Plan) thenAs(p *cutting.Problem, best *Plan) {
	alike := plan.Optimal && best.Optimal // in all aims so far
	for _, g := range best.Then {
		switch {
		case g.Aim == "longest_remnant":
			g.Value = plan.Longest
			if !alike {
				g.Bound = plan.mostLeft(p)
			}
		default:
			g.Value = plan.Length
			if !alike {
				g.Bound = 0
			}
		}
		g.Optimal = alike && g.Bound == g.Value
		alike = g.Optimal
		plan.Then = append(plan.Then, g)
	}
}
