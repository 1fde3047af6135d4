package workup_test

import (
	"fmt"
	"testing"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// G6 (golden_test.go) through order files: what cuts take where only their starts are on phase. A stationary pair of 48½
// in takes 2½ widths a panel, five cuts, of which a half-drop has three of class A and two of B.
func TestOnPhaseThroughFiles(t *testing.T) {
	const file = `
order: G6
units: in
conventions: {repeat_rule: %s, length_allowance: 0, order_repeats: 0, order_rounding: none}
fabrics: [{id: cloth, use: face, usable_width: 54, vertical_repeat: 13 1/2, match: %s%s}]
treatments:`
	const pair = `
  - {window: G6, heading: pinch-3, face: cloth, draw: stationary_pair, finished_width: 48 1/2, finished_length: `
	const single = `
  - {window: G6, heading: pinch-3, face: cloth, draw: stationary, finished_width: 36, finished_length: `
	for _, c := range []struct{ rule, match, bolts, windows, length, last string }{
		{"on_phase", "straight", "", pair + "111 1/2}", "597.5in", ""},
		{"whole_repeats", "straight", "", pair + "111 1/2}", "607.5in", ""},
		{"on_phase", "half_drop", "", pair + "111 1/2}", "570.5in", ""},
		{"whole_repeats", "half_drop", "", pair + "111 1/2}", "614.25in", ""},
		{"on_phase", "half_drop", "", pair + "118}", "610.75in", ""},
		{"on_phase", "half_drop", "", single + "111 1/2}" + single + "90 1/2}", "414.5in", ""}, // a width of each class in each
		{"on_phase", "straight", ", bolts: [{id: R1, length: 611, flaws: [{from: 252, to: 255}]}]", pair + "111 1/2}", "597.5in", "499.5in"},
	} {
		src := fmt.Sprintf(file, c.rule, c.match, c.bolts) + c.windows
		o, problems := orderfile.Parse([]byte(src))
		if len(problems) > 0 {
			t.Fatalf("%+v\n%s", problems, src)
		}
		w := workup.Compute(o)
		if got := w.Totals.Fabrics[0].ToOrder; got != length(c.length, "") {
			t.Errorf("%s, %s:%s take %s, want %s", c.rule, c.match, c.windows, got.In(measure.In), c.length)
		}
		if at := w.Cloth[0].Plan.Placements; c.last != "" && (len(at) != 5 || at[4].From != length(c.last, "")) {
			t.Errorf("past the flaw the cuts lie at %+v", at)
		}
	}
}
