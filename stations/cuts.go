package stations

import (
	"cmp"
	"slices"
	"strconv"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// lines writes the cuts in the order in which they are cut: along each bolt, then those that found no bolt. who has
// the panels' codes.
func (c cloth) lines(w *workup.Workup, who map[seat]Code) []CutLine {
	byID := make(map[string]*workup.Cut, len(c.plan.Cuts))
	for i := range c.plan.Cuts {
		byID[c.plan.Cuts[i].ID] = &c.plan.Cuts[i]
	}
	lots := map[string]string{}
	for _, b := range c.plan.Fabric.Bolts {
		lots[b.ID] = b.Lot
	}
	var lines []CutLine
	placed := map[string]bool{}
	for _, p := range c.plan.Plan.Placements {
		cut := byID[p.Cut]
		if cut == nil {
			continue
		}
		placed[p.Cut] = true
		line := c.line(w, cut, who)
		line.Bolt, line.Lot, line.From = p.Bolt, lots[p.Bolt], measure.OfLength(p.From, c.units)
		lines = append(lines, line)
	}
	for i := range c.plan.Cuts {
		if !placed[c.plan.Cuts[i].ID] {
			lines = append(lines, c.line(w, &c.plan.Cuts[i], who))
		}
	}
	return lines
}

func (c cloth) line(w *workup.Workup, cut *workup.Cut, who map[seat]Code) CutLine {
	line := CutLine{Cut: cut.ID, Length: measure.OfLength(cut.Length, c.units), TrimTop: present(cut.TrimTop, c.units), TrimBottom: present(cut.TrimBottom, c.units)}
	if c.plan.Fabric.Match == orderfile.HalfDrop && !c.plan.Fabric.Plain() {
		line.Class = string(rune('A' + cut.Class))
	}
	of := &w.Order.Treatments[cut.Treatment]
	for _, p := range cut.For {
		line.For = append(line.For, CutPart{Ticket: who[seat{cut.Treatment, p.Copy, string(p.Panel)}], Window: of.Window, Copy: p.Copy, Copies: of.Quantity, Panel: string(p.Panel), Place: p.Place, Half: p.Half})
	}
	return line
}

// PartsOf are the bolts of a fabric of which only a part is the order's.
func PartsOf(f *orderfile.Fabric, units measure.Unit) []BoltPart {
	var parts []BoltPart
	for _, b := range f.Bolts {
		if b.From > 0 {
			parts = append(parts, BoltPart{b.ID, b.Lot, measure.OfLength(b.From, units.Purchase())})
		}
	}
	return parts
}

// remnants are what the cuts, and those of others, leave at the end of each bolt that they open, up to another order's
// part.
func (c cloth) remnants() []Remnant {
	last := lastCuts(c.plan.Plan.Placements)
	var remnants []Remnant
	for _, b := range c.plan.Fabric.Bolts {
		to, opened := last[b.ID]
		for _, s := range c.taken[b.ID] {
			to = max(to, s.To)
		}
		if left := besides(cutting.Span{From: to, To: b.Length}, c.spoken[b.ID]); opened && left.From < left.To {
			remnants = append(remnants, Remnant{Bolt: b.ID, From: measure.OfLength(left.From, c.units), Length: measure.OfLength(left.To-left.From, c.units)})
		}
	}
	return remnants
}

// besides is the end of a bolt as far as it is nobody else's: from behind a part that another order is cut from to where
// the next one begins.
func besides(end cutting.Span, spoken []cutting.Span) cutting.Span {
	spoken = slices.SortedFunc(slices.Values(spoken), func(a, b cutting.Span) int { return cmp.Compare(a.From, b.From) })
	for _, s := range spoken {
		if s.From >= end.From {
			end.To = min(end.To, s.From)
			break
		}
		end.From = max(end.From, s.To)
	}
	return end
}

// lastCuts returns where the last cut of each bolt ends.
func lastCuts(placements []cutting.Placement) map[string]measure.Length {
	last := map[string]measure.Length{}
	for _, p := range placements {
		last[p.Bolt] = max(last[p.Bolt], p.To)
	}
	return last
}

// alongBolts sorts cuts as they are cut: along each bolt, then those without one.
func (c cloth) alongBolts(lines []CutLine) []CutLine {
	order := map[string]int{"": len(c.plan.Fabric.Bolts) + 1}
	for i, b := range c.plan.Fabric.Bolts {
		order[b.ID] = i - len(c.plan.Fabric.Bolts) // a bolt that isn't listed any more is 0
	}
	slices.SortStableFunc(lines, func(a, b CutLine) int {
		return cmp.Or(cmp.Compare(order[a.Bolt], order[b.Bolt]), cmp.Compare(a.From.Length(), b.From.Length()))
	})
	return lines
}

// count numbers a cutting ticket's cuts, and sets how many there are and how much cloth they take: half a repeat more
// where a half-drop has both classes, as the work-up counts it, is in the gaps between them.
func (s *TicketSpec) count() {
	var length measure.Length
	done := map[string]bool{} // a piece that is cut keeps the number on its tag
	for i := range s.Cuts {
		length += s.Cuts[i].Length.Length()
		if s.Cuts[i].Done {
			done[s.Cuts[i].Cut] = true
		}
	}
	n := 0
	for i := range s.Cuts {
		if s.Cuts[i].Done {
			continue
		}
		for n++; done[strconv.Itoa(n)]; n++ {
		}
		s.Cuts[i].Cut = strconv.Itoa(n)
	}
	for i := range s.Steps {
		step := &s.Steps[i]
		step.Values = slices.Clone(step.Values)
		for k := range step.Values {
			switch v := &step.Values[k]; v.Name {
			case "cuts":
				v.Value = measure.OfCount(len(s.Cuts))
			case "length":
				v.Value = measure.OfLength(length, s.Units)
			}
		}
	}
}
