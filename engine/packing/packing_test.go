package packing

import (
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"testing"
)

// smallStock is few lengths on stock of up to three lengths.
func smallStock(r *rand.Rand) Problem {
	var p Problem
	for i := range 1 + r.IntN(3) {
		c := Class{Length: int64(20 + r.IntN(20)), Cost: int64(1 + r.IntN(6)), Supply: -1}
		if i > 0 && r.IntN(3) == 0 {
			c.Supply = r.IntN(3)
		}
		p.Classes = append(p.Classes, c)
	}
	length := 20
	for range 1 + r.IntN(7) {
		if length -= 1 + r.IntN(4); length < 3 {
			break
		}
		p.Kinds = append(p.Kinds, Kind{int64(length), 1 + r.IntN(2)})
	}
	return p
}

// cheapestOf is the least cost of all ways: of each set of lengths, one piece of each class with a part that begins with its longest.
func cheapestOf(p Problem) int64 {
	const none = 1 << 40
	known := map[string]int64{}
	var of func(left, supply []int) int64
	of = func(left, supply []int) int64 {
		key := fmt.Sprint(left, supply)
		if cost, is := known[key]; is {
			return cost
		}
		first := -1
		for k, n := range left {
			if n > 0 {
				first = k
				break
			}
		}
		if first < 0 {
			return 0
		}
		best := int64(none)
		for i, c := range p.Classes {
			if supply[i] == 0 {
				continue
			}
			supply[i]--
			var fill func(k int, room int64)
			fill = func(k int, room int64) {
				if k == len(left) {
					best = min(best, c.Cost+of(left, supply))
					return
				}
				fill(k+1, room)
				if left[k] > 0 && room >= p.Kinds[k].Length {
					left[k]--
					fill(k, room-p.Kinds[k].Length)
					left[k]++
				}
			}
			if p.Kinds[first].Length <= c.Length {
				left[first]--
				fill(first, c.Length-p.Kinds[first].Length)
				left[first]++
			}
			supply[i]++
		}
		known[key] = best
		return best
	}
	left, supply := make([]int, len(p.Kinds)), make([]int, len(p.Classes))
	for i, k := range p.Kinds {
		left[i] = k.Want
	}
	for i, c := range p.Classes {
		supply[i] = c.Supply
	}
	return of(left, supply)
}

func costOf(p Problem, list []Filling) (sum int64) {
	for _, f := range list {
		sum += p.Classes[f.Class].Cost
	}
	return sum
}

// TestSmallStock: no bound is over the least cost of all ways tried, however little work there is, and with enough the least is found.
func TestSmallStock(t *testing.T) {
	rounds := 150
	if os.Getenv("TABLEHAND_LONG") != "" {
		rounds = 3000
	}
	found, proven := 0, 0
	for seed := range rounds {
		p := smallStock(rand.New(rand.NewPCG(uint64(seed), 4)))
		least := cheapestOf(p)
		for _, work := range []int64{100, 10_000, 3_000_000} {
			s := Solve(p, &counter{left: work})
			if found := faults(p, s); len(found) > 0 || s.Bound > least {
				t.Fatalf("%+v with %d units of work: %v in %+v, the least is %d", p, work, found, s, least)
			}
			if s.Fillings == nil {
				continue
			}
			if work == 3_000_000 && s.Cost == least {
				found++
			}
			if work == 3_000_000 && s.Cost == s.Bound {
				proven++
			}
		}
	}
	t.Logf("of %d the least of %d, proven of %d", rounds, found, proven)
	if found < rounds*95/100 || proven < rounds*85/100 {
		t.Errorf("of %d problems the least is found of %d, and proven of %d", rounds, found, proven)
	}
}

// TestCostsInAnyUnit: costs in nanometres, say, come to the same, and are proven as well; by their lengths alone little is lost of that.
func TestCostsInAnyUnit(t *testing.T) {
	dear := &solver{Problem: Problem{Kinds: []Kind{{60, 3}}, Classes: []Class{{100, 1_000_000_007, -1}, {150, 1_600_000_009, -1}}}, step: 1, total: 180}
	if w := dear.lengthWeights(); w.Bound < 1_799_000_000 {
		t.Errorf("by their lengths alone they cost %d at least", w.Bound)
	}
	for seed := range 60 {
		p := smallStock(rand.New(rand.NewPCG(uint64(seed), 4)))
		few := Solve(p, &counter{left: 3_000_000})
		for _, times := range []int64{1_000_000_007, 5_000_000} {
			q := p
			q.Classes = slices.Clone(p.Classes)
			for i := range q.Classes {
				q.Classes[i].Cost *= times
			}
			m := &counter{left: 3_000_000}
			many := Solve(q, m)
			if found := faults(q, many); len(found) > 0 || many.Cost != few.Cost*times || many.Bound != few.Bound*times || m.used > 4_000_000 {
				t.Fatalf("%+v, costs times %d: %v in %+v, else %+v; work %d", p, times, found, many, few, m.used)
			}
		}
	}
}

