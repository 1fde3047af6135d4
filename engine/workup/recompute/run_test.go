package recompute

import "slices"

// reMostStates bounds the search for the least run.
const reMostStates = 500_000

// reRunKind is the cuts that are alike while the run goes on: their class, and how much farther the next cut starts if it
// has the other class (half a repeat, or that much nearer).
type reRunKind struct {
	class  int
	change int64
	count  int
}

// reRun searches the order of all cuts of a fabric for the shortest run, every cut starting on the phase of its class. Each
// cut may be the last, which ends at its own length; the rest is worked out once for every count of each kind still to lay.
type reRun struct {
	kinds []reRunKind
	known []int64 // by the cuts left and the class after them, plus offset; 0 is not known
}

// reLeastRun is the least run of all cuts of one fabric; ok is false where they are too many for this search.
func reLeastRun(v reNum, own []reNeed) (least reNum, ok bool) {
	cells := []reNum{v.half()}
	for _, need := range own {
		cells = append(cells, need.cut)
	}
	g := reGrid(cells...)
	half, repeat := g[0], 2*g[0]
	var r reRun
	lasts := map[[2]int64]bool{}
	total := int64(0)
	for i, need := range own {
		length := g[i+1]
		same := (length + repeat - 1) / repeat * repeat
		other := (length+half-1)/repeat*repeat + half // the least half repeat past whole ones that is not below the length
		for class, n := range need.classes {
			if n == 0 {
				continue
			}
			k := r.kind(reRunKind{class: class, change: other - same, count: n})
			total += int64(n) * same
			lasts[[2]int64{int64(k), same - length}] = true
		}
	}
	states := 2
	for _, k := range r.kinds {
		states *= k.count + 1
	}
	if states > reMostStates {
		return reNum{}, false
	}
	r.known = make([]int64, states)
	best := int64(-1)
	for last := range lasts {
		left := make([]int, len(r.kinds))
		for k := range left {
			left[k] = r.kinds[k].count
		}
		k := int(last[0])
		left[k]--
		if run := total - last[1] + r.before(left, r.kinds[k].class); best < 0 || run < best {
			best = run
		}
	}
	return v.half().div(reInt(half)).mul(reInt(best)), true
}

// kind adds cuts to those like them and says which they are.
func (r *reRun) kind(k reRunKind) int {
	at := slices.IndexFunc(r.kinds, func(o reRunKind) bool { return o.class == k.class && o.change == k.change })
	if at < 0 {
		r.kinds = append(r.kinds, k)
		return len(r.kinds) - 1
	}
	r.kinds[at].count += k.count
	return at
}

// before is the least that changing classes adds to (or takes off) the cuts left, all laid before one of the class next.
func (r *reRun) before(left []int, next int) int64 {
	state, none := 0, true
	for k, n := range left {
		state = state*(r.kinds[k].count+1) + n
		none = none && n == 0
	}
	if none {
		return 0
	}
	at := 2*state + next
	const offset = int64(1) << 60
	if r.known[at] != 0 {
		return r.known[at] - offset
	}
	least := offset
	for k, n := range left {
		if n == 0 {
			continue
		}
		change := int64(0)
		if r.kinds[k].class != next {
			change = r.kinds[k].change
		}
		left[k]--
		least = min(least, change+r.before(left, r.kinds[k].class))
		left[k]++
	}
	r.known[at] = least + offset
	return least
}
