package cutplan

import (
	"cmp"
	"slices"

	"tablehand/engine/cutting"
)

// search plans a job of too many cuts to look at every set of them: stage by stage, until nothing can be better.
func (j *job) search() answer {
	a := answer{weights: j.lengthWeights(), short: j.leastShort()}
	a.bound = j.weighed(a.weights)
	if j.simple() && a.short == 0 {
		j.asStock(&a)
	}
	for _, stage := range []func(*answer){j.fill, j.sharpen, j.bestFit, j.repackSoon, j.fewest, j.repack} {
		if a.layout != nil && !j.better(&a) {
			break
		}
		stage(&a)
	}
	if j.problem.Aim == cutting.FewestBolts && j.over(a.layout) == 0 {
		j.tidy(j.splitter(), &a, len(a.layout.opens()))
	}
	return a
}

func (j *job) splitter() *splitter {
	return &splitter{job: j, lots: j.supplies(), units: j.unitsOf()}
}

// fill finds a first layout by filling one piece after the other.
func (j *job) fill(a *answer) {
	switch {
	case a.short > 0:
	case aimOfAll(j.problem.Aim):
		j.cheaply(a)
	default:
		j.meter.within(fillWork, func() { j.openFew(a) })
	}
	if a.layout == nil {
		j.meter.within(shortWork, func() { j.asMuchAsFits(a) })
	}
}

const (
	fillWork  = 250_000
	shortWork = 100_000 // where the cloth doesn't do
)

// openFew looks for a layout that opens as few bolts as are proven to be needed, at first with few tries of each way to do so.
func (j *job) openFew(a *answer) {
	s := j.splitter()
	for s.tries, s.packs = 3, 1; a.layout == nil && s.tries <= packTries && !j.meter.done(); s.tries, s.packs = s.tries*3, s.packs+1 {
		a.layout, _ = s.opening(int(a.bound))
	}
}

// leastShort is how much every plan leaves without a place: what there is to cut less what all pieces hold at most.
func (j *job) leastShort() int64 {
	sum, lengths := j.lengthOfAll(), j.lengths()
	for i := range j.classes {
		sum -= j.most(&j.classes[i], lengths) * int64(len(j.classes[i].bolts))
	}
	return max(0, sum)
}

// lengthOfAll is the length of the cuts that some piece holds.
func (j *job) lengthOfAll() (sum int64) {
	for i := range j.kinds {
		sum += j.kinds[i].length * int64(j.kinds[i].want)
	}
	return sum
}

// piece is one of a class.
type piece struct{ class, nth int }

// supply is the pieces of a lot: those that open nothing, least room first, and those that do, most room first.
type supply struct{ free, whole []piece }

func (j *job) supplies() []supply {
	lots := make([]supply, len(j.lots))
	for i := range j.classes {
		c := &j.classes[i]
		s := &lots[c.lot]
		for nth := range c.bolts {
			if c.opens {
				s.whole = append(s.whole, piece{i, nth})
			} else {
				s.free = append(s.free, piece{i, nth})
			}
		}
	}
	for i := range lots {
		slices.SortStableFunc(lots[i].free, func(a, b piece) int { return cmp.Compare(j.classes[a.class].most, j.classes[b.class].most) })
		slices.SortStableFunc(lots[i].whole, func(a, b piece) int {
			x, y := &j.classes[a.class], &j.classes[b.class]
			return cmp.Or(cmp.Compare(y.most, x.most), cmp.Compare(x.length, y.length))
		})
	}
	return lots
}

func (j *job) room(pieces []piece) (sum int64) {
	for _, p := range pieces {
		sum += j.classes[p.class].most
	}
	return sum
}

// fewest looks for a layout that opens as few bolts as are proven to be needed, then for one that opens one more, and so on.
func (j *job) fewest(a *answer) {
	if aimOfAll(j.problem.Aim) || a.short > 0 {
		return
	}
	s := j.splitter()
	bolts := 0
	for _, l := range s.lots {
		bolts += len(l.whole)
	}
	for k := a.bound; k <= int64(bolts) && !j.meter.done(); k++ {
		if a.layout != nil && j.over(a.layout) == 0 && j.valueOf(a.layout) <= k {
			return
		}
		found, refuted := s.opening(int(k))
		if found != nil {
			a.layout = found
			return
		}
		if refuted && a.bound == k {
			a.bound++
		}
	}
}

// ways are the numbers of bolts to open of each lot, k together, those with the most room first; all is false where
// they are too many to look at.
func (s *splitter) ways(k int) (ways [][]int, all bool) {
	all = true
	way := make([]int, len(s.lots))
	behind := make([]int, len(s.lots)+1) // a lot and those that follow: bolts to open
	for lot := len(s.lots) - 1; lot >= 0; lot-- {
		behind[lot] = behind[lot+1] + len(s.lots[lot].whole)
	}
	var deal func(lot, left int)
	deal = func(lot, left int) {
		if len(ways) >= s.limits.ways {
			all = false
			return
		}
		if lot == len(s.lots)-1 {
			if left <= len(s.lots[lot].whole) {
				way[lot] = left
				ways = append(ways, slices.Clone(way))
			}
			return
		}
		for n := min(left, len(s.lots[lot].whole)); n >= max(0, left-behind[lot+1]); n-- { // fewer, and the others haven't so many
			way[lot] = n
			deal(lot+1, left-n)
		}
	}
	deal(0, k)
	rooms := make(map[*int]int64, len(ways))
	for _, w := range ways {
		rooms[&w[0]] = s.roomOf(w)
	}
	slices.SortStableFunc(ways, func(a, b []int) int { return cmp.Compare(rooms[&b[0]], rooms[&a[0]]) })
	return ways, all
}

const mostWays = 4000

func (s *splitter) roomOf(way []int) (sum int64) {
	for lot, n := range way {
		sum += s.room(s.lots[lot].free) + s.room(s.lots[lot].whole[:n])
	}
	return sum
}

// opening looks for a layout that opens k bolts, and reports whether none can be: each way to open them leaves some
// group without a lot that has room for it.
func (s *splitter) opening(k int) (found *layout, refuted bool) {
	ways, all := s.ways(k)
	refuted = all
	need := s.need()
	for _, way := range ways {
		if s.roomOf(way) < need {
			break
		}
		pieces := make([]supply, len(way))
		for lot, n := range way {
			pieces[lot] = supply{s.lots[lot].free, s.lots[lot].whole[:n]}
		}
		found, none := s.split(pieces)
		if found != nil {
			return found, false
		}
		refuted = refuted && none
		if s.meter.done() {
			return nil, false
		}
	}
	return nil, refuted
}
