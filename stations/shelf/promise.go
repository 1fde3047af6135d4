package shelf

import (
	"cmp"
	"slices"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/stations/plan"
)

// Promise is a cut of a cutting ticket that is to be made from a bolt and isn't yet.
type Promise struct {
	Ticket plan.Code
	Order  string
	Cut    string
	Span   cutting.Span
}

// Length is how much cloth the promise takes.
func (p Promise) Length() measure.Length { return p.Span.To - p.Span.From }

// Free is how much of a bolt is neither promised nor cut around, and how long the longest stretch of that is; nothing of a bolt that
// nobody may cut now or that is set aside.
func (b *Bolt) Free(promised []Promise, cutAround int) (all, longest measure.Length) {
	if state := b.State(); b.Kept != nil || state != Received && state != OnShelf {
		return 0, 0
	}
	var taken []cutting.Span
	for _, p := range promised {
		taken = append(taken, p.Span)
	}
	for i := range b.Flaws {
		if b.Flaws[i].CutAround(cutAround) {
			taken = append(taken, b.Flaws[i].Span())
		}
	}
	for _, s := range Besides(cutting.Span{From: b.Begin, To: b.End()}, taken) {
		all += s.To - s.From
		longest = max(longest, s.To-s.From)
	}
	return all, longest
}

// Besides are the parts of a stretch that lie in none of the others.
func Besides(whole cutting.Span, others []cutting.Span) []cutting.Span {
	others = slices.SortedFunc(slices.Values(others), func(a, b cutting.Span) int { return cmp.Compare(a.From, b.From) })
	var free []cutting.Span
	at := whole.From
	for _, s := range others {
		if s.To <= at || s.From >= whole.To {
			continue
		}
		if s.From > at {
			free = append(free, cutting.Span{From: at, To: s.From})
		}
		at = s.To
	}
	if at < whole.To {
		free = append(free, cutting.Span{From: at, To: whole.To})
	}
	return free
}

// meets reports whether two stretches have a part in common.
func meets(a, b cutting.Span) bool { return a.From < b.To && b.From < a.To }
