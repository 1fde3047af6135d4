package workup_test

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// halfDropped is the worked order on a half-drop of 13½: five cuts of 111½ plain, three of class A and two of B.
func halfDropped(repeat orderfile.RepeatRule, rule orderfile.HalfDropRule) *orderfile.Order {
	o := inchOrder()
	o.Fabrics[0].Match = orderfile.HalfDrop
	o.Fabrics[0].Bolts = []orderfile.Bolt{{ID: "R1", Length: inches("40 yd"), FirstRepeat: inches("2")}}
	o.Conventions.RepeatRule, o.Conventions.HalfDrop = repeat, rule
	return o
}

// What each rule cuts and orders for the same five cuts (those of G6 in golden_test.go; 9 repeats are 121½,
// half a repeat 6¾).
func TestHalfDropRules(t *testing.T) {
	for _, c := range []struct {
		repeat             orderfile.RepeatRule
		rule               orderfile.HalfDropRule
		cut, length, total string
	}{
		{"whole_repeats", "phases", "121.5in", "614.25in", "614.25in"},
		{"whole_repeats", "one_repeat_an_order", "121.5in", "607.5in", "621in"},
		{"whole_repeats", "half_repeat_a_cut", "128.25in", "641.25in", "641.25in"},
		{"whole_repeats", "within_spare", "121.5in", "607.5in", "607.5in"}, // 10 to spare
		{"on_phase", "phases", "111.5in", "570.5in", "570.5in"},
		{"on_phase", "one_repeat_an_order", "111.5in", "597.5in", "611in"},
		{"on_phase", "half_repeat_a_cut", "118.25in", "604.25in", "604.25in"},
		{"on_phase", "within_spare", "111.5in", "597.5in", "611in"}, // nothing to spare
		{"add_one", "phases", "125in", "625in", "625in"},
		{"add_one", "within_spare", "125in", "625in", "625in"},
	} {
		w := workup.Compute(halfDropped(c.repeat, c.rule))
		use, all := w.Treatments[0].Fabrics[0], w.Totals.Fabrics[0]
		if use.CutLength != length(c.cut, "") || use.Length != length(c.length, "") || all.Length != length(c.total, "") {
			t.Errorf("%s, %s: cuts of %s take %s, in all %s; want %+v", c.repeat, c.rule, use.CutLength.In(measure.In), use.Length.In(measure.In), all.Length.In(measure.In), c)
		}
	}
}

// What the named rules would have bought for G1: five cuts of 111½ on a repeat of 13½, and one repeat for position.
func TestOutcomes(t *testing.T) {
	got := map[string]string{}
	inForce := 0
	for _, o := range workup.Outcomes(inchOrder()) {
		got[o.Convention+" "+o.Value] = o.Fabrics[0].ToOrder.In(measure.Yd) + " " + o.Fabrics[1].ToOrder.In(measure.Yd)
		if o.InForce {
			inForce++
		}
	}
	for rule, want := range map[string]string{
		"repeat_rule whole_repeats":   "17.25yd 13.875yd",
		"repeat_rule on_phase":        "17yd 13.875yd",    // 597½ and 13½
		"repeat_rule add_one":         "17.75yd 13.875yd", // 5 × 125 and 13½
		"widths_rounding up_to_whole": "20.625yd 16.625yd",
		"order_rounding none":         "17.25yd 13.819444444yd",
		"lining_rule allowance":       "17.25yd 14.75yd", // 5 × 105½
	} {
		if got[rule] != want {
			t.Errorf("%s orders %s, want %s", rule, got[rule], want)
		}
	}
	if inForce != 11 { // one of each choice
		t.Errorf("%d rules in force", inForce)
	}
}

// On phase the classes take turns on the bolt, so that the cuts lie in the run that the order counts.
func TestOnPhaseIsCutInItsRun(t *testing.T) {
	w := workup.Compute(halfDropped("on_phase", "phases"))
	placed := w.Cloth[0].Plan.Placements
	if last := placed[len(placed)-1]; placed[0].From != inches("2") || last.To != inches("572 1/2") {
		t.Errorf("cut from %s to %s", placed[0].From.In(measure.In), last.To.In(measure.In))
	}
}

