package cutting

import (
	"cmp"
	"slices"

	"tablehand/engine/measure"
)

// Forward moves each cut of a plan as far towards the front of its bolt as its phase, the flaws and the cuts in front of it allow: cloth comes off
// the front, and what stays on a bolt is one rest behind them. No cut moves to another bolt, or past another.
func (p Problem) Forward(plan Plan) Plan {
	cuts := make(map[string]*Cut, len(p.Cuts))
	for i := range p.Cuts {
		cuts[p.Cuts[i].ID] = &p.Cuts[i]
	}
	plan.Placements = slices.Clone(plan.Placements)
	for i := range p.Bolts {
		b := &p.Bolts[i]
		var on []*Placement
		for k := range plan.Placements {
			if plan.Placements[k].Bolt == b.ID {
				on = append(on, &plan.Placements[k])
			}
		}
		slices.SortFunc(on, func(a, b *Placement) int { return cmp.Compare(a.From, b.From) })
		at := p.EndAllowance
		for _, pl := range on {
			pl.From = min(pl.From, p.next(b, cuts[pl.Cut], at))
			pl.To = pl.From + cuts[pl.Cut].Length
			at = pl.To + p.Kerf
		}
	}
	return plan
}

// First is where a cut can start first on a bolt with nothing on it, as far as its phase and the flaws say; below nothing where it has no room.
func (p *Problem) First(b *Bolt, cut *Cut) measure.Length {
	at := p.next(b, cut, p.EndAllowance)
	if at+cut.Length > b.Length-p.EndAllowance {
		return -1
	}
	return at
}

// next is the first place from a mark on where a cut may lie on a bolt, as far as its phase and the flaws say.
func (p *Problem) next(b *Bolt, cut *Cut, at measure.Length) measure.Length {
	repeat, begin := p.Pattern(b, cut.Start)
	for {
		if first := b.FirstRepeat + begin; repeat > 0 && !cut.Anywhere {
			at = first + max(0, at-first).CeilTo(repeat)
		}
		i := slices.IndexFunc(b.Flaws, func(f Span) bool { return f.From < at+cut.Length && at < f.To })
		if i < 0 {
			return at
		}
		at = b.Flaws[i].To
	}
}
