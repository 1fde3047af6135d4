package page

import (
	"testing"

	"tablehand/engine/measure"
	"tablehand/stations/plan"
	"tablehand/views/i18n"
	"tablehand/views/page/bench"
	"tablehand/views/page/taking"
)

// TestEveryNumberSaysWhatToDo: at each station, each number and each measure has its sentence, in every language.
func TestEveryNumberSaysWhatToDo(t *testing.T) {
	for _, tag := range i18n.Languages() {
		say := i18n.For(tag)
		for _, station := range plan.Stations() {
			asked := plan.ChecklistOf(station)
			var keys []string
			for _, name := range asked.Values {
				keys = append(keys, "do."+string(station)+"."+name)
			}
			for _, name := range asked.Entries {
				keys = append(keys, "do.entry."+name)
			}
			for _, key := range keys {
				if !i18n.Has(key) || len(say.T(key)) < 12 {
					t.Errorf("%s in %s: %q", key, tag, say.T(key))
				}
			}
		}
	}
}

// TestBounds: what a keypad calls absurd is far from what a tolerance holds.
func TestBounds(t *testing.T) {
	step := &bench.OpenStep{Units: "in"}
	for _, c := range []struct {
		name  string
		entry plan.Entry
		want  bench.Bounds
	}{
		{"a length", plan.Entry{Kind: plan.LengthEntry, Target: measure.Read("95.5in"), Tolerance: &plan.Tolerance{Minus: measure.Read("0.25in"), Plus: measure.Read("0.5in")}},
			bench.Bounds{Target: "2425700000", Low: "2419350000", High: "2438400000", Least: "1793875000", Most: "3057525000"}},
		{"a small length may be nothing", plan.Entry{Kind: plan.LengthEntry, Target: measure.Read("0.25in"), Tolerance: &plan.Tolerance{Minus: measure.Read("0.0625in"), Plus: measure.Read("0.0625in")}},
			bench.Bounds{Target: "6350000", Low: "4762500", High: "7937500", Least: "0", Most: "33337500"}},
		{"a tolerance wider than what is absurd", plan.Entry{Kind: plan.LengthEntry, Target: measure.Read("1in"), Tolerance: &plan.Tolerance{Minus: measure.Read("1in"), Plus: measure.Read("5in")}},
			bench.Bounds{Target: "25400000", Low: "0", High: "152400000", Least: "0", Most: "152400000"}},
		{"exactly", plan.Entry{Kind: plan.LengthEntry, Target: measure.Read("4in")}, bench.Bounds{Target: "101600000", Low: "101600000", High: "101600000", Least: "50800000", Most: "152400000"}},
		{"a count", plan.Entry{Kind: plan.CountEntry, Target: measure.Read("20")}, bench.Bounds{Target: "20", Low: "20", High: "20", Least: "13", Most: "27"}},
		{"a count with a tolerance", plan.Entry{Kind: plan.CountEntry, Target: measure.Read("20"), Tolerance: &plan.Tolerance{Minus: measure.Read("1"), Plus: measure.Read("9")}},
			bench.Bounds{Target: "20", Low: "19", High: "29", Least: "13", Most: "29"}},
		{"a choice", plan.Entry{Kind: plan.ChoiceEntry, Target: measure.Read("wound")}, bench.Bounds{}},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := (bench.EntryRow{Open: bench.OpenTicket{Step: step}, Entry: c.entry}).Bounds(); got != c.want {
				t.Errorf("%+v, want %+v", got, c.want)
			}
		})
	}
}

// TestNumbersOfTheOrderForm: the fields that take lengths and numbers are told from those that take words.
func TestNumbersOfTheOrderForm(t *testing.T) {
	for name, want := range map[string]bool{
		"treatments.0.face_width": true, "treatments.12.hang.clearance": true, "fabrics.1.bolts.1.length": true, "fabrics.0.usable_width": true, "treatments.0.fullness": true,
		"treatments.0.window": false, "fabrics.0.id": false, "fabrics.0.bolts.3.lot": false, "notes": false, "due": false, "treatments.0.quantity": false, "nothing.0.there": false,
	} {
		if got := taking.IsNumber(name); got != want {
			t.Errorf("%s takes a number: %v", name, got)
		}
	}
}
