package cutplan

import (
	"cmp"

	"tablehand/engine/cutting"
)

// Of few cuts every set is looked at: which pieces hold it, and how it is cut from them with the longest remnant.
const (
	mostSets  = 1 << 13
	mostPairs = 2_000_000 // of sets, on all classes and pieces together
)

// bySets is a job of which every set of cuts is looked at. A set is numbered by how many it has of each item, in mixed
// radix.
type bySets struct {
	*job
	radix  []int // by item, what one more cut of it adds to the number
	n      int
	pairs  []pair   // disjoint sets, which together are a set
	groups []uint64 // by set, the groups that it has cuts of
	of     []*onClass
}

type pair struct{ a, b int32 }

// onClass is how a class of pieces holds sets.
type onClass struct {
	holds  []bool
	rest   []int64   // the longest remnant that a piece with the set can leave
	stages []onRoom  // by room
	parts  [][]int32 // by room and set of it and those behind: what lies in the room
	allows []bool    // sets whose groups may come from its lot
}

// onRoom is how a room holds sets: from its front, from its back, and with the longest gap between.
type onRoom struct {
	end, start []int64
	last       []int16 // by set, the item laid last, from the front
	first      []int16
	gap        []int64 // -1: the room doesn't hold it
	behind     []int32 // what of the set lies behind the gap
}

// worth is what cuts laid on pieces come to, less being better, and the longest remnant.
type worth struct {
	known         bool
	first, second int64 // opened and their length, or what all come to
	rest          int64
	pieces        int
}

func (w worth) compare(v worth) int {
	return cmp.Or(cmp.Compare(w.first, v.first), cmp.Compare(w.second, v.second), cmp.Compare(v.rest, w.rest), cmp.Compare(w.pieces, v.pieces))
}

// newBySets returns nil where the sets are too many.
func newBySets(j *job, most int) *bySets {
	s := &bySets{job: j, n: 1}
	pairs := 1
	for _, it := range j.items {
		s.radix = append(s.radix, s.n)
		s.n *= len(it.cuts) + 1
		pairs *= (len(it.cuts) + 1) * (len(it.cuts) + 2) / 2
		if s.n > mostSets || pairs > most {
			return nil
		}
	}
	looks := 0
	for i := range j.classes {
		c := &j.classes[i]
		looks += 2*len(c.stretches) + min(len(c.bolts), s.n-1)
	}
	if pairs*looks > most || len(j.groups) > 64 {
		return nil
	}
	s.pair(0, 0, 0)
	s.groups = make([]uint64, s.n)
	for set := range s.groups {
		for i, it := range j.items {
			if it.group >= 0 && s.count(set, i) > 0 {
				s.groups[set] |= 1 << it.group
			}
		}
	}
	j.meter.spend(int64(pairs * looks))
	return s
}

func (s *bySets) count(set, item int) int {
	return set / s.radix[item] % (len(s.items[item].cuts) + 1)
}

func (s *bySets) pair(item int, a, b int32) {
	if item == len(s.items) {
		s.pairs = append(s.pairs, pair{a, b})
		return
	}
	n := len(s.items[item].cuts)
	for x := 0; x <= n; x++ {
		for y := 0; x+y <= n; y++ {
			s.pair(item+1, a+int32(x*s.radix[item]), b+int32(y*s.radix[item]))
		}
	}
}

// length is how much cloth the cuts of a set are.
func (s *bySets) length(set int) (sum int64) {
	for i, it := range s.items {
		sum += s.kinds[it.kind].length * int64(s.count(set, i))
	}
	return sum
}

// best is the plan that no other beats in any of the aims.
func (s *bySets) best() *layout {
	for i := range s.classes {
		s.of = append(s.of, s.onClass(&s.classes[i]))
	}
	var lots []*onLot
	all := []worth{{known: true}}
	for len(all) < s.n {
		all = append(all, worth{})
	}
	for lot := range s.lots {
		l := s.onLot(lot)
		all = l.join(all)
		lots = append(lots, l)
	}
	best := 0
	for set := range all {
		if all[set].known && s.better(set, best, all) {
			best = set
		}
	}
	out := &layout{job: s.job}
	set := best
	for i := len(lots) - 1; i >= 0; i-- {
		set = lots[i].read(set, out)
	}
	return out
}

// better reports whether one set is rather placed than another: more cloth, then by the aims, then more whole groups.
func (s *bySets) better(set, than int, all []worth) bool {
	return cmp.Or(cmp.Compare(s.length(than), s.length(set)), all[set].compare(all[than]), cmp.Compare(s.whole(than), s.whole(set))) < 0
}

