package recompute

import "testing"

// rePinched is an order of one hand-set treatment without hems, seams or repeats of its own, which cases then change: most
// published figures leave those out.
func rePinched(unit string, change func(c *reConv, f *reFabric, t *reTreatment)) reOrder {
	none := reInt(0)
	o := reOrder{
		id: "P", unit: unit, conv: reUnits(unit).conv,
		fabrics: []reFabric{{id: "reed", use: "face"}, {id: "sateen", use: "lining", usable: reL(54, 1)}},
		treatments: []reTreatment{{
			window: "Bay", heading: "pinch-2", draw: "one_way_left", face: "reed", quantity: 1,
			returnTo: reL(0, 1), lap: reL(0, 1), leadFlat: reL(0, 1),
		}},
	}
	o.conv.sideHem, o.conv.seam, o.conv.lengthAllowance, o.conv.orderRounding, o.conv.orderRepeats = none, none, none, "none", none
	o.conv.pleatCount, o.conv.surplus, o.conv.slack = "per_width", "by_heading", none // as the sources have it
	change(&o.conv, &o.fabrics[0], &o.treatments[0])
	return o
}

// reCM is a length in centimetres, of a file in centimetres.
func reCM(n int64) reLen { return reLen{reNum: reMM(10 * n)} }

// TestRecomputePublished holds the second program to figures that were printed, each under its source's own rules.
func TestRecomputePublished(t *testing.T) {
	const face, total = ".treatments.0.fabrics.0.", ".totals.fabrics.0."
	for _, c := range []struct {
		source, unit string
		change       func(c *reConv, f *reFabric, t *reTreatment)
		want         map[string]string
	}{
		{"Homesteady, pinch-pleated drapes", "in", func(c *reConv, f *reFabric, t *reTreatment) {
			c.fullnessBasis, c.widthsRounding, c.surplus, c.lengthAllowance = "track", "up_to_whole", "trim", reInt(16)
			f.usable, t.faceWidth, t.fullness, t.finishedLength = reL(54, 1), reL(65, 1), reL(9, 4), reL(80, 1)
		}, map[string]string{"flat_width": "146.25in", "widths": "3.0000", "cut_length": "96in", face + "length": "288in", total + "to_order": "8yd"}},
		{"Erlam, patterned-drape yardage", "in", func(c *reConv, f *reFabric, t *reTreatment) {
			c.widthsRounding = "up_to_whole"
			f.usable, t.finishedWidth, t.fullness, t.finishedLength = reL(54, 1), reL(70, 1), reL(2, 1), reL(80, 1)
		}, map[string]string{"widths": "3.0000"}},
		{"mylltd.com, commonly used formulas", "in", func(c *reConv, f *reFabric, t *reTreatment) {
			c.widthsRounding, c.pairSplit, c.surplus, c.lengthAllowance = "up_to_whole", "total", "trim", reInt(16)
			f.usable, f.repeat = reL(48, 1), reL(24, 1)
			t.draw, t.faceWidth, t.returnTo, t.lap, t.fullness, t.finishedLength = "pair", reL(125, 1), reL(6, 1), reL(4, 1), reL(5, 2), reL(90, 1)
		}, map[string]string{
			"flat_width": "176.25in", "widths": "4.0000", "plain_length": "106in", "repeats_per_cut": "5", "cut_length": "120in",
			face + "length": "960in", total + "to_order": "26.666666667yd",
		}},
		{"contractdecor.com, yardage", "in", func(c *reConv, f *reFabric, t *reTreatment) {
			c.widthsRounding, c.pairSplit, c.surplus, c.liningRule, c.lengthAllowance = "up_to_whole", "total", "trim", "allowance", reInt(15)
			f.usable, f.repeat = reL(54, 1), reL(8, 1)
			t.draw, t.faceWidth, t.returnTo, t.lap, t.fullness, t.finishedLength = "pair", reL(56, 1), reL(3, 1), reL(6, 1), reL(2, 1), reL(64, 1)
			t.lining = "sateen"
		}, map[string]string{
			"finished_width": "34in", "flat_width": "68in", "widths": "1.5000", "plain_length": "79in", "cut_length": "80in", face + "length": "240in",
			".treatments.0.fabrics.1.cut_length": "74in",
		}},
		{"mgrsewing.com, the easy rule for a repeat", "in", func(c *reConv, f *reFabric, t *reTreatment) {
			c.repeatRule = "add_one"
			f.usable, f.repeat, t.finishedWidth, t.fullness, t.finishedLength = reL(54, 1), reL(26, 1), reL(48, 1), reL(9, 4), reL(100, 1)
		}, map[string]string{"widths": "2.0000", "cut_length": "126in", total + "to_order": "7yd"}},
		{"yupedia.com, widths to the nearest", "cm", func(c *reConv, f *reFabric, t *reTreatment) {
			c.fullnessBasis, c.widthsRounding, c.pairSplit, c.lengthAllowance = "track", "nearest_whole", "total", reMM(300)
			f.usable, t.draw, t.faceWidth, t.fullness, t.finishedLength = reCM(154), "pair", reCM(240), reL(2, 1), reCM(220)
		}, map[string]string{"widths": "1.5000", "cut_length": "250cm", face + "length": "750cm", total + "to_order": "7.5m"}},
		{"curtainsandfabx.co.uk, one repeat more a cut", "cm", func(c *reConv, f *reFabric, t *reTreatment) {
			c.repeatRule = "add_one"
			f.usable, f.repeat, t.finishedWidth, t.fullness, t.finishedLength = reCM(100), reCM(27), reCM(160), reL(9, 4), reCM(135)
		}, map[string]string{"widths": "4.0000", "cut_length": "162cm", face + "length": "648cm"}},
		{"livingstonetextiles.com, half-drop", "cm", func(c *reConv, f *reFabric, t *reTreatment) {
			c.halfDrop = "one_repeat_an_order"
			f.usable, f.repeat, f.match = reCM(100), reCM(65), "half_drop"
			t.finishedWidth, t.fullness, t.finishedLength = reCM(120), reL(9, 4), reCM(195)
		}, map[string]string{"widths": "3.0000", face + "length": "585cm", total + "length": "650cm", total + "to_order": "6.5m"}},
		{"et-wholesale.com.au, curtain fabric required", "cm", func(c *reConv, f *reFabric, t *reTreatment) {
			c.fullnessBasis, c.widthsRounding, c.lengthAllowance, c.widthAllowance = "track", "up_to_whole", reMM(300), reMM(400)
			f.usable, t.faceWidth, t.fullness = reCM(140), reCM(200), reL(2, 1)
			t.toFloor, t.above, t.clearance = reCM(213), reCM(0), reCM(3)
		}, map[string]string{"widths": "4.0000", "cut_length": "240cm", face + "length": "960cm", total + "to_order": "9.6m"}},
		{"Singer Sewing Library 102, measuring for pleats", "in", func(c *reConv, f *reFabric, t *reTreatment) {
			c.pastCentre, c.sideHem = true, reFrac(3, 2)
			f.usable, t.draw, t.faceWidth, t.returnTo, t.lap, t.leadFlat = reL(50, 1), "pair", reL(98, 1), reL(3, 1), reL(1, 1), reLen{}
			t.heading, t.pleats, t.finishedLength = "pinch-3", 13, reL(80, 1)
		}, map[string]string{
			"finished_width": "53in", "flat_width": "144in", "take_up": "7in", "space": "4in", "lead_flat": "2in", "fullness": "2.7170", "edge_to_pleat": "3in",
		}},
	} {
		reExpect(t, c.source, rePinched(c.unit, c.change), c.want)
	}
}