// TestDemandsAreMet: the numbers found are the cheapest that meet all demands, and where there are none what all cost at least is said.
func TestDemandsAreMet(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	none := 0
	for range 400 {
		q := numbers{step: 1, lengths: 6, dear: 60, meter: &counter{left: 1 << 40}}
		var p Problem
		for range 2 + r.IntN(3) {
			p.Classes = append(p.Classes, Class{1, 1 + r.Int64N(12), r.IntN(8) - 1})
		}
		q.classes = p.Classes
		for range 1 + r.IntN(4) {
			d := Demand{Need: 1 + r.Int64N(300)}
			for range p.Classes {
				d.Most = append(d.Most, r.Int64N(100))
			}
			q.demands = append(q.demands, d)
		}
		for i := range p.Classes { // no more than there are lengths
			if p.Classes[i].Supply < 0 {
				p.Classes[i].Supply = q.lengths
			}
		}
		for budget := int64(0); budget <= q.dear; budget += 1 + r.Int64N(9) {
			n, next, sure := q.least(budget)
			if cheap, _ := cheaperThan(p, q.demands, min(next, q.dear), 1<<40); !sure || n == nil && cheap != nil {
				t.Fatalf("%+v within %d: next %d, but %v meets them", q, budget, next, cheap)
			}
			if n == nil {
				none++
				continue
			}
			if cheap, _ := cheaperThan(p, q.demands, q.costOf(n), 1<<40); cheap != nil || q.costOf(n) > budget {
				t.Fatalf("%+v within %d: %v, but %v is cheaper", q, budget, n, cheap)
			}
		}
	}
	if none == 0 {
		t.Error("all demands are met: the test tries nothing")
	}
}

// TestSearchesCutShortProveNothing: covers that little work ends never say that there is none where there is, nor numbers of pieces that more
// is needed than is.
func TestSearchesCutShortProveNothing(t *testing.T) {
	said := 0
	for seed := range 150 {
		p := smallStock(rand.New(rand.NewPCG(uint64(seed), 4)))
		for i := range p.Classes {
			p.Classes[i].Supply = -1
		}
		least := cheapestOf(p)
		for _, work := range []int64{5, 20, 80, 300, 1 << 30} {
			s := &solver{Problem: p, meter: &counter{left: 1 << 40}, step: 1, unit: 1}
			for _, k := range p.Kinds {
				s.total += k.Length * int64(k.Want)
			}
			s.prove(s.lengthWeights())
			for cost := least - 2; cost <= least+1; cost++ {
				for _, restart := range []int64{0, 10} {
					found, none := s.cover(cost, work, restart)
					sum := costOf(p, found)
					if none && cost >= least || found != nil && sum > cost {
						t.Fatalf("%+v: a cover of %d with %d units: none %t, found %d, the least is %d", p, cost, work, none, sum, least)
					}
				}
			}
			s.offer(s.bestFit(s.wants(), s.thriftiest()))
			if s.best.Fillings == nil {
				continue
			}
			m := newMaster(s)
			if _, duals, _ := m.generate(1e18, 1<<40); duals != nil {
				s.newCounting(work).count(duals)
				for cost := least - 2; cost <= least+1; cost++ {
					found, none := s.branch(m, cost, work)
					sum := costOf(p, found)
					if none && cost >= least || found != nil && sum > cost {
						t.Fatalf("%+v: branches of %d with %d units: none %t, found %d, the least is %d", p, cost, work, none, sum, least)
					}
				}
				c := s.newCounting(1 << 30)
				c.given.meter = &counter{left: -1} // nothing is learnt or filled: numbers that may suffice are passed
				c.count(duals)
			}
			if s.best.Bound > least {
				t.Fatalf("%+v: counted with %d units: bound %d, the least is %d", p, work, s.best.Bound, least)
			}
			if work > 300 && s.best.Bound == least {
				said++
			}
		}
	}
	if said < 100 {
		t.Errorf("the least is said %d times to be the bound", said)
	}
}

// TestFullestIsHeaviest: both routines find the same weight, and what is taken weighs that and fits.
func TestFullestIsHeaviest(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for range 2000 {
		n := 1 + r.IntN(5)
		lengths, weights, limits := make([]int64, n), make([]int64, n), make([]int, n)
		for i := range n {
			lengths[i], weights[i], limits[i] = 1+r.Int64N(20), r.Int64N(30), r.IntN(5)
		}
		room := r.Int64N(80)
		weight, take, exact, _ := Fullest(lengths, weights, limits, room, 1_000_000)
		left, sum := room, int64(0)
		for i, k := range take {
			left -= lengths[i] * int64(k)
			sum += weights[i] * int64(k)
			if k > limits[i] {
				t.Fatalf("%d of %d taken", k, limits[i])
			}
		}
		if most := Heaviest(lengths, weights, limits, room); !exact || weight != most || sum != weight || left < 0 {
			t.Fatalf("%v that weigh %v, at most %v, in %d: %v weighs %d, %d by the table", lengths, weights, limits, room, take, weight, most)
		}
		if short, _, exact, _ := Fullest(lengths, weights, limits, room, 1); exact && short != weight {
			t.Fatalf("a search cut short says that %d is exact, not %d", short, weight)
		}
	}
}

// TestHeaviestKnowsItsLimits: a fullest filling that takes too long to find isn't called the fullest.
func TestHeaviestKnowsItsLimits(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	ended := 0
	for range 3 {
		p := Problem{Classes: []Class{{1_000_003, 1, -1}}}
		length := int64(109_000)
		var weights []int64
		for range 90 {
			length -= 1 + r.Int64N(400)
			p.Kinds = append(p.Kinds, Kind{length, 1})
			weights = append(weights, length*1000+r.Int64N(1000))
		}
		s := &solver{Problem: p, meter: &counter{left: 1 << 40}}
		most, exact := s.heaviest(weights, p.Classes[0].Length)
		if truly := heaviestOf(p, weights)[0]; exact && most != truly {
			t.Errorf("%d is said to be the most, %d can be had", most, truly)
		}
		if !exact {
			ended++
		}
	}
	if ended == 0 {
		t.Error("every filling is found in time: the test tries nothing")
	}
}
