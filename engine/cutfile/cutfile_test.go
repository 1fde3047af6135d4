package cutfile

import (
	"bytes"
	"context"
	"encoding/json"
	"strings"
	"testing"

	"tablehand/engine/cutplan"
	"tablehand/engine/cutting"
)

// saltmarsh is two rooms of half-drop cloth on bolts and a flawed remnant.
const saltmarsh = `{"units":"mm","kerf":"3mm","vertical_repeat":"640mm","match":"half_drop","min_remnant":"500mm",
"bolts":[{"id":"B","length":"27000mm","count":3,"lot":"A"},{"id":"R","length":"6100mm","lot":"A","remnant":true,"flaws":[{"from":"3000mm","to":"3050mm"}]}],
"cuts":[{"id":"a","length":"2400mm","count":7,"group":"room 14"},{"id":"b","length":"2750mm","count":6,"group":"room 15","class":"B"}]}`

func planned(t *testing.T, text string) (*File, cutplan.Plan, *Document) {
	t.Helper()
	f, problems := Read([]byte(text))
	if f == nil {
		t.Fatal(problems)
	}
	plan := cutplan.Best(context.Background(), f.Problem, cutplan.Budget{})
	return f, plan, f.Document(&plan)
}

// TestPlanReadsBack: what is written is read as the same plan, in which the checker finds nothing.
func TestPlanReadsBack(t *testing.T) {
	for _, text := range []string{
		saltmarsh,
		strings.Replace(saltmarsh, `"count":7`, `"count":70`, 1),                                                   // short
		strings.Replace(saltmarsh, `"units":"mm"`, `"units":"in","objective":"length"`, 1),                         // values are lengths
		strings.Replace(saltmarsh, `"units":"mm"`, `"units":"cm","objective":"cost"`, 1),                           // as are costs that nobody told
		strings.Replace(saltmarsh, `"units":"mm","kerf"`, `"groups":[{"group":"room 14","lots":["B"]}],"kerf"`, 1), // of a lot that there isn't
	} {
		f, _, doc := planned(t, text)
		written, err := json.Marshal(doc)
		if err != nil {
			t.Fatal(err)
		}
		back, err := f.ReadPlan(written)
		if err != nil {
			t.Fatal(err)
		}
		if faults, err := f.Faults(written); len(faults) > 0 || err != nil {
			t.Errorf("%v %v\n%s", faults, err, written)
		}
		again, err := json.Marshal(f.Document(back))
		if err != nil || !bytes.Equal(again, written) {
			t.Errorf("read back as\n%s\nnot\n%s", again, written)
		}
	}
}

// TestLotsAsTheyLie: a plan that names another lot than its cuts lie in is at fault.
func TestLotsAsTheyLie(t *testing.T) {
	f, _, doc := planned(t, saltmarsh)
	doc.Lots[1].Lot = "B"
	written, err := json.Marshal(doc)
	if err != nil {
		t.Fatal(err)
	}
	if faults, err := f.Faults(written); err != nil || len(faults) != 1 || faults[0].Fault != cutting.LotsMixed {
		t.Errorf("%v %v", faults, err)
	}
}

// TestPlanByHand: 13 cuts on one bolt and the remnant's two stretches won't go, on two bolts they do.
func TestPlanByHand(t *testing.T) {
	_, _, doc := planned(t, saltmarsh)
	if doc.Value != int64(2) || doc.Bound != int64(2) || !doc.Optimal || doc.LengthOpened != "54000mm" || doc.RemnantsOpened != 1 || len(doc.Placements) != 13 {
		t.Errorf("%+v", doc)
	}
	if want := []lotDocument{{"room 14", "A"}, {"room 15", "A"}}; len(doc.Lots) != 2 || doc.Lots[0] != want[0] || doc.Lots[1] != want[1] {
		t.Errorf("lots %v", doc.Lots)
	}
	for _, p := range doc.Placements {
		if p.Cut == "b" && p.Bolt == "B" && p.Index == 1 && p.From == "320mm" {
			return
		}
	}
	t.Error("no cut of the second class begins half a repeat along a bolt")
}

func TestReadTellsWhatIsWrong(t *testing.T) {
	for text, want := range map[string]string{
		`{"bolts":`:                                                     "problem.syntax.json",
		`{"bolt":[]}`:                                                   "problem.syntax.json",
		`{"units":"ells"}`:                                              "problem.bad_value.none_of",
		`{"kerf":"-1mm"}`:                                               "problem.negative",
		`{"cuts":[{"id":"a","length":"2 x"}]}`:                          "problem.bad_length.unknown_unit",
		`{"cuts":[{"id":"a","length":"0mm"}]}`:                          "problem.bad_value.zero",
		`{"cuts":[{"id":"a"}]}`:                                         "problem.bad_length.empty",
		`{"cuts":[{"length":"1m"}]}`:                                    "problem.bad_value.blank",
		`{"cuts":[{"id":"a","length":"1m","count":-1}]}`:                "problem.bad_value.few",
		`{"cuts":[{"id":"a","length":"1m","count":99999999}]}`:          "problem.absurd.count",
		`{"bolts":[{"id":"a","length":"1m"},{"id":"a","length":"2m"}]}`: "problem.duplicate.name",
		`{"bolts":[{"id":"a","length":"9m","flaws":[{"from":"3m","to":"2m"}]}]}`: "problem.bad_value.flaw_ends",
		`{"bolts":[{"id":"a","length":"99999m"}]}`:                               "problem.absurd.over",
	} {
		f, problems := Read([]byte(text))
		if f != nil || len(problems) != 1 || problems[0].MessageKey() != want {
			t.Errorf("%s: %v, want %s", text, problems, want)
		}
	}
}
