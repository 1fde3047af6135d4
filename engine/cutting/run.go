package cutting

import (
	"cmp"
	"slices"

	"tablehand/engine/measure"
)

// maxRunStates bounds the orders that LeastRun goes over where flaws lie in the way.
const maxRunStates = 1 << 18

// Run is cuts laid one after another along one cloth.
type Run struct {
	Placements []Placement
	Used       measure.Length // the end of the last cut
	// Exact says that no order uses less. It is false only where so many different cuts meet flaws, or gaps for cuts that start anywhere,
	// that not every order could be looked at.
	Exact bool
}

// LeastRun lays all cuts along one endless cloth in the order that uses the least of it. Only starts are on phase:
// each cut begins at the first start of its phase behind the cut before it that keeps it clear of every flaw, one that may start anywhere
// right behind it. The
// cloth is the problem's first bolt, its length left out of account; a problem without bolts is asked for flawless
// cloth, which is measured from the first start, of whatever phase.
func LeastRun(p Problem) Run {
	t := newTable(p)
	if len(t.all) > 0 {
		return t.leastRun(t.all[0], p.Cuts, maxRunStates)
	}
	if _, free := t.parted(p.Cuts); len(free) > 0 || len(t.starts) > 2 {
		return t.leastFrom(p.Cuts, maxRunStates)
	}
	return t.leastRun(nil, p.Cuts, 0).fromItsStart()
}

// leastRun looks over at most so many states where flaws lie in the way; no bolt is cloth without beginning.
func (t *table) leastRun(l *laid, cuts []Cut, states int) Run {
	if len(cuts) == 0 {
		return Run{Exact: true}
	}
	if held, free := t.parted(cuts); len(free) > 0 {
		return t.mixedRun(l, held, free, states)
	}
	if len(t.starts) > 2 {
		return t.manyPhased(l, cuts, states)
	}
	var at [2]measure.Length
	if l == nil {
		l = &laid{bolt: &Bolt{}}
	} else {
		for i := range at {
			at[i] = t.onPhase(l.bolt, t.phase(i), 0)
		}
	}
	order, least := t.flawlessOrder(cuts, at)
	run := t.lay(l, order)
	if run.Exact = len(l.blocked) == 0 || run.Used == least; run.Exact {
		return run
	}
	return t.orBest(run, l, cuts, states)
}

// orBest is the run in the best order of all where no more than so many states need be looked over for it.
func (t *table) orBest(run Run, l *laid, cuts []Cut, states int) Run {
	if order, ok := t.bestOrder(l, cuts, states); ok {
		run = t.lay(l, order)
		run.Exact = true
	}
	return run
}

// maxTrialStates bounds the orders that Place looks over each time it asks whether a bolt holds one group more.
const maxTrialStates = 1 << 10

// runs lays a group into the run of the first bolt that holds it whole with the groups that lie there already, and
// reports whether one does.
func (t *table) runs(g group) bool {
	for _, l := range t.all {
		if lengthOf(l.run)+g.total > l.bolt.Length {
			continue
		}
		cuts, bare := slices.Concat(l.run, g.cuts), newLaid(l.bolt)
		if run := t.leastRun(bare, cuts, maxTrialStates); run.Used <= l.bolt.Length {
			bare.run = cuts
			for _, p := range run.Placements {
				bare.put(p)
			}
			*l = *bare
			return true
		}
	}
	return false
}

func lengthOf(cuts []Cut) (sum measure.Length) {
	for _, c := range cuts {
		sum += c.Length
	}
	return sum
}

// lay puts the cuts on the bolt one after another.
func (t *table) lay(l *laid, order []Cut) Run {
	var r Run
	for _, c := range order {
		from := t.clear(l, t.shapeOf(c), r.Used)
		r.Used = from + c.Length
		r.Placements = append(r.Placements, Placement{Cut: c.ID, Bolt: l.bolt.ID, From: from, To: r.Used})
	}
	return r
}

// step is how far behind a cut's start the next one can start on a phase.
func (t *table) step(c Cut, next measure.Length) measure.Length {
	if t.repeat == 0 {
		return c.Length
	}
	behind := next - c.Start
	if behind < 0 {
		behind += t.repeat
	}
	return behind + (c.Length - behind).CeilTo(t.repeat)
}

// phase is one of the two that a pattern with two has; of others both are the same.
func (t *table) phase(i int) measure.Length {
	switch {
	case len(t.starts) == 0:
		return 0
	case len(t.starts) == 1:
		return t.starts[0]
	}
	return t.starts[i]
}

