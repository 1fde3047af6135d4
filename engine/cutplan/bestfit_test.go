package cutplan

import (
	"cmp"
	"slices"
	"testing"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
)

// table lays cuts as somebody does who looks at one after the other, the longest first: each on the piece already cut from, or
// that costs no bolt, where it leaves least, and where none has room on a bolt that it opens.
type table struct {
	p    *cutting.Problem
	on   map[string][]cutting.Span // by bolt
	rank func(a, b *cutting.Bolt) int
}

// free is how much of a bolt is neither cut nor flawed.
func (t *table) free(b *cutting.Bolt) measure.Length {
	free := b.Length
	for _, s := range slices.Concat(b.Flaws, t.on[b.ID]) {
		free -= s.To - s.From
	}
	return free
}

// start is where a cut can lie first, -1 where it can't.
func (t *table) start(b *cutting.Bolt, c *cutting.Cut) measure.Length {
	repeat, begin := t.p.Pattern(b, c.Start)
	for at := t.p.EndAllowance; at+c.Length <= b.Length-t.p.EndAllowance; {
		if past := at - b.FirstRepeat - begin; repeat > 0 && !c.Anywhere && past < 0 {
			at -= past
		} else if repeat > 0 && !c.Anywhere {
			at += (repeat - past%repeat) % repeat
		}
		clear := at
		for _, f := range b.Flaws {
			if f.From < at+c.Length && at < f.To {
				clear = max(clear, f.To)
			}
		}
		for _, s := range t.on[b.ID] {
			if s.From < at+c.Length+t.p.Kerf && at < s.To+t.p.Kerf {
				clear = max(clear, s.To+t.p.Kerf)
			}
		}
		if clear == at && at+c.Length <= b.Length-t.p.EndAllowance {
			return at
		}
		if clear == at {
			return -1
		}
		at = clear
	}
	return -1
}

// lay lays cuts on the bolts of a lot, and returns what has no room and how many it opens.
func (t *table) lay(cuts []cutting.Cut, lot string) (short measure.Length, opened int) {
	for i := range cuts {
		var best *cutting.Bolt
		for n := range t.p.Bolts {
			b := &t.p.Bolts[n]
			if b.Lot == lot && t.start(b, &cuts[i]) >= 0 && (best == nil || t.before(b, best)) {
				best = b
			}
		}
		if best == nil {
			short += cuts[i].Length
			continue
		}
		if !t.open(best) {
			opened++
		}
		at := t.start(best, &cuts[i])
		t.on[best.ID] = append(t.on[best.ID], cutting.Span{From: at, To: at + cuts[i].Length})
	}
	return short, opened
}

func (t *table) open(b *cutting.Bolt) bool { return !b.Opens() || len(t.on[b.ID]) > 0 }

func (t *table) before(a, b *cutting.Bolt) bool {
	switch {
	case t.open(a) != t.open(b):
		return t.open(a)
	case t.open(a):
		return t.free(a) < t.free(b)
	}
	return t.rank(a, b) < 0
}

// dealt gives each group, the one with the most cloth first, to the lot where it leaves least over and opens fewest, and lays it there.
func (t *table) dealt() (short measure.Length, opened int, byLot map[string][]cutting.Cut) {
	byLot = map[string][]cutting.Cut{}
	var lots []string
	for _, b := range t.p.Bolts {
		if !slices.Contains(lots, b.Lot) {
			lots = append(lots, b.Lot)
		}
	}
	for _, cuts := range grouped(t.p.Cuts) {
		before := t.on
		best, leaves, opens := "", measure.Length(-1), 0
		after := before
		for _, lot := range lots {
			if bound := t.p.Bound[cuts[0].Group]; len(bound) > 0 && !slices.Contains(bound, lot) {
				continue
			}
			t.on = map[string][]cutting.Span{}
			for id, spans := range before {
				t.on[id] = slices.Clone(spans)
			}
			if s, n := t.lay(cuts, lot); leaves < 0 || s < leaves || s == leaves && n < opens {
				best, leaves, opens, after = lot, s, n, t.on
			}
		}
		t.on = after
		if leaves < 0 {
			leaves = lengthOf(cuts)
		}
		short, opened = short+leaves, opened+opens
		byLot[best] = append(byLot[best], cuts...)
	}
	return short, opened, byLot
}

func lengthOf(cuts []cutting.Cut) (sum measure.Length) {
	for _, c := range cuts {
		sum += c.Length
	}
	return sum
}

// grouped are the cuts that come from one lot, the most cloth first, and of each the longest first.
func grouped(cuts []cutting.Cut) (list [][]cutting.Cut) {
	at := map[string]int{}
	for _, c := range cuts {
		i, is := at[c.Group]
		if !is || c.Group == "" {
			i = len(list)
			at[c.Group] = i
			list = append(list, nil)
		}
		list[i] = append(list[i], c)
	}
	for _, g := range list {
		slices.SortStableFunc(g, fallingLength)
	}
	slices.SortStableFunc(list, func(a, b []cutting.Cut) int { return cmp.Compare(lengthOf(b), lengthOf(a)) })
	return list
}

func fallingLength(a, b cutting.Cut) int { return cmp.Compare(b.Length, a.Length) }

// byBestFit is the least that best fit leaves over and opens, in some ways to do it: bolts are opened in the order given, or the
// longest first; group by group, or all of a lot at once.
func byBestFit(p cutting.Problem) (short measure.Length, opened int) {
	short = -1
	take := func(s measure.Length, n int) {
		if short < 0 || s < short || s == short && n < opened {
			short, opened = s, n
		}
	}
	for _, rank := range []func(a, b *cutting.Bolt) int{
		func(a, b *cutting.Bolt) int { return 0 },
		func(a, b *cutting.Bolt) int { return cmp.Compare(b.Length, a.Length) },
	} {
		at := &table{p: &p, on: map[string][]cutting.Span{}, rank: rank}
		s, n, byLot := at.dealt()
		take(s, n)
		at.on = map[string][]cutting.Span{}
		s, n = 0, 0
		for lot, cuts := range byLot {
			slices.SortStableFunc(cuts, fallingLength)
			over, opens := at.lay(cuts, lot)
			s, n = s+over, n+opens
		}
		take(s, n)
	}
	return short, opened
}

// noWorse holds a plan against best fit.
func noWorse(t *testing.T, seed int, p cutting.Problem, plan Plan) {
	t.Helper()
	short, opened := byBestFit(p)
	if plan.Short > short || plan.Short == short && plan.Opened > opened {
		t.Errorf("job %d: %v short and %d opened, by best fit %v and %d", seed, plan.Short, plan.Opened, short, opened)
	}
}
