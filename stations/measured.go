package stations

import (
	"errors"
	"slices"
	"strconv"
	"strings"

	"tablehand/engine/measure"
)

// found is what a station found, as the ledger keeps it.
type found struct {
	measured map[string]string
	checks   []string
	outOf    []string // entries outside their tolerance
}

// judge holds what was entered against what the step asks. Entries kept from a finish that was taken back count
// where they aren't entered again; checks are to be named each time. Nothing is judged while anything is missing.
func judge(now *StepNow, c Scan, units measure.Unit) (found, *Refusal) {
	given := map[string]string{}
	for name, value := range now.Measured {
		given[name] = value
	}
	for name, value := range c.Measured {
		if now.Spec.entry(name) == nil {
			return found{}, refuse("unknown_key", "measured."+name, "Name", name)
		}
		if !blank(value) {
			given[name] = value
		}
	}
	if missing := now.Spec.missing(given, c.Checks); len(missing) > 0 {
		r := refuse("entries_missing", "measured")
		r.Missing = missing
		return found{}, r
	}
	var f found
	for i := range now.Spec.Enter {
		entry := &now.Spec.Enter[i]
		value, within, r := entry.read(given[entry.Name], units)
		if r != nil {
			return found{}, r
		}
		if f.measured == nil {
			f.measured = map[string]string{}
		}
		f.measured[entry.Name] = value
		if !within && !now.accepted(entry.Name, value) {
			f.outOf = append(f.outOf, entry.Name)
		}
	}
	if len(now.Spec.Checks) > 0 {
		f.checks = slices.Clone(now.Spec.Checks)
	}
	return f, nil
}

func (s *StepSpec) entry(name string) *Entry {
	for i := range s.Enter {
		if s.Enter[i].Name == name {
			return &s.Enter[i]
		}
	}
	return nil
}

// missing returns the names of entries and checks of the step that were not given, in its order.
func (s *StepSpec) missing(given map[string]string, checks []string) []string {
	var names []string
	for _, e := range s.Enter {
		if given[e.Name] == "" {
			names = append(names, e.Name)
		}
	}
	for _, check := range s.Checks {
		if !slices.Contains(checks, check) {
			names = append(names, check)
		}
	}
	return names
}

// read returns an entered value as the ledger keeps it, and whether it lies within the tolerance.
func (e *Entry) read(text string, units measure.Unit) (value string, within bool, r *Refusal) {
	switch e.Kind {
	case LengthEntry:
		return e.readLength(text, units)
	case CountEntry:
		return e.readCount(text)
	}
	value = strings.ToLower(strings.TrimSpace(text))
	if !slices.Contains(e.Options, value) {
		return "", false, e.bad("bad_value", text)
	}
	return value, true, nil
}

func (e *Entry) readLength(text string, units measure.Unit) (string, bool, *Refusal) {
	l, err := measure.Parse(text, units)
	if err != nil {
		r := e.bad("bad_length", text)
		var parse *measure.ParseError
		if errors.As(err, &parse) {
			r.Args["Reason"], r.Args["Part"] = string(parse.Reason), parse.Part
		}
		return "", false, r
	}
	if l < 0 {
		return "", false, e.bad("bad_value", text)
	}
	low, high := e.Between()
	return l.In(units), low <= l && l <= high, nil
}

func (e *Entry) readCount(text string) (string, bool, *Refusal) {
	n, err := strconv.Atoi(strings.TrimSpace(text))
	if err != nil || n < 0 {
		return "", false, e.bad("bad_value", text)
	}
	low, high := e.CountBetween()
	return strconv.Itoa(n), low <= n && n <= high, nil
}

// CountBetween returns the least and the greatest count that pass.
func (e *Entry) CountBetween() (low, high int) {
	target, _ := strconv.Atoi(e.Target)
	if e.Tolerance == nil {
		return target, target
	}
	minus, _ := strconv.Atoi(e.Tolerance.Minus)
	plus, _ := strconv.Atoi(e.Tolerance.Plus)
	return target - minus, target + plus
}

// Between returns the least and the greatest length that pass. Plan wrote target and tolerance, so they read.
func (e *Entry) Between() (low, high measure.Length) {
	target, _ := measure.Parse(e.Target, "")
	if e.Tolerance == nil {
		return target, target
	}
	minus, _ := measure.Parse(e.Tolerance.Minus, "")
	plus, _ := measure.Parse(e.Tolerance.Plus, "")
	return target - minus, target + plus
}

// Believable returns the least and the greatest length that a hand can have measured; what lies beyond was mistyped, so a
// bench asks once more instead of holding the panel. The floor itself takes it all the same.
//
// Off by more than a quarter and an inch is our own choice, from no published source. It is wide enough for every real
// mistake in the cloth, which then is the office's to decide, and catches a digit too many or too few.
func (e *Entry) Believable() (least, most measure.Length) {
	target, _ := measure.Parse(e.Target, "")
	low, high := e.Between()
	far := target/4 + measure.Inch
	return max(0, min(low, target-far)), max(high, target+far)
}

// CountBelievable is Believable for a count: off by more than a quarter and two, our own choice as well.
func (e *Entry) CountBelievable() (least, most int) {
	target, _ := strconv.Atoi(e.Target)
	low, high := e.CountBetween()
	far := target/4 + 2
	return max(0, min(low, target-far)), max(high, target+far)
}

func (e *Entry) bad(code, text string) *Refusal {
	return refuse(code, "measured."+e.Name, "Name", e.Name, "Value", text, "Reason", "", "Part", "")
}
