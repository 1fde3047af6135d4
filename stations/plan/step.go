package plan

import (
	"encoding/json"
	"slices"

	"tablehand/engine/measure"
)

// Step is one station's work on one ticket as it was released: an order keeps the version of the route that
// it was released with. Lengths are written in the order's unit, as in the work-up's JSON.
type Step struct {
	Station  Station  `json:"station"`
	Values   []Value  `json:"values,omitempty"`
	Enter    []Entry  `json:"enter,omitempty"`
	Checks   []string `json:"checks,omitempty"`   // catalogue keys "check.<name>"
	Cautions []string `json:"cautions,omitempty"` // catalogue keys "caution.<name>"
	Minutes  *int     `json:"minutes,omitempty"`  // standard minutes, nil where the shop has set none
	// Asked says of entries and checks when they are asked, where that isn't always.
	Asked map[string]Occasion `json:"asked,omitempty"`
	// Pair is what is compared with the panel's mate, once both are measured; none on a panel that hangs alone, and on
	// what was released before pairs were compared.
	Pair []PairLimit `json:"pair,omitempty"`
}

// Value is one computed measurement: its name is the work-up's key.
type Value struct {
	Name  string           `json:"name"`
	Value measure.Quantity `json:"value"`
}

// UnmarshalJSON reads a value. A fabric's name is a word, whatever it looks like.
func (v *Value) UnmarshalJSON(data []byte) error {
	var text struct{ Name, Value string }
	if err := json.Unmarshal(data, &text); err != nil {
		return err
	}
	v.Name, v.Value = text.Name, measure.Read(text.Value)
	if text.Name == "fabric" || text.Name == "interlining" {
		v.Value = measure.OfWord(text.Value)
	}
	return nil
}

// EntryKind says what an entry takes.
type EntryKind string

const (
	LengthEntry EntryKind = "length"
	CountEntry  EntryKind = "count"
	ChoiceEntry EntryKind = "choice"
)

// Entry is one value that the station measures and enters.
type Entry struct {
	Name   string           `json:"name"`
	Kind   EntryKind        `json:"kind"`
	Target measure.Quantity `json:"target"`
	// Tolerance is how far the value may lie from the target; nil: it must equal it (a choice: be an option).
	Tolerance *Tolerance `json:"tolerance,omitempty"`
	Options   []string   `json:"options,omitempty"`
	// AtStart: it is measured before the work begins. A start may carry it, and outside its tolerance the work doesn't
	// begin until the office has decided; what no start carried is asked at the finish like any other.
	AtStart bool `json:"at_start,omitempty"`
}

// Tolerance is written like the target.
type Tolerance struct {
	Minus measure.Quantity `json:"minus"`
	Plus  measure.Quantity `json:"plus"`
}

// PairLimit is how far the two panels of a pair may differ in one of a station's measures.
type PairLimit struct {
	Name  string           `json:"name"`  // the shop's tolerance is called "<station>.<name>": "packing.pair_width"
	Entry string           `json:"entry"` // the measure: "finished_width"
	Limit measure.Quantity `json:"limit"` // just as much passes
}

// Entry returns an entry of the step by its name, nil where it has none of it.
func (s *Step) Entry(name string) *Entry {
	for i := range s.Enter {
		if s.Enter[i].Name == name {
			return &s.Enter[i]
		}
	}
	return nil
}

// Value returns a number that the step shows, Nothing where it doesn't.
func (s *Step) Value(name string) measure.Quantity {
	for _, v := range s.Values {
		if v.Name == name {
			return v.Value
		}
	}
	return measure.Quantity{}
}

// Limit is how far a panel may differ from its mate, Nothing where that isn't compared.
func (s *Step) Limit(name string) measure.Quantity {
	for _, l := range s.Pair {
		if l.Name == name {
			return l.Limit
		}
	}
	return measure.Quantity{}
}

// Within reports whether a value lies within the tolerance.
func (e *Entry) Within(value measure.Quantity) bool {
	switch e.Kind {
	case LengthEntry:
		low, high := e.Between()
		return value.IsLength() && low <= value.Length() && value.Length() <= high
	case CountEntry:
		low, high := e.CountBetween()
		return value.Kind() == measure.Number && low <= value.Count() && value.Count() <= high
	}
	return slices.Contains(e.Options, value.String())
}

// CountBetween returns the least and the greatest count that pass.
func (e *Entry) CountBetween() (low, high int) {
	target := e.Target.Count()
	if e.Tolerance == nil {
		return target, target
	}
	return target - e.Tolerance.Minus.Count(), target + e.Tolerance.Plus.Count()
}

// Between returns the least and the greatest length that pass.
func (e *Entry) Between() (low, high measure.Length) {
	target := e.Target.Length()
	if e.Tolerance == nil {
		return target, target
	}
	return target - e.Tolerance.Minus.Length(), target + e.Tolerance.Plus.Length()
}

// Believable returns the least and the greatest length that a hand can have measured; what lies beyond was mistyped, so a
// bench asks once more instead of holding the panel. The floor itself takes it all the same.
//
// Off by more than a quarter and an inch is our own choice, from no published source. It is wide enough for every real
// mistake in the cloth, which then is the office's to decide, and catches a digit too many or too few.
func (e *Entry) Believable() (least, most measure.Length) {
	target := e.Target.Length()
	low, high := e.Between()
	far := target/4 + measure.Inch
	return max(0, min(low, target-far)), max(high, target+far)
}

// CountBelievable is Believable for a count: off by more than a quarter and two, our own choice as well.
func (e *Entry) CountBelievable() (least, most int) {
	target := e.Target.Count()
	low, high := e.CountBetween()
	far := target/4 + 2
	return max(0, min(low, target-far)), max(high, target+far)
}
