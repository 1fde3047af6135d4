package packing

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
)

// faults of a solution, from the definitions alone: what its fillings carry, take of the stock and cost, and whether the
// weights prove its bound.
func faults(p Problem, s Solution) (list []string) {
	say := func(format string, args ...any) { list = append(list, fmt.Sprintf(format, args...)) }
	got, used, cost := make([]int, len(p.Kinds)), make([]int, len(p.Classes)), int64(0)
	for _, f := range s.Fillings {
		used[f.Class]++
		cost += p.Classes[f.Class].Cost
		sum := int64(0)
		for _, t := range f.Takes {
			got[t.Kind] += t.Count
			sum += p.Kinds[t.Kind].Length * int64(t.Count)
		}
		if sum > p.Classes[f.Class].Length {
			say("%d on stock of %d", sum, p.Classes[f.Class].Length)
		}
	}
	for i, k := range p.Kinds {
		if s.Fillings != nil && got[i] != k.Want {
			say("%d cut %d times, not %d", k.Length, got[i], k.Want)
		}
	}
	for i, c := range p.Classes {
		if c.Supply >= 0 && used[i] > c.Supply {
			say("%d of class %d taken, of %d", used[i], i, c.Supply)
		}
	}
	if s.Fillings != nil && cost != s.Cost {
		say("cost %d, not %d", cost, s.Cost)
	}
	if s.Fillings != nil && s.Bound > s.Cost {
		say("bound %d over cost %d", s.Bound, s.Cost)
	}
	return append(list, unproven(p, s)...)
}

// unproven is what is wrong with the weights of a solution.
func unproven(p Problem, s Solution) (list []string) {
	say := func(format string, args ...any) { list = append(list, fmt.Sprintf(format, args...)) }
	w := s.Weights
	sum, heaviest := int64(0), heaviestOf(p, w.Of)
	for i, k := range p.Kinds {
		sum += w.Of[i] * int64(k.Want)
	}
	for i, c := range p.Classes {
		switch {
		case heaviest[i] > w.Most[i]:
			say("a filling of class %d weighs %d, over %d", i, heaviest[i], w.Most[i])
		case w.Most[i] > w.Scale*c.Cost+w.Bonus[i]:
			say("class %d weighs %d, over %d·%d + %d", i, w.Most[i], w.Scale, c.Cost, w.Bonus[i])
		case w.Bonus[i] < 0 || w.Bonus[i] > 0 && c.Supply < 0:
			say("bonus %d of class %d", w.Bonus[i], i)
		case c.Cost%w.Step != 0:
			say("cost %d in steps of %d", c.Cost, w.Step)
		}
		sum -= w.Bonus[i] * int64(max(0, c.Supply))
	}
	proves := int64(0) // the least multiple of the step whose weight does
	if sum > 0 {
		proves = (sum-1)/(w.Scale*w.Step)*w.Step + w.Step
	}
	if w.Bound > proves || s.Bound > w.Bound && !s.Searched && len(s.Demands) == 0 {
		say("bound %d, %d by the weights, which prove %d", s.Bound, w.Bound, proves)
	}
	return append(list, unmet(p, s)...)
}

// unmet is what is wrong with the demands of a solution.
func unmet(p Problem, s Solution) (list []string) {
	for n, d := range s.Demands {
		heaviest := heaviestOf(p, d.Of)
		need := int64(0)
		for i, k := range p.Kinds {
			need += d.Of[i] * int64(k.Want)
		}
		for i := range p.Classes {
			if heaviest[i] > d.Most[i] || d.Need > need {
				list = append(list, fmt.Sprintf("demand %d: %d of %d, a filling of class %d weighs %d, over %d", n, d.Need, need, i, heaviest[i], d.Most[i]))
			}
		}
	}
	if len(s.Demands) > 0 && !s.Searched && s.Bound > s.Weights.Bound {
		if n, _ := cheaperThan(p, s.Demands, s.Bound, 300_000); n != nil {
			list = append(list, fmt.Sprintf("bound %d, but %v of the classes meet all demands", s.Bound, n))
		}
	}
	return list
}

// cheaperThan are numbers of the classes that cost less and meet all demands. sure is false where it has not looked at all of them.
func cheaperThan(p Problem, demands []Demand, cost int64, steps int) (n []int, sure bool) {
	need := make([]int64, len(demands))
	for t, d := range demands {
		need[t] = d.Need
	}
	n = make([]int, len(p.Classes))
	var with func(class int, left int64) bool
	with = func(class int, left int64) bool {
		steps--
		met := true
		for t, d := range demands {
			ratio := 0.0
			for i := class; i < len(n); i++ {
				if p.Classes[i].Cost == 0 {
					ratio = math.Inf(1)
					break
				}
				ratio = max(ratio, float64(d.Most[i])/float64(p.Classes[i].Cost))
			}
			if need[t] > 0 && float64(left)*ratio < float64(need[t])-0.5 {
				return false
			}
			met = met && need[t] <= 0
		}
		if met || steps < 0 || class == len(n) {
			return met
		}
		c := p.Classes[class]
		most := 1000
		if c.Cost > 0 {
			most = int(left / c.Cost)
		}
		if c.Supply >= 0 {
			most = min(most, c.Supply)
		}
		for n[class] = most; n[class] >= 0; n[class]-- {
			for t, d := range demands {
				need[t] -= d.Most[class] * int64(n[class])
			}
			found := with(class+1, left-c.Cost*int64(n[class]))
			for t, d := range demands {
				need[t] += d.Most[class] * int64(n[class])
			}
			if found {
				return true
			}
		}
		n[class] = 0
		return false
	}
	if with(0, cost-1) {
		return n, true
	}
	return nil, steps >= 0
}

