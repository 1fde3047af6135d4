// Package plan has what the tickets of a release are made from: stations and routes, steps, entries, cuts, codes, and the numbers of
// a work-up on them. It knows nothing of a floor on which they are worked off.
package plan

import (
	"slices"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// subject is one panel and its line in the order, for the numbers on its ticket.
type subject struct {
	panel *workup.Panel
	line  *orderfile.Treatment
	units measure.Unit
}

// number is one of the panel's, Nothing where it hasn't it or it says nothing that a hand needs. The routes name only
// numbers that there are.
func (m subject) number(name string) measure.Quantity {
	return workup.NumberOf(name).Shown(m.panel, m.units)
}

// Recode gives a ticket among others another code, also where their cuts are for it. What the cuts were shared with stays as it was.
func Recode(tickets []Ticket, from, to Code) {
	for i := range tickets {
		t := &tickets[i]
		if t.Code == from {
			t.Code = to
		}
		t.Cuts = slices.Clone(t.Cuts)
		for k := range t.Cuts {
			t.Cuts[k].For = slices.Clone(t.Cuts[k].For)
			for j := range t.Cuts[k].For {
				if t.Cuts[k].For[j].Ticket == from {
					t.Cuts[k].For[j].Ticket = to
				}
			}
		}
	}
}

// Tickets makes the tickets of an order's release: one for each fabric's cutting, one for each panel of each window and
// for each piece, each with the steps of its heading's route as the shop lays it and the numbers of the work-up. codes gives a new code
// each call.
// Treatments that an error left without numbers, or whose tubes collide, get no tickets: such an order isn't taken.
func Tickets(w *workup.Workup, l Layout, codes func() Code) []Ticket {
	panels := Panels(w, l)
	who := map[Seat]Code{}
	for i := range panels {
		panels[i].Code = codes()
		who[SeatOf(&panels[i])] = panels[i].Code
	}
	var tickets []Ticket
	for i := range w.Cloth {
		if len(w.Cloth[i].Cuts) > 0 {
			tickets = append(tickets, ClothOf(w, &w.Cloth[i]).ticket(w, codes(), who))
		}
	}
	return append(tickets, panels...)
}

// Seat says which panel of an order one is: of which treatment of the newest file, which of its windows, which panel.
type Seat struct {
	Treatment, Copy int
	Panel           string
}

// SeatOf returns a panel's seat. A piece's has no panel.
func SeatOf(s *Ticket) Seat { return Seat{s.Treatment, s.Copy, s.Panel} }

// Panels are the tickets of an order's panels and pieces in file order, without codes yet.
func Panels(w *workup.Workup, l Layout) []Ticket {
	var panels []Ticket
	for i := range w.Treatments {
		t := &w.Treatments[i]
		if t.Collision {
			continue
		}
		var alike []Ticket // of each window: nobody changes their steps
		for p := range t.Panels {
			alike = append(alike, panelTicket(w, l, t, &t.Panels[p]))
		}
		for copy := 1; copy <= t.Quantity; copy++ {
			for _, ticket := range alike {
				ticket.Copy, ticket.Copies = copy, t.Quantity
				panels = append(panels, ticket)
			}
		}
	}
	for i := range w.Pieces {
		ticket := pieceTicket(w, l, &w.Pieces[i])
		for ticket.Copy = 1; ticket.Copy <= ticket.Copies; ticket.Copy++ {
			panels = append(panels, ticket)
		}
	}
	return panels
}

func panelTicket(w *workup.Workup, l Layout, t *workup.Treatment, p *workup.Panel) Ticket {
	line := &w.Order.Treatments[t.Index]
	m := subject{panel: p, line: line, units: w.Order.Units}
	return Ticket{
		Kind: PanelTicket, Treatment: t.Index, Window: t.Window, Room: t.Room, Panel: string(p.ID),
		Fabrics: fabricsOf(line), Heading: t.Heading, Made: t.Made, Widths: p.Widths, Units: w.Order.Units,
		Lining: line.Lining, Interlining: line.Interlining, Edition: edition, Tape: p.TapeID, Under: line.Under,
		Notes: written(w.Order.Notes, line.Notes), CordEnd: p.CordEnd,
		Steps: panelSteps(m, l, t.Made.As(t.Heading), w.Order.Conventions.Tolerances),
	}
}

// fabricsOf returns the cloths of a treatment, each once.
func fabricsOf(line *orderfile.Treatment) []string {
	list := written(line.Face, line.Lining, line.Interlining)
	for i := range line.Bands {
		if id := line.Bands[i].Fabric; !slices.Contains(list, id) {
			list = append(list, id)
		}
	}
	return list
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

func panelSteps(m subject, l Layout, h orderfile.Heading, tolerances orderfile.Tolerances) []Step {
	way := shipped().of(h)
	if way == nil {
		panic("plan: no route for heading " + string(h)) // the order file refuses such a heading
	}
	var steps []Step
	for _, s := range l.way(way.Name, way.Stations) {
		c := l.row(s)
		step := Step{Station: s, Cautions: namesOf(c.Cautions, h), Minutes: c.Minutes}
		for _, name := range namesOf(c.Values, h) {
			if v := m.number(name); !v.IsZero() {
				step.Values = append(step.Values, Value{Name: name, Value: v})
			}
		}
		for _, e := range c.Enter {
			if entry := e.of(m, s, tolerances); e.Of.have(h) && !entry.Target.IsZero() { // what a panel hasn't isn't asked
				step.Enter = append(step.Enter, entry)
			}
		}
		if IsOwn(s) {
			l.measures(m, &step, tolerances)
		}
		for _, k := range c.Checks {
			if k.Of.have(h) && k.When.holds(m) {
				step.Checks = append(step.Checks, k.Name)
			}
		}
		if paired.holds(m) {
			step.Pair = c.limits(m.units, tolerances)
		}
		steps = append(steps, step)
	}
	l.keepSafe(l.with(way.Name, way.Stations), steps, func(k check) bool { return k.When.holds(m) }, func(e entryRow, s Station) Entry { return e.of(m, s, tolerances) })
	return steps
}

// limits are how far a panel may differ from its mate. A tolerance of a pair has no sides: the greater counts.
func (c *row) limits(units measure.Unit, tolerances orderfile.Tolerances) []PairLimit {
	var limits []PairLimit
	for _, p := range c.Pair {
		if t, ok := tolerances[string(c.Station)+"."+p.Name]; ok {
			limits = append(limits, PairLimit{Name: p.Name, Entry: p.Entry, Limit: measure.OfLength(max(t.Minus, t.Plus), units)})
		}
	}
	return limits
}

// of gives an entry a panel's target and the shop's tolerance.
func (a entryRow) of(m subject, s Station, tolerances orderfile.Tolerances) Entry {
	target := m.number(a.Target)
	if a.Instead != "" {
		if instead := m.number(a.Instead); !instead.IsZero() {
			target = instead
		}
	}
	return a.at(target, s, m.units, tolerances)
}

// at gives an entry its target, and the shop's tolerance at the station.
func (a entryRow) at(target measure.Quantity, s Station, units measure.Unit, tolerances orderfile.Tolerances) Entry {
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
