package orderfile

import (
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"tablehand/engine/measure"
)

// TestHeadingRowsAreWhole: a row has its family and route, and where pleats are set by hand every figure with its source, in ranges
// that hold together. No trail has to borrow another heading's.
func TestHeadingRowsAreWhole(t *testing.T) {
	for _, d := range done {
		lacks := func(format string, args ...any) {
			t.Helper()
			t.Errorf("the row of %s (engine/orderfile/headings.go) %s", d.Heading, fmt.Sprintf(format, args...))
		}
		if d.Family != SetByTape && d.Family != SetByHand {
			lacks("has no family: %q", d.Family)
		}
		if d.Route == "" {
			lacks("has no route: name one of stations/routes.yaml")
		}
		if slices.Contains(later, d.Heading) {
			lacks("is worked out: take it off the headings of later")
		}
		if d.Family == SetByTape {
			continue
		}
		for figure, source := range map[string]string{"Fullness": d.Sources.Fullness, "Count": d.Sources.Count, "TakeUp": d.Sources.TakeUp,
			"Space": d.Sources.Space, "Lead": d.Sources.Lead} {
			if source == "" {
				lacks("has no source for %s: a key of the catalogue under source, FromPractice where there is none", figure)
			}
		}
		if d.FullnessMin.Cmp(measure.Ratio{Num: 1, Den: 1}) < 0 || d.Fullness.Cmp(d.FullnessMin) < 0 || d.Fullness.Cmp(d.FullnessMax) > 0 {
			lacks("has a fullness of %s outside %s to %s", d.Fullness, d.FullnessMin, d.FullnessMax)
		}
		if d.Space.Min <= 0 || d.PreferredSpace < d.Space.Min || d.PreferredSpace > d.Space.Max {
			lacks("has a preferred space outside its range")
		}
		if d.TakeUp.Min <= 0 || d.TakeUp.Max < d.TakeUp.Min {
			lacks("has no range of take-ups")
		}
	}
}

// TestHeadingsAreDocumented: the schemas name every heading, and server/interface.md the usual fullness of each set by hand.
func TestHeadingsAreDocumented(t *testing.T) {
	keys := make([]string, 0, len(headings()))
	for _, h := range headings() {
		keys = append(keys, string(h))
	}
	slices.Sort(keys)
	for _, file := range []string{"order.schema.json", "../workup/workup.schema.json"} {
		raw, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		_, rest, _ := strings.Cut(string(raw), `"heading": {`)
		list, _, _ := strings.Cut(rest, "}")
		var in struct{ Enum []string }
		if err := json.Unmarshal([]byte("{"+list+"}"), &in); err != nil {
			t.Fatalf("%s: %v", file, err)
		}
		if slices.Sort(in.Enum); !slices.Equal(in.Enum, keys) {
			t.Errorf("%s has the headings %q, the rows are %q", file, in.Enum, keys)
		}
	}
	page, err := os.ReadFile("../../server/interface.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range done {
		if says := fmt.Sprintf("`%s` %s", d.Heading, d.Fullness); d.Family == SetByHand && !strings.Contains(string(page), says) {
			t.Errorf("the row of fullness in server/interface.md doesn't say %s", says)
		}
	}
}
