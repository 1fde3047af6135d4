package packing

import (
	"cmp"
	"slices"
)

// repacking keeps as many pieces of the one class as a solution may have, and what lay on the others loose. Again and again it takes two
// pieces and some of what is loose and fills the two anew, the fullest first, where they hold no less then: what is loose never grows.
type repacking struct {
	*solver
	length int64
	bins   [][]int // kinds
	loose  []int
	random Random
	steps  int // of filling one piece
	spent  int64

	pool, now, best []int
	taken           []bool
	shortest        []int64
}

const mostLoose = 14 // that are taken at once

// repack looks for a solution with so many pieces.
func (s *solver) repack(pieces int, work int64, steps int) []Filling {
	r := &repacking{solver: s, length: s.Classes[0].Length, random: NewRandom(), steps: steps}
	for _, f := range s.best.Fillings {
		var bin []int
		for _, t := range f.Takes {
			for range t.Count {
				bin = append(bin, t.Kind)
			}
		}
		r.bins = append(r.bins, bin)
	}
	slices.SortStableFunc(r.bins, func(a, b []int) int { return cmp.Compare(r.sum(b), r.sum(a)) })
	for len(r.bins) > pieces {
		r.loose = append(r.loose, r.bins[len(r.bins)-1]...)
		r.bins = r.bins[:len(r.bins)-1]
	}
	for r.spent < work && len(r.loose) > 0 && pieces > 1 && !s.meter.Done() {
		before := r.spent
		r.pair()
		s.meter.Spend(r.spent - before)
	}
	if len(r.loose) > 0 {
		return nil
	}
	list := []Filling{}
	for _, bin := range r.bins {
		if len(bin) == 0 {
			continue
		}
		slices.Sort(bin)
		f := Filling{}
		for _, k := range bin {
			f.take(k, 1)
		}
		list = append(list, f)
	}
	return list
}

func (r *repacking) sum(bin []int) (sum int64) {
	for _, k := range bin {
		sum += r.Kinds[k].Length
	}
	return sum
}

// pair fills two pieces anew.
func (r *repacking) pair() {
	a, b := r.random.Below(len(r.bins)), r.random.Below(len(r.bins))
	r.spent += 60
	if a == b {
		return
	}
	from, n := 0, len(r.loose)
	if n > mostLoose {
		from, n = r.random.Below(n-mostLoose+1), mostLoose
	}
	r.pool = append(append(append(r.pool[:0], r.bins[a]...), r.bins[b]...), r.loose[from:from+n]...)
	before := r.sum(r.bins[a]) + r.sum(r.bins[b])
	r.shake()
	r.taken = append(r.taken[:0], make([]bool, len(r.pool))...)
	first, second := r.fill(), r.fill()
	if r.sum(first)+r.sum(second) < before {
		return
	}
	r.bins[a], r.bins[b] = first, second
	loose := append(slices.Clone(r.loose[:from]), r.loose[from+n:]...)
	for i, k := range r.pool {
		if !r.taken[i] {
			loose = append(loose, k)
		}
	}
	r.loose = loose
}

// shake orders the pool by length, but for a twentieth of a piece.
func (r *repacking) shake() {
	noise := max(1, int(r.length/20))
	keys := make([]int64, len(r.pool))
	for i := range keys {
		at := r.random.Below(len(r.pool))
		r.pool[i], r.pool[at] = r.pool[at], r.pool[i]
	}
	for i, k := range r.pool {
		keys[i] = r.Kinds[k].Length + int64(r.random.Below(noise))
	}
	order := make([]int, len(r.pool))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Or(cmp.Compare(keys[b], keys[a]), cmp.Compare(a, b)) })
	for i, o := range order {
		order[i] = r.pool[o]
	}
	copy(r.pool, order)
}

// fill takes from the pool what fills one piece best, the first that is left with it.
func (r *repacking) fill() []int {
	first := slices.Index(r.taken, false)
	if first < 0 {
		return nil
	}
	n := len(r.pool)
	r.shortest = append(r.shortest[:0], make([]int64, n+1)...)
	r.shortest[n] = 1 << 62
	for i := n - 1; i > first; i-- {
		r.shortest[i] = r.shortest[i+1]
		if !r.taken[i] {
			r.shortest[i] = min(r.shortest[i], r.Kinds[r.pool[i]].Length)
		}
	}
	r.now, r.best = append(r.now[:0], first), r.best[:0]
	least, steps := r.length+1, 0
	var from func(i int, room int64) bool
	from = func(i int, room int64) bool {
		if room < least {
			least = room
			r.best = append(r.best[:0], r.now...)
		}
		if steps++; room == 0 || steps > r.steps {
			return true
		}
		last := int64(-1)
		for ; i < n && room >= r.shortest[i]; i++ {
			length := r.Kinds[r.pool[i]].Length
			if r.taken[i] || length > room || length == last {
				continue
			}
			last = length
			r.now = append(r.now, i)
			if from(i+1, room-length) {
				return true
			}
			r.now = r.now[:len(r.now)-1]
		}
		return false
	}
	from(first+1, r.length-r.Kinds[r.pool[first]].Length)
	r.spent += int64(steps) * 3
	var bin []int
	for _, i := range r.best {
		r.taken[i] = true
		bin = append(bin, r.pool[i])
	}
	return bin
}
