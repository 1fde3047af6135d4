package workup_test

import (
	"testing"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// The finished width asked, by draw: face 84, return 3½, the other 2, overlap 6.
func TestFinishedWidthAsked(t *testing.T) {
	for _, c := range []struct {
		draw  orderfile.Draw
		basis orderfile.OverlapBasis
		want  string
	}{
		{orderfile.Pair, "total_lap", "48 1/2"},   // 42 + 3 + 3½
		{orderfile.Pair, "past_centre", "51 1/2"}, // 42 + 6 + 3½
		{orderfile.OneWayLeft, "total_lap", "89 1/2"},
		{orderfile.OneWayRight, "past_centre", "89 1/2"},
		{orderfile.Stationary, "total_lap", "50"},
		{orderfile.StationaryPair, "past_centre", "50"},
	} {
		o := inchOrder()
		o.Conventions.OverlapBasis = c.basis
		line := &o.Treatments[0]
		line.Draw, line.ReturnOther = c.draw, new(inches("2"))
		if c.draw == orderfile.Stationary || c.draw == orderfile.StationaryPair {
			line.FaceWidth, line.FinishedWidth = 0, inches("50")
		}
		w := workup.Compute(o)
		if got := w.Treatments[0].Panels[0].FinishedWidthAsked; got != inches(c.want) {
			t.Errorf("%s, %s: %s, want %s", c.draw, c.basis, got.In(measure.In), c.want)
		}
		if got := len(w.Treatments[0].Panels); (got == 2) != c.draw.Paired() {
			t.Errorf("%s has %d panels", c.draw, got)
		}
	}
}

// Two margins equally near the nominal: 21 pleats at 0.375 and 20 at 1.625 are both 0.625 off. Fewer pleats win.
func TestEqualMarginsTakeFewerPleats(t *testing.T) {
	o := inchOrder()
	stationary(o, inches("53 1/4"))
	o.Tapes[0].EndMargin = orderfile.EndMargin{Nominal: inches("1"), Min: 0, Max: inches("2")}
	checkPanel(t, onePanel(t, o), map[string]string{"pleats": "20", "end_margin": "1.625in"})
}

// Ease is taken up to its most and no further: 18 pleats give 47 tight and 18/16 in of ease.
func TestEaseToItsMost(t *testing.T) {
	o := inchOrder()
	stationary(o, inches("48 1/8"))
	checkPanel(t, onePanel(t, o), map[string]string{"pleats": "18", "tight_width": "47in", "finished_width": "48.125in", "deviation": "0in"})
	stationary(o, inches("48 3/16"))
	checkPanel(t, onePanel(t, o), map[string]string{"pleats": "19", "finished_width": "48.5in", "deviation": "0.3125in"})
}

// On an opened heading the pleats stand evenly: 47½ with margins of 1 is 45½/18 a pleat, so the first two stand at
// 2.2639 and 4.7917, 1.2361 and 1.2917 from the corner at 3½.
func TestCornerOfAnOpenedHeading(t *testing.T) {
	o := inchOrder()
	stationary(o, inches("47 1/2"))
	checkPanel(t, onePanel(t, o), map[string]string{"corner_to_pleat": "1.2361111in"})
}

// A seam a quarter of the take-up from its base is still in the back half of the tube: at 54¾, 1 in into the
// take-up from 53¾. The other, at 112, lies in a space. A step of 10 ft leaves no other trim to try.
func TestSeamOnTheShoulder(t *testing.T) {
	o := inchOrder()
	stationary(o, inches("48 1/2"))
	o.Fabrics[0].UsableWidth, o.Conventions.Step = inches("58 1/4"), inches("120")
	checkPanel(t, onePanel(t, o), map[string]string{
		"widths": "3", "seams": "54.75in 112in", "seams_in_pleats": "1", "seams_hidden": "1", "trim_return": "0in", "trim_leading": "42.25in",
	})
}

// Lining has seams of its own, halves by its own cloth, and no regard to a repeat.
func TestLining(t *testing.T) {
	o := inchOrder()
	o.Fabrics[0].MatchWidth = inches("51")                                             // the face loses 3 in a join
	o.Fabrics[1].UsableWidth, o.Fabrics[1].VerticalRepeat = inches("51"), inches("20") // 2½·51 − 2 = 125½
	p := onePanel(t, o)
	if p.LiningWidths != 5 || p.LiningCutLength != inches("99 1/2") {
		t.Errorf("%s widths of %s", p.LiningWidths, p.LiningCutLength.In(measure.In))
	}
	if got := workup.Compute(o).Totals.Fabrics[1]; got.ToOrder != inches("499 1/2") { // 497½ up to 4½, no repeat more
		t.Errorf("to order %s", got.ToOrder.In(measure.In))
	}
	o.Conventions.LiningRule = "allowance"
	if p := onePanel(t, o); p.LiningCutLength != inches("105 1/2") { // finished length + 10
		t.Errorf("by allowance %s", p.LiningCutLength.In(measure.In))
	}

	// A single window's lining takes whole widths; of two such windows one gives the other its half.
	o = inchOrder()
	stationary(o, inches("48 1/2"))
	for quantity, want := range map[int]measure.Halves{1: 6, 2: 5} {
		o.Treatments[0].Quantity = quantity
		if p := onePanel(t, o); p.LiningWidths != want || p.Widths != 6 { // the patterned face keeps whole widths
			t.Errorf("%d windows: lining %s, face %s", quantity, p.LiningWidths, p.Widths)
		}
	}
}

// Interlining is cut to the finished length, up to the step.
func TestInterlining(t *testing.T) {
	o := inchOrder()
	o.Fabrics[1].Use = orderfile.Interlining
	o.Treatments[0].Lining, o.Treatments[0].Interlining = "", "sateen"
	o.Treatments[0].FinishedLength = inches("95 17/32")
	if p := onePanel(t, o); p.InterliningCutLength != inches("95 9/16") || p.InterliningWidths != 5 {
		t.Errorf("%s widths of %s", p.InterliningWidths, p.InterliningCutLength.In(measure.In))
	}
}

// Half a repeat is lost only where a panel has both classes, which count from the leading edge.
func TestHalfDropClasses(t *testing.T) {
	o := inchOrder()
	o.Fabrics[0].Match = orderfile.HalfDrop
	stationary(o, inches("14")) // 5 pleats, 34½ flat: one width
	if got := workup.Compute(o).Treatments[0].Fabrics[0]; got.Length != inches("121 1/2") {
		t.Errorf("one width takes %s", got.Length.In(measure.In))
	}
	stationary(o, inches("36")) // 14 pleats, 92 flat: two
	w := workup.Compute(o)
	if got := w.Treatments[0].Fabrics[0]; got.Length != inches("249 3/4") { // 243 + 6¾
		t.Errorf("two widths take %s", got.Length.In(measure.In))
	}
	if at := w.Treatments[0].Panels[0].Pieces; len(at) != 2 || at[0].Class != 1 || at[1].Class != 0 {
		t.Errorf("classes from the return edge %+v", at)
	}
}

// Totals cover the quantity.
func TestQuantity(t *testing.T) {
	o := inchOrder()
	o.Treatments[0].Quantity = 3
	w := workup.Compute(o)
	if b := w.Totals.Buckram[0]; b.Pieces != 114 || b.Length != inches("1368") {
		t.Errorf("buckram %+v", b)
	}
	if f := w.Totals.Fabrics[0]; f.Cuts != 15 || f.Length != inches("1822 1/2") {
		t.Errorf("face %+v", f)
	}
	if tape := w.Totals.Tape[0]; tape.Pieces != 6 || tape.Used != inches("6 1/2")*119+inches("3") { // 6·19 and 5 gaps
		t.Errorf("tape %+v", tape)
	}
}

// Where a match width is given the joins stand exactly there, closer than the shop's seams or wider, for a pattern
// joined elsewhere is off at every join. With 2 a join the surplus is ½, with ¾ it is 3; both seams lie the lower in
// their tubes the more is trimmed at the return, until one would come out.
func TestMatchWidth(t *testing.T) {
	o := inchOrder()
	for match, want := range map[string]map[string]string{
		"53":     {"seams": "21.375in 74.375in", "trim_return": "2.125in"},
		"53 1/4": {"seams": "21.375in 74.625in", "trim_return": "2.25in", "trim_leading": "0.75in"},
		"52":     {"seams": "22.5in 74.5in", "trim_return": "0.5in", "trim_leading": "0in"},
	} {
		o.Fabrics[0].MatchWidth = inches(match)
		p := onePanel(t, o)
		checkPanel(t, p, want)
		if got := p.Seams[1] - p.Seams[0]; got != inches(match) {
			t.Errorf("joined %s apart, the pattern meets at %s", got.In(measure.In), match)
		}
	}
}

// Joins narrower than the shop's are told with both numbers, once a fabric, and only where there are any.
func TestNarrowJoins(t *testing.T) {
	o := inchOrder()
	o.Fabrics[0].MatchWidth = inches("53 1/4")
	o.Treatments = append(o.Treatments, o.Treatments[0])
	got := problem(t, workup.Compute(o), "seam_narrow").Args
	if got["Loss"] != inches("3/4") || got["Seams"] != inches("1") {
		t.Errorf("%v", got)
	}
	o.Fabrics[0].MatchWidth = inches("53 13/16")
	w := workup.Compute(o)
	if got := problem(t, w, "seam_narrow"); got.Key != "problem.seam_narrow.error" || got.Args["Least"] != inches("1/4") || len(w.Treatments[1].Panels) > 0 {
		t.Errorf("%+v", got)
	}
	o.Fabrics[0].MatchWidth = inches("53 3/4") // just ¼
	if got := problem(t, workup.Compute(o), "seam_narrow"); got.Severity != engine.Warning {
		t.Errorf("%+v", got)
	}
	for i := range o.Treatments { // one width has no join
		o.Treatments[i].FaceWidth = inches("20")
	}
	o.Fabrics[0].MatchWidth = inches("54")
	if w := workup.Compute(o); has(w, "seam_narrow") {
		t.Errorf("%+v", w.Problems)
	}
}
