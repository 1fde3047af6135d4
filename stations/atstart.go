package stations

import (
	"slices"

	"tablehand/engine/measure"
	"tablehand/stations/plan"
)

// decideStart begins a step. What is measured before the work may come with it: outside its tolerance the step is held
// instead, and the work doesn't begin until the office has decided. Anything else that was filled in waits for the finish.
func decideStart(t *Ticket, c Scan, e *Event) *Refusal {
	e.Action, e.State = Start, AtWork
	found, r := t.Current().judgeStart(c.Measured, t.Spec.Units)
	if r != nil {
		r.Where = &Place{Station: t.Station()}
		return r
	}
	e.Measured, e.OutOf = found.measured, found.outOf
	if len(e.OutOf) > 0 {
		e.State = Held
	}
	return nil
}

// judgeStart holds what was measured before the work against what the step asks: what is given, and what is known from
// an earlier start that a revision has freed. What isn't measured is not missed.
func (s *StepNow) judgeStart(given map[string]string, units measure.Unit) (found, *Refusal) {
	var f found
	for i := range s.Spec.Enter {
		entry := &s.Spec.Enter[i]
		if !entry.AtStart || blank(given[entry.Name]) && s.Measured[entry.Name].IsZero() {
			continue
		}
		value, r := s.valueOf(entry, given, units)
		if r != nil {
			return found{}, r
		}
		f.add(entry.Name, value)
		if !entry.Within(value) {
			f.outOf = append(f.outOf, entry.Name)
		}
	}
	return f, nil
}

// MissingAtStart names what a start should carry and doesn't, nor one before it.
func (s *StepNow) MissingAtStart(given map[string]string) []string {
	var names []string
	for _, e := range s.Spec.Enter {
		if e.AtStart && blank(given[e.Name]) && s.Measured[e.Name].IsZero() {
			names = append(names, e.Name)
		}
	}
	return names
}

// accepted reports whether the office has taken a value, measured before the work, that lies outside its tolerance.
func (s *StepNow) accepted(entry string, value measure.Quantity) bool {
	return s.State == AtWork && slices.Contains(s.OutOf, entry) && s.Measured[entry] == value
}

// heldAtStart reports whether what was measured before the work holds the ticket: it is not begun.
func (t *Ticket) heldAtStart() bool {
	now := t.Current()
	return now != nil && now.State == Held && now.ForOffice && now.Before == Ready && now.Cloth == nil && len(now.OutOf) > 0
}

// letStart frees the tickets whose cloth is now wanted as it was measured: the order has been changed to it. One that its
// bolts hold stays held.
func (r *revising) letStart() {
	for i := range r.out.Revised.Specs {
		spec := &r.out.Revised.Specs[i].Spec
		t := r.ticket(spec.Code)
		if !t.heldAtStart() || slices.ContainsFunc(r.out.Holds, func(h ClothHold) bool { return h.Ticket == spec.Code }) {
			continue
		}
		after := *t.Current()
		after.Spec = &spec.Steps[0]
		if found, refusal := after.judgeStart(nil, spec.Units); refusal == nil && len(found.outOf) == 0 {
			r.out.Also = append(r.out.Also, Moved{Ticket: spec.Code, Station: plan.Cutting, State: Ready})
		}
	}
}

// letStart does what a revision's letStart says: the step can be begun, with what was measured.
func (s *StepNow) letStart() {
	s.resume()
	s.OutOf, s.Person = nil, ""
}
