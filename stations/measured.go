package stations

import (
	"errors"
	"slices"
	"strconv"
	"strings"

	"tablehand/engine/measure"
	"tablehand/stations/plan"
)

// found is what a station found, as the ledger keeps it.
type found struct {
	measured map[string]measure.Quantity
	checks   []string
	outOf    []string // entries outside their tolerance
}

func (f *found) add(name string, value measure.Quantity) {
	if f.measured == nil {
		f.measured = map[string]measure.Quantity{}
	}
	f.measured[name] = value
}

// judge holds what was entered against what the step asks. Entries kept from a finish that was taken back count
// where they aren't entered again; checks are to be named each time. Nothing is judged while anything is missing.
func judge(now *StepNow, c Scan, units measure.Unit) (found, *Refusal) {
	for name := range c.Measured {
		if now.Spec.Entry(name) == nil {
			return found{}, refuse("unknown_key", "measured."+name, "Name", name)
		}
	}
	if missing := now.missing(c.Measured, c.Checks); len(missing) > 0 {
		r := refuse("entries_missing", "measured")
		r.Missing = missing
		return found{}, r
	}
	var f found
	for i := range now.Spec.Enter {
		entry := &now.Spec.Enter[i]
		value, r := now.valueOf(entry, c.Measured, units)
		if r != nil {
			return found{}, r
		}
		f.add(entry.Name, value)
		if !entry.Within(value) && !now.accepted(entry.Name, value) {
			f.outOf = append(f.outOf, entry.Name)
		}
	}
	if len(now.Spec.Checks) > 0 {
		f.checks = slices.Clone(now.Spec.Checks)
	}
	return f, nil
}

// valueOf is an entry's value: what is typed, else what is kept of an earlier finish or start, in the order's unit.
func (s *StepNow) valueOf(e *plan.Entry, typed map[string]string, units measure.Unit) (measure.Quantity, *Refusal) {
	if text := typed[e.Name]; !blank(text) {
		return readEntry(e, text, units)
	}
	kept := s.Measured[e.Name]
	if kept.IsLength() {
		return measure.OfLength(kept.Length(), units), nil
	}
	return kept, nil
}

// missing returns the names of entries and checks of the step that were not given, in its order.
func (s *StepNow) missing(typed map[string]string, checks []string) []string {
	var names []string
	for _, e := range s.Spec.Enter {
		if blank(typed[e.Name]) && s.Measured[e.Name].IsZero() {
			names = append(names, e.Name)
		}
	}
	for _, check := range s.Spec.Checks {
		if !slices.Contains(checks, check) {
			names = append(names, check)
		}
	}
	return names
}

// readEntry reads what somebody typed for an entry: here it becomes a quantity, and stays one.
func readEntry(e *plan.Entry, text string, units measure.Unit) (measure.Quantity, *Refusal) {
	switch e.Kind {
	case plan.LengthEntry:
		l, r := readLength("measured."+e.Name, e.Name, text, units)
		return measure.OfLength(l, units), r
	case plan.CountEntry:
		n, err := strconv.Atoi(strings.TrimSpace(text))
		if err != nil || n < 0 {
			return measure.Quantity{}, badAnswer(e, text)
		}
		return measure.OfCount(n), nil
	}
	choice := strings.ToLower(strings.TrimSpace(text))
	if !slices.Contains(e.Options, choice) {
		return measure.Quantity{}, badAnswer(e, text)
	}
	return measure.OfWord(choice), nil
}

// readLength reads a length that somebody typed, of a name in a field of a command.
func readLength(field, name, text string, units measure.Unit) (measure.Length, *Refusal) {
	l, err := measure.Parse(text, units)
	if err != nil {
		r := badEntry("bad_length", field, name, text)
		var parse *measure.ParseError
		if errors.As(err, &parse) {
			r.Args["Reason"], r.Args["Part"] = string(parse.Reason), parse.Part
		}
		return 0, r
	}
	if l < 0 {
		return 0, badEntry("bad_value", field, name, text)
	}
	return l, nil
}

func badAnswer(e *plan.Entry, text string) *Refusal {
	return badEntry("bad_value", "measured."+e.Name, e.Name, text)
}

func badEntry(code, field, name, text string) *Refusal {
	return refuse(code, field, "Name", name, "Value", text, "Reason", "", "Part", "")
}

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