// whole is how many groups a set has all cuts of.
func (s *bySets) whole(set int) (n int) {
	parted := map[int]bool{}
	for i, it := range s.items {
		parted[it.group] = parted[it.group] || s.count(set, i) < len(it.cuts)
	}
	for _, p := range parted {
		if !p {
			n++
		}
	}
	return n
}

func (s *bySets) onClass(c *class) *onClass {
	o := &onClass{allows: make([]bool, s.n)}
	for set := range o.allows {
		o.allows[set] = true
		for i, it := range s.items {
			if s.count(set, i) > 0 && !s.allowed(it.group, c.lot) {
				o.allows[set] = false
			}
		}
	}
	rooms := s.roomsOf(c)
	// From the last room to the first: what that and those behind it hold.
	rest := make([]int64, s.n)
	for i := range rest {
		rest[i] = -1
	}
	rest[0] = 0
	o.parts = make([][]int32, len(rooms))
	o.stages = make([]onRoom, len(rooms))
	for i := len(rooms) - 1; i >= 0; i-- {
		room := s.onRoom(c, rooms[i])
		with, part := make([]int64, s.n), make([]int32, s.n)
		for set := range with {
			with[set] = -1
		}
		for _, p := range s.pairs {
			if room.gap[p.a] < 0 || rest[p.b] < 0 {
				continue
			}
			if gap := max(room.gap[p.a], rest[p.b]); gap > with[p.a+p.b] {
				with[p.a+p.b], part[p.a+p.b] = gap, p.a
			}
		}
		o.stages[i], o.parts[i], rest = room, part, with
	}
	o.rest, o.holds = rest, make([]bool, s.n)
	for set := range o.holds {
		o.holds[set] = set > 0 && rest[set] >= 0 && o.allows[set]
	}
	return o
}

func (s *bySets) onRoom(c *class, room room) onRoom {
	kerf, kept := int64(s.problem.Kerf), int64(s.problem.MinRemnant)
	o := onRoom{end: make([]int64, s.n), start: make([]int64, s.n), last: make([]int16, s.n), first: make([]int16, s.n), gap: make([]int64, s.n), behind: make([]int32, s.n)}
	for set := 1; set < s.n; set++ {
		o.end[set], o.start[set] = room.to+1, room.from-1
		for i, it := range s.items {
			if s.count(set, i) == 0 {
				continue
			}
			k, before := &s.kinds[it.kind], set-s.radix[i]
			at, end := room.from, room.to
			if before > 0 {
				at, end = o.end[before]+kerf, o.start[before]-kerf
			}
			if before == 0 || o.end[before] <= room.to {
				if e := room.next(c, k, at) + k.length; e < o.end[set] {
					o.end[set], o.last[set] = e, int16(i)
				}
			}
			if before == 0 || o.start[before] >= room.from {
				if b := room.latest(c, k, end); b > o.start[set] {
					o.start[set], o.first[set] = b, int16(i)
				}
			}
		}
	}
	for set := range o.gap {
		o.gap[set] = -1
	}
	for _, p := range s.pairs {
		front, back, before, behind := room.front, room.back, int64(0), int64(0)
		if p.a > 0 {
			front, before = o.end[p.a], kerf
			if o.end[p.a] > room.to {
				continue
			}
		}
		if p.b > 0 {
			back, behind = o.start[p.b], kerf
			if o.start[p.b] < room.from {
				continue
			}
		}
		if p.a > 0 && p.b > 0 && back < front+kerf {
			continue
		}
		gap := room.longest(front, back, before, behind)
		if gap < kept {
			gap = 0
		}
		if set := p.a + p.b; gap > o.gap[set] {
			o.gap[set], o.behind[set] = gap, p.b
		}
	}
	return o
}

// room is cloth between flaws that are as wide as the kerf, or ends; narrower flaws lie in it.
type room struct {
	stretch
	flaws []stretch // from front to back
}

func (s *bySets) roomsOf(c *class) []room {
	var rooms []room
	for i, st := range c.stretches {
		st.from = st.early
		if i > 0 && st.front-c.stretches[i-1].back < int64(s.problem.Kerf) {
			last := &rooms[len(rooms)-1]
			last.flaws = append(last.flaws, stretch{front: last.back, back: st.front})
			last.back, last.to = st.back, st.to
			continue
		}
		rooms = append(rooms, room{stretch: st})
	}
	return rooms
}

