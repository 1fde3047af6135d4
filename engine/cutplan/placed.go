package cutplan

import (
	"cmp"
	"slices"

	"tablehand/engine/cutting"
)

const mostPlaced = 400 // cuts, for placing by first fit beside the search

// firstFit lays the cuts by first fit, as given and with what opens nothing first, and takes that where it is better than what the
// search found and couldn't prove. It is quick, and done whatever work is left.
func (j *job) firstFit(a *answer) {
	p := j.problem
	if p.Kerf > 0 || p.EndAllowance > 0 || len(p.Bound) > 0 || len(p.Cuts) > mostPlaced || aimOfAll(p.Aim) || len(j.tooLong) > 0 || j.meter.cutOff ||
		slices.ContainsFunc(p.Bolts, func(b cutting.Bolt) bool { return b.VerticalRepeat > 0 }) || slices.ContainsFunc(p.Cuts, func(c cutting.Cut) bool { return c.Group == "" }) {
		return
	}
	best := Plan{Plan: a.layout.plan()}
	best.reckon(p)
	freeFirst := *p
	freeFirst.Bolts = slices.Clone(p.Bolts)
	slices.SortStableFunc(freeFirst.Bolts, func(a, b cutting.Bolt) int { return cmp.Compare(opens(&a), opens(&b)) })
	for _, q := range []*cutting.Problem{p, &freeFirst} {
		j.meter.spend(int64(len(p.Cuts)) * int64(len(p.Bolts)) * 20)
		other := Plan{Plan: cutting.Place(*q)}
		if len(other.Mixed) > 0 {
			continue
		}
		other.reckon(p)
		if cmp.Or(cmp.Compare(other.Short, best.Short), cmp.Compare(other.Opened, best.Opened)) < 0 {
			best, a.layout = other, j.layoutAs(other.Placements)
			a.least, a.longest = nil, nil
		}
	}
}

func opens(b *cutting.Bolt) int {
	if b.Opens() {
		return 1
	}
	return 0
}

// layoutAs is placements as a layout.
func (j *job) layoutAs(placements []cutting.Placement) *layout {
	pieces, items := map[string]piece{}, map[string]int{}
	for i := range j.classes {
		for nth, b := range j.classes[i].bolts {
			pieces[j.problem.Bolts[b].ID] = piece{i, nth}
		}
	}
	for i, it := range j.items {
		for _, c := range it.cuts {
			items[j.problem.Cuts[c].ID] = i
		}
	}
	l := &layout{job: j}
	for _, pl := range placements {
		at := pieces[pl.Bolt]
		l.put(at.class, at.nth, items[pl.Cut], int64(pl.From))
	}
	return l
}
