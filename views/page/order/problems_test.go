package order

import (
	"slices"
	"testing"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/views"
	"tablehand/views/i18n"
)

// TestMattersOf: what several windows have is told once, with their names; what differs in a figure is told apart, what is
// urgent stands apart from what is worth knowing, and no window is lost.
func TestMattersOf(t *testing.T) {
	few := func(window string, count int) engine.Problem {
		return engine.Problem{Severity: engine.Warning, Code: "few_pleats", Args: map[string]any{"Window": window, "Count": count, "Least": 3}}
	}
	problems := []engine.Problem{few("Bay, left", 2), few("Door", 1), few("Bay, right", 2), few("Bay, right", 2),
		{Severity: engine.Note, Code: "cord_hazard", Args: map[string]any{"Window": "Door"}}, // comes with every such heading
		{Severity: engine.Note, Code: "cloth_not_known", Args: map[string]any{"Fabric": "reed"}},
		{Severity: engine.Warning, Code: "fabric_short", Units: measure.In, Args: map[string]any{"Fabric": "reed", "Short": measure.Inch}}}
	for i := range 20 {
		problems = append(problems, few(string(rune('A'+i)), 0))
	}
	for _, language := range i18n.Languages() {
		v, err := views.New(i18n.For(language))
		if err != nil {
			t.Fatal(err)
		}
		urgent := mattersOf(v, problems, true)
		if len(urgent) != 4 {
			t.Fatalf("%s: %+v", language, urgent)
		}
		if want := []string{"Bay, left", "Bay, right"}; !slices.Equal(urgent[0].Windows, want) || !slices.Equal(urgent[1].Windows, []string{"Door"}) {
			t.Errorf("%s: %+v", language, urgent)
		}
		if m := urgent[2]; len(m.Windows) != 0 || m.Text != v.Say.Problem(problems[6]) {
			t.Errorf("%s: what is of no window: %+v", language, m)
		}
		if m := urgent[3]; len(m.Windows)+m.More != 20 || len(m.Windows) != chipsAtOnce {
			t.Errorf("%s: of 20 windows %d are named and %d counted", language, len(m.Windows), m.More)
		}
		if notes := mattersOf(v, problems, false); len(notes) != 1 || notes[0].Text != v.Say.Problem(problems[5]) {
			t.Errorf("%s: %+v", language, notes)
		}
	}
}
