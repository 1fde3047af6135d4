package cutplan

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
)

// program is a whole-number program of a job: each piece is a way along it, from the end of one cut to that of the next, which starts
// as early as it can; of alike pieces as many ways as there are of them.
type program struct {
	p     *cutting.Problem
	costs []string
	rows  []string
	upper []string
	whole []string
	takes map[string][]string // by lot and sort of cut, the steps that lay one
}

// sortOfCut is what is alike in cuts.
type sortOfCut struct {
	length, start measure.Length
	anywhere      bool
}

func (g *program) sortOf(c *cutting.Cut) sortOfCut {
	if g.p.VerticalRepeat == 0 {
		return sortOfCut{length: c.Length}
	}
	return sortOfCut{c.Length, c.Start, c.Anywhere}
}

func (g *program) variable(most int) string {
	v := fmt.Sprint("x", len(g.whole))
	g.whole = append(g.whole, v)
	g.upper = append(g.upper, fmt.Sprint(v, " <= ", most))
	return v
}

func (g *program) row(terms []string, rest string) {
	g.rows = append(g.rows, fmt.Sprintf(" r%d: %s %s", len(g.rows), strings.Join(terms, "\n + "), rest))
}

// text is the program in the form that solvers read.
func text(p *cutting.Problem) string {
	g := &program{p: p, takes: map[string][]string{}}
	alike := map[string][]*cutting.Bolt{}
	var names []string
	for i := range p.Bolts {
		b := p.Bolts[i]
		name := fmt.Sprint(b.Lot, b.Length, b.FirstRepeat, b.VerticalRepeat, b.Flaws, b.Opens(), b.Cost)
		if alike[name] == nil {
			names = append(names, name)
		}
		alike[name] = append(alike[name], &b)
	}
	for _, name := range names {
		g.along(alike[name][0], len(alike[name]))
	}
	g.demand()
	return fmt.Sprintf("Minimize\n obj: %s\nSubject To\n%s\nBounds\n %s\nGenerals\n %s\nEnd\n", strings.Join(g.costs, "\n + "), strings.Join(g.rows, "\n"),
		strings.Join(g.upper, "\n "), strings.Join(g.whole, "\n "))
}

// along is a piece, and others alike.
func (g *program) along(b *cutting.Bolt, pieces int) {
	count := map[sortOfCut]int{}
	var sorts []sortOfCut
	for i := range g.p.Cuts {
		s := g.sortOf(&g.p.Cuts[i])
		if count[s] == 0 {
			sorts = append(sorts, s)
		}
		count[s]++
	}
	used := g.variable(pieces)
	g.costs = append(g.costs, fmt.Sprint(g.costOf(b), " ", used))
	in := map[measure.Length][]string{}
	reached := []measure.Length{g.p.EndAllowance}
	for n := 0; n < len(reached); n++ {
		slices.Sort(reached[n:])
		at := reached[n]
		var out []string
		for _, s := range sorts {
			from := g.first(b, s, at)
			if from+s.length > b.Length-g.p.EndAllowance {
				continue
			}
			step := g.variable(min(pieces*int(b.Length/s.length), count[s]))
			out = append(out, step)
			g.takes[fmt.Sprint(b.Lot, s)] = append(g.takes[fmt.Sprint(b.Lot, s)], step)
			next := from + s.length + g.p.Kerf
			if in[next] == nil {
				reached = append(reached, next)
			}
			in[next] = append(in[next], "- 1 "+step)
		}
		switch {
		case len(out) == 0:
		case n == 0:
			g.row(append(out, "- 1 "+used), "<= 0")
		default:
			g.row(append(out, in[at]...), "<= 0")
		}
	}
}

// first goes forward unit by unit.
func (g *program) first(b *cutting.Bolt, s sortOfCut, at measure.Length) measure.Length {
	repeat, begin := g.p.Pattern(b, s.start)
	for ; at+s.length <= b.Length; at++ {
		if past := at - b.FirstRepeat - begin; repeat > 0 && !s.anywhere && (past < 0 || past%repeat != 0) {
			continue
		}
		if !slices.ContainsFunc(b.Flaws, func(f cutting.Span) bool { return f.From < at+s.length && at < f.To }) {
			return at
		}
	}
	return at
}

func (g *program) costOf(b *cutting.Bolt) int64 {
	switch {
	case g.p.Aim == cutting.LeastLength:
		return int64(b.Length)
	case g.p.Aim == cutting.LeastCost:
		return b.Cost
	case b.Opens():
		return 1
	}
	return 0
}

// short is what a unit of length without a place counts: more than all pieces.
func (g *program) short() (sum int64) {
	for i := range g.p.Bolts {
		sum += g.costOf(&g.p.Bolts[i])
	}
	return sum + 1
}

// demand says that each cut is taken once or has no place, and that a group comes from one lot.
func (g *program) demand() {
	var lots []string
	for _, b := range g.p.Bolts {
		if !slices.Contains(lots, b.Lot) {
			lots = append(lots, b.Lot)
		}
	}
	comes := map[string][]string{} // by lot and sort, what groups take
	chosen := map[string]string{}
	for i := range g.p.Cuts {
		c := &g.p.Cuts[i]
		without := g.variable(1)
		g.costs = append(g.costs, fmt.Sprint(g.short()*int64(c.Length), " ", without))
		once := []string{without}
		for _, lot := range lots {
			if bound := g.p.Bound[c.Group]; len(bound) > 0 && !slices.Contains(bound, lot) {
				continue
			}
			takes := g.variable(1)
			once = append(once, takes)
			key := fmt.Sprint(lot, g.sortOf(c))
			comes[key] = append(comes[key], "- 1 "+takes)
			if c.Group == "" {
				continue
			}
			if chosen[c.Group+" "+lot] == "" {
				chosen[c.Group+" "+lot] = g.variable(1)
			}
			g.row([]string{takes, "- 1 " + chosen[c.Group+" "+lot]}, "<= 0")
		}
		g.row(once, "= 1")
	}
	groups := map[string][]string{}
	for name, v := range chosen {
		group, _, _ := strings.Cut(name, " ")
		groups[group] = append(groups[group], v)
	}
	for _, name := range sortedKeys(groups) {
		slices.Sort(groups[name])
		g.row(groups[name], "<= 1")
	}
	for _, key := range sortedKeys(comes) {
		g.row(append(slices.Clone(g.takes[key]), comes[key]...), "= 0")
	}
}

func sortedKeys[T any](m map[string]T) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, cmp.Compare[string])
	return keys
}

// outcomeOf is what the program's least comes to for a plan.
func outcomeOf(p *cutting.Problem, plan *Plan) int64 {
	g := &program{p: p}
	return g.short()*int64(plan.Short) + plan.Value
}
