package cutplan

import (
	"cmp"
	"slices"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
)

// layout is cuts on pieces, by items: which cut of an item is which is settled last.
type layout struct {
	job  *job
	puts []put
}

type put struct {
	class, nth, item int
	from             int64
}

func (l *layout) put(class, nth, item int, from int64) {
	l.puts = append(l.puts, put{class, nth, item, from})
}

// plan names the cuts and bolts: by bolt in the order given, along it, the cuts of an item in theirs. Alike bolts are used
// in the order given.
func (l *layout) plan() cutting.Plan {
	j := l.job
	bolt := l.numbered()
	slices.SortStableFunc(l.puts, func(a, b put) int {
		return cmp.Or(cmp.Compare(bolt(a), bolt(b)), cmp.Compare(a.from, b.from))
	})
	var plan cutting.Plan
	used := make([]int, len(j.items))
	for _, p := range l.puts {
		it := &j.items[p.item]
		cut := &j.problem.Cuts[it.cuts[used[p.item]]]
		used[p.item]++
		from := measure.Length(p.from)
		plan.Placements = append(plan.Placements, cutting.Placement{Cut: cut.ID, Bolt: j.problem.Bolts[bolt(p)].ID, From: from, To: from + cut.Length})
	}
	left := slices.Clone(j.tooLong)
	for i, it := range j.items {
		left = append(left, it.cuts[used[i]:]...)
	}
	slices.Sort(left)
	for _, i := range left {
		plan.Unplaced = append(plan.Unplaced, j.problem.Cuts[i].ID)
		plan.Short += j.problem.Cuts[i].Length
	}
	return plan
}

// numbered says which of the problem's bolts a piece is.
func (l *layout) numbered() func(put) int {
	taken := make([][]int, len(l.job.classes)) // by class, the pieces used in their order
	for _, p := range l.puts {
		if !slices.Contains(taken[p.class], p.nth) {
			taken[p.class] = append(taken[p.class], p.nth)
		}
	}
	for _, list := range taken {
		slices.Sort(list)
	}
	return func(p put) int { return l.job.classes[p.class].bolts[slices.Index(taken[p.class], p.nth)] }
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
