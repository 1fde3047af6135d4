package cutting

import (
	"cmp"
	"slices"

	"tablehand/engine/measure"
)

// parted are the cuts that a pattern holds, and those that start anywhere.
func (t *table) parted(cuts []Cut) (held, free []Cut) {
	for _, c := range cuts {
		if t.startOf(c) == anywhere {
			free = append(free, c)
		} else {
			held = append(held, c)
		}
	}
	return held, free
}

// mixedRun lays cuts that a pattern holds and others that start anywhere: the first in their own best order, the others into its gaps. That
// is the least when nothing sticks out of the gaps, or no gap is left; else all orders are looked over as far as so many states reach.
func (t *table) mixedRun(l *laid, held, free []Cut, states int) Run {
	bare := t.leastRun(l, held, states)
	run := t.lay(l, t.fill(l, bare, held, free))
	if run.Exact = bare.Exact && run.Used == bare.Used || run.Used == lengthOf(held)+lengthOf(free); run.Exact {
		return run
	}
	return t.orBest(run, l, slices.Concat(held, free), states)
}

// gap is a stretch that a run leaves.
type gap struct{ from, to measure.Length }

// fill puts cuts that start anywhere between those of a run, the longest first and each where it leaves the least, and behind the run what
// no gap holds. It returns all of them along the cloth.
func (t *table) fill(l *laid, run Run, held, free []Cut) []Cut {
	all, from := slices.Clone(held), make(map[string]measure.Length, len(held)+len(free))
	var gaps []gap
	end := measure.Length(0)
	for _, p := range run.Placements {
		if end < p.From {
			gaps = append(gaps, gap{end, p.From})
		}
		from[p.Cut], end = p.From, p.To
	}
	longest := slices.Clone(free)
	slices.SortStableFunc(longest, func(a, b Cut) int { return cmp.Compare(b.Length, a.Length) })
	for _, c := range longest {
		at, best := end, -1
		for i, g := range gaps {
			start := t.clear(l, t.shapeOf(c), g.from)
			if start+c.Length <= g.to && (best < 0 || g.to-start < gaps[best].to-at) {
				at, best = start, i
			}
		}
		begin := &end
		if best < 0 {
			at = t.clear(l, t.shapeOf(c), end)
		} else {
			begin = &gaps[best].from
		}
		before := gap{*begin, at} // a flaw ends it
		from[c.ID], *begin = at, at+c.Length
		if before.from < before.to {
			gaps = append(gaps, before)
		}
		all = append(all, c)
	}
	slices.SortStableFunc(all, func(a, b Cut) int { return cmp.Compare(from[a.ID], from[b.ID]) })
	return all
}

// leastFrom is the least run of cuts on cloth without flaws that begins on any of their phases. Where some start
// anywhere, one of the pattern's begins it.
func (t *table) leastFrom(cuts []Cut, states int) Run {
	best := t.leastRun(newLaid(&Bolt{}), cuts, states).fromItsStart()
	exact := best.Exact
	for _, start := range t.starts {
		if start == 0 {
			continue
		}
		run := t.leastRun(newLaid(&Bolt{FirstRepeat: -start}), cuts, states).fromItsStart()
		if exact = exact && run.Exact; run.Used < best.Used {
			best = run
		}
	}
	best.Exact = exact
	return best
}

// fromItsStart is a run measured from its first cut.
func (r Run) fromItsStart() Run {
	if len(r.Placements) == 0 {
		return r
	}
	first := r.Placements[0].From
	for i := range r.Placements {
		r.Placements[i].From -= first
		r.Placements[i].To -= first
	}
	r.Used -= first
	return r
}
