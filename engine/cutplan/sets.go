package cutplan

import (
	"cmp"
)

// Of few cuts every set is looked at: which pieces hold it, and how it is cut from them with the longest remnant.
const (
	mostSets  = 1 << 13
	mostPairs = 1_000_000 // of sets, on all classes and pieces together
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
