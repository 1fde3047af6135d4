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
