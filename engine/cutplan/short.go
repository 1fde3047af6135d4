package cutplan

import (
	"cmp"
	"math"
	"slices"

	"tablehand/engine/cutting"
	"tablehand/engine/packing"
)

const shortTries = 40

// asMuchAsFits lays as much as it finds room for where the cloth doesn't do for all: groups that go to a lot each, the one
// with the most room left, and of each lot what fills its pieces. Then it gives single groups other lots as long as that
// places more.
func (j *job) asMuchAsFits(a *answer) {
	s := j.splitter()
	best := s.dealtByRoom()
	list, placed := s.packDealt(best)
	r := packing.NewRandom()
	for range shortTries * min(len(s.lots)-1, 4) {
		if len(s.units) == 0 || j.meter.done() {
			break
		}
		next := slices.Clone(best)
		n, lot := r.Below(len(next)), r.Below(len(s.lots))
		if next[n] == lot || !j.allowed(s.units[n].group, lot) {
			continue
		}
		next[n] = lot
		if l, p := s.packDealt(next); p > placed {
			best, list, placed = next, l, p
		}
	}
	a.layout = s.layoutOf(best, list)
}

// dealtByRoom gives each unit, the largest first, the lot with the most room left.
func (s *splitter) dealtByRoom() []int {
	room := make([]int64, len(s.lots))
	for lot, l := range s.lots {
		room[lot] = s.room(l.free) + s.room(l.whole)
	}
	lots := make([]int, len(s.units))
	for n, u := range s.units {
		best := -1
		for lot := range room {
			if s.allowed(u.group, lot) && (best < 0 || room[lot] > room[best]) {
				best = lot
			}
		}
		lots[n] = max(best, 0)
		room[lots[n]] -= u.load
	}
	return lots
}

// packDealt fills the pieces of each lot with the longest sum of cuts that it finds.
func (s *splitter) packDealt(lots []int) (all [][]packed, placed int64) {
	for lot, pieces := range s.lots {
		wants := make([]int, len(s.kinds))
		for n, u := range s.units {
			if lots[n] != lot {
				continue
			}
			for _, p := range u.items {
				wants[s.items[p.item].kind] += p.count
			}
		}
		list, sum := s.packMost(slices.Concat(pieces.free, pieces.whole), wants)
		all, placed = append(all, list), placed+sum
	}
	return all, placed
}

func (s *splitter) packMost(order []piece, wants []int) (best []packed, most int64) {
	weights := make([]int64, len(s.kinds))
	r := packing.NewRandom()
	for try := range packTries / 4 {
		for i := range s.kinds {
			weights[i] = s.kinds[i].length + int64(s.problem.Kerf)
			if try > 0 {
				weights[i] += weights[i] / 400 * int64(r.Below(100)-50)
			}
		}
		list, left := s.packInTurn(order, wants, weights, math.MaxInt64)
		sum := int64(0)
		for _, p := range list {
			for k, n := range p.filling.take {
				sum += s.kinds[k].length * int64(n)
			}
		}
		if sum > most {
			best, most = list, sum
		}
		if left == 0 || s.meter.done() {
			break
		}
	}
	return best, most
}

// boltsFor is how many bolts at least carry so much length.
func (j *job) boltsFor(length int64) (bolts int64) {
	var whole []int64
	lengths := j.lengths()
	for i := range j.classes {
		c := &j.classes[i]
		holds := j.most(c, lengths)
		for range c.bolts {
			if c.opens {
				whole = append(whole, holds)
			} else {
				length -= holds
			}
		}
	}
	slices.SortFunc(whole, func(a, b int64) int { return cmp.Compare(b, a) })
	for _, holds := range whole {
		if length <= 0 {
			break
		}
		length -= holds
		bolts++
	}
	return bolts
}

// cheaply looks for a layout that costs little where each piece has its own cost: pieces that hold most for it first, as
// many as hold all; then it does without single pieces, the dearest first.
func (j *job) cheaply(a *answer) {
	s := &splitter{job: j, units: j.unitsOf(), tries: packTries / 4}
	var order []piece
	for _, l := range j.supplies() {
		order = append(append(order, l.free...), l.whole...)
	}
	worth := func(p piece) float64 {
		return float64(j.classes[p.class].most) / float64(max(1, j.classes[p.class].cost))
	}
	slices.SortStableFunc(order, func(a, b piece) int { return cmp.Compare(worth(b), worth(a)) })
	have := int64(0)
	need := j.need()
	for n := range order {
		have += j.classes[order[n].class].most
		if have < need {
			continue
		}
		if found, _ := s.split(s.supplied(order[:n+1])); found != nil {
			a.layout = found
			s.doWithout(a, slices.Clone(order[:n+1]))
			return
		}
		if j.meter.done() {
			return
		}
	}
}

func (s *splitter) supplied(pieces []piece) []supply {
	lots := make([]supply, len(s.job.lots))
	for _, p := range pieces {
		lot := s.classes[p.class].lot
		lots[lot].whole = append(lots[lot].whole, p)
	}
	return lots
}

// doWithout leaves pieces out, or takes cheaper ones in their place, while all cuts still have one.
func (s *splitter) doWithout(a *answer, pieces []piece) {
	slices.SortStableFunc(pieces, func(a, b piece) int { return cmp.Compare(s.classes[b.class].cost, s.classes[a.class].cost) })
	for i := 0; i < len(pieces); {
		if s.meter.done() {
			return
		}
		without := slices.Delete(slices.Clone(pieces), i, i+1)
		if found := s.holding(without); found != nil {
			a.layout, pieces = found, without
			continue
		}
		if cheaper, found := s.cheaper(pieces, i); found != nil {
			a.layout, pieces = found, cheaper
			continue
		}
		i++
	}
}

func (s *splitter) holding(pieces []piece) *layout {
	if s.room(pieces) < s.need() {
		return nil
	}
	found, _ := s.split(s.supplied(pieces))
	return found
}

// cheaper is the pieces with the cheapest in the place of one that still holds all.
func (s *splitter) cheaper(pieces []piece, i int) ([]piece, *layout) {
	var others []piece
	for n := range s.classes {
		used := 0
		for _, p := range pieces {
			if p.class == n {
				used = max(used, p.nth+1)
			}
		}
		if c := &s.classes[n]; c.cost < s.classes[pieces[i].class].cost && used < len(c.bolts) {
			others = append(others, piece{n, used})
		}
	}
	slices.SortStableFunc(others, func(a, b piece) int { return cmp.Compare(s.classes[a.class].cost, s.classes[b.class].cost) })
	for _, o := range others {
		next := slices.Clone(pieces)
		next[i] = o
		if found := s.holding(next); found != nil {
			return next, found
		}
	}
	return nil, nil
}

// aimOfAll reports whether an aim counts all pieces that are cut from.
func aimOfAll(a cutting.Aim) bool { return a == cutting.LeastLength || a == cutting.LeastCost }
