package cutplan

import "cmp"

// better reports whether a better layout could be: one that leaves less over, or is of less value.
func (j *job) better(a *answer) bool {
	over := j.over(a.layout)
	return over > a.short || j.valueOf(a.layout) > j.leastValue(a, over)
}

// over is the length of the cuts without a place, but for those that no piece holds.
func (j *job) over(l *layout) int64 { return j.lengthOfAll() - l.placed() }

// leastValue is what no layout is below that leaves so much over; where that is something it is the bolts for the rest.
func (j *job) leastValue(a *answer, over int64) int64 {
	switch {
	case over == 0:
		return a.bound
	case aimOfAll(j.problem.Aim):
		return 0
	default:
		return j.boltsFor(j.lengthOfAll() - over)
	}
}

func (j *job) valueOf(l *layout) (sum int64) {
	for _, p := range l.pieces() {
		sum += j.classes[p.class].cost
	}
	return sum
}

// offer takes a layout where more of the cuts have a place on it, or its value is less.
func (j *job) offer(a *answer, l *layout) {
	if a.layout == nil || cmp.Or(cmp.Compare(a.layout.placed(), l.placed()), cmp.Compare(j.valueOf(l), j.valueOf(a.layout))) < 0 {
		a.layout = l
	}
}

const (
	soonWork   = 200_000 // of the first search
	repackWork = 400_000 // of one search, with each that finds nothing twice as much
	mostTried  = 5
	shortPart  = 50 // of the work, where there is too little cloth
	mostRecut  = 40 // cuts of a job, for the best of all ways to be looked for among neighbours
)

// repackSoon looks for a better layout for a little while.
func (j *job) repackSoon(a *answer) { j.repackFor(a, soonWork, 1) }

// repack looks for a better layout, for a part of the work where there is too little cloth anyway.
func (j *job) repack(a *answer) {
	work := j.meter.left
	if a.short > 0 {
		work = j.budget / shortPart
	}
	j.meter.within(work, func() {
		if len(j.problem.Cuts) <= mostRecut {
			j.recut(a)
		} else {
			j.repackFor(a, repackWork, mostTried)
		}
	})
}

// repackFor looks for a layout that leaves less over, then for one of less value that leaves no more.
func (j *job) repackFor(a *answer, work int64, tries int) {
	s := j.splitter()
	if j.over(a.layout) > a.short {
		r := s.repacking(a.layout, s.everyPiece())
		r.search(a.short, work)
		j.offer(a, r.layout())
	}
	over := j.over(a.layout)
	for tried := 0; tried < tries && j.valueOf(a.layout) > j.leastValue(a, over) && !j.meter.done(); {
		r := s.cheaperBy(a.layout, tried)
		if r == nil {
			return
		}
		if r.search(over, work<<tried); r.over > over {
			tried++
			continue
		}
		tried = 0
		j.offer(a, r.layout())
	}
}
