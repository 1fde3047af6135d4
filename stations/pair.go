package stations

import (
	"slices"

	"tablehand/engine/measure"
	"tablehand/stations/plan"
)

// PairDiffers is why a panel is held for its mate: what both measured at the station.
type PairDiffers struct {
	Mate     plan.Code    `json:"mate"`
	Measures []MatesApart `json:"measures"`
}

// MatesApart is one measure in which the panels of a pair differ by more than the shop's limit.
type MatesApart struct {
	Entry    string           `json:"entry"`
	Measured measure.Quantity `json:"measured"` // of the panel that is held
	Mate     measure.Quantity `json:"mate"`     // of the other
	By       measure.Quantity `json:"by"`       // how far apart their deviations are
	Limit    measure.Quantity `json:"limit"`
}

// ReasonPair is the reason of a hold because of a pair. A person's own reasons are sentences.
const ReasonPair = "pair_differs"

// differs compares what is measured on a panel with what its mate measured at the same station. Each is held against
// its own target in the order's newest file, so that the panels of a window with two returns compare as those of any
// other. nil: nothing to compare, or no measure over its limit.
func (o *Overlay) differs(t *Ticket, measured map[string]measure.Quantity) *PairDiffers {
	spec := t.Current().Spec
	if len(spec.Pair) == 0 {
		return nil
	}
	mate := o.mate(t)
	if mate == nil {
		return nil
	}
	d := PairDiffers{Mate: mate.Spec.Code}
	for _, m := range t.beside(mate) {
		own := measured[m.Entry]
		if own.IsZero() {
			continue
		}
		if m.Apart(own) {
			d.Measures = append(d.Measures, MatesApart{m.Entry, own, m.Mate, measure.OfLength(m.Off(own).Abs(), t.Spec.Units), m.Limit})
		}
	}
	if len(d.Measures) == 0 {
		return nil
	}
	return &d
}

// MateMeasure is what the mate of a panel measured at its station, for an entry that the two are compared by.
type MateMeasure struct {
	Entry string
	Mate  measure.Quantity
	Alike measure.Length   // what this panel measures where it differs from its mate by nothing
	Limit measure.Quantity // how far from that it may be
}

// Off is how much more a panel measures than where it differs from its mate by nothing.
func (m MateMeasure) Off(own measure.Quantity) measure.Length { return own.Length() - m.Alike }

// Apart reports whether a panel that measures so is further from its mate than the shop allows.
func (m MateMeasure) Apart(own measure.Quantity) bool { return m.Off(own).Abs() > m.Limit.Length() }

// beside is what a panel's measures at its present station are held against: those of a mate that is done there.
func (t *Ticket) beside(mate *Ticket) (list []MateMeasure) {
	spec := t.Current().Spec
	theirs := mate.found(spec.Station)
	for _, l := range spec.Pair {
		if other := theirs[l.Entry]; !other.IsZero() {
			alike := mate.deviation(spec.Station, l.Entry, other) - t.deviation(spec.Station, l.Entry, measure.Quantity{})
			list = append(list, MateMeasure{l.Entry, other, alike, l.Limit})
		}
	}
	return list
}

// BesideMate is what a panel's measures at its present station are held against, and its mate; nil where it has none, or its mate
// isn't done there.
func (f *Floor) BesideMate(t *Ticket) (mate *Ticket, list []MateMeasure) {
	if t.Current() == nil {
		return nil, nil
	}
	if mate = f.Overlay().mate(t); mate == nil {
		return nil, nil
	}
	return mate, t.beside(mate)
}

// mate is the other panel of a pair, nil where there is none that still counts.
func (o *Overlay) mate(t *Ticket) *Ticket {
	other := map[string]string{"L": "R", "R": "L"}[t.Spec.Panel]
	if other == "" {
		return nil
	}
	is := func(m *Ticket) bool {
		s := m.Spec
		return m.isPanel() && !m.Cancelled && s.Panel == other && s.Treatment == t.Spec.Treatment && s.Copy == t.Spec.Copy
	}
	tickets := o.order(t.Order).Tickets
	for _, beside := range []int{t.place - 1, t.place + 1} { // where it nearly always is, among thousands
		if beside >= 0 && beside < len(tickets) && is(tickets[beside]) {
			return tickets[beside]
		}
	}
	if i := slices.IndexFunc(tickets, is); i >= 0 {
		return tickets[i]
	}
	return nil
}

// found is what a station that is done with the panel measured, even where the office still has to pass it.
func (t *Ticket) found(s plan.Station) map[string]measure.Quantity {
	i := t.step(s)
	if i < 0 {
		return nil
	}
	if step := &t.Steps[i]; step.State == Finished || step.State == Held && step.ForOffice {
		return step.Measured
	}
	return nil
}

// deviation is how far a measure lies over its target in the order's newest file, below 0 under it. A panel that keeps
// an older file's numbers is held against what it should have been: its mate hangs beside it.
func (t *Ticket) deviation(s plan.Station, entry string, measured measure.Quantity) measure.Length {
	for _, spec := range []*plan.Ticket{t.newest(), t.Spec} {
		if step := spec.At(s); step != nil && step.Entry(entry) != nil {
			return measured.Length() - step.Entry(entry).Target.Length()
		}
	}
	return 0
}

// heldForPair reports whether the office has to decide on a panel that differs from its mate.
func (t *Ticket) heldForPair() bool {
	now := t.Current()
	return now != nil && now.State == Held && now.Pair != nil
}

// heldFor returns the panel that is held because it differs from this one, nil where none is.
func (o *Overlay) heldFor(t *Ticket) *Ticket {
	if m := o.mate(t); m != nil && m.heldForPair() && m.Current().Pair.Mate == t.Spec.Code {
		return m
	}
	return nil
}

// HeldFor returns the panel that is held because it differs from this one, nil where none is. Until the office has
// decided neither is ready to invoice.
func (f *Floor) HeldFor(t *Ticket) *Ticket { return f.Overlay().heldFor(t) }

// freed is where a panel goes that was held for its mate, when the mate's measure is no more: it has been sent back, or
// is made anew. What else holds it holds it still.
func (o *Overlay) freed(mate *Ticket) []Moved {
	t := o.heldFor(mate)
	if t == nil {
		return nil
	}
	m := Moved{Ticket: t.Spec.Code, Station: t.Station(), State: Finished}
	if len(t.Current().OutOf) > 0 {
		m.State = Held
	}
	return []Moved{m}
}

// applyFreed does what freed says.
func (o *Overlay) applyFreed(m Moved, e Event) {
	t := o.touch(m.Ticket, e.At)
	step := t.Current()
	step.Pair = nil
	if m.State == Held {
		step.Reason = ""
		return
	}
	step.resume()
	t.finishStep()
}

// undecided are the panels whose mates are held because they differ from them.
func (o *Order) undecided() map[plan.Code]bool {
	var codes map[plan.Code]bool
	for _, t := range o.Tickets {
		if t.heldForPair() {
			if codes == nil {
				codes = map[plan.Code]bool{}
			}
			codes[t.Current().Pair.Mate] = true
		}
	}
	return codes
}
