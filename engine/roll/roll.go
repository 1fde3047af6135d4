// Package roll lays pieces of heading tape on their roll: each starts as far before a dot as its panel asks.
package roll

import (
	"cmp"
	"slices"

	"tablehand/engine/measure"
)

// Lengths within are in half nanometres, since an end margin can be half of one.

// Piece is one kind of tape piece and how many of it the order cuts.
type Piece struct {
	Pleats int // and as many periods between its first dot and its last
	// Start2 and End2 are twice the tape before its first dot and after its last: lengths in half nanometres, below 0 where a dot
	// is past the end.
	Start2, End2 measure.Length
	Count        int
}

// Used returns the least tape that the pieces take off a roll of period p, cut in the best order:
//
//	p·(Σn + Σ⌈(βᵢ + αᵢ₊₁)/p⌉) + α₁ + βₘ    with α and β the tape before the first dot and after the last of each piece.
//
// Pieces whose two ends are alike, as on most tapes, are put in order however many kinds there are. Others are tried in every order,
// kind by kind, up to mostStates; beyond that pieces of a kind lie together, which may take some periods more.
func Used(period measure.Length, list []Piece) measure.Length {
	if slices.ContainsFunc(list, func(p Piece) bool { return p.Start2 != p.End2 }) {
		return unlike(period, list)
	}
	return alike(period, list)
}

// alike is the least of pieces with α = β.
//
// Only what the starts leave over whole periods matters to the order. With r the rest of 2α by 2p, two pieces in a
// row cost one period where r + r' ≤ 2p and two where more; both 0 cost none. Pieces added by distance from the
// middle p/2, outermost last, therefore each either follow cheaply on every piece before (a small r) or on none (a
// large one): small pieces join runs of cheap neighbours, large ones start a run, and runs are joined at one period
// more. Which pieces end the row is tried for every pair of kinds, so the time grows with their square and not with
// the number of panels.
func alike(period measure.Length, list []Piece) measure.Length {
	wholePeriods, panels := 0, 0
	counts := map[measure.Length]int{}
	twoPeriods := 2 * period
	for _, piece := range list {
		k := piece.Start2.FloorDiv(twoPeriods)
		wholePeriods += piece.Count * (piece.Pleats + 2*int(k))
		counts[piece.Start2-twoPeriods*measure.Length(k)] += piece.Count
		panels += piece.Count
	}
	if panels == 0 {
		return 0
	}
	// Pieces that start on whole periods lie in one block, free of cost among themselves, or in two where both ends
	// of the row gain by it; a third would only replace a join that costs the same.
	zeros := counts[0]
	best := measure.Length(-1)
	for blocks := min(zeros, 1); blocks <= min(zeros, 3); blocks++ {
		counts[0] = blocks
		inner := zeros - blocks // gaps inside the blocks, which cost nothing
		used := twoPeriods*measure.Length(wholePeriods+panels-inner-2) + bestRow(twoPeriods, rests(twoPeriods, counts))
		if best < 0 || used < best {
			best = used
		}
	}
	return best.Div(2)
}

// rest is a kind of piece by what its start leaves over whole periods.
type rest struct {
	over  measure.Length
	count int
	large bool // two of these in a row take a period more
}

// rests sorts the kinds by their distance from the middle; at equal distance a small one still follows a large one
// cheaply, so it comes after.
func rests(period measure.Length, counts map[measure.Length]int) []rest {
	var list []rest
	for over, count := range counts {
		if count > 0 {
			list = append(list, rest{over, count, 2*over > period})
		}
	}
	slices.SortFunc(list, func(a, b rest) int {
		if c := cmp.Compare((2*a.over - period).Abs(), (2*b.over - period).Abs()); c != 0 {
			return c
		}
		return cmp.Compare(b.over, a.over)
	})
	return list
}

// bestRow is the least of 2p·runs + both ends' rests over the kinds of piece that may end the row.
func bestRow(period measure.Length, kinds []rest) measure.Length {
	after := tails(kinds)
	last := len(kinds) - 1
	best := measure.Length(-1)
	try := func(runs int, from int, a, b rest) {
		cost := period*measure.Length(after[from].apply(runs)) + a.over + b.over
		if best < 0 || cost < best {
			best = cost
		}
	}
	before := 0
	for i, a := range kinds {
		if last == 0 && a.count == 1 {
			return period + 2*a.over
		}
		if a.count > 1 {
			try(a.end(a.end(a.add(before, a.count-2, 1), 1), ends(i, last)), i+1, a, a)
		}
		runs := a.end(a.add(before, a.count-1, 1), 1)
		for j := i + 1; j <= last; j++ {
			b := kinds[j]
			try(b.end(b.add(runs, b.count-1, 1), ends(j, last)), j+1, a, b)
			runs = b.add(runs, b.count, 1)
		}
		before = a.add(before, a.count, 1)
	}
	return best
}

// add puts n pieces of the kind to the runs there are: each large one begins a run, each small one joins two, down
// to the least that must stay open.
func (r rest) add(runs, n, least int) int {
	switch {
	case r.large:
		return runs + n
	case n == 0:
		return runs
	}
	return max(least, runs-n)
}

// end puts in one piece that ends the row: it can follow a run but join none.
func (r rest) end(runs, least int) int {
	if r.large {
		return runs + 1
	}
	return max(least, runs)
}

// ends says how many runs must stay open once both ends of the row are placed: two, one at each end, until the
// last piece closes the row.
func ends(kind, last int) int {
	if kind == last {
		return 1
	}
	return 2
}

// tail is what the kinds from one on make of the open runs once both ends are placed: runs ↦ max(least, runs+more).
type tail struct{ least, more int }

func (t tail) apply(runs int) int { return max(t.least, runs+t.more) }

func tails(kinds []rest) []tail {
	list := make([]tail, len(kinds)+1)
	for i := len(kinds) - 1; i >= 0; i-- {
		next, step := list[i+1], tail{ends(i, len(kinds)-1), -kinds[i].count}
		if kinds[i].large {
			step = tail{0, kinds[i].count}
		}
		list[i] = tail{max(next.least, step.least+next.more), step.more + next.more}
	}
	return list
}
