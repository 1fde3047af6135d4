package packing

import (
	"cmp"
	"slices"
)

const (
	fewFillings  = 5 // that are cut anew together
	manyFillings = 16
	partWork     = 300_000
)

// within is a meter for a part of the work.
type within struct {
	Meter
	left int64
}

func (w *within) Spend(units int64) {
	w.left -= units
	w.Meter.Spend(units)
}

func (w *within) Done() bool { return w.left <= 0 || w.Meter.Done() }

// neighbours takes some fillings of the best solution, those that leave much weight unused rather than others, and looks for a cheaper way to
// cut what they carry; again and again, with more of them as it finds less.
func (s *solver) neighbours(work int64) (better bool) {
	if s.part || s.best.Fillings == nil || len(s.best.Fillings) < 2 || !s.unlimited() {
		return false
	}
	m := &within{s.meter, work}
	r := NewRandom()
	few := float64(fewFillings)
	for tries := 0; !m.Done() && !s.proven(); tries++ {
		n := min(int(few), len(s.best.Fillings))
		chosen := s.wasteful(n, &r)
		if s.recut(chosen, m) {
			better = true
			few = fewFillings
			continue
		}
		few = min(few+0.1, manyFillings)
	}
	return better
}

// wasteful are some of the fillings, drawn by lot; each is the one of three that leaves most unused.
func (s *solver) wasteful(n int, r *Random) []int {
	w := &s.weights[len(s.weights)-1]
	slack := func(i int) int64 {
		f := s.best.Fillings[i]
		sum := w.Scale * s.Classes[f.Class].Cost
		for _, t := range f.Takes {
			sum -= w.Of[t.Kind] * int64(t.Count)
		}
		return sum
	}
	var chosen []int
	for len(chosen) < n {
		best := -1
		for range 3 {
			if i := r.Below(len(s.best.Fillings)); !slices.Contains(chosen, i) && (best < 0 || r.Below(3) > 0 && slack(i) > slack(best)) {
				best = i
			}
		}
		if best >= 0 {
			chosen = append(chosen, best)
		}
	}
	return chosen
}

// recut cuts what some fillings carry anew, and takes that where it is cheaper.
func (s *solver) recut(chosen []int, m Meter) bool {
	wants := make([]int, len(s.Kinds))
	var rest, part []Filling
	for i, f := range s.best.Fillings {
		if !slices.Contains(chosen, i) {
			rest = append(rest, f)
			continue
		}
		part = append(part, f)
		for _, t := range f.Takes {
			wants[t.Kind] += t.Count
		}
	}
	p := Problem{Classes: s.Classes}
	var kinds []int // of the part, which they are of all
	for k, n := range wants {
		if n > 0 {
			p.Kinds = append(p.Kinds, Kind{s.Kinds[k].Length, n})
			kinds = append(kinds, k)
		}
	}
	sub := &solver{Problem: p, meter: &within{m, partWork}, step: s.step, part: true, rounds: 1}
	for _, k := range p.Kinds {
		sub.total += k.Length * int64(k.Want)
	}
	here := make([]Filling, len(part))
	for i, f := range part {
		here[i].Class = f.Class
		for _, t := range f.Takes {
			at, _ := slices.BinarySearchFunc(kinds, t.Kind, cmp.Compare[int])
			here[i].take(at, t.Count)
		}
	}
	sub.offer(here)
	before := sub.best.Cost
	sub.solve()
	if sub.best.Cost >= before {
		return false
	}
	for _, f := range sub.best.Fillings {
		g := Filling{Class: f.Class}
		for _, t := range f.Takes {
			g.take(kinds[t.Kind], t.Count)
		}
		rest = append(rest, g)
	}
	return s.offer(rest)
}
