package workup_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// tabbed is an order of windows on tabs of 5 in cloth, over a pole of 1 3/8 in: eight tabs a panel, a strip of facing of 55 in for each.
func tabbed(t *testing.T, fabric, conventions, window string) *workup.Workup {
	t.Helper()
	return workup.Compute(unpleated(t, measure.In, fabric, keeps+conventions, "rods: [{id: r, diameter: 1 3/8}]",
		"heading: tab, finished_width: 36, fullness: 1.5, finished_length: 80, "+window))
}

// lines writes a plan's trimmings: how long each cut is, what of, and for whom.
func trimmingLines(cuts []workup.Cut) []string {
	var list []string
	for _, c := range cuts {
		if c.Trimming == "" {
			continue
		}
		text := fmt.Sprintf("%s %s", c.Trimming, c.Length.In(measure.In))
		for _, p := range c.For {
			text += fmt.Sprintf(" %d%s:%d×%d", p.Copy, p.Panel, p.Place, p.Count)
		}
		list = append(list, text)
	}
	return list
}

// Twelve tabs of 5 in lie side by side on 60 in. Two single windows of eight take two rows, and a strip of facing each.
func TestTrimmingsOfTwoWindows(t *testing.T) {
	w := tabbed(t, "usable_width: 60", "", "draw: stationary, quantity: 2")
	u := w.Treatments[0].Fabrics[0]
	var got []string
	for _, trim := range u.Trimmings {
		got = append(got, fmt.Sprintf("%s %d in %d of %s: %s", trim.For, trim.Pieces, trim.Rows, trim.CutLength.In(measure.In), trim.Length().In(measure.In)))
	}
	if want := []string{"tabs 16 in 2 of 8.5625in: 17.125in", "facing 2 in 2 of 3in: 6in"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	// Four cuts of 88 1/2 in, two rows of 8 9/16 in and two strips of 3 in are 377 1/8 in.
	total := w.Totals.Fabrics[0]
	if u.Cuts != 2 || u.Length != total.Length || total.Cuts != 6 || total.Length.In(measure.In) != "200.125in" {
		t.Errorf("%d cuts, %s; all %d, %s", u.Cuts, u.Length.In(measure.In), total.Cuts, total.Length.In(measure.In))
	}
	want := []string{"tabs 8.5625in 1S:1×8 2S:1×4", "tabs 8.5625in 2S:2×4", "facing 3in 1S:1×1", "facing 3in 2S:1×1"}
	if got := trimmingLines(w.Cloth[0].Cuts); !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	if w.Totals.Tabs != 16 {
		t.Errorf("%d tabs", w.Totals.Tabs)
	}
}

// A strip that doesn't reach across is joined: k strips give k·60 − (k − 1)·1 in.
func TestFacingIsJoined(t *testing.T) {
	for _, c := range []struct {
		width string
		want  int
	}{{"39", 1}, {"40", 2}, {"78 1/2", 2}, {"79 1/2", 3}} { // 59 1/2, 61, 118 3/4 and 120 1/4 in of facing
		w := tabbed(t, "usable_width: 60", "", "draw: stationary, widths: 3")
		o := *w.Order
		o.Treatments[0].Widths, o.Treatments[0].FinishedWidth = nil, inches(c.width)
		o.Conventions.Surplus = orderfile.TrimSurplus
		w = workup.Compute(&o)
		if got := w.Treatments[0].Fabrics[0].Trimmings[1]; got.Rows != c.want {
			t.Errorf("%s: facing of %s in %d strips, want %d", c.width, w.Treatments[0].Panels[0].FacingLength.In(measure.In), got.Rows, c.want)
		}
	}
}

// On patterned cloth rows start anywhere: in the gaps of cuts that are on phase alone, behind whole repeats.
func TestTrimmingsOnPatternedCloth(t *testing.T) {
	const two = "draw: stationary, quantity: 2"
	for _, c := range []struct {
		name, fabric, conventions, length string
	}{
		// Two cuts of 88 1/2 in 91 in apart leave 2 1/2 in, too little for anything: 202 5/8 in. 104 in apart they leave 15 1/2 in, for a row
		// and both strips, and the other row comes behind.
		{"on phase, a repeat further apart", "usable_width: 60, vertical_repeat: 13", ", repeat_rule: on_phase", "201.0625in"},
		// 100 in apart they leave 11 1/2 in, for one row; the other row and the strips come behind 188 1/2 in.
		{"on phase, a row in the gap", "usable_width: 60, vertical_repeat: 25", ", repeat_rule: on_phase", "203.0625in"},
		{"whole repeats", "usable_width: 60, vertical_repeat: 25", "", "223.125in"},
		{"one repeat more", "usable_width: 60, vertical_repeat: 25", ", repeat_rule: add_one", "250.125in"},
		{"half-drop, of one class", "usable_width: 60, vertical_repeat: 25, match: half_drop", "", "223.125in"},
		{"half-drop, one repeat an order", "usable_width: 60, vertical_repeat: 25, match: half_drop", ", half_drop: one_repeat_an_order", "223.125in"},
	} {
		w := tabbed(t, c.fabric+", bolts: [{id: R1, length: 8 yd, first_repeat: 4}, {id: R2, length: 8 yd}]", c.conventions, two)
		if got := w.Totals.Fabrics[0].Length.In(measure.In); got != c.length {
			t.Errorf("%s: %s, want %s", c.name, got, c.length)
		}
		plan := &w.Cloth[0]
		if faults := cutting.Check(workup.Placing(plan), plan.Plan); len(faults) > 0 || len(plan.Plan.Placements) != 6 {
			t.Errorf("%s: %v, %d placed", c.name, faults, len(plan.Plan.Placements))
		}
		if got := trimmingLines(plan.Cuts); len(got) != 4 {
			t.Errorf("%s: %q", c.name, got)
		}
		for _, cut := range plan.Cuts {
			if cut.Trimming != "" && (cut.TrimTop != 0 || cut.TrimBottom != 0) {
				t.Errorf("%s: a row is trimmed: %+v", c.name, cut)
			}
		}
	}
}

// Half-drop windows of two classes lose half a repeat once, however many rows there are; before the first repeat there is room for a strip.
func TestTrimmingsOfAHalfDrop(t *testing.T) {
	w := tabbed(t, "usable_width: 30, vertical_repeat: 20, match: half_drop, bolts: [{id: R1, length: 12 yd, first_repeat: 4}]", "", "draw: stationary")
	p := &w.Treatments[0].Panels[0]
	if len(p.Pieces) != 3 {
		t.Fatalf("%d pieces", len(p.Pieces))
	}
	var sum measure.Length
	for _, c := range w.Cloth[0].Cuts {
		sum += c.Length
	}
	if got := w.Totals.Fabrics[0].Length; got != sum+10*measure.Inch {
		t.Errorf("%s, want %s and half a repeat", got.In(measure.In), sum.In(measure.In))
	}
	if from := w.Cloth[0].Plan.Placements[0]; from.From != 0 {
		t.Errorf("nothing lies before the first repeat: %v", w.Cloth[0].Plan.Placements)
	}
}

// What some panels still want of a plan's rows is laid in as few as hold it, and nobody gets more or less.
func TestReduced(t *testing.T) {
	w := tabbed(t, "usable_width: 60", "", "draw: stationary_pair, quantity: 2") // 32 tabs: 12, 12, 8
	cuts := w.Cloth[0].Cuts
	tabs := func(cuts []workup.Cut) (list []string) {
		for _, line := range trimmingLines(cuts) {
			if strings.HasPrefix(line, "tabs") {
				list = append(list, strings.TrimPrefix(line, "tabs 8.5625in "))
			}
		}
		return list
	}
	if got, want := tabs(cuts), []string{"1L:1×8 1R:1×4", "1R:2×4 2L:1×8", "2R:1×8"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	for name, c := range map[string]struct {
		wanted func(cut *workup.Cut, p workup.Part) int
		want   []string
		others int
	}{
		"all": {func(_ *workup.Cut, p workup.Part) int { return max(1, p.Count) }, []string{"1L:1×8 1R:1×4", "1R:2×4 2L:1×8", "2R:1×8"}, 8},
		"one panel": {func(_ *workup.Cut, p workup.Part) int {
			if p.Copy == 1 && p.Panel == workup.Right {
				return max(1, p.Count)
			}
			return 0
		}, []string{"1R:1×8"}, 2},
		"three tabs each": {func(c *workup.Cut, p workup.Part) int {
			if c.Trimming == workup.ForTabs {
				return 3
			}
			return 0
		}, []string{"1L:1×3 1R:1×3 2L:1×3 2R:1×3"}, 0},
	} {
		got := workup.Reduced(cuts, c.wanted)
		if tabs := tabs(got); !slices.Equal(tabs, c.want) || len(got)-len(tabs) != c.others {
			t.Errorf("%s: %q and %d others, want %q and %d", name, tabs, len(got)-len(tabs), c.want, c.others)
		}
	}
	if got := tabs(cuts); len(got) != 3 || got[0] != "1L:1×8 1R:1×4" {
		t.Errorf("the plan's own changed: %q", got)
	}
}

// At random: each panel gets as many tabs and strips as it has points and joins of facing, in no more rows than needed, on any cloth.
func TestTrimmingsServeEveryPanel(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		fabric := fmt.Sprintf("usable_width: %d", rapid.IntRange(20, 70).Draw(r, "usable"))
		if v := rapid.SampledFrom([]int{0, 7, 13, 25}).Draw(r, "repeat"); v > 0 {
			fabric += fmt.Sprintf(", vertical_repeat: %d, match: %s", v, rapid.SampledFrom([]string{"straight", "half_drop"}).Draw(r, "match"))
		}
		fabric += ", bolts: [{id: R1, length: 20 yd, first_repeat: 3}, {id: R2, lot: B, length: 30 yd}]"
		w := tabbed(t, fabric, ", repeat_rule: "+rapid.SampledFrom([]string{"whole_repeats", "on_phase", "add_one"}).Draw(r, "rule"),
			fmt.Sprintf("draw: %s, quantity: %d", rapid.SampledFrom([]string{"stationary", "stationary_pair"}).Draw(r, "draw"), rapid.IntRange(1, 3).Draw(r, "quantity")))
		tr, plan := &w.Treatments[0], &w.Cloth[0]
		u := tr.Fabrics[0]
		if faults := cutting.Check(workup.Placing(plan), plan.Plan); len(faults) > 0 {
			r.Fatal(faults)
		}
		if len(plan.Cuts) != u.AllCuts() || w.Totals.Fabrics[0].Cuts != u.AllCuts() {
			r.Fatalf("%d cuts listed, %d counted", len(plan.Cuts), u.AllCuts())
		}
		got := map[string]int{}
		for _, c := range plan.Cuts {
			in := 0
			for _, p := range c.For {
				got[fmt.Sprint(c.Trimming, p.Copy, p.Panel)] += p.Count
				if in += p.Count; c.Trimming != "" && p.Count < 1 {
					r.Fatalf("a part without a piece: %+v", c)
				}
			}
			if c.Trimming == workup.ForTabs && in > u.Trimmings[0].InRow || c.Trimming == workup.ForFacing && len(c.For) != 1 {
				r.Fatalf("%+v", c)
			}
		}
		for nth := 1; nth <= tr.Quantity; nth++ {
			for i, p := range tr.Panels {
				if tabs := got[fmt.Sprint(workup.ForTabs, nth, p.ID)]; tabs != p.Points {
					r.Fatalf("%d %s has %d tabs, wants %d", nth, p.ID, tabs, p.Points)
				}
				if strips := got[fmt.Sprint(workup.ForFacing, nth, p.ID)]; strips != u.Trimmings[1].Each[i] {
					r.Fatalf("%d %s has %d strips", nth, p.ID, strips)
				}
			}
		}
	})
}

