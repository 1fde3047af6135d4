package cutting

import (
	"cmp"
	"fmt"
	"slices"
)

// Fault is what a checked plan does wrong.
type Fault string

const (
	Missing     Fault = "missing"      // a cut is neither placed nor told as unplaced
	Twice       Fault = "twice"        // a cut is placed and told as unplaced, or placed more than once
	Unknown     Fault = "unknown"      // a cut or bolt that the problem has not
	WrongLength Fault = "wrong_length" // the placement is longer or shorter than its cut
	OffBolt     Fault = "off_bolt"     // it reaches over an end of the bolt, or into what is to be left there
	OnFlaw      Fault = "on_flaw"      // it contains a flaw
	Overlap     Fault = "overlap"      // it meets another cut, or leaves no room for the kerf
	OffPhase    Fault = "off_phase"    // its start is not on the pattern
	LotsMixed   Fault = "lots_mixed"   // its group takes two lots and the plan doesn't say so
	TooNarrow   Fault = "too_narrow"   // a whole width on half a one
	WrongShort  Fault = "wrong_short"  // Short is not the sum of what is unplaced
)

// Finding is one fault with the cut that has it.
type Finding struct {
	Fault Fault
	Cut   string
}

func (f Finding) String() string { return fmt.Sprintf("%s: cut %q", f.Fault, f.Cut) }

// Check goes over a plan from the definitions alone, sharing nothing with Place, and returns every fault; none
// means that the plan can be cut as it stands.
func Check(p Problem, plan Plan) []Finding {
	c := checker{problem: p, plan: plan, seen: map[string]int{}, cuts: map[string]Cut{}, bolts: map[string]Bolt{}}
	for _, cut := range p.Cuts {
		c.cuts[cut.ID] = cut
	}
	for _, b := range p.Bolts {
		c.bolts[b.ID] = b
	}
	for _, pl := range plan.Placements {
		c.placement(pl)
	}
	c.overlaps()
	c.complete()
	c.lots()
	return c.findings
}

type checker struct {
	problem  Problem
	plan     Plan
	seen     map[string]int
	cuts     map[string]Cut
	bolts    map[string]Bolt
	findings []Finding
}

func (c *checker) fault(f Fault, cut string) { c.findings = append(c.findings, Finding{f, cut}) }

func (c *checker) placement(pl Placement) {
	c.seen[pl.Cut]++
	cut, known := c.cuts[pl.Cut]
	bolt, listed := c.bolts[pl.Bolt]
	if !known || !listed {
		c.fault(Unknown, pl.Cut)
		return
	}
	if pl.To-pl.From != cut.Length {
		c.fault(WrongLength, pl.Cut)
	}
	if ends := c.problem.EndAllowance; pl.From < ends || pl.To > bolt.Length-ends {
		c.fault(OffBolt, pl.Cut)
	}
	if bolt.Half && !cut.Half {
		c.fault(TooNarrow, pl.Cut)
	}
	for _, f := range bolt.Flaws {
		if f.From < pl.To && pl.From < f.To {
			c.fault(OnFlaw, pl.Cut)
		}
	}
	if v, begin := c.problem.Pattern(&bolt, cut.Start); v > 0 && !cut.Anywhere {
		start := pl.From - bolt.FirstRepeat - begin
		if start < 0 || start%v != 0 {
			c.fault(OffPhase, pl.Cut)
		}
	}
}

// overlaps goes along each bolt: a cut that begins before one behind it has ended meets it.
func (c *checker) overlaps() {
	along := slices.Clone(c.plan.Placements)
	slices.SortStableFunc(along, func(a, b Placement) int {
		return cmp.Or(cmp.Compare(a.Bolt, b.Bolt), cmp.Compare(a.From, b.From))
	})
	for i := 1; i < len(along); i++ {
		a, before := along[i], along[i-1] // which reaches as far as any before it
		if a.Bolt != before.Bolt {
			continue
		}
		if a.From < before.To+c.problem.Kerf {
			c.fault(Overlap, a.Cut)
		}
		along[i].To = max(a.To, before.To)
	}
}

func (c *checker) complete() {
	for _, id := range c.plan.Unplaced {
		c.seen[id]++
	}
	short := c.plan.Short
	for _, cut := range c.problem.Cuts {
		switch n := c.seen[cut.ID]; {
		case n == 0:
			c.fault(Missing, cut.ID)
		case n > 1:
			c.fault(Twice, cut.ID)
		}
	}
	for _, id := range c.plan.Unplaced {
		short -= c.cuts[id].Length
	}
	if short != 0 {
		c.fault(WrongShort, "")
	}
}

func (c *checker) lots() {
	lotOf := map[string]string{}
	for _, b := range c.problem.Bolts {
		lotOf[b.ID] = b.Lot
	}
	groupOf := map[string]string{}
	for _, cut := range c.problem.Cuts {
		groupOf[cut.ID] = cut.Group
	}
	lot := map[string]string{}
	for _, pl := range c.plan.Placements {
		g := groupOf[pl.Cut]
		if bound := c.problem.Bound[g]; len(bound) > 0 && !slices.Contains(bound, lotOf[pl.Bolt]) && !slices.Contains(c.plan.Mixed, g) {
			c.fault(LotsMixed, pl.Cut)
		}
		if g == "" {
			continue
		}
		first, known := lot[g]
		if !known {
			lot[g] = lotOf[pl.Bolt]
		} else if first != lotOf[pl.Bolt] && !slices.Contains(c.plan.Mixed, g) {
			c.fault(LotsMixed, pl.Cut)
		}
	}
}
