package cutplan

import (
	"cmp"
	"context"
	"maps"
	"slices"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
)

// withHalves plans where some bolts are half as wide: first on the whole ones alone, then what half a width does for goes to those of its lot,
// the longest first, each to the shortest that holds it, and the rest is planned once more. Bolts half as wide are few, and were kept, so no
// better way is looked for; what is proven is what holds even if every half found its place on one.
func withHalves(ctx context.Context, p, whole cutting.Problem, b Budget) Plan {
	plan := Best(ctx, whole, b)
	h := halving{p: &p, lots: map[string]string{}, on: map[string][]cutting.Span{}}
	h.move(&plan.Plan)
	if len(h.moved) == 0 && !h.mayHold() {
		plan.Certificate.addHalves(&p, plan.Aim)
		return plan
	}
	spent, cutOff := plan.Work, plan.CutOff
	p.Aim = plan.Aim
	made := h.without(plan.Plan)
	if len(h.moved) > 0 {
		again := Best(ctx, h.rest(whole), b)
		spent, cutOff = spent+again.Work, cutOff || again.CutOff
		before := Plan{Plan: made, Aim: p.Aim}
		before.reckon(&p)
		if cmp.Or(cmp.Compare(again.Short, before.Short), cmp.Compare(again.Value, before.Value)) < 0 {
			made = again.Plan
		}
	}
	least := Best(ctx, wholesOnly(whole), b)
	plan = Plan{Plan: h.with(made), Aim: p.Aim, Proof: least.Proof, Certificate: least.Certificate, Work: spent + least.Work, CutOff: cutOff || least.CutOff}
	plan.reckon(&p)
	plan.ShortBound = min(least.ShortBound, plan.Short)
	if plan.Short == least.ShortBound { // all that has no place are whole widths, of which no plan leaves less
		plan.Bound = min(least.Bound, plan.Value)
	} else {
		plan.Certificate, plan.Proof = Certificate{Scale: 1, Step: 1}, BySearch
	}
	plan.Certificate.addHalves(&p, p.Aim)
	plan.Optimal = plan.Short == plan.ShortBound && plan.Bound == plan.Value
	plan.thenAs(&p, &Plan{Then: least.Then})
	return plan
}

// halving is the cuts of a plan that are laid on bolts half as wide.
type halving struct {
	p     *cutting.Problem
	lots  map[string]string         // that a group has cuts of
	on    map[string][]cutting.Span // by bolt, what is laid there
	moved []cutting.Placement
}

// move lays what it can on the bolts that are half as wide.
func (h *halving) move(plan *cutting.Plan) {
	lotOf, groupOf := map[string]string{}, map[string]string{}
	for _, b := range h.p.Bolts {
		lotOf[b.ID] = b.Lot
	}
	var cuts []cutting.Cut
	for _, c := range h.p.Cuts {
		groupOf[c.ID] = c.Group
		if c.Half {
			cuts = append(cuts, c)
		}
	}
	for _, pl := range plan.Placements {
		if g := groupOf[pl.Cut]; g != "" {
			h.lots[g] = lotOf[pl.Bolt]
		}
	}
	slices.SortStableFunc(cuts, func(a, b cutting.Cut) int { return cmp.Compare(b.Length, a.Length) })
	for _, c := range cuts {
		if slices.Contains(plan.Mixed, c.Group) {
			continue
		}
		if pl, found := h.place(c); found {
			h.moved = append(h.moved, pl)
			h.on[pl.Bolt] = append(h.on[pl.Bolt], cutting.Span{From: pl.From, To: pl.To})
			if c.Group != "" {
				h.lots[c.Group] = lotOf[pl.Bolt]
			}
		}
	}
}

