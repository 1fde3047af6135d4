package cutplan

import (
	"cmp"
	"slices"
)

const (
	mostSelections = 4000
	tidyWork       = 200_000 // for each of the further aims
)

// tidy looks among the layouts that open k bolts for one that opens the least length, then for the longest remnant.
func (j *job) tidy(s *splitter, a *answer, k int) {
	j.meter.within(tidyWork, func() { j.leastOpened(s, a, k) })
	j.meter.within(tidyWork, func() { j.longestRest(s, a) })
	most := j.mostRest(s, k)
	a.longest = &most
}

// selection is how many bolts of each class are opened.
type selection struct {
	of     []int
	length int64
}

// selections are the ways to open k bolts of less than a length that have room for all cuts, the shortest first; all is
// false where there are too many.
func (s *splitter) selections(k int, below int64) (list []selection, all bool) {
	var classes []int
	free := int64(0)
	fullest := int64(0)
	for i := range s.classes {
		c := &s.classes[i]
		if c.opens {
			classes = append(classes, i)
			fullest = max(fullest, c.most)
		} else {
			free += c.most * int64(len(c.bolts))
		}
	}
	all = true
	of, need := make([]int, len(s.classes)), s.need()
	var choose func(n, left int, length, room int64)
	choose = func(n, left int, length, room int64) {
		s.meter.spend(1)
		switch {
		case length >= below || room+int64(left)*fullest < need:
			return
		case left == 0:
			list = append(list, selection{slices.Clone(of), length})
			return
		case n == len(classes):
			return
		case len(list) >= mostSelections || s.meter.done():
			all = false
			return
		}
		c := &s.classes[classes[n]]
		for take := min(left, len(c.bolts)); take >= 0; take-- {
			of[classes[n]] = take
			choose(n+1, left-take, length+c.length*int64(take), room+c.most*int64(take))
		}
		of[classes[n]] = 0
	}
	choose(0, k, 0, free)
	slices.SortStableFunc(list, func(a, b selection) int { return cmp.Compare(a.length, b.length) })
	return list, all
}

// leastOpened takes the shortest selection that holds all cuts.
func (j *job) leastOpened(s *splitter, a *answer, k int) {
	now := a.layout.opened()
	list, all := s.selections(k, now)
	least := int64(0)
	for _, sel := range list {
		if j.meter.done() {
			all = false
			break
		}
		found, none := s.split(s.selected(sel))
		if !none && least == 0 {
			least = sel.length
		}
		if found != nil {
			a.layout, now = found, sel.length
			break
		}
	}
	if least == 0 {
		least = now
	}
	if all {
		a.least = &least
	}
}

// selected is the supply of each lot with the bolts of a selection.
func (s *splitter) selected(sel selection) []supply {
	lots := make([]supply, len(s.lots))
	for lot, l := range s.lots {
		lots[lot].free = l.free
		for _, p := range l.whole {
			if p.nth < sel.of[p.class] {
				lots[lot].whole = append(lots[lot].whole, p)
			}
		}
	}
	return lots
}

// opened is the length of the bolts that a layout opens.
func (l *layout) opened() (sum int64) {
	for _, p := range l.pieces() {
		if c := &l.job.classes[p.class]; c.opens {
			sum += c.length
		}
	}
	return sum
}

// pieces are those that carry cuts.
func (l *layout) pieces() []piece {
	var list []piece
	known := map[piece]bool{}
	for _, p := range l.puts {
		at := piece{p.class, p.nth}
		if !known[at] {
			known[at] = true
			list = append(list, at)
		}
	}
	slices.SortFunc(list, func(a, b piece) int { return cmp.Or(cmp.Compare(a.class, b.class), cmp.Compare(a.nth, b.nth)) })
	return list
}

// longestRest tries to leave of one piece as much as can be: the stretch that keeps it is taken to be shorter, and all is
// packed on what is left.
func (j *job) longestRest(s *splitter, a *answer) {
	if len(j.lots) > 1 && len(s.units) > 60 {
		return
	}
	best := a.layout.longest()
	used := a.layout.pieces()
	tried := map[int]bool{}
	for _, p := range used {
		if tried[p.class] {
			continue
		}
		tried[p.class] = true
		for i := range j.classes[p.class].stretches {
			if found, rest := j.restOf(s, used, p, i, best); found != nil {
				a.layout, best = found, rest
			}
		}
	}
}