// Whatever the rule, each cut placed holds its plain length from a height where the pattern stands as its class wants,
// and the checker passes the plan.
func TestCutsHoldTheirPattern(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := randomOrder(t)
		for i := range 2 {
			o.Fabrics[i].Bolts = []orderfile.Bolt{{ID: "B", Length: measure.Inch * measure.Length(rapid.IntRange(500, 9000).Draw(t, "bolt")), FirstRepeat: measure.Inch}}
		}
		w := workup.Compute(o)
		for _, plan := range w.Cloth {
			if len(plan.Fabric.Bolts) == 0 {
				continue
			}
			if found := cutting.Check(workup.Placing(&plan), plan.Plan); len(found) > 0 {
				t.Fatalf("%v", found)
			}
			holds(t, w, &plan)
		}
	})
}

func holds(t *rapid.T, w *workup.Workup, plan *workup.ClothPlan) {
	f := plan.Fabric
	plain := map[int]measure.Length{}
	for i := range w.Treatments {
		for _, u := range w.Treatments[i].Fabrics {
			if u.Fabric == f.ID {
				plain[i] = u.PlainLength
			}
		}
	}
	from := map[string]measure.Length{}
	for _, p := range plan.Plan.Placements {
		from[p.Cut] = p.From
	}
	for _, c := range plan.Cuts {
		if c.Trimming != "" {
			if c.TrimTop != 0 || c.TrimBottom != 0 {
				t.Fatalf("%s: %+v has a pattern", f.ID, c)
			}
			continue
		}
		if c.TrimTop < 0 || c.TrimBottom < 0 || c.Length-c.TrimTop-c.TrimBottom != plain[c.Treatment] {
			t.Fatalf("%s: %+v, plain %d", f.ID, c, plain[c.Treatment])
		}
		at, placed := from[c.ID]
		if !placed || f.Plain() {
			continue
		}
		if off := at + c.TrimTop - f.Bolts[0].FirstRepeat - c.Phase - f.VerticalRepeat.Div(2).Times(c.Class); off%f.VerticalRepeat != 0 {
			t.Fatalf("%s: cut %s of class %d starts %d off the pattern", f.ID, c.ID, c.Class, off)
		}
	}
}

// A tape's panel keeps what is over in its hems where the shop says so; the seams lie where the trim would put them.
func TestKeptSurplusIsTurnedIn(t *testing.T) {
	o := inchOrder()
	o.Conventions.Surplus = "keep"
	checkPanel(t, onePanel(t, o), map[string]string{
		"trim_return": "0in", "trim_leading": "0in", "turned_return": "2.125in", "turned_leading": "0.375in", "seams": "21.375in 74.375in",
	})
}

// A tape fixes its flat width, so nearest never leaves it short: 2.44 widths take 3, of a pair's 4.9 together 5.
func TestNearestWidthsHoldTheTape(t *testing.T) {
	o := inchOrder()
	o.Conventions.WidthsRounding = "nearest_whole"
	checkPanel(t, onePanel(t, o), map[string]string{"widths": "3"})
	o.Conventions.PairSplit = "total"
	checkPanel(t, onePanel(t, o), map[string]string{"widths": "2.5"})
}

// What a half-drop adds is explained under the name of whoever works so.
func TestHalfDropNamesItsSource(t *testing.T) {
	for rule, want := range map[orderfile.HalfDropRule]string{
		"phases":              "length source.half_drop_phases",
		"one_repeat_an_order": "length source.half_drop",
		"half_repeat_a_cut":   "cut_length source.half_repeat",
		"within_spare":        "length source.half_drop",
	} {
		o := inchOrder()
		o.Fabrics[0].Match, o.Conventions.HalfDrop = orderfile.HalfDrop, rule
		if rule == "within_spare" { // a cut of 120 in 121½ has less than half a repeat over
			o.Treatments[0].FinishedLength = inches("104")
		}
		w := workup.Compute(o)
		var named []string
		for _, s := range slices.Concat(w.UseTrail(&w.Treatments[0], &w.Treatments[0].Fabrics[0]), w.FabricTrail(&w.Totals.Fabrics[0])) {
			named = append(named, s.Name+" "+s.Source)
		}
		if !slices.Contains(named, want) {
			t.Errorf("%s: no %s in %q", rule, want, named)
		}
	}
}