// explained writes steps as text: name = value (inputs).
func explained(steps []workup.Step) string {
	var list []string
	for _, s := range steps {
		text := fmt.Sprintf("%s %s", s.Name, s.Value)
		for _, in := range s.Inputs {
			text += fmt.Sprintf(" %s:%s", in.Name, in.Value)
		}
		list = append(list, text)
	}
	return strings.Join(list, "\n")
}

// Totals of tabs, eyelets, rings, pockets and plain tapes say how they come about, and agree with what they are worked out from.
func TestTotalsExplainTrimmings(t *testing.T) {
	w := tabbed(t, "usable_width: 60", "", "draw: stationary, quantity: 2")
	tr := &w.Treatments[0]
	u := &tr.Fabrics[0]
	for name, c := range map[string]struct{ got, want string }{
		"tabs": {explained(w.TrimmingTrail(tr, u, &u.Trimmings[0])), "pieces 16 each:8 quantity:2\ncuts 2 pieces:16 usable_width:60in tab_cut_width:5in\n" +
			"cut_length 8.5625in tab_cut_length:8.5625in\nlength 17.125in cuts:2 cut_length:8.5625in"},
		"facing": {explained(w.TrimmingTrail(tr, u, &u.Trimmings[1])), "pieces 2 each:1 quantity:2 facing_length:55in usable_width:60in seam:0.5in\ncuts 2 pieces:2\n" +
			"cut_length 3in facing_height:3in\nlength 6in cuts:2 cut_length:3in"},
		"cloth":       {explained(w.UseTrail(tr, u)[2:]), "length 200.125in cuts:2 cut_length:88.5in trimmings:17.125in + 6in"},
		"all":         {explained(w.FabricTrail(&w.Totals.Fabrics[0])[:2]), "cuts 6 window_cuts:6\nlength 200.125in window_lengths:200.125in"},
		"tabs in all": {explained(w.FittingTrail()), "tabs 16\nweights 4"},
	} {
		if c.got != c.want {
			t.Errorf("%s:\n%s\nwant\n%s", name, c.got, c.want)
		}
	}
	other := func(units measure.Unit, beside, window string) *workup.Workup {
		return workup.Compute(unpleated(t, units, "usable_width: 60", keeps, beside, window+", draw: stationary, finished_width: 27, finished_length: 80"))
	}
	w = other(measure.In, "rods: [{id: r, diameter: 1}]", "heading: eyelet, fullness: 2, quantity: 3")
	if got, want := explained(w.EyeletTrail(&w.Totals.Eyelets[0])), "inner 1.5625in\nouter 2.5in\ncount 24"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
	w = other(measure.In, "rods: [{id: r, diameter: 1}]", "heading: rod-pocket, fullness: 2, pocket: {stand: 1}")
	if got := explained(w.ThreadTrail(&w.Totals.Thread[0])); w.Totals.Thread[0].For != "pocket" || !strings.Contains(got, "pocket_stitching:108in") { // two lines of 54 in
		t.Errorf("%s: %s", w.Totals.Thread[0].For, got)
	}
	w = other(measure.In, "tapes: [{id: pencil-3, kind: pencil, height: 3, cords: 3}]", "heading: pencil-tape, fullness: 2, quantity: 2")
	if got, want := explained(w.TapeTrail(&w.Totals.Tape[0])), "pieces 2\nused 112in pieces:2 tape_pieces:56in\nto_order 112in used:112in"; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}