// heaviestOf is what the heaviest filling of each class weighs: of each length up to the longest stock the most, with one
// more kind after the other.
func heaviestOf(p Problem, weights []int64) []int64 {
	unit, longest := int64(0), int64(0)
	for _, k := range p.Kinds {
		for a := k.Length; a != 0; {
			a, unit = unit%a, a
		}
	}
	for _, c := range p.Classes {
		longest = max(longest, c.Length)
	}
	most := make([]int64, longest/max(1, unit)+1)
	for i, k := range p.Kinds {
		for left, n := k.Want, 1; left > 0 && weights[i] > 0; n *= 2 {
			n = min(n, left)
			left -= n
			size, weight := int(k.Length/unit)*n, weights[i]*int64(n)
			for at := len(most) - 1; at >= size; at-- {
				most[at] = max(most[at], most[at-size]+weight)
			}
		}
	}
	var list []int64
	for _, c := range p.Classes {
		list = append(list, most[c.Length/max(1, unit)])
	}
	return list
}

// byBestFit is the least cost of laying the lengths on stock of one class, the longest first, each where it leaves least; -1
// where no class is there as often as that takes.
func byBestFit(p Problem) int64 {
	best := int64(-1)
next:
	for _, c := range p.Classes {
		var rooms []int64
		for _, k := range p.Kinds {
			for range k.Want {
				at := -1
				for i, room := range rooms {
					if room >= k.Length && (at < 0 || room < rooms[at]) {
						at = i
					}
				}
				if at < 0 {
					at, rooms = len(rooms), append(rooms, c.Length)
				}
				if rooms[at] -= k.Length; rooms[at] < 0 {
					continue next
				}
			}
		}
		if cost := c.Cost * int64(len(rooms)); (c.Supply < 0 || len(rooms) <= c.Supply) && (best < 0 || cost < best) {
			best = cost
		}
	}
	return best
}

// TestCheckerSeesEveryFault: each thing that a solution can say wrongly is found, and nothing in the solution itself.
func TestCheckerSeesEveryFault(t *testing.T) {
	p := Problem{Kinds: []Kind{{60, 2}, {40, 3}}, Classes: []Class{{100, 10, -1}, {70, 6, 1}}}
	solution := func() Solution {
		return Solution{Fillings: []Filling{{0, []Take{{0, 1}, {1, 1}}}, {0, []Take{{0, 1}, {1, 1}}}, {1, []Take{{1, 1}}}}, Cost: 26, Bound: 24,
			Weights: Weights{Of: []int64{60, 40}, Most: []int64{100, 60}, Bonus: []int64{0, 0}, Scale: 10, Step: 2, Bound: 24}}
	}
	if found := faults(p, solution()); len(found) > 0 {
		t.Fatal(found)
	}
	for _, c := range []struct {
		want  string
		spoil func(*Solution)
	}{
		{"on stock of 70", func(s *Solution) { s.Fillings[0].Class = 1 }},
		{"cut 2 times, not 3", func(s *Solution) { s.Fillings[2].Takes = nil }},
		{"cut 4 times, not 3", func(s *Solution) { s.Fillings[2].Takes[0].Count = 2 }},
		{"of class 1 taken", func(s *Solution) { s.Fillings = append(s.Fillings, Filling{Class: 1}) }},
		{"cost 26, not 25", func(s *Solution) { s.Cost-- }},
		{"bound 27 over", func(s *Solution) { s.Bound, s.Searched = 27, true }},
		{"which prove 24", func(s *Solution) { s.Bound = 26 }},
		{"which prove 24", func(s *Solution) { s.Bound, s.Weights.Bound = 26, 26 }},
		{"weighs 100, over 99", func(s *Solution) { s.Weights.Most[0]-- }},
		{"weighs 100, over 9·10", func(s *Solution) { s.Weights.Scale-- }},
		{"bonus 1 of class 0", func(s *Solution) { s.Weights.Bonus[0] = 1 }},
		{"bonus -1", func(s *Solution) { s.Weights.Bonus[1], s.Weights.Most[1] = -1, 59; s.Weights.Of[0] = 59 }},
		{"in steps of 4", func(s *Solution) { s.Weights.Step = 4 }},
	} {
		s := solution()
		c.spoil(&s)
		if found := faults(p, s); !slices.ContainsFunc(found, func(f string) bool { return strings.Contains(f, c.want) }) {
			t.Errorf("found %q, want %q", found, c.want)
		}
	}
}
