package cutting

import (
	"cmp"
	"slices"

	"tablehand/engine/measure"
)

// mostFirsts bounds the cuts that a run of many phases is tried to begin with.
const mostFirsts = 24

// manyPhased is the least run of cuts that start on more than two phases: of all orders where the sets of them are few
// enough, else of those in which each cut is followed by the one that can start soonest.
func (t *table) manyPhased(l *laid, cuts []Cut, states int) Run {
	run := t.orBest(Run{}, l, cuts, states)
	if run.Exact {
		return run
	}
	k := t.kindsOf(cuts)
	for first := range min(len(k.shapes), mostFirsts) {
		if next := t.lay(l, t.soonest(l, k, first)); first == 0 || next.Used < run.Used {
			run = next
		}
	}
	run.Exact = run.Used == t.leastSteps(l, cuts)
	return run
}

// soonest is the order that begins with a cut of one shape and goes on with the one that can start soonest behind
// each; of several that start together with the one that ends nearest before another's start, then the longest.
func (t *table) soonest(l *laid, k kinds, first int) []Cut {
	left := make([]int, len(k.cuts))
	for i, cuts := range k.cuts {
		left[i] = len(cuts)
	}
	var order []Cut
	end := measure.Length(0)
	for next := first; next >= 0; next = t.soonestShape(l, k, left, end) {
		order = append(order, k.cuts[next][len(k.cuts[next])-left[next]])
		left[next]--
		end = t.clear(l, k.shapes[next], end) + k.shapes[next].length
	}
	return order
}

// soonestShape is the shape that goes on best behind an end, -1 when nothing is left.
func (t *table) soonestShape(l *laid, k kinds, left []int, end measure.Length) int {
	best, soonest, lost := -1, measure.Length(0), measure.Length(0)
	for i, s := range k.shapes {
		if left[i] == 0 {
			continue
		}
		from := t.clear(l, s, end)
		wait := t.wait(k.shapes[i])
		if best < 0 || cmp.Or(cmp.Compare(from, soonest), cmp.Compare(wait, lost), cmp.Compare(k.shapes[best].length, s.length)) < 0 {
			best, soonest, lost = i, from, wait
		}
	}
	return best
}

// wait is how much cloth lies at least between the end of a cut and the start of the one behind it.
func (t *table) wait(s shape) measure.Length {
	cut := Cut{Length: s.length, Start: s.start}
	least := t.step(cut, s.start)
	for _, next := range t.starts {
		least = min(least, t.step(cut, next))
	}
	return least - s.length
}

// leastSteps is what no order of the cuts goes below: the first start of any, the least step of each, and of the last
// one its length alone.
func (t *table) leastSteps(l *laid, cuts []Cut) measure.Length {
	begin := slices.Min(t.startsOn(l))
	sum, most := measure.Length(0), measure.Length(0)
	for _, c := range cuts {
		wait := t.wait(t.shapeOf(c))
		sum += c.Length + wait
		most = max(most, wait)
	}
	return begin + sum - most
}

// startsOn are the first starts of each phase on a bolt.
func (t *table) startsOn(l *laid) []measure.Length {
	var starts []measure.Length
	for _, s := range t.starts {
		starts = append(starts, t.onPhase(l.bolt, s, 0))
	}
	return starts
}
