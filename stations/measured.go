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

// Asked is what a step of a ticket asks for at the moment. What it doesn't ask may be entered and checked, and is then held
// to its tolerance as always.
type Asked struct {
	Enter  []plan.Entry
	Checks []string
}

// Has reports whether an entry or a check is among them.
func (a Asked) Has(name string) bool {
	return slices.Contains(a.Checks, name) || slices.ContainsFunc(a.Enter, func(e plan.Entry) bool { return e.Name == name })
}

// Shown are the checks of a step, those too that it doesn't ask now.
func (a Asked) Shown(step *plan.Step) []string { return union(step.Checks, a.Checks) }

// Asked returns what a step of a ticket asks for now, by its place on the route; at the cutting table also what is owed there.
func (f *Floor) Asked(t *Ticket, step int) Asked {
	o := f.Overlay()
	a := o.asked(t, step)
	enter, _ := o.tableAsks(t)
	a.Enter = slices.Concat(a.Enter, enter)
	return a
}

// asked is that without the entries of the table, which are told there.
func (o *Overlay) asked(t *Ticket, step int) Asked {
	a := o.askedOf(t, step)
	_, checks := o.tableAsks(t)
	a.Checks = slices.Concat(a.Checks, checks)
	return a
}

func (o *Overlay) askedOf(t *Ticket, step int) Asked {
	spec := t.Steps[step].Spec
	if len(spec.Asked) == 0 {
		return Asked{spec.Enter, spec.Checks}
	}
	var a Asked
	for _, e := range spec.Enter {
		if o.asks(t, spec, e.Name) {
			a.Enter = append(a.Enter, e)
		}
	}
	for _, check := range spec.Checks {
		if o.asks(t, spec, check) {
			a.Checks = append(a.Checks, check)
		}
	}
	return a
}

// asks reports whether a panel is asked for an entry or a check at a station. One that only the first panel is asked for is
// asked until one has done it: of two at work at once both are.
func (o *Overlay) asks(t *Ticket, step *plan.Step, name string) bool {
	switch step.When(name) {
	case plan.FirstOfPair:
		mate := o.mate(t)
		return mate == nil || !mate.vouches(step, name)
	case plan.FirstOfOrder:
		return !slices.ContainsFunc(o.order(t.Order).Tickets, func(other *Ticket) bool {
			return other.Spec.Code != t.Spec.Code && other.isPanel() && !other.Cancelled && other.vouches(step, name) && other.Spec.Route() == t.Spec.Route()
		})
	case plan.Never:
		return false
	}
	return true
}

// vouches reports whether the panel is through a station, with an entry measured that lies within its tolerance and had
// the same target, or with a check done: another panel needs it no more.
func (t *Ticket) vouches(asks *plan.Step, name string) bool {
	i := t.step(asks.Station)
	if i < 0 || t.Steps[i].State != Finished {
		return false
	}
	done := &t.Steps[i]
	if slices.Contains(asks.Checks, name) {
		return slices.Contains(done.Checks, name)
	}
	entry, value := done.Spec.Entry(name), done.Measured[name]
	return entry != nil && !value.IsZero() && entry.Target == asks.Entry(name).Target && entry.Within(value)
}

// judge holds what was entered against what the step asks. Entries kept from a finish that was taken back count
// where they aren't entered again; checks are to be named each time. Nothing is judged while anything is missing.
func judge(now *StepNow, asked Asked, c Scan, units measure.Unit) (found, *Refusal) {
	for name := range c.Measured {
		if _, _, told := plan.AtTable(name); !told && now.Spec.Entry(name) == nil {
			return found{}, refuse("unknown_key", "measured."+name, "Name", name)
		}
	}
	if missing := now.missing(asked, c.Measured, c.Checks); len(missing) > 0 {
		r := refuse("entries_missing", "measured")
		r.Missing = missing
		return found{}, r
	}
	var f found
	for i := range now.Spec.Enter {
		entry := &now.Spec.Enter[i]
		if now.lacks(entry.Name, c.Measured) {
			continue // it isn't asked
		}
		value, r := now.valueOf(entry, c.Measured, units)
		if r != nil {
			return found{}, r
		}
		f.add(entry.Name, value)
		if !entry.Within(value) && !now.accepted(entry.Name, value) {
			f.outOf = append(f.outOf, entry.Name)
		}
	}
	for _, check := range asked.Shown(now.Spec) {
		if slices.Contains(c.Checks, check) {
			f.checks = append(f.checks, check)
		}
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

// missing returns the names of entries and checks that are asked and were not given, in the step's order.
func (s *StepNow) missing(asked Asked, typed map[string]string, checks []string) []string {
	var names []string
	for _, e := range asked.Enter {
		if s.lacks(e.Name, typed) {
			names = append(names, e.Name)
		}
	}
	for _, check := range asked.Checks {
		if !slices.Contains(checks, check) {
			names = append(names, check)
		}
	}
	return names
}

// lacks reports whether an entry is neither typed nor known from an earlier finish or start.
func (s *StepNow) lacks(entry string, typed map[string]string) bool {
	return blank(typed[entry]) && s.Measured[entry].IsZero()
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
		if !entry.AtStart || s.lacks(entry.Name, given) {
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
		if e.AtStart && s.Spec.When(e.Name) != plan.Never && s.lacks(e.Name, given) {
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
