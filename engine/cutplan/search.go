package cutplan

import (
	"cmp"
	"slices"

	"tablehand/engine/cutting"
)

// search plans a job of too many cuts to look at every set of them.
func (j *job) search() answer {
	a := answer{weights: j.lengthWeights(), short: j.leastShort()}
	a.bound = j.weighed(a.weights)
	if j.simple() {
		j.asStock(&a)
	}
	if a.layout == nil && j.problem.Aim != cutting.FewestBolts {
		j.cheaply(&a)
	}
	switch {
	case a.layout != nil:
	case aimOfAll(j.problem.Aim): // any layout will do, but what is proven of the number of bolts says nothing here
		few := answer{}
		j.fewest(&few)
		a.layout = few.layout
	default:
		j.fewest(&a)
	}
	if a.layout == nil {
		a.layout = j.asMuchAsFits()
	}
	if int64(len(a.layout.opens())) > a.bound || len(a.layout.puts) < j.count() {
		j.firstFit(&a)
	}
	return a
}

// leastShort is how much every plan leaves without a place: what there is to cut less what all pieces hold at most.
func (j *job) leastShort() int64 {
	sum := j.lengthOfAll()
	for i := range j.classes {
		sum -= j.most(&j.classes[i], func(k *kind) int64 { return k.length }) * int64(len(j.classes[i].bolts))
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

// count is how many cuts some piece holds.
func (j *job) count() (n int) {
	for i := range j.kinds {
		n += j.kinds[i].want
	}
	return n
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
	s := &splitter{job: j, lots: j.supplies(), units: j.unitsOf()}
	bolts := 0
	for _, l := range s.lots {
		bolts += len(l.whole)
	}
	for k := int(a.bound); k <= bolts && !j.meter.done(); k++ {
		found, refuted := s.opening(k)
		if found != nil {
			a.layout = found
			j.tidy(s, a, k)
			return
		}
		if refuted && a.bound == int64(k) {
			a.bound++
		}
	}
}

// ways are the numbers of bolts to open of each lot, k together, those with the most room first; all is false where
// they are too many to look at.
func (s *splitter) ways(k int) (ways [][]int, all bool) {
	all = true
	way := make([]int, len(s.lots))
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
		for n := min(left, len(s.lots[lot].whole)); n >= 0; n-- {
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