// next is where a cut can start at or behind a place, clear of flaws.
func (r *room) next(c *class, k *kind, at int64) int64 {
	at = c.next(k, at)
	for _, f := range r.flaws {
		if f.front < at+k.length && at < f.back {
			at = c.next(k, f.back)
		}
	}
	return at
}

// latest is the last start of a cut that ends at a place or before it, clear of flaws.
func (r *room) latest(c *class, k *kind, end int64) int64 {
	at := c.latest(k, end)
	for i := len(r.flaws) - 1; i >= 0; i-- {
		if f := r.flaws[i]; f.front < at+k.length && at < f.back {
			at = c.latest(k, f.front)
		}
	}
	return at
}

// longest is the longest clean cloth of a part of the room, where so much is lost at its ends.
func (r *room) longest(from, to, before, behind int64) (most int64) {
	at := from + before
	for _, f := range r.flaws {
		if f.back <= from || to <= f.front {
			continue
		}
		most = max(most, f.front-at)
		at = f.back
	}
	return max(most, to-behind-at)
}

// onLot is how the pieces of a lot hold sets: after each piece the best worth of a set, and what of it lies on the piece.
type onLot struct {
	sets  *bySets
	lot   int
	worth []worth
	steps []onPiece
	joins []int32 // what of a set comes from this lot, the rest from those before
}

type onPiece struct {
	class, nth int
	takes      []int32
}

func (s *bySets) onLot(lot int) *onLot {
	l := &onLot{sets: s, lot: lot, worth: make([]worth, s.n)}
	l.worth[0].known = true
	for i := range s.classes {
		c := &s.classes[i]
		if c.lot != lot {
			continue
		}
		for nth := range c.bolts {
			next := append([]worth(nil), l.worth...)
			step := onPiece{class: i, nth: nth, takes: make([]int32, s.n)}
			for _, p := range s.pairs {
				if p.a == 0 || !s.of[i].holds[p.a] || !l.worth[p.b].known {
					continue
				}
				w := s.with(l.worth[p.b], c, s.of[i].rest[p.a])
				if set := p.a + p.b; !next[set].known || w.compare(next[set]) < 0 {
					next[set], step.takes[set] = w, p.a
				}
			}
			better := false
			for _, take := range step.takes {
				better = better || take > 0
			}
			if !better {
				break // another piece like it changes nothing
			}
			l.worth = next
			l.steps = append(l.steps, step)
		}
	}
	return l
}

// with is a worth with one piece of a class more.
func (s *bySets) with(w worth, c *class, rest int64) worth {
	w.known = true
	if s.problem.Aim == cutting.LeastLength || s.problem.Aim == cutting.LeastCost {
		w.first += c.cost
	} else if c.opens {
		w.first++
		w.second += c.length
	}
	w.rest = max(w.rest, rest)
	w.pieces++
	return w
}

// join adds a lot to those before: a group is cut from one of them.
func (l *onLot) join(before []worth) []worth {
	s := l.sets
	all := make([]worth, s.n)
	l.joins = make([]int32, s.n)
	for _, p := range s.pairs {
		mine, theirs := l.worth[p.a], before[p.b]
		if !mine.known || !theirs.known || s.groups[p.a]&s.groups[p.b] != 0 {
			continue
		}
		w := worth{true, mine.first + theirs.first, mine.second + theirs.second, max(mine.rest, theirs.rest), mine.pieces + theirs.pieces}
		if set := p.a + p.b; !all[set].known || w.compare(all[set]) < 0 {
			all[set], l.joins[set] = w, p.a
		}
	}
	return all
}

// read lays a lot's part of a set, and returns what comes from the lots before.
func (l *onLot) read(set int, out *layout) int {
	mine := int(l.joins[set])
	left := set - mine
	for i := len(l.steps) - 1; i >= 0; i-- {
		step := &l.steps[i]
		if take := int(step.takes[mine]); take > 0 {
			l.sets.lay(step.class, step.nth, take, out)
			mine -= take
		}
	}
	return left
}

// lay lays a set on a piece so that the longest remnant is left.
func (s *bySets) lay(class, nth, set int, out *layout) {
	o := s.of[class]
	for i := range o.stages {
		part := int(o.parts[i][set])
		set -= part
		room := &o.stages[i]
		behind := int(room.behind[part])
		for front := part - behind; front > 0; {
			it := int(room.last[front])
			k := s.items[it].kind
			out.put(class, nth, it, room.end[front]-s.kinds[k].length)
			front -= s.radix[it]
		}
		for behind > 0 {
			it := int(room.first[behind])
			out.put(class, nth, it, room.start[behind])
			behind -= s.radix[it]
		}
	}
}
