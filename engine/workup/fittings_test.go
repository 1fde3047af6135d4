package workup_test

import (
	"strings"
	"testing"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// Hooks, weights and the way the lining hangs of the worked tape panel (finished 48½, flat 124½, 19 pleats from 1¾, the
// edges flat for 1¾, joins at 21 3/8 and 74 3/8), worked by hand.
func TestFittings(t *testing.T) {
	o := inchOrder()
	o.Treatments[0].HookDrop = inches("1/4")
	totals := map[orderfile.Weights]string{"corners_and_seams": "weights", "corners": "weights", "every_foot": "weights", "cord": "weight_cord"}
	for weights, want := range map[orderfile.Weights]map[string]string{
		"corners_and_seams": {"weights": "4", "weight_places": "0.75in 21.375in 74.375in 123.75in", "weight_cord": ""},
		"corners":           {"weights": "2", "weight_places": "0.75in 123.75in", "weight_cord": ""},
		"every_foot":        {"weights": "12", "weight_cord": ""}, // 124½ ÷ 12 is over 10
		"cord":              {"weights": "", "weight_places": "", "weight_cord": "124.5in"},
		"none":              {"weights": "", "weight_places": "", "weight_cord": ""},
	} {
		o.Conventions.Weights = weights
		w := workup.Compute(o)
		p := &w.Treatments[0].Panels[0]
		checkPanel(t, p, want)
		checkPanel(t, p, map[string]string{
			"hooks": "21", "hook_drop": "0.25in", "lining_width": "122.5in", "lining_lift": "1in", "lining_trim": "1in",
			"lining_surplus": "8.5in", // 2½ widths of 54, two joins of 1: 133
		})
		if n := len(p.HookPlaces); p.HookPlaces[0] != inches("1/2") || p.HookPlaces[1] != inches("1 3/4") || p.HookPlaces[n-2] != inches("46 3/4") || p.HookPlaces[n-1] != inches("48") {
			t.Errorf("hooks at %v", p.HookPlaces)
		}
		if weights == "every_foot" && (p.WeightPlaces[0] != inches("3/4") || p.WeightPlaces[11] != inches("123 3/4") || (p.WeightPlaces[1]-inches("11.93181818")).Abs() > 10) {
			t.Errorf("a weight a foot lies at %v", p.WeightPlaces)
		}
		if hooks := w.Totals.Hooks; len(hooks) != 1 || hooks[0] != (workup.HookTotal{Drop: inches("1/4"), Count: 42}) {
			t.Errorf("hooks %+v", hooks)
		}
		if w.Totals.Weights != 2*len(p.WeightPlaces) || w.Totals.WeightCord != 2*p.WeightCord {
			t.Errorf("%s: %d weights and %s of cord in all", weights, w.Totals.Weights, w.Totals.WeightCord.In(measure.In))
		}
		if steps := trailOf(w.FittingTrail()); steps != totals[weights] {
			t.Errorf("%s: the trail says %q, want %q", weights, steps, totals[weights])
		}
	}
	o.Conventions.HookInset = inches("7/8") // 1¾ is no more than twice that
	checkPanel(t, &workup.Compute(o).Treatments[0].Panels[0], map[string]string{"hooks": "19"})
}

// trailOf names what a trail explains.
func trailOf(steps []workup.Step) string {
	var names []string
	for _, s := range steps {
		names = append(names, s.Name)
	}
	return strings.Join(names, " ")
}

// Pleats set by hand stand where flat cloth alone lies before them; the return and the lead each take a hook.
func TestFittingsOfPleatsSetByHand(t *testing.T) {
	o := pinched(func(*orderfile.Order) {})
	p := &workup.Compute(o).Treatments[0].Panels[0]
	if len(p.HookPlaces) != p.Pleats+2 || p.HookPlaces[1] != p.EdgeToPleat || p.HookPlaces[p.Pleats+1] != p.FinishedWidth-inches("1/2") {
		t.Errorf("hooks at %v", p.HookPlaces)
	}
	if gap := p.HookPlaces[2] - p.HookPlaces[1] - p.Space; gap.Abs() > 2 {
		t.Errorf("the second hook stands %d off a space", gap)
	}
	if got := problem(t, workup.Compute(pinched(func(o *orderfile.Order) { o.Treatments[0].Return = inches("8 1/2") })), "flat_unhooked"); got.Where != "treatments[0].return" {
		t.Errorf("%+v", got)
	}
}

func TestLiningHangs(t *testing.T) {
	o := inchOrder()
	o.Treatments[0].Puddle, o.Conventions.LiningPuddle = inches("6"), "stop"
	checkPanel(t, &workup.Compute(o).Treatments[0].Panels[0], map[string]string{"lining_lift": "7in"}) // the lining stays at the floor
	o.Conventions.LiningRule = "allowance"
	checkPanel(t, &workup.Compute(o).Treatments[0].Panels[0], map[string]string{"lining_width": "122.5in", "lining_lift": "", "lining_trim": ""})
	o.Conventions.LiningInset = inches("63")
	if got := problem(t, workup.Compute(o), "not_positive"); got.Where != "conventions.lining_inset" || !strings.Contains(got.Key, "lining_width") {
		t.Errorf("%+v", got)
	}
}

// A cone is whole: 1095.6 in of thread are two of 30 yd.
func TestCones(t *testing.T) {
	o := inchOrder()
	for cone, want := range map[string]int{"0": 0, "30": 2, "6000": 1} {
		o.Conventions.ConeLength = length(cone, measure.Yd)
		if got := workup.Compute(o).Totals.Thread[0]; got.Cones != want {
			t.Errorf("%s yd a cone: %d cones of %s", cone, got.Cones, got.Length.In(measure.In))
		}
	}
}

// A hook_spacing that a file names is told to have no use, where the file has it: no heading is gathered yet.
func TestHookSpacingIsIdle(t *testing.T) {
	const file = `order: T-1
units: in
conventions: {hook_inset: 5/8%s}
fabrics: [{id: reed, use: face, usable_width: 54}]
treatments: [{window: Bay, heading: pinch-3, face: reed, face_width: 84, finished_length: 96}]
`
	for given, want := range map[string]bool{"": false, ", hook_spacing: 3": true} {
		o, problems := orderfile.Parse([]byte(strings.Replace(file, "%s", given, 1)))
		if o == nil {
			t.Fatalf("%+v", problems)
		}
		w := workup.Compute(o)
		if has(w, "not_used") != want {
			t.Errorf("%q: %+v", given, w.Problems)
		}
		if !want {
			continue
		}
		if p := problem(t, w, "not_used"); p.Severity != engine.Note || p.Where != "conventions.hook_spacing" || p.Line != 3 || p.Column != 46 {
			t.Errorf("%+v", p)
		}
	}
}