// gain is what a cut saves when one of the other of two phases follows instead of one of its own; it may be less than
// nothing.
func (t *table) gain(c Cut) measure.Length {
	if len(t.starts) < 2 {
		return 0
	}
	other := t.starts[0]
	if c.Start == other {
		other = t.starts[1]
	}
	return t.step(c, c.Start) - t.step(c, other)
}

// flawlessOrder is the order that uses the least of cloth without flaws where cuts start on two phases at most, and
// what it uses. Their classes are those two; at is where a run that begins with either starts.
//
// A run is a row of blocks, the classes in turn. All cuts but the last count their step: to the other class for
// those that end a block, to their own for the rest. So for a last cut and a first class, with s blocks of a class
// that end in a step to the other, the best are the s cuts of that class that gain most by it. Every such choice
// can be laid: the cuts that end blocks, and the last one, stand for the blocks one each, and the rest goes into
// the first block of their class, before its end. Of last cuts with the same class and gain the one with the most
// between its end and its step is best. A class has two gains at most, a repeat apart, which leaves four last cuts
// to try.
func (t *table) flawlessOrder(cuts []Cut, at [2]measure.Length) ([]Cut, measure.Length) {
	var byClass [2][]Cut
	sum := measure.Length(0)
	for _, c := range cuts {
		sum += t.step(c, c.Start)
		class := 0
		if len(t.starts) == 2 && c.Start == t.starts[1] {
			class = 1
		}
		byClass[class] = append(byClass[class], c)
	}
	for _, list := range byClass {
		slices.SortStableFunc(list, func(a, b Cut) int { return cmp.Compare(t.gain(b), t.gain(a)) })
	}
	var best []Cut
	least := measure.Length(-1)
	for end, same := range byClass {
		other := byClass[1-end]
		for _, i := range t.lasts(same) {
			last, rest := same[i], slices.Delete(slices.Clone(same), i, i+1)
			step := t.step(last, last.Start)
			for begin := range 2 {
				steps, gained, ok := t.mostGained(rest, other, begin == end)
				if used := at[begin] + sum - step + last.Length - gained; ok && (least < 0 || used < least) {
					least = used
					best = blocks(rest, other, steps, begin == end, last)
				}
			}
		}
	}
	return best, least
}

// lasts are the cuts of one class, by gain, that may well be last: of each gain the one that saves most by it.
func (t *table) lasts(same []Cut) []int {
	saved := func(c Cut) measure.Length { return t.step(c, c.Start) - c.Length }
	var list []int
	for i, c := range same {
		if n := len(list); n == 0 || t.gain(same[list[n-1]]) != t.gain(c) {
			list = append(list, i)
		} else if saved(c) > saved(same[list[n-1]]) {
			list[n-1] = i
		}
	}
	return list
}

// mostGained is the best number of steps from the last cut's class to the other and what they gain with those back,
// which are as many, or one more where the run begins with the other class. Both lists are by gain. It is not ok
// where no run begins so.
func (t *table) mostGained(rest, other []Cut, sameEnds bool) (steps int, gained measure.Length, ok bool) {
	sum, back := measure.Length(0), 0
	if !sameEnds {
		back = 1
	}
	for out := 0; out <= len(rest) && out+back <= len(other); out++ {
		if out > 0 {
			sum += t.gain(rest[out-1])
		}
		if out+back > 0 {
			sum += t.gain(other[out+back-1])
		}
		if sameEnds && out == 0 && len(other) > 0 {
			continue // the other class must come somewhere
		}
		if !ok || sum > gained {
			steps, gained, ok = out, sum, true
		}
	}
	return steps, gained, ok
}

// blocks lays the classes in turn up to the last cut: the first cuts of either list end a block, the rest stand
// before the end of the first.
func blocks(rest, other []Cut, steps int, sameEnds bool, last Cut) []Cut {
	back := steps
	if !sameEnds {
		back++
	}
	mine := append(slices.Clone(rest[:steps]), last)
	ends, free := [2][]Cut{mine, other[:back]}, [2][]Cut{rest[steps:], other[back:]}
	turn := 0
	if !sameEnds {
		turn = 1
	}
	var order []Cut
	for len(ends[0]) > 0 {
		order = append(append(order, free[turn]...), ends[turn][0])
		free[turn], ends[turn] = nil, ends[turn][1:]
		turn = 1 - turn
	}
	return order
}
