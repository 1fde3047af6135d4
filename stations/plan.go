package stations

import (
	"strconv"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// Plan makes the tickets of an order's release: one for each fabric's cutting, one for each panel of each window,
// each with the steps of its heading's route and the numbers of the work-up. codes gives a new code each call.
// Treatments that an error left without numbers, or whose tubes collide, get no tickets: such an order isn't taken.
func Plan(w *workup.Workup, codes func() Code) []TicketSpec {
	panels := plannedPanels(w)
	who := map[seat]Code{}
	for i := range panels {
		panels[i].Code = codes()
		who[seatOf(&panels[i])] = panels[i].Code
	}
	var tickets []TicketSpec
	for i := range w.Cloth {
		if len(w.Cloth[i].Cuts) > 0 {
			tickets = append(tickets, clothOf(w, &w.Cloth[i]).ticket(w, codes(), who))
		}
	}
	return append(tickets, panels...)
}

// seat says which panel of an order one is: of which treatment of the newest file, which of its windows, which panel.
type seat struct {
	treatment, copy int
	panel           string
}

func seatOf(s *TicketSpec) seat { return seat{s.Treatment, s.Copy, s.Panel} }

// plannedPanels are the tickets of an order's panels in file order, without codes yet.
func plannedPanels(w *workup.Workup) []TicketSpec {
	var panels []TicketSpec
	for i := range w.Treatments {
		t := &w.Treatments[i]
		if t.Collision {
			continue
		}
		for copy := 1; copy <= t.Quantity; copy++ {
			for p := range t.Panels {
				ticket := panelTicket(w, t, &t.Panels[p])
				ticket.Copy, ticket.Copies = copy, t.Quantity
				panels = append(panels, ticket)
			}
		}
	}
	return panels
}

func panelTicket(w *workup.Workup, t *workup.Treatment, p *workup.Panel) TicketSpec {
	line := &w.Order.Treatments[t.Index]
	m := made{panel: p, line: line, units: w.Order.Units}
	return TicketSpec{
		Kind: PanelTicket, Treatment: t.Index, Window: t.Window, Room: t.Room, Panel: string(p.ID),
		Fabrics: fabricsOf(line), Heading: t.Heading, Widths: p.Widths, Units: w.Order.Units,
		Lining: line.Lining, Interlining: line.Interlining, Edition: edition, Tape: p.TapeID, Under: line.Under,
		Notes: written(w.Order.Notes, line.Notes), CordEnd: p.CordEnd,
		Steps: panelSteps(m, t.Heading, w.Order.Conventions.Tolerances),
	}
}

// fabricsOf returns the cloths of a treatment, each once.
func fabricsOf(line *orderfile.Treatment) []string {
	return written(line.Face, line.Lining, line.Interlining)
}

// written returns the texts that aren't empty.
func written(texts ...string) []string {
	var some []string
	for _, t := range texts {
		if t != "" {
			some = append(some, t)
		}
	}
	return some
}

func panelSteps(m made, h orderfile.Heading, tolerances orderfile.Tolerances) []StepSpec {
	way := shipped().of(h)
	if way == nil {
		panic("stations: no route for heading " + string(h)) // the order file refuses such a heading
	}
	var steps []StepSpec
	for _, s := range way.Stations {
		c := shipped().checklist(s)
		step := StepSpec{Station: s, Cautions: c.Cautions, Minutes: c.Minutes}
		for _, name := range c.Values {
			if v := m.number(name); !v.IsZero() {
				step.Values = append(step.Values, Value{Name: name, Value: v})
			}
		}
		for _, e := range c.Enter {
			step.Enter = append(step.Enter, e.of(m, s, tolerances))
		}
		for _, k := range c.Checks {
			if k.When.holds(m) {
				step.Checks = append(step.Checks, k.Name)
			}
		}
		if paired.holds(m) {
			step.Pair = c.limits(m.units, tolerances)
		}
		steps = append(steps, step)
	}
	return steps
}

// limits are how far a panel may differ from its mate. A tolerance of a pair has no sides: the greater counts.
func (c *checklist) limits(units measure.Unit, tolerances orderfile.Tolerances) []PairLimit {
	var limits []PairLimit
	for _, p := range c.Pair {
		if t, ok := tolerances[string(c.Station)+"."+p.Name]; ok {
			limits = append(limits, PairLimit{Name: p.Name, Entry: p.Entry, Limit: measure.OfLength(max(t.Minus, t.Plus), units)})
		}
	}
	return limits
}

// of gives an entry a panel's target and the shop's tolerance.
func (a asked) of(m made, s Station, tolerances orderfile.Tolerances) Entry {
	return a.at(m.number(a.Target), s, m.units, tolerances)
}

// at gives an entry its target, and the shop's tolerance at the station.
func (a asked) at(target measure.Quantity, s Station, units measure.Unit, tolerances orderfile.Tolerances) Entry {
	e := Entry{Name: a.Name, Kind: a.Kind, Target: target, Options: a.Options, AtStart: a.AtStart}
	if a.Kind != LengthEntry {
		return e
	}
	t, ok := tolerances[string(s)+"."+a.Name]
	if !ok {
		t, ok = tolerances[a.Name]
	}
	if ok {
		e.Tolerance = &Tolerance{Minus: measure.OfLength(t.Minus, units), Plus: measure.OfLength(t.Plus, units)}
	}
	return e
}

// cloth is one fabric's cutting, whole or part of it.
type cloth struct {
	plan       *workup.ClothPlan
	total      workup.FabricTotal
	units      measure.Unit
	tolerances orderfile.Tolerances
	taken      map[string][]cutting.Span // by bolt, what else the order has cut of it or will
	spoken     map[string][]cutting.Span // likewise, what other orders are cut from
}

// clothOf is the whole cutting of a fabric, as at the release.
func clothOf(w *workup.Workup, plan *workup.ClothPlan) cloth {
	c := cloth{plan: plan, units: w.Order.Units, tolerances: w.Order.Conventions.Tolerances}
	for _, total := range w.Totals.Fabrics {
		if total.Fabric == plan.Fabric.ID {
			c.total = total
		}
	}
	return c
}

// ticket makes the cutting ticket; who has the panels' codes.
func (c cloth) ticket(w *workup.Workup, code Code, who map[seat]Code) TicketSpec {
	t := TicketSpec{
		Code: code, Kind: CuttingTicket, Fabric: c.plan.Fabric.ID, Use: c.plan.Fabric.Use, Edition: edition, Units: w.Order.Units, Notes: written(w.Order.Notes),
		Cuts: c.lines(w, who), Remnants: c.remnants(), Parts: PartsOf(c.plan.Fabric, c.units),
	}
	for i := range t.Cuts { // in the order of cutting, as they stand on labels and tags
		t.Cuts[i].Cut = strconv.Itoa(i + 1)
	}
	t.Steps = []StepSpec{c.step()}
	return t
}

// step is the one step of a cutting ticket.
func (c cloth) step() StepSpec {
	list := shipped().Cloth
	step := StepSpec{Station: Cutting, Cautions: list.Cautions, Minutes: list.Minutes}
	for _, name := range list.Values {
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
		step.Checks = append(step.Checks, k.Name)
	}
	return step
}