// TestRecomputePleatsPerWidth holds the count by widths to Woodcock's table, "Calculating Pleats and Spaces" (2019).
func TestRecomputePleatsPerWidth(t *testing.T) {
	for halves, pleats := range map[int][]int{2: {5}, 3: {7}, 4: {10}, 5: {12, 13}, 6: {15}, 7: {17, 18}} {
		o := rePinched("in", func(c *reConv, f *reFabric, t *reTreatment) {
			c.pairSplit = "total"
			f.usable, t.draw, t.finishedLength, t.fullness = reL(54, 1), "stationary_pair", reL(80, 1), reL(5, 2)
			t.finishedWidth = reLen{reNum: reInt(54).half().times(halves).div(reFrac(5, 2))}
			t.returnTo, t.leadFlat = reL(7, 2), reL(6, 1)
		})
		h := o.hand(o.treatments[0])
		n := h.counts()[0].n
		if h.joined.halves != halves || n != pleats[0] && n != pleats[len(pleats)-1] {
			t.Errorf("%d half widths: %d of them and %d pleats, want %v", halves, h.joined.halves, n, pleats)
		}
	}
}

// TestRecomputeHandRules holds what ends of half a space, ranges and a trim come to, worked out by hand.
func TestRecomputeHandRules(t *testing.T) {
	base := func(c *reConv, f *reFabric, t *reTreatment) {
		f.usable, t.draw, t.finishedWidth, t.finishedLength, t.fullness = reL(54, 1), "stationary", reL(48, 1), reL(80, 1), reL(5, 2)
		t.returnTo, t.leadFlat = reL(4, 1), reL(4, 1)
	}
	for name, c := range map[string]struct {
		change func(c *reConv, f *reFabric, t *reTreatment)
		want   map[string]string
	}{
		// 120 wanted: 3 widths, 162; 15 pleats of (162 - 48)/15 in 14 spaces of 40/14.
		"per width": {func(*reConv, *reFabric, *reTreatment) {}, map[string]string{
			"pleats": "15", "take_up": "7.6in", "space": "2.857142857in", "codes.0": "warning pleat_out_of_range",
		}},
		// 11 pleats have 10 spaces of 4, 12 have 11 of 3.636...: the nearer to 3 3/4 of two in range, take-ups being out in both.
		"ranges": {func(c *reConv, _ *reFabric, _ *reTreatment) { c.pleatCount = "ranges" }, map[string]string{"pleats": "12", "space": "3.636363636in"}},
		// Ten spaces of 4, half of one at each end.
		"half spaces": {func(c *reConv, _ *reFabric, t *reTreatment) {
			c.pleatEnds, c.surplus, t.pleats, t.fullness = "half_space", "trim", 10, reL(12, 5)
		}, map[string]string{"flat_width": "115.2in", "space": "4in", "edge_to_pleat": "6in", "corner_to_pleat": "2in", "take_up": "6.72in"}},
	} {
		o := rePinched("in", func(cv *reConv, f *reFabric, tr *reTreatment) { base(cv, f, tr); c.change(cv, f, tr) })
		reExpect(t, name, o, c.want)
	}
	narrow := rePinched("in", func(c *reConv, f *reFabric, t *reTreatment) { base(c, f, t); t.finishedWidth = reL(8, 1) })
	out := rePinched("in", func(c *reConv, f *reFabric, t *reTreatment) { base(c, f, t); t.pleats = 4 })
	for code, o := range map[string]reOrder{"error too_narrow": narrow, "warning pleat_out_of_range": out} {
		if told := o.work().treatments[0].problems.told; !told[code] {
			t.Errorf("%s is not told: %v", code, told)
		}
	}
}
