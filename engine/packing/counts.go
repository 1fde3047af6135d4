package packing

import "math"

// counting looks for how many pieces of each class a solution of little cost takes. The linear problem takes them in parts, which shows far
// less than whole numbers do. What they must hold is learned: numbers that meet all demands known go into a linear problem of what they are
// short of, whose duals are one more demand (Benders, Numerische Mathematik 4, 1962). Numbers that aren't short are filled.
type counting struct {
	*solver
	numbers
	given *solver // the same lengths, on numbers of pieces that cost nothing
	short *master // of it
}

const (
	givenDives  = 12 // with numbers that suffice
	mostDemands = 200
	demanded    = 1e9 // of a demand, about
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

func (s *solver) newCounting(work int64) *counting {
	meter := &within{s.meter, work}
	c := &counting{solver: s, numbers: numbers{classes: s.Classes, step: s.step, meter: meter}, given: &solver{meter: meter, step: 1, unit: 1, total: s.total}}
	for _, k := range s.Kinds {
		c.lengths += k.Want
	}
	c.dear = c.mostCost()
	c.given.Kinds, c.given.Classes = s.Kinds, make([]Class, len(s.Classes))
	for i, class := range s.Classes {
		c.given.Classes[i].Length = class.Length
	}
	c.short = newMaster(c.given)
	c.short.lacking()
	return c
}

// count raises the bound to what whole numbers of pieces cost, and fills those that cost least.
func (c *counting) count(duals []float64) {
	if !c.demand(duals) || !c.learnInParts() {
		return
	}
	more := int64(0) // than what is known to be needed; whoever looks beyond it finds the least all the same
	for budget := c.best.Bound; budget < c.mostCost() && !c.proven() && len(c.demands) < mostDemands; {
		n, next, sure := c.least(budget)
		if !sure {
			return
		}
		if n != nil {
			next = c.costOf(n)
		}
		if len(c.passed) == 0 {
			c.raise(next)
		}
		switch {
		case n == nil || next >= c.mostCost():
			budget = next + more
			more = 2*more + c.solver.step
		case !c.learn(inParts(n)) && !c.fill(n):
			c.passed = append(c.passed, n)
		}
	}
}

// mostCost is what the best solution costs, or where there is none all stock that may be taken.
func (c *counting) mostCost() (sum int64) {
	if c.best.Fillings != nil {
		return c.best.Cost
	}
	for _, class := range c.Classes {
		n := c.lengths
		if class.Supply >= 0 {
			n = min(n, class.Supply)
		}
		sum += class.Cost * int64(n)
	}
	return sum + c.solver.step
}

// raise sets the bound that the demands prove.
func (c *counting) raise(bound int64) {
	if bound = min(bound, c.mostCost()); bound > c.best.Bound {
		c.best.Bound, c.best.Demands = bound, c.demands
	}
}

// lacking makes a master one of what is short: only that costs, by its length.
func (m *master) lacking() {
	m.box = len(boxes) - 1
	for i, k := range m.s.Kinds {
		m.low[i], m.high[i] = 0, float64(k.Length)/float64(m.s.Kinds[0].Length)
		m.basis[i].cost = m.high[i]
	}
	m.recompute()
}

// demand adds what duals demand; false where that is nothing, or can't be found exactly.
func (c *counting) demand(duals []float64) bool {
	d := Demand{Of: make([]int64, len(c.Kinds)), Most: make([]int64, len(c.Classes))}
	sum := 0.0
	for i, k := range c.Kinds {
		sum += max(0, duals[i]) * float64(k.Want)
	}
	for i, k := range c.Kinds {
		d.Of[i] = int64(max(0, math.Floor(duals[i]*demanded/sum)))
		d.Need += d.Of[i] * int64(k.Want)
	}
	for i, class := range c.Classes {
		most, exact := c.heaviest(d.Of, class.Length)
		if !exact {
			return false
		}
		d.Most[i] = most
	}
	if d.Need > 0 {
		c.demands = append(c.demands, d)
	}
	return d.Need > 0
}

// learnInParts learns what numbers in parts must meet, those that cost least by what is known.
func (c *counting) learnInParts() bool {
	for c.budget = c.dear; !c.numbers.meter.Done(); {
		if _, parts := c.relaxed(c.ends()); !c.learn(parts) {
			return true
		}
		if len(c.demands) > mostDemands/4 {
			return false
		}
	}
	return false
}

// learn adds the demand that numbers don't meet, where they are short of anything.
func (c *counting) learn(n []float64) bool {
	right := make([]float64, c.short.rows)
	for i, k := range c.Kinds {
		right[i] = float64(k.Want)
	}
	for i, row := range c.short.supplies {
		right[row] = n[i]
	}
	c.short.want(right)
	lacks, duals, _ := c.short.generate(math.Inf(1), rootWork)
	return lacks > 1e-3 && c.demand(duals)
}

// fill looks for a solution that takes no more than so many pieces.
func (c *counting) fill(n []int) bool {
	for i := range c.given.Classes {
		c.given.Classes[i].Supply = n[i]
	}
	for number := range givenDives {
		if c.offer(c.given.dive(c.short, 0, number, rootWork)) {
			return true
		}
	}
	return false
}

func inParts(n []int) []float64 {
	list := make([]float64, len(n))
	for i, x := range n {
		list[i] = float64(x)
	}
	return list
}
