package workup_test

import (
	"strings"
	"testing"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// stepOf is how a number of the first panel came about.
func stepOf(t *testing.T, w *workup.Workup, name string) workup.Step {
	t.Helper()
	for _, s := range first(w).Trail {
		if s.Name == name {
			return s
		}
	}
	t.Fatalf("no step %s", name)
	return workup.Step{}
}

// plainPair is a pinched pair on plain cloth with nothing else said: 42 + 3 + 3½ a panel for a rod of 84.
func plainPair(face, usable string, change func(o *orderfile.Order)) *orderfile.Order {
	return pinched(func(o *orderfile.Order) {
		o.Treatments[0].FaceWidth = inches(face)
		o.Fabrics[0].UsableWidth, o.Fabrics[0].VerticalRepeat = inches(usable), 0
		if change != nil {
			change(o)
		}
	})
}

// A rod of 72 at 2½ takes two widths at 2.38, as every workroom makes it; the first release took 2½ at 2.99.
func TestFewerWidthsWithinTheSlack(t *testing.T) {
	for _, c := range []struct {
		slack            orderfile.Percent
		widths, fullness string
	}{
		{700, "2", "2.376"}, // 42½ at 2½ is 106¼, 93 % of it 98.8; two widths give 101
		{495, "2", "2.376"}, // 101 is 4.941 % under
		{494, "2.5", "2.5"},
		{0, "2.5", "2.5"},
	} {
		o := plainPair("72", "54", func(o *orderfile.Order) { o.Conventions.FullnessSlack = c.slack })
		checkPanel(t, first(workup.Compute(o)), map[string]string{"widths": c.widths, "fullness": c.fullness})
	}
	checkPanel(t, first(workup.Compute(plainPair("72", "54", asBefore))), map[string]string{"widths": "2.5", "fullness": "2.988"})
}

// What the take-ups want of the flat width, by hand for a panel of 48½ with 39 in for the spaces: 11 or 12 pleats.
func TestFlatWidthSuitsTheTakeUps(t *testing.T) {
	for name, c := range map[string]struct {
		num, den int64
		usable   string
		want     map[string]string
		formula  string
	}{
		// 135.8 asked; 12 pleats of 7 lie on 132½, 2.4 % under it. 11 would lie on 125½, 7.6 % under.
		"leaner": {28, 10, "60", map[string]string{"pleats": "12", "flat_width": "132.5in", "take_up": "7in", "widths": "2.5"}, "formula.flat_width.leaner"},
		// 97 asked; 11 pleats of 4½ lie on 98, 12 on 102½. 5 in 54 of 104 would be 9.6: 11 are nearer.
		"fuller": {2, 1, "54", map[string]string{"pleats": "11", "flat_width": "98in", "take_up": "4.5in"}, "formula.flat_width.fuller"},
		"asked":  {5, 2, "54", map[string]string{"pleats": "12", "flat_width": "121.25in"}, "formula.flat_width.trimmed.finished"},
		// 130.95 asked; 2½ widths give 127, 3 % under, and 12 pleats of 6.54 hide both seams.
		"all": {27, 10, "54", map[string]string{"flat_width": "127in", "trim_return": "0in"}, "formula.flat_width.kept"},
	} {
		w := workup.Compute(plainPair("84", c.usable, func(o *orderfile.Order) { fuller(o, c.num, c.den) }))
		checkPanel(t, first(w), c.want)
		if got := stepOf(t, w, "flat_width").Formula; got != c.formula {
			t.Errorf("%s: %s", name, got)
		}
		if has(w, "pleat_out_of_range") {
			t.Errorf("%s: %+v", name, w.Problems)
		}
	}
}

// Where the widths give less than is asked and leave a seam in view, a little comes off within the slack. The panel of
// 28½ gets 1½ widths of 45, 60½ flat of 64.1 asked.
func TestSlackHidesASeam(t *testing.T) {
	o := plainPair("44", "45", func(o *orderfile.Order) { o.Treatments[0].Heading = orderfile.Pinch2 })
	w := workup.Compute(o)
	p := first(w)
	if p.SeamsInPleats != 1 || has(w, "seam_shows") || p.TrimReturn <= 0 || p.TrimLeading != 0 || p.FlatWidth+p.TrimReturn != inches("60 1/2") {
		t.Errorf("%d of %d seams hidden, %s flat, %s off", p.SeamsInPleats, len(p.Seams), p.FlatWidth.In(measure.In), p.TrimReturn.In(measure.In))
	}
	if p.FlatWidth < inches("59.64") { // 93 % of 64 1/8
		t.Errorf("%s flat is under the slack", p.FlatWidth.In(measure.In))
	}
	if got := stepOf(t, w, "flat_width").Formula; got != "formula.flat_width.seams" {
		t.Error(got)
	}
	o.Conventions.FullnessSlack = 0
	if w := workup.Compute(o); first(w).Widths != 4 {
		t.Errorf("%s widths without slack", first(w).Widths)
	}
}

// On seven widths the search looks through hundreds of cuts, each in several counts of pleats, and finds the one far on: 147 mm off,
// 21 pleats hide all six seams, where the most that 25 on the whole cloth hide is five.
func TestSlackIsLookedThroughToItsEnd(t *testing.T) {
	o, problems := orderfile.Parse([]byte(`{order: S, units: mm, conventions: {side_hem: 45},
fabrics: [{id: reed, use: face, usable_width: 977, match_width: 941}],
treatments: [{window: Hall, heading: inverted-box, draw: one_way_right, face_width: 2711, return: 200, finished_length: 1674, face: reed, quantity: 4, fullness: 2.1}]}`))
	if engine.AnyError(problems) {
		t.Fatalf("%+v", problems)
	}
	checkPanel(t, first(workup.Compute(o)), map[string]string{
		"pleats": "21", "trim_return": "147mm", "trim_leading": "0mm", "flat_width": "5807.5mm", "seams_hidden": "6",
	})
}

// So it does on twelve widths of a print, whose motifs settle the trim, in the left panel of an uneven pair, which is worked out by itself:
// 436 mm off, 22 goblets hide eight of eleven seams, and of no less off more than seven.
func TestSlackOfAPrintIsLookedThroughToItsEnd(t *testing.T) {
	o, problems := orderfile.Parse([]byte(`{order: S, units: cm, conventions: {width_allowance: 3.81},
fabrics: [{id: reed, use: face, usable_width: 123.5, vertical_repeat: 49.4, match: half_drop, horizontal_repeat: 64.7, motif_offset: 40.4375}],
treatments: [{window: Hall, heading: goblet, face_width: 493.6, overlap: 0, return: 9, return_other: 8, finished_length: 302, face: reed, quantity: 4,
  side_hem: 1, fullness: 3.05, lead_flat: 3.5, motif: mirrored, motif_lead: 27.8}]}`))
	if engine.AnyError(problems) {
		t.Fatalf("%+v", problems)
	}
	checkPanel(t, first(workup.Compute(o)), map[string]string{"seams_hidden": "8", "trim_return": "43.6cm", "flat_width": "734.3375cm"})
}

// A sheer 118 in wide has its share of the pleats: not five a width, which took up 16 in each.
func TestWideCloth(t *testing.T) {
	for _, change := range []func(o *orderfile.Order){nil, asBefore} {
		w := workup.Compute(plainPair("84", "118", change))
		if p := first(w); p.TakeUp > inches("8") || p.Pleats < 11 {
			t.Errorf("%d pleats of %s", p.Pleats, p.TakeUp.In(measure.In))
		}
	}
}

// Pleats that the order counts take no more cloth than they can hold, as far as the slack goes: ten of 7 in hold 70, so 118½ of the
// 121¼ asked; nine would hold 63, and 111½ is under 93 % of what is asked. The first release knew no slack.
func TestGivenPleatsTakeLessCloth(t *testing.T) {
	for pleats, want := range map[int]map[string]string{
		11: {"flat_width": "121.25in", "take_up": "6.61363638in"},
		10: {"flat_width": "118.5in", "take_up": "7in"},
		9:  {"flat_width": "121.25in"},
	} {
		checkPanel(t, first(workup.Compute(pinched(func(o *orderfile.Order) { o.Treatments[0].Pleats = &pleats }))), want)
	}
	ten := 10
	checkPanel(t, first(workup.Compute(pinched(func(o *orderfile.Order) { asBefore(o); o.Treatments[0].Pleats = &ten }))), map[string]string{"flat_width": "127in"})
}

// Widths that the order counts are taken as they are: all the cloth is used, unless the order has it trimmed.
func TestWidthsGiven(t *testing.T) {
	given := func(halves measure.Halves, change func(o *orderfile.Order)) *workup.Workup {
		return workup.Compute(plainPair("84", "54", func(o *orderfile.Order) {
			o.Treatments[0].Widths = &halves
			if change != nil {
				change(o)
			}
		}))
	}
	w := given(5, nil)
	checkPanel(t, first(w), map[string]string{"widths": "2.5", "flat_width": "127in", "trim_return": "0in", "trim_leading": "0in"})
	if got := stepOf(t, w, "widths"); got.Formula != "formula.widths.given" || got.Source != "source.order" || has(w, "widths_out_of_range") {
		t.Errorf("%+v, %+v", got, w.Problems)
	}
	checkPanel(t, first(given(6, func(o *orderfile.Order) { o.Treatments[0].Surplus = "trim" })), map[string]string{"widths": "3", "flat_width": "121.25in"})
	checkPanel(t, first(given(6, func(o *orderfile.Order) { o.Conventions.Surplus = "trim" })), map[string]string{"widths": "3", "flat_width": "154in"})

	full := problem(t, given(6, nil), "widths_out_of_range") // 154 on 48½
	if full.Severity != engine.Warning || full.Where != "treatments[0].widths" || full.Args["Fullness"].(measure.Ratio).String() != "3.175" {
		t.Errorf("%+v", full)
	}
	if got := problem(t, given(3, nil), "widths_out_of_range"); got.Args["Fullness"].(measure.Ratio).String() != "1.526" {
		t.Errorf("%+v", got)
	}
	// Of a box nothing is usual.
	if w := given(26, func(o *orderfile.Order) { o.Treatments[0].Heading = orderfile.Box }); has(w, "widths_out_of_range") || first(w).Fullness.String() != "14.103" {
		t.Errorf("%s: %+v", first(w).Fullness, w.Problems)
	}
	w = given(2, nil) // 48 flat for 48½
	if got := problem(t, w, "too_narrow"); got.Where != "treatments[0].widths" || len(w.Treatments[0].Panels) > 0 {
		t.Errorf("%+v", got)
	}
	o := inchOrder() // a tape's panel turns what is over into its hems
	o.Treatments[0].Widths = new(measure.Halves(6))
	p := onePanel(t, o)
	if p.Widths != 6 || p.TrimReturn+p.TrimLeading != 0 || p.TurnedReturn+p.TurnedLeading != inches("29 1/2") {
		t.Errorf("%s widths, %+v turned", p.Widths, p.TurnedReturn+p.TurnedLeading)
	}
}

// The lead of a pair is its overlap; of a panel that meets no other its return there, else the shop's.
func TestLeadFlat(t *testing.T) {
	for name, c := range map[string]struct {
		change func(o *orderfile.Order)
		want   string
	}{
		"pair":    {func(o *orderfile.Order) {}, "6"},
		"one-way": {func(o *orderfile.Order) { o.Treatments[0].Draw = orderfile.OneWayLeft }, "1 1/2"},
		"one-way with return": {func(o *orderfile.Order) {
			o.Treatments[0].Draw = orderfile.OneWayLeft
			o.Treatments[0].ReturnOther = new(inches("3"))
		}, "3"},
		"stationary": {func(o *orderfile.Order) { stationary(o, inches("20")) }, "1 1/2"},
		"the shop's": {func(o *orderfile.Order) { stationary(o, inches("20")); o.Conventions.SingleLead = inches("2") }, "2"},
		"given":      {func(o *orderfile.Order) { stationary(o, inches("20")); o.Treatments[0].LeadFlat = new(inches("1")) }, "1"},
	} {
		w := workup.Compute(pinched(c.change))
		if got := first(w).LeadFlat; got != inches(c.want) {
			t.Errorf("%s: %s", name, got.In(measure.In))
		}
	}
	// A stationary panel of 20 is no longer made of 100 in of cloth.
	if p := first(workup.Compute(pinched(func(o *orderfile.Order) { stationary(o, inches("20")) }))); p.Fullness.Float() > 2.6 {
		t.Errorf("fullness %s", p.Fullness)
	}
}

// What is said of a seam in view: that no trim hides it only where trims were tried, else what trimming would do.
func TestSeamsInViewAreToldTruly(t *testing.T) {
	keys := func(c orderfile.Conventions) map[string]int {
		n := map[string]int{}
		for _, p := range workup.Compute(ordinary(t, c)).Problems {
			if p.Code == "seam_shows" {
				n[strings.TrimPrefix(p.MessageKey(), "problem.seam_shows")]++
			}
		}
		return n
	}
	if got := keys(orderfile.FirstReleaseConventions(measure.In)); got[""] > 0 || got[".kept.none"] < 20 {
		t.Errorf("all cloth kept: %v", got)
	}
	if got := keys(orderfile.DefaultConventions(measure.In)); got[".kept"]+got[".kept.none"]+got[".kept.fewer"] > 0 || got[""]+got[".exact"] == 0 {
		t.Errorf("trimmed: %v", got)
	}
	// Trimming does what is said of it.
	o := ordinary(t, orderfile.FirstReleaseConventions(measure.In))
	kept := workup.Compute(o)
	o.Conventions.Surplus = "trim"
	trimmed := workup.Compute(o)
	for _, p := range kept.Problems {
		index := 0
		for i := range o.Treatments {
			if strings.HasPrefix(p.Where, "treatments["+measure.Count(i)+"]") {
				index = i
			}
		}
		if got := &trimmed.Treatments[index].Panels[0]; strings.HasPrefix(p.MessageKey(), "problem.seam_shows.kept") &&
			(p.Args["Left"] != len(got.Seams)-got.SeamsInPleats || p.Args["Flat"] != got.FlatWidth) {
			t.Errorf("%s: %v, trimmed %d of %d seams are hidden on %d", p.Where, p.Args, got.SeamsInPleats, len(got.Seams), got.FlatWidth)
		}
	}
}

// What a person is shown of the problems; the work-up keeps them all.
func TestNoteworthy(t *testing.T) {
	o := inchOrder()
	o.Treatments = append(o.Treatments, o.Treatments[0], o.Treatments[0])
	o.Treatments[1].Window, o.Treatments[2].Window = "Door", "Stair"
	o.Treatments[2].HeadingFold = new(inches("3 1/2")) // lies otherwise
	w := workup.Compute(o)
	codes := map[string]int{}
	for _, p := range w.Problems {
		codes[p.Code]++
	}
	if codes["cord_hazard"] != 3 || codes["pleat_in_lap"] != 3 || codes["stitch_below_fold"] != 3 {
		t.Fatalf("%v", codes)
	}
	var stitches []engine.Problem
	for _, p := range workup.Noteworthy(w.Problems) {
		switch p.Code {
		case "cord_hazard", "pleat_in_lap":
			t.Errorf("%s is shown", p.Code)
		case "stitch_below_fold":
			stitches = append(stitches, p)
		}
	}
	if len(stitches) != 2 || stitches[0].Args["More"] != 1 || stitches[1].Args["More"] != nil {
		t.Errorf("%+v", stitches)
	}
	if w.Problems[0].Args["More"] != nil {
		t.Error("the work-up's own problem is changed")
	}
	if got := w.Treatments[0].Panels[0].PleatsInLap; got != 2 { // at 1¾ and 4¼ from the lead, within 6
		t.Errorf("%d pleats in the lap", got)
	}
}

// Each way of hiding a seam says which it is.
func TestSeamsOutOfSightSayWhere(t *testing.T) {
	for heading, want := range map[orderfile.Heading]string{
		orderfile.Pinch2: "formula.seams_hidden.fold", orderfile.Box: "formula.seams_hidden.quarter", orderfile.Goblet: "formula.seams_hidden.quarter",
	} {
		w := workup.Compute(plainPair("84", "54", func(o *orderfile.Order) { o.Treatments[0].Heading = heading }))
		if got := stepOf(t, w, "seams_hidden").Formula; got != want {
			t.Errorf("%s: %s, want %s", heading, got, want)
		}
	}
}
