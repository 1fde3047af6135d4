package recompute

import "slices"

// reMostStates bounds the search for the least run.
const reMostStates = 500_000

// reRunKind is the cuts that are alike: the phase that they start on, and how far it is from the start of one to the start of the next,
// by the next one's phase.
type reRunKind struct {
	phase, length int64
	next          []int64 // by kind
	count         int
}

// reRun searches the order of all cuts of a fabric for the shortest run, every cut starting on its phase. Each cut may be the last, which
// ends at its own length; the rest is worked out once for every count of each kind still to lay.
type reRun struct {
	kinds []reRunKind
	known []int64 // by the cuts left and the kind after them, plus offset; 0 is not known
}

// reLeastRun is the least run of all cuts of one fabric, whose second classes start half a repeat behind the first; ok is false where they
// are too many for this search.
func reLeastRun(v reNum, own []reNeed) (least reNum, ok bool) {
	cells := []reNum{v.half()}
	for _, need := range own {
		cells = append(cells, need.cut, need.phase.or(reInt(0)))
	}
	g := reGrid(cells...)
	half, repeat := g[0], 2*g[0]
	var r reRun
	for i, need := range own {
		for class, n := range need.classes {
			if n > 0 {
				r.kind(reRunKind{phase: (g[2*i+2] + int64(class)*half) % repeat, length: g[2*i+1], count: n})
			}
		}
	}
	states := len(r.kinds)
	for _, k := range r.kinds {
		states *= k.count + 1
	}
	if states > reMostStates {
		return reNum{}, false
	}
	for i := range r.kinds {
		k := &r.kinds[i]
		for _, to := range r.kinds {
			off := (to.phase - k.phase + repeat) % repeat // the least of this and whole repeats more that isn't below the length
			k.next = append(k.next, off+max(0, (k.length-off+repeat-1)/repeat)*repeat)
		}
	}
	r.known = make([]int64, states)
	best := int64(-1)
	for last := range r.kinds {
		left := make([]int, len(r.kinds))
		for k := range left {
			left[k] = r.kinds[k].count
		}
		left[last]--
		if run := r.kinds[last].length + r.before(left, last); best < 0 || run < best {
			best = run
		}
	}
	return v.half().div(reInt(half)).mul(reInt(best)), true
}

// kind adds cuts, to those like them where there are any.
func (r *reRun) kind(k reRunKind) {
	at := slices.IndexFunc(r.kinds, func(o reRunKind) bool { return o.phase == k.phase && o.length == k.length })
	if at < 0 {
		r.kinds = append(r.kinds, k)
		return
	}
	r.kinds[at].count += k.count
}

// before is the least way from the first start of the cuts left to the start of one of a kind that comes after them all.
func (r *reRun) before(left []int, after int) int64 {
	state, none := 0, true
	for k, n := range left {
		state = state*(r.kinds[k].count+1) + n
		none = none && n == 0
	}
	if none {
		return 0
	}
	at := len(r.kinds)*state + after
	const offset = int64(1) << 60
	if r.known[at] != 0 {
		return r.known[at] - 1
	}
	least := offset
	for k, n := range left {
		if n == 0 {
			continue
		}
		left[k]--
		least = min(least, r.kinds[k].next[after]+r.before(left, k))
		left[k]++
	}
	r.known[at] = least + 1
	return least
}
