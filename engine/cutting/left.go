package cutting

import (
	"cmp"
	"slices"

	"tablehand/engine/measure"
)

// Beside are cuts with the kerf that another one keeps from each.
func Beside(cuts []Span, kerf measure.Length) []Span {
	wide := slices.Clone(cuts)
	for i := range wide {
		wide[i].From, wide[i].To = wide[i].From-kerf, wide[i].To+kerf
	}
	return wide
}

// Left is a problem on what is left of its bolts: taken are the stretches of each that are cut already, or promised
// to somebody. A cut placed there meets none of them.
func (p Problem) Left(taken map[string][]Span) Problem {
	p.Bolts = slices.Clone(p.Bolts)
	for i := range p.Bolts {
		if spans := taken[p.Bolts[i].ID]; len(spans) > 0 {
			p.Bolts[i].Flaws = slices.Concat(p.Bolts[i].Flaws, spans)
		}
	}
	return p
}

// Whole is the problem without the bolts that are half as wide, itself where there are none.
func (p Problem) Whole() Problem {
	isHalf := func(b Bolt) bool { return b.Half }
	if slices.ContainsFunc(p.Bolts, isHalf) {
		p.Bolts = slices.DeleteFunc(slices.Clone(p.Bolts), isHalf)
	}
	return p
}

// Mixing is the problem with some groups' cuts each for itself: they may come from any lots, as a plan's Mixed do.
func (p Problem) Mixing(groups []string) Problem {
	if len(groups) == 0 {
		return p
	}
	p.Cuts = slices.Clone(p.Cuts)
	for i := range p.Cuts {
		if slices.Contains(groups, p.Cuts[i].Group) {
			p.Cuts[i].Group = ""
		}
	}
	return p
}

// Room is how much of the bolts lies beside flaws: an upper bound to what can be cut.
func (p Problem) Room() (sum measure.Length) {
	for i := range p.Bolts {
		b := &p.Bolts[i]
		at := p.EndAllowance
		flaws := slices.SortedFunc(slices.Values(b.Flaws), func(a, b Span) int { return cmp.Compare(a.From, b.From) })
		for _, f := range append(flaws, Span{b.Length - p.EndAllowance, b.Length}) {
			sum += max(0, min(f.From, b.Length-p.EndAllowance)-at)
			at = max(at, f.To)
		}
	}
	return sum
}

// PlaceBound is Place for groups of which some have pieces already: bound names the lots that such a group was cut
// from, and it goes on with those. Only where they have no room does it go on others, and is Mixed then. Groups that
// are bound are placed first, since they have the least choice.
func PlaceBound(p Problem, bound map[string][]string) Plan {
	var plan Plan
	left := p
	var free []Cut
	for _, g := range groupsOf(p.Cuts) {
		lots := bound[g.name]
		if len(lots) == 0 {
			free = append(free, g.cuts...)
			continue
		}
		plan.add(left.placeGroup(g, lots))
		left = p.Left(plan.spans())
	}
	if len(free) > 0 || len(plan.Placements)+len(plan.Unplaced) == 0 {
		left.Cuts = inOrderOf(p.Cuts, free)
		plan.add(Place(left))
	}
	p.Sort(plan.Placements)
	return plan
}

// Sort sorts placements by bolt in the order given, and along it.
func (p *Problem) Sort(at []Placement) {
	order := make(map[string]int, len(p.Bolts))
	for i := range p.Bolts {
		order[p.Bolts[i].ID] = i
	}
	slices.SortStableFunc(at, func(a, b Placement) int {
		return cmp.Or(cmp.Compare(order[a.Bolt], order[b.Bolt]), cmp.Compare(a.From, b.From))
	})
}

// placeGroup places one group on bolts of its lots, or failing that on any.
func (p Problem) placeGroup(g group, lots []string) Plan {
	own := p
	p.Cuts, own.Cuts = g.cuts, g.cuts
	own.Bolts = slices.DeleteFunc(slices.Clone(p.Bolts), func(b Bolt) bool { return !slices.Contains(lots, b.Lot) })
	plan := Place(own)
	if plan.Short == 0 {
		return plan
	}
	plan = Place(p)
	if len(plan.Placements) > 0 {
		plan.Mixed = []string{g.name}
	}
	return plan
}

func (p *Plan) add(more Plan) {
	p.Placements = append(p.Placements, more.Placements...)
	p.Unplaced = append(p.Unplaced, more.Unplaced...)
	p.Mixed = append(p.Mixed, more.Mixed...)
	p.Short += more.Short
}

// spans are the stretches that a plan cuts, by bolt.
func (p *Plan) spans() map[string][]Span {
	spans := map[string][]Span{}
	for _, pl := range p.Placements {
		spans[pl.Bolt] = append(spans[pl.Bolt], Span{pl.From, pl.To})
	}
	return spans
}

// inOrderOf returns some of the cuts in the order of all.
func inOrderOf(all, some []Cut) []Cut {
	wanted := make(map[string]bool, len(some))
	for _, c := range some {
		wanted[c.ID] = true
	}
	return slices.DeleteFunc(slices.Clone(all), func(c Cut) bool { return !wanted[c.ID] })
}
