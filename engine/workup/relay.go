package workup

import (
	"slices"
	"strconv"

	"tablehand/engine/cutting"
	"tablehand/engine/orderfile"
)

// Starting settles for cuts that stand on tickets where on the cloth each may start, as it is for the plan's own.
func (plan *ClothPlan) Starting(c *orderfile.Conventions, cuts []Cut) []Cut {
	part := *plan
	part.Cuts = slices.Clone(cuts)
	for i := range part.Cuts {
		cut := &part.Cuts[i]
		cut.TrimTop, cut.TrimBottom, cut.start = 0, cut.TrimTop+cut.TrimBottom, 0
	}
	part.phase(c)
	return part.Cuts
}

// Keeps reports whether cuts can stay where they lie on what is left of the bolts, by the checker that shares nothing with
// the placing. mixed are the treatments that may come from several lots.
func (plan *ClothPlan) Keeps(cuts []Cut, at []cutting.Placement, taken map[string][]cutting.Span, mixed []string) bool {
	part := *plan
	part.Cuts = cuts
	return len(cutting.Check(Placing(&part).Left(taken), cutting.Plan{Placements: at, Mixed: mixed})) == 0
}

// Relay lays cuts of a fabric that are still to be cut on what is left of its bolts: taken are the stretches that are
// cut, or promised, by bolt, and lots names for a treatment the dye lots that it has pieces of already, which it goes
// on with while there is room. The cuts are some of the plan's own; they keep their ids, and their trims are those of
// where they lie now. The plan itself stays as it is.
func (plan *ClothPlan) Relay(cuts []Cut, taken map[string][]cutting.Span, lots map[int][]string) *ClothPlan {
	part := *plan
	part.Cuts, part.Plan = slices.Clone(cuts), cutting.Plan{}
	for i := range part.Cuts {
		c := &part.Cuts[i]
		c.TrimTop, c.TrimBottom = 0, c.TrimTop+c.TrimBottom
	}
	if len(part.Fabric.Bolts) > 0 {
		bound := make(map[string][]string, len(lots))
		for treatment, of := range lots {
			bound[strconv.Itoa(treatment)] = of
		}
		problem := Placing(&part).Left(taken)
		part.Plan = cutting.PlaceBound(problem, bound)
		if faults := cutting.Check(problem, part.Plan); len(faults) > 0 {
			// The last look before cloth that nobody can replace is cut, by the checker that shares nothing with the placing.
			panic("workup: cloth laid anew wrongly: " + faults[0].String())
		}
	}
	part.trims()
	return &part
}
