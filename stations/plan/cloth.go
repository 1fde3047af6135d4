package plan

import (
	"cmp"
	"slices"
	"strconv"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/pattern"
	"tablehand/engine/workup"
)

// Cloth is one fabric's cutting, whole or part of it.
type Cloth struct {
	plan       *workup.ClothPlan
	total      workup.FabricTotal
	units      measure.Unit
	tolerances orderfile.Tolerances
	match      measure.Length            // where the pattern meets itself across
	Taken      map[string][]cutting.Span // by bolt, what else the order has cut of it or will
	Spoken     map[string][]cutting.Span // likewise, what other orders are cut from
}

// ClothOf is the whole cutting of a fabric, as at the release.
func ClothOf(w *workup.Workup, plan *workup.ClothPlan) Cloth {
	c := Cloth{plan: plan, units: w.Order.Units, tolerances: w.Order.Conventions.Tolerances, match: workup.MatchWidth(&w.Order.Conventions, plan.Fabric)}
	for _, total := range w.Totals.Fabrics {
		if total.Fabric == plan.Fabric.ID {
			c.total = total
		}
	}
	return c
}

// Proof says how good a plan of cuts is known to be.
type Proof string

const (
	Proven    Proof = "proven" // no plan opens fewer bolts
	BestFound Proof = "best_found"
)

// ProofOf is that of a fabric's plan, "" where none of its bolts is the shelf's.
func ProofOf(layout *workup.ClothPlan) Proof {
	switch {
	case !slices.ContainsFunc(layout.Fabric.Bolts, func(b orderfile.Bolt) bool { return b.Shelf != "" }):
		return ""
	case layout.Proven:
		return Proven
	}
	return BestFound
}

// clothNumbers are those of a fabric's cutting.
var clothNumbers = map[string]func(c Cloth) measure.Quantity{
	"fabric":          func(c Cloth) measure.Quantity { return measure.OfWord(c.plan.Fabric.ID) },
	"cuts":            func(c Cloth) measure.Quantity { return measure.OfCount(len(c.plan.Cuts)) },
	"length":          func(c Cloth) measure.Quantity { return measure.OfLength(c.total.Length, c.units) },
	"usable_width":    func(c Cloth) measure.Quantity { return measure.OfLength(c.plan.Fabric.UsableWidth, c.units) },
	"match_width":     func(c Cloth) measure.Quantity { return OptionalLength(c.match, c.units) },
	"vertical_repeat": func(c Cloth) measure.Quantity { return OptionalLength(c.plan.Fabric.VerticalRepeat, c.units) },
	// Five repeats are long enough for a tape measure to tell one that is off by a thread.
	"repeat_over_five": func(c Cloth) measure.Quantity { return OptionalLength(5*c.plan.Fabric.VerticalRepeat, c.units) },
	"pile":             func(c Cloth) measure.Quantity { return measure.OfWord(string(c.plan.Fabric.Pile)) },
	"on_bolts": func(c Cloth) measure.Quantity {
		if c.total.OnBolts == nil {
			return measure.Quantity{}
		}
		return measure.OfLength(*c.total.OnBolts, c.units)
	},
}

// clothConditions are those that a check of a fabric's cutting may need.
var clothConditions = map[condition]func(c Cloth) bool{
	always:  func(Cloth) bool { return true },
	piled:   func(c Cloth) bool { return c.plan.Fabric.Pile != "" },
	shelved: func(Cloth) bool { return false },
	railroaded: func(c Cloth) bool {
		return slices.ContainsFunc(c.plan.Cuts, func(cut workup.Cut) bool { return cut.Railroaded })
	},
}

// OptionalLength is a length that there may be none of.
func OptionalLength(l measure.Length, u measure.Unit) measure.Quantity {
	if l == 0 {
		return measure.Quantity{}
	}
	return measure.OfLength(l, u)
}

// ticket makes the cutting ticket; who has the panels' codes.
func (c Cloth) ticket(w *workup.Workup, code Code, who map[Seat]Code) Ticket {
	t := Ticket{
		Code: code, Kind: CuttingTicket, Fabric: c.plan.Fabric.ID, Use: c.plan.Fabric.Use, Edition: edition, Units: w.Order.Units, Notes: written(w.Order.Notes),
		Cuts: c.Lines(w, who), Remnants: c.remnants(), Parts: BoltParts(c.plan.Fabric, c.units), Proof: ProofOf(c.plan),
	}
	for i := range t.Cuts { // in the order of cutting, as they stand on labels and tags
		t.Cuts[i].Cut = strconv.Itoa(i + 1)
	}
	t.Steps = []Step{c.step()}
	return t
}

// Part makes a cutting ticket of part of a fabric's cuts, with cuts that stand on it already. Whole, it is the
// fabric's only one, as at a release.
func (c Cloth) Part(w *workup.Workup, code Code, who map[Seat]Code, fixed []Cut, whole bool) *Ticket {
	t := c.ticket(w, code, who)
	if whole {
		return &t
	}
	t.Cuts = c.alongBolts(append(slices.Clone(fixed), t.Cuts...))
	t.NumberCuts()
	return &t
}