// place is where a cut has room on a bolt half as wide of its group's lot, the shortest first.
func (h *halving) place(c cutting.Cut) (pl cutting.Placement, found bool) {
	lot, settled := h.lots[c.Group]
	bound := h.p.Bound[c.Group]
	for _, b := range h.halves() {
		if c.Group != "" && (settled && b.Lot != lot || len(bound) > 0 && !slices.Contains(bound, b.Lot)) {
			continue
		}
		b.Flaws = slices.Concat(b.Flaws, cutting.Beside(h.on[b.ID], h.p.Kerf))
		if from := h.p.First(&b, &c); from >= 0 {
			return cutting.Placement{Cut: c.ID, Bolt: b.ID, From: from, To: from + c.Length}, true
		}
	}
	return pl, false
}

func (h *halving) halves() (list []cutting.Bolt) {
	for _, b := range h.p.Bolts {
		if b.Half {
			list = append(list, b)
		}
	}
	slices.SortStableFunc(list, func(a, b cutting.Bolt) int { return cmp.Compare(a.Length, b.Length) })
	return list
}

// mayHold reports whether any half would have room on a bolt half as wide, whatever its lot.
func (h *halving) mayHold() bool {
	return slices.ContainsFunc(h.p.Cuts, func(c cutting.Cut) bool {
		return c.Half && slices.ContainsFunc(h.halves(), func(b cutting.Bolt) bool { return h.p.First(&b, &c) >= 0 })
	})
}

func (h *halving) has(cut string) bool {
	return slices.ContainsFunc(h.moved, func(pl cutting.Placement) bool { return pl.Cut == cut })
}

// without is a plan without the cuts that were moved.
func (h *halving) without(plan cutting.Plan) cutting.Plan {
	plan.Placements = slices.DeleteFunc(slices.Clone(plan.Placements), func(pl cutting.Placement) bool { return h.has(pl.Cut) })
	plan.Unplaced = slices.DeleteFunc(slices.Clone(plan.Unplaced), h.has)
	plan.Short = h.short(plan.Unplaced)
	return plan
}

func (h *halving) short(unplaced []string) (sum measure.Length) {
	for _, c := range h.p.Cuts {
		if slices.Contains(unplaced, c.ID) {
			sum += c.Length
		}
	}
	return sum
}

// rest is what is left to plan on the whole bolts, each group of which a cut was moved in that cut's lot.
func (h *halving) rest(whole cutting.Problem) cutting.Problem {
	bound := map[string][]string{}
	maps.Copy(bound, whole.Bound)
	for _, c := range whole.Cuts {
		if c.Group != "" && h.has(c.ID) {
			bound[c.Group] = []string{h.lots[c.Group]}
		}
	}
	whole.Cuts = slices.DeleteFunc(slices.Clone(whole.Cuts), func(c cutting.Cut) bool { return h.has(c.ID) })
	whole.Bound = bound
	return whole
}

// with is a plan with the cuts that were moved, by bolt in the order given and along it.
func (h *halving) with(plan cutting.Plan) cutting.Plan {
	plan.Placements = slices.Concat(plan.Placements, h.moved)
	h.p.Sort(plan.Placements)
	return plan
}

// wholesOnly is a problem without the cuts for which half a width does.
func wholesOnly(p cutting.Problem) cutting.Problem {
	p.Cuts = slices.DeleteFunc(slices.Clone(p.Cuts), func(c cutting.Cut) bool { return c.Half })
	return p
}

// addHalves names the bolts that are half as wide, on which nothing weighs anything.
func (c *Certificate) addHalves(p *cutting.Problem, aim cutting.Aim) {
	if len(c.Bolts) == 0 {
		return
	}
	for _, b := range p.Bolts {
		if b.Half {
			c.Bolts[b.ID] = Weighed{Cost: costOf(aim, &b)}
		}
	}
}

// costOf is what to cut from a bolt costs by an aim.
func costOf(aim cutting.Aim, b *cutting.Bolt) int64 {
	switch {
	case aim == cutting.LeastLength:
		return int64(b.Length)
	case aim == cutting.LeastCost:
		return b.Cost
	case b.Opens():
		return 1
	}
	return 0
}
