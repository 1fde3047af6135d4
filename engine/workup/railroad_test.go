package workup_test

import (
	"slices"
	"strings"
	"testing"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// turnedPencil is a track maker's example in metric cloth (M03): 200 cm of track at 2 1/2, with 40 cm allowed, from cloth whose width covers the drop.
func turnedPencil(t *testing.T) *orderfile.Order {
	t.Helper()
	return unpleated(t, measure.CM, "usable_width: 280, sheer: true", ", seam: 0, fullness_basis: track, length_allowance: 20, width_allowance: 40, order_rounding: none",
		"tapes: [{id: pencil, kind: pencil, height: 7.5, cords: 3}]",
		"heading: pencil-tape, draw: one_way_left, face_width: 200, return: 0, fullness: 2.5, finished_length: 240, side_hem: 0, cord_end: tucked, railroad: true")
}

// 200 cm at 2 1/2 is 500 cm flat; with 40 cm allowed the run is 540 cm, 5.4 m, as published (M03).
func TestRailroaded(t *testing.T) {
	w := workup.Compute(turnedPencil(t))
	p := &w.Treatments[0].Panels[0]
	checkPanel(t, p, map[string]string{
		"flat_width": "500cm", "widths": "1", "cut_length": "540cm", "plain_length": "260cm", "seams": "", "railroaded": "true", "fullness": "2.5",
	})
	u := w.Treatments[0].Fabrics[0]
	if u.Cuts != 1 || u.Length != length("5.4", measure.M) || u.Across != length("260", measure.CM) || w.Totals.Fabrics[0].ToOrder != length("5.4", measure.M) {
		t.Errorf("%+v", u)
	}
	if c := w.Cloth[0].Cuts[0]; !c.Railroaded || c.Length != length("540", measure.CM) || c.Across != length("260", measure.CM) || c.TrimBottom != 0 {
		t.Errorf("%+v", c)
	}
	if got := problem(t, w, "price_by_width"); got.Where != "treatments[0].railroad" {
		t.Errorf("%+v", got)
	}
}

// What shrinks along the bolt is the turned panel's width, and what shrinks across it its length: 540 cm less 10 % of 600, and 260 less
// 4 % of 270.84. With 8 % the 280 cm of cloth aren't wide enough.
func TestRailroadedShrinks(t *testing.T) {
	o := turnedPencil(t)
	along := orderfile.Percent(1000)
	o.Fabrics[0].Shrink, o.Fabrics[0].ShrinkWidth = &along, 400
	w := workup.Compute(o)
	checkPanel(t, &w.Treatments[0].Panels[0], map[string]string{
		"flat_width": "500cm", "cut_length": "600cm", "plain_length": "270.9cm", "fullness": "2.5", "trim_return": "40cm", "trim_leading": "0cm",
	})
	o.Fabrics[0].ShrinkWidth = 800
	if p := problem(t, workup.Compute(o), "railroad_short"); p.Args["Length"] != length("282.7", measure.CM) || p.Args["Usable"] != length("280", measure.CM) {
		t.Errorf("%+v", p)
	}
}

// A tape sets its flat width as ever: 124 1/2, and four side hems of 1 1/2 in.
func TestRailroadedTape(t *testing.T) {
	o := inchOrder()
	o.Treatments[0].Railroad, o.Fabrics[0].Railroads, o.Fabrics[0].UsableWidth, o.Fabrics[0].MatchWidth = true, true, inches("111 1/2"), 0
	w := workup.Compute(o)
	checkPanel(t, &w.Treatments[0].Panels[0], map[string]string{
		"pleats": "19", "flat_width": "124.5in", "cut_length": "130.5in", "plain_length": "111.5in", "widths": "1", "trim_return": "0in", "trim_leading": "0in", "repeats_per_cut": "",
	})
	if u := w.Treatments[0].Fabrics[0]; u.Cuts != 2 || u.Length != inches("261") {
		t.Errorf("%+v", u)
	}
}

// The panel's length lies across the cloth: 118 in take a plain length of 118 and not of 119.
func TestRailroadShort(t *testing.T) {
	order := func(plain string) *orderfile.Order {
		o := inchOrder()
		line := stationary(o, inches("48"))
		line.Railroad, line.BottomHem, line.HeadingFold, line.Lining = true, new(inches("4")), new(inches("4")), ""
		line.FinishedLength = inches(plain) - inches("16")
		o.Fabrics[0] = orderfile.Fabric{ID: o.Fabrics[0].ID, Use: orderfile.Face, UsableWidth: inches("118")}
		return o
	}
	if w := workup.Compute(order("118")); len(w.Treatments[0].Panels) != 1 {
		t.Errorf("118 of 118: %+v", w.Problems)
	}
	w := workup.Compute(order("119"))
	got := problem(t, w, "railroad_short")
	if got.Where != "treatments[0].railroad" || got.Args["Usable"] != inches("118") || got.Args["Length"] != inches("119") || len(w.Treatments[0].Panels) != 0 {
		t.Errorf("%+v", got)
	}
}

// What is wrong with a railroaded window: each told once, where the key stands that mends it.
func TestRailroadRefusals(t *testing.T) {
	for _, c := range []struct {
		name, told string
		change     func(f *orderfile.Fabric, line *orderfile.Treatment)
	}{
		{"plain cloth", "", func(*orderfile.Fabric, *orderfile.Treatment) {}},
		{"pile", "railroad_one_way treatments[0].railroad", func(f *orderfile.Fabric, _ *orderfile.Treatment) { f.Pile = orderfile.PileUp }},
		{"one way", "railroad_one_way treatments[0].railroad", func(f *orderfile.Fabric, _ *orderfile.Treatment) { f.OneWay = true }},
		{"a repeat", "railroad_pattern treatments[0].railroad", func(f *orderfile.Fabric, _ *orderfile.Treatment) { f.VerticalRepeat = inches("13") }},
		{"motifs", "railroad_pattern treatments[0].railroad", func(f *orderfile.Fabric, _ *orderfile.Treatment) { f.HorizontalRepeat = inches("13") }},
		{"stripes", "railroad_pattern treatments[0].railroad", func(f *orderfile.Fabric, _ *orderfile.Treatment) { f.MatchWidth = inches("110") }},
		{"a pattern made for it", "", func(f *orderfile.Fabric, _ *orderfile.Treatment) { f.VerticalRepeat, f.Railroads = inches("13"), true }},
		{"a pile made for it", "railroad_one_way treatments[0].railroad", func(f *orderfile.Fabric, _ *orderfile.Treatment) { f.Pile, f.Railroads = orderfile.PileDown, true }},
		{"widths counted", "bad_value treatments[0].widths", func(_ *orderfile.Fabric, line *orderfile.Treatment) { line.Widths = new(measure.Halves(4)) }},
	} {
		o := headed(t, "usable_width: 118", ", heading_fold: 4", "heading: pinch-3, draw: pair, face_width: 120")
		o.Treatments[0].Railroad = true
		c.change(&o.Fabrics[0], &o.Treatments[0])
		var told []string
		for _, p := range workup.Compute(o).Problems {
			if p.Code != "cloth_not_known" && p.Code != "price_by_width" {
				told = append(told, p.Code+" "+p.Where)
			}
		}
		if got := strings.Join(told, ", "); got != c.told {
			t.Errorf("%s: told %q, want %q", c.name, got, c.told)
		}
	}
}

// A pinch heading by the width would have five pleats on one width, however long; railroaded it goes by its spaces. Its flat width is what the
// fullness asks, whatever of the surplus the shop keeps and whatever slack it gives.
func TestRailroadedPleats(t *testing.T) {
	for _, rule := range []string{"best", "per_width", "ranges"} {
		o := headed(t, "usable_width: 118", ", width_allowance: 1/3, pleat_count: "+rule, "heading: pinch-3, draw: stationary, finished_width: 120, return: 0, lead_flat: 0, fullness: 2")
		o.Conventions.FullnessSlack = 2000
		o.Treatments[0].Railroad = true
		w := workup.Compute(o)
		p := &w.Treatments[0].Panels[0]
		// 120 in spaces of 3 1/2 to 4, the middle 3 3/4: 32 of them; take-ups of 120/33 = 3.64 are under the range, which is told.
		checkPanel(t, p, map[string]string{"flat_width": "240in", "cut_length": "246.375in", "widths": "1"})
		if p.TrimReturn+p.TrimLeading != inches("3/8") || p.Space < inches("3 1/2") || p.Space > inches("4") {
			t.Errorf("%s: trims %v and %v, spaces of %v", rule, p.TrimReturn, p.TrimLeading, p.Space)
		}
	}
	// Where less cloth would bring the take-ups into their range, it stays as it was asked: 5 pleats on 15 in, each 37 1/2 in over 5.
	o := headed(t, "usable_width: 118", "", "heading: pinch-3, draw: stationary, finished_width: 15, return: 0, lead_flat: 0, fullness: 3.5")
	o.Conventions.FullnessSlack, o.Treatments[0].Railroad = 2000, true
	checkPanel(t, &workup.Compute(o).Treatments[0].Panels[0], map[string]string{"flat_width": "52.5in", "take_up": "7.5in", "pleats": "5"})
}

// The panels of a pair that turn unlike corners run unlike ways: each is cut as long as it is.
func TestRailroadedPair(t *testing.T) {
	o := headed(t, "usable_width: 118", "", "heading: pinch-3, face_width: 80, overlap: 0, return: 2, return_other: 6, fullness: 2.5, quantity: 2")
	o.Treatments[0].Railroad = true
	w := workup.Compute(o)
	uses := w.Treatments[0].Fabrics
	// 42 and 46 in at 2 1/2, and four side hems of 1 1/2 in
	if len(uses) != 2 || uses[0].CutLength != inches("111") || uses[1].CutLength != inches("121") || uses[0].Cuts != 2 || uses[1].Cuts != 2 {
		t.Fatalf("%+v", uses)
	}
	if total := w.Totals.Fabrics[0]; total.Cuts != 4 || total.Length != inches("464") {
		t.Errorf("%+v", total)
	}
	for _, c := range w.Cloth[0].Cuts {
		want := map[workup.PanelID]measure.Length{workup.Left: inches("111"), workup.Right: inches("121")}[c.For[0].Panel]
		if c.Length != want || len(c.For) != 1 {
			t.Errorf("%+v", c)
		}
	}
	// Alike they are cut alike.
	o.Treatments[0].ReturnOther = nil
	if uses := workup.Compute(o).Treatments[0].Fabrics; len(uses) != 1 || uses[0].Cuts != 4 {
		t.Errorf("%+v", uses)
	}
}

// A lining is railroaded by itself: as long as the panel is wide, where its own cut fits across the cloth.
func TestRailroadedLining(t *testing.T) {
	o := inchOrder() // a lining cut of 99 1/2, a flat width of 124 1/2
	o.Treatments[0].RailroadLining = true
	if got := problem(t, workup.Compute(o), "railroad_short"); got.Where != "treatments[0].railroad_lining" || got.Args["Length"] != inches("99 1/2") {
		t.Errorf("%+v", got)
	}
	lining := &o.Fabrics[slices.IndexFunc(o.Fabrics, func(f orderfile.Fabric) bool { return f.Use == orderfile.Lining })]
	lining.UsableWidth = inches("99 1/2")
	o.Conventions.Step = inches("1")
	o.Conventions.LiningTrim = inches("1/2") // 99 with the step of an inch
	w := workup.Compute(o)
	u := w.Treatments[0].Fabrics[1]
	if u.Cuts != 2 || u.CutLength != inches("125") || u.Across != inches("99") || u.Length != inches("250") || w.Treatments[0].Panels[0].LiningSurplus != inches("1/2") {
		t.Errorf("%+v", u)
	}
	if w.Treatments[0].Panels[0].Railroaded() {
		t.Error("the face is cut along the cloth as ever")
	}
}

// A railroaded panel starts anywhere on a bolt, after others that start on its pattern: behind a cut from 5 to 105 in there is room to 190.
func TestRailroadedStartsAnywhere(t *testing.T) {
	o := headed(t, "usable_width: 118, vertical_repeat: 40", ", repeat_rule: on_phase", "heading: pinch-3, draw: stationary, finished_width: 30")
	o.Fabrics[0].Railroads = true
	o.Fabrics[0].Bolts = []orderfile.Bolt{{ID: "R", Length: inches("190"), FirstRepeat: inches("5")}}
	turned := o.Treatments[0]
	turned.Railroad, turned.Window = true, "Hall"
	o.Treatments = append([]orderfile.Treatment{turned}, o.Treatments...)
	w := workup.Compute(o)
	plan := w.Cloth[0]
	if len(plan.Cuts) != 2 || len(plan.Plan.Unplaced) > 0 {
		t.Fatalf("%+v, not placed %v", plan.Cuts, plan.Plan.Unplaced)
	}
	for _, c := range append(plan.Cuts, plan.Relay(plan.Cuts, nil, nil).Cuts...) { // and as for the rest of a bolt
		if c.Railroaded != (c.Treatment == 0) || c.TrimTop != 0 || c.TrimBottom != 0 {
			t.Errorf("%+v", c)
		}
	}
	if u := w.Treatments[0].Fabrics[0]; u.CutLength != inches("81") || u.Length != inches("81") || w.Treatments[0].Panels[0].RepeatsPerCut != 0 {
		t.Errorf("no repeats: %+v", u)
	}
	if got := w.Totals.Fabrics[0].Length; got != inches("181") { // whichever comes first, nothing is lost between them
		t.Errorf("%s in all", got.In(measure.In))
	}
}
