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

// Sound is where cuts may lie on what there is of a bolt, and what they keep clear of there: the allowances at its ends, its cloth's or the
// shop's, and at flaws, and a kerf behind the last cut, unless what is left was measured since.
func (b *Bolt) Sound(ways Ways) (whole cutting.Span, flaws []cutting.Span) {
	ends := ways.EndAllowance
	if !b.Ends.IsZero() {
		ends = b.Ends.Length()
	}
	whole = cutting.Span{From: b.Begin + ends, To: b.End() - ends}
	if n := len(b.Off); n > 0 && b.Off[n-1].Ticket != "" && !b.Measured {
		whole.From = max(whole.From, b.Begin+ways.Kerf)
	}
	for i := range b.Flaws {
		if f := &b.Flaws[i]; f.CutAround(ways.CutAround) {
			s := f.Span()
			flaws = append(flaws, cutting.Span{From: max(0, s.From-ways.FlawClear), To: s.To + ways.FlawClear})
		}
	}
	return whole, flaws
}

// Free is how much of a bolt can be cut and is promised to nobody, and how long the longest stretch of that is; nothing of a bolt that
// nobody may cut now or that is set aside.
func (b *Bolt) Free(promised []Promise, ways Ways) (all, longest measure.Length) {
	if state := b.State(); b.Kept != nil || state != Received && state != OnShelf {
		return 0, 0
	}
	var cuts []cutting.Span
	for _, p := range promised {
		cuts = append(cuts, p.Span)
	}
	whole, flaws := b.Sound(ways)
	for _, s := range Besides(whole, append(flaws, cutting.Beside(cuts, ways.Kerf)...)) {
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