const restSteps = 12

// restOf looks by halves for the most that a stretch of a piece can keep, beyond what is known.
func (j *job) restOf(s *splitter, used []piece, p piece, stretch int, best int64) (found *layout, rest int64) {
	whole := j.classes[p.class].stretches[stretch]
	low, high := best, whole.back-whole.front
	for range restSteps {
		if high-low < max(j.unit, 1) || j.meter.done() {
			break
		}
		keep := low + (high-low+1)/2
		l := j.keeping(s, used, p, stretch, keep)
		if l == nil {
			high = keep - 1
			continue
		}
		if r := l.longest(); r > best {
			found, best = l, r
		}
		low = max(keep, best)
	}
	return found, best
}

// keeping packs all cuts with a stretch shortened at its back by what it is to keep.
func (j *job) keeping(s *splitter, used []piece, p piece, stretch int, keep int64) *layout {
	was := j.classes
	defer func() { j.classes = was }()
	short := was[p.class]
	short.stretches = slices.Clone(short.stretches)
	cut := &short.stretches[stretch]
	cut.to = min(cut.to, cut.back-keep-int64(j.problem.Kerf))
	short.most = j.most(&short, j.takes())
	j.classes = append(slices.Clone(was), short)
	pieces := make([]supply, len(s.lots))
	for _, q := range used {
		if q == p {
			q.class = len(was)
		}
		c := &j.classes[q.class]
		if c.opens {
			pieces[c.lot].whole = append(pieces[c.lot].whole, q)
		} else {
			pieces[c.lot].free = append(pieces[c.lot].free, q)
		}
	}
	rooms := int64(0)
	for _, l := range pieces {
		rooms += j.room(l.free) + j.room(l.whole)
	}
	if rooms < j.need() {
		return nil
	}
	few := *s
	few.tries, few.packs = packTries/3, 3
	found, _ := few.split(pieces)
	if found == nil {
		return nil
	}
	carries := false
	for i := range found.puts {
		if found.puts[i].class == len(was) {
			found.puts[i].class, carries = p.class, true
		}
	}
	if !carries {
		return nil
	}
	return found
}

// longest is the longest remnant of a layout.
func (l *layout) longest() int64 {
	clone := &layout{job: l.job, puts: slices.Clone(l.puts)}
	plan := Plan{Plan: clone.plan()}
	plan.reckon(l.job.problem)
	return int64(plan.Longest)
}

// mostRest is what no remnant is longer than where k bolts are opened: a stretch that keeps it holds less by as much, and all must
// still have room.
func (j *job) mostRest(s *splitter, k int) int64 {
	free, whole := int64(0), []int64(nil)
	slack := int64(0) // between a cut's weight and what it takes as the last before the remnant, or behind it
	for i := range j.kinds {
		if j.kinds[i].want > 0 {
			slack = max(slack, j.kinds[i].weight-j.kinds[i].length-int64(j.problem.Kerf))
		}
	}
	for _, l := range s.lots {
		free += j.room(l.free)
		for _, p := range l.whole {
			whole = append(whole, j.classes[p.class].most)
		}
	}
	slices.SortFunc(whole, func(a, b int64) int { return cmp.Compare(b, a) })
	sum := func(n int) (s int64) {
		for _, w := range whole[:min(n, len(whole))] {
			s += w
		}
		return s
	}
	most := int64(0)
	for i := range j.classes {
		c := &j.classes[i]
		if c.opens && k == 0 {
			continue
		}
		total := free + sum(k)
		if c.opens && c.most < whole[min(k, len(whole))-1] {
			total = free + sum(k-1) + c.most
		}
		for n, st := range c.stretches {
			one := *c
			one.stretches, one.grids = c.stretches[n:n+1], c.grids[n:n+1]
			holds := j.most(&one, j.takes())
			keeps := min(st.back-st.front, total-holds+st.back-st.front+2*slack-j.need())
			most = max(most, keeps)
		}
	}
	return most
}