// step is the one step of a cutting ticket.
func (c Cloth) step() Step {
	list := shipped().Cloth
	step := Step{Station: Cutting, Cautions: names(list.Cautions), Minutes: list.Minutes}
	for _, name := range names(list.Values) {
		if v := clothNumbers[name](c); !v.IsZero() {
			step.Values = append(step.Values, Value{Name: name, Value: v})
		}
	}
	for _, a := range list.Enter {
		if target := clothNumbers[a.Target](c); !target.IsZero() {
			step.Enter = append(step.Enter, a.at(target, Cutting, c.units, c.tolerances))
		}
	}
	for _, k := range list.Checks {
		if clothConditions[k.When](c) {
			step.Checks = append(step.Checks, k.Name)
		}
	}
	return step
}

// Lines writes the cuts in the order in which they are cut: along each bolt, then those that found no bolt. who has
// the panels' codes.
func (c Cloth) Lines(w *workup.Workup, who map[Seat]Code) []Cut {
	byID := make(map[string]*workup.Cut, len(c.plan.Cuts))
	for i := range c.plan.Cuts {
		byID[c.plan.Cuts[i].ID] = &c.plan.Cuts[i]
	}
	bolts := c.plan.Fabric.ByName()
	var lines []Cut
	placed := map[string]bool{}
	for _, p := range c.plan.Plan.Placements {
		cut := byID[p.Cut]
		if cut == nil {
			continue
		}
		placed[p.Cut] = true
		line := c.line(w, cut, who)
		line.Lie(p.Bolt, bolts[p.Bolt].Lot, bolts[p.Bolt].Half, measure.OfLength(p.From, c.units))
		lines = append(lines, line)
	}
	for i := range c.plan.Cuts {
		if !placed[c.plan.Cuts[i].ID] {
			lines = append(lines, c.line(w, &c.plan.Cuts[i], who))
		}
	}
	return lines
}

func (c Cloth) line(w *workup.Workup, cut *workup.Cut, who map[Seat]Code) Cut {
	line := Cut{Cut: cut.ID, Trimming: cut.Trimming, Railroaded: cut.Railroaded, Across: OptionalLength(cut.Across, c.units), Length: measure.OfLength(cut.Length, c.units), TrimTop: OptionalLength(cut.TrimTop, c.units), TrimBottom: OptionalLength(cut.TrimBottom, c.units)}
	if c.plan.Fabric.Match == orderfile.HalfDrop && !c.plan.Fabric.Plain() && cut.Trimming == "" && !cut.Railroaded {
		line.Class = string(rune('A' + cut.Class))
	}
	if cut.Phase > 0 {
		start := pattern.Start{Behind: cut.Phase, Dropped: line.Class == "B"}
		line.Phase = measure.OfLength(start.On(c.plan.Fabric.VerticalRepeat), c.units)
	}
	name, quantity := w.Line(cut.Treatment)
	for _, p := range cut.For {
		line.For = append(line.For, CutPart{Ticket: who[Seat{cut.Treatment, p.Copy, string(p.Panel)}], Window: name, Copy: p.Copy, Copies: quantity, Panel: string(p.Panel), Place: p.Place, Half: p.Half, Count: p.Count})
	}
	return line
}

// alongBolts sorts cuts as they are cut: along each bolt, then those without one.
func (c Cloth) alongBolts(lines []Cut) []Cut {
	order := map[string]int{"": len(c.plan.Fabric.Bolts) + 1}
	for i, b := range c.plan.Fabric.Bolts {
		order[b.ID] = i - len(c.plan.Fabric.Bolts) // a bolt that isn't listed any more is 0
	}
	slices.SortStableFunc(lines, func(a, b Cut) int {
		return cmp.Or(cmp.Compare(order[a.Bolt], order[b.Bolt]), cmp.Compare(a.From.Length(), b.From.Length()))
	})
	return lines
}

// remnants are what the cuts, and those of others, leave at the end of each bolt that they open, up to another order's
// part.
func (c Cloth) remnants() []Remnant {
	last := lastCuts(c.plan.Plan.Placements)
	var remnants []Remnant
	for _, b := range c.plan.Fabric.Bolts {
		to, opened := last[b.ID]
		for _, s := range c.Taken[b.ID] {
			to = max(to, s.To)
		}
		if left := besides(cutting.Span{From: to, To: b.Length}, c.Spoken[b.ID]); opened && left.From < left.To {
			remnants = append(remnants, Remnant{Bolt: b.ID, From: measure.OfLength(left.From, c.units), Length: measure.OfLength(left.To-left.From, c.units)})
		}
	}
	return remnants
}

// SortCuts puts each ticket's cuts of a fabric along the bolts, and says what they and what else is taken leave there.
func SortCuts(layout *workup.ClothPlan, tickets []*Ticket, taken, spoken map[string][]cutting.Span) {
	var placements []cutting.Placement
	for _, s := range tickets {
		for i := range s.Cuts {
			if line := &s.Cuts[i]; line.Bolt != "" {
				placements = append(placements, cutting.Placement{Bolt: line.Bolt, To: line.End()})
			}
		}
	}
	on := *layout
	on.Plan.Placements = placements
	of := Cloth{plan: &on, units: tickets[0].Units, Taken: taken, Spoken: spoken}
	for _, s := range tickets {
		s.Cuts, s.Remnants = of.alongBolts(s.Cuts), nil
		for _, r := range of.remnants() {
			if slices.ContainsFunc(s.Cuts, func(c Cut) bool { return c.Bolt == r.Bolt }) {
				s.Remnants = append(s.Remnants, r)
			}
		}
	}
}
