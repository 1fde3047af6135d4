package workup_test

import (
	"testing"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// Cuts with a repeat to spare begin anywhere. Laid out again they say where on each the pattern's height is, as at first: by
// the place on the bolt alone, a half-drop's second class half a repeat further.
func TestLaidAnewOnThePattern(t *testing.T) {
	o, problems := orderfile.Parse([]byte(`
order: RELAY
units: in
conventions: {repeat_rule: add_one, length_allowance: 0}
fabrics:
  - {id: cloth, use: face, usable_width: 54, vertical_repeat: 13 1/2, match: half_drop, bolts: [{id: R1, length: 900, first_repeat: 4}]}
treatments: [{window: W, heading: pinch-3, face: cloth, draw: stationary_pair, finished_width: 48 1/2, finished_length: 111 1/2}]`))
	if len(problems) > 0 {
		t.Fatalf("%+v", problems)
	}
	w := workup.Compute(o)
	repeat, first := measure.Inch.Times(27).Div(2), 4*measure.Inch
	look := func(name string, plan *workup.ClothPlan) {
		t.Helper()
		from := map[string]measure.Length{}
		for _, p := range plan.Plan.Placements {
			from[p.Cut] = p.From
		}
		for i, cut := range plan.Cuts {
			was := w.Cloth[0].Cuts[i]
			if cut.TrimTop+cut.TrimBottom != was.TrimTop+was.TrimBottom || cut.TrimTop < 0 || cut.TrimTop >= repeat {
				t.Errorf("%s, cut %s: %v and %v are cut off, first %v and %v", name, cut.ID, cut.TrimTop, cut.TrimBottom, was.TrimTop, was.TrimBottom)
			}
			height := from[cut.ID] + cut.TrimTop - first - repeat.Div(2).Times(cut.Class)
			if height.CeilTo(repeat) != height {
				t.Errorf("%s, cut %s of class %d begins at %v, its pattern %v further", name, cut.ID, cut.Class, from[cut.ID], cut.TrimTop)
			}
		}
	}
	look("laid first", &w.Cloth[0])
	look("laid anew", w.Cloth[0].Relay(w.Cloth[0].Cuts, nil, nil))
	flaw := map[string][]cutting.Span{"R1": {{From: 0, To: 100 * measure.Inch}}}
	look("behind what is taken", w.Cloth[0].Relay(w.Cloth[0].Cuts, flaw, nil))
}
