// Package packing cuts lengths from stock of several lengths and costs: one-dimensional cutting stock and bin packing. It
// proves bounds by column generation (Gilmore and Gomory, Operations Research 9, 1961, and 11, 1963) whose duals are made
// whole weights, so that what they prove needs no trust in the arithmetic, and by what whole numbers of pieces of several
// lengths cost at least. It finds solutions by best fit, by repacking pairs, by diving, and by exact covers within the
// weight that a solution may leave unused.
package packing

import (
	"cmp"
	"slices"
)

// Kind is alike lengths. Lengths are whole, in whatever unit, and more than 0.
type Kind struct {
	Length int64
	Want   int
}

// Class is alike stock. Supply below 0 is as many as are wanted.
type Class struct {
	Length, Cost int64
	Supply       int
}

// Problem is lengths to cut, the longest first and each once, and stock to cut them from.
type Problem struct {
	Kinds   []Kind
	Classes []Class
}

// Take is so many of a kind.
type Take struct{ Kind, Count int }

// Filling is what one piece of stock carries.
type Filling struct {
	Class int
	Takes []Take
}

// Solution is a way to cut everything. Fillings is nil where none was found.
type Solution struct {
	Fillings []Filling
	Cost     int64
	Bound    int64 // no solution costs less
	Searched bool  // the bound is by an exhausted search, and Weights prove less
	Weights  Weights
	Demands  []Demand // where Weights prove less too: no numbers of pieces that cost less than the bound meet all of them
}

// Weights prove a bound: no filling of a class weighs more than Most, and Most − Bonus is at most Scale·Cost.
type Weights struct {
	Of    []int64 // by kind
	Most  []int64 // by class
	Bonus []int64
	Scale int64
	Step  int64 // costs are multiples of it
	Bound int64
}

// Meter counts work; the solver ends when it is done.
type Meter interface {
	Spend(units int64)
	Done() bool
}

// solver is a problem at work.
type solver struct {
	Problem
	meter   Meter
	step    int64
	unit    float64 // of costs in the linear problem
	total   int64   // of all lengths
	best    Solution
	weights []Weights // what has been proven with, the last is the strongest
}

// Solve finds a solution of little cost, and a bound.
func Solve(p Problem, m Meter) Solution {
	s := &solver{Problem: p, meter: m}
	for _, c := range p.Classes {
		s.step = gcd(c.Cost, s.step)
	}
	s.step = max(s.step, 1)
	s.unit = s.unitOfCosts()
	for _, k := range p.Kinds {
		s.total += k.Length * int64(k.Want)
	}
	s.solve()
	return s.best
}

// unitOfCosts keeps the linear problem's numbers small, whatever costs are in.
func (s *solver) unitOfCosts() float64 {
	most := int64(0)
	for _, c := range s.Classes {
		most = max(most, c.Cost)
	}
	return max(1, float64(most)/1000)
}

// price is what a class costs in the linear problem.
func (s *solver) price(class int) float64 { return float64(s.Classes[class].Cost) / s.unit }

// dearer is what the linear problem avoids.
func (s *solver) dearer() float64 { return dear * max(1, float64(s.step)/s.unit) }

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// single reports whether there is one class of stock, as much of it as is wanted.
func (s *solver) single() bool { return len(s.Classes) == 1 && s.Classes[0].Supply < 0 }

func (s *solver) unlimited() bool {
	return !slices.ContainsFunc(s.Classes, func(c Class) bool { return c.Supply >= 0 })
}

func (s *solver) wants() []int {
	w := make([]int, len(s.Kinds))
	for i, k := range s.Kinds {
		w[i] = k.Want
	}
	return w
}

// offer takes a set of fillings as the best where it is.
func (s *solver) offer(f []Filling) bool {
	cost := int64(0)
	for _, x := range f {
		cost += s.Classes[x.Class].Cost
	}
	if f == nil || s.best.Fillings != nil && cost >= s.best.Cost {
		return false
	}
	s.best.Fillings, s.best.Cost = f, cost
	return true
}

// proven reports whether no solution is cheaper than the best.
func (s *solver) proven() bool { return s.best.Fillings != nil && s.best.Cost <= s.best.Bound }

// filled is how much length a filling carries.
func (s *solver) filled(f Filling) (sum int64) {
	for _, t := range f.Takes {
		sum += s.Kinds[t.Kind].Length * int64(t.Count)
	}
	return sum
}

// take adds one of a kind.
func (f *Filling) take(kind, count int) {
	if n := len(f.Takes); n > 0 && f.Takes[n-1].Kind == kind {
		f.Takes[n-1].Count += count
		return
	}
	f.Takes = append(f.Takes, Take{kind, count})
}

// cheapest gives each filling the cheapest stock that holds it and is left; nil where there is none.
func (s *solver) cheapest(list []Filling) []Filling {
	left := make([]int, len(s.Classes))
	order := make([]int, len(s.Classes))
	for i, c := range s.Classes {
		left[i], order[i] = c.Supply, i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(s.Classes[a].Cost, s.Classes[b].Cost), cmp.Compare(s.Classes[a].Length, s.Classes[b].Length))
	})
	sorted := slices.Clone(list)
	slices.SortStableFunc(sorted, func(a, b Filling) int { return cmp.Compare(s.filled(b), s.filled(a)) })
	for i := range sorted {
		at := slices.IndexFunc(order, func(c int) bool { return left[c] != 0 && s.Classes[c].Length >= s.filled(sorted[i]) })
		if at < 0 {
			return nil
		}
		sorted[i].Class = order[at]
		left[order[at]]--
	}
	return sorted
}
