package recompute

import "testing"

// reFlowing is an order of one stationary panel of a heading without pleats: it keeps its cloth, without slack, and has no return
// or lap but what a case gives it.
func reFlowing(heading, unit string, change func(o *reOrder, c *reConv, f *reFabric, t *reTreatment)) reOrder {
	o := reOrder{
		id: "F", unit: unit, conv: reUnits(unit).conv, fabrics: []reFabric{{id: "reed", use: "face", usable: reL(54, 1)}, {id: "sateen", use: "lining", usable: reL(54, 1)}},
		tapes: []reTape{{id: "pencil-3", kind: "pencil", height: reL(3, 1), cords: 3}},
		treatments: []reTreatment{{
			window: "Bay", heading: heading, draw: "stationary", face: "reed", quantity: 1, finishedLength: reL(90, 1), returnTo: reL(0, 1), lap: reL(0, 1),
		}},
	}
	o.conv.surplus, o.conv.slack, o.conv.orderRounding, o.conv.orderRepeats = "keep", reInt(0), "none", reInt(0)
	change(&o, &o.conv, &o.fabrics[0], &o.treatments[0])
	return o
}

// reM is a length in millimetres.
func reM(n int64) reLen { return reLen{reNum: reMM(n)} }

// TestRecomputeFlowing holds the headings without pleats to figures that were printed or worked out by hand.
func TestRecomputeFlowing(t *testing.T) {
	const face, total = ".treatments.0.fabrics.0.", ".totals."
	bare := func(c *reConv) { c.sideHem, c.seam, c.widthsRounding = reInt(0), reInt(0), "up_to_whole" }
	pole := func(o *reOrder, diameter reLen) { o.rods = []reRod{{id: "pole", diameter: diameter}} }
	wave := func(o *reOrder, t *reTreatment) {
		o.rods = []reRod{{id: "track", kind: "track", carriers: reM(80)}}
		o.tapes = []reTape{{id: "s-8", kind: "wave", height: reM(75), pocketPitch: reM(20), pockets: 8}}
	}
	for _, c := range []struct {
		name, heading, unit string
		change              func(o *reOrder, c *reConv, f *reFabric, t *reTreatment)
		want                map[string]string
	}{
		{"Homesteady, pencil pleats", "pencil-tape", "in", func(o *reOrder, c *reConv, f *reFabric, t *reTreatment) {
			bare(c)
			c.fullnessBasis, c.surplus, c.lengthAllowance = "track", "trim", reInt(16)
			t.draw, t.faceWidth, t.fullness, t.finishedLength = "one_way_left", reL(65, 1), reL(9, 4), reL(80, 1)
		}, map[string]string{
			"flat_width": "146.25in", "widths": "3.0000", "cut_length": "96in", face + "length": "288in", total + "fabrics.0.to_order": "8yd",
			"cord_pull_out": "81.25in", "cord_in_hand": "82.25in", "cord_total": "246.75in", "tape_piece": "148.25in", "hooks": "23",
			"hook_places.0": "0.5in", "hook_places.1": "3.409090909in", "hook_places.22": "64.5in", "fullness": "2.2500", "trim_leading": "0in", "trim_return": "15.75in",
			total + "tape.0.used": "148.25in", total + "tape.0.to_order": "148.25in", "stitching": "292.5in", "stitch_line": "3.125in", "codes.0": "note cord_hazard",
		}},
		{"contractdecor.com, pencil pleats", "pencil-tape", "in", func(o *reOrder, c *reConv, f *reFabric, t *reTreatment) {
			bare(c)
			c.pairSplit, c.surplus, c.liningRule, c.lengthAllowance, f.repeat = "total", "trim", "allowance", reInt(15), reL(8, 1)
			t.draw, t.faceWidth, t.returnTo, t.lap, t.fullness, t.finishedLength, t.lining = "pair", reL(56, 1), reL(3, 1), reL(6, 1), reL(2, 1), reL(64, 1), "sateen"
		}, map[string]string{
			"finished_width": "34in", "flat_width": "68in", "widths": "1.5000", "plain_length": "79in", "cut_length": "80in", face + "length": "240in",
			".treatments.0.fabrics.1.cut_length": "74in", "hooks": "13", "hook_places.0": "0.5in", "hook_places.1": "3in", "hook_places.2": "5.772727273in", "hook_places.12": "33.5in",
		}},
		{"et-wholesale.com.au, pencil pleats", "pencil-tape", "cm", func(o *reOrder, c *reConv, f *reFabric, t *reTreatment) {
			bare(c)
			c.fullnessBasis, c.surplus, c.lengthAllowance, c.widthAllowance = "track", "trim", reMM(300), reMM(400)
			f.usable, t.draw, t.faceWidth, t.fullness, t.finishedLength = reCM(140), "one_way_left", reCM(200), reL(2, 1), reLen{}
			t.toFloor, t.above, t.clearance = reCM(213), reCM(0), reCM(3)
		}, map[string]string{"widths": "4.0000", "cut_length": "240cm", face + "length": "960cm", total + "fabrics.0.to_order": "9.6m"}},
		{"ireading.today, a casing", "rod-pocket", "in", func(o *reOrder, c *reConv, f *reFabric, t *reTreatment) {
			c.sideHem, c.bottomHem = reFrac(5, 16), reFrac(5, 8)
			f.usable, t.draw, t.faceWidth, t.fullness, t.finishedLength = reL(245, 4), "one_way_left", reL(30, 1), reL(2, 1), reL(60, 1)
			t.pocketDeep, t.turn = reL(2, 1), reL(1, 2)
		}, map[string]string{
			"flat_width": "60in", "widths": "1.0000", "top_allowance": "2.5in", "cut_length": "63.75in", "pocket": "2in", "stand": "0in", "turn": "0.5in",
			"bearing_below_top": "0in", "stitching": "60in", total + "hooks": "0", total + "thread.0.for": "pocket", "codes.0": "",
		}},
		{"a pocket with a stand", "rod-pocket", "in", func(o *reOrder, c *reConv, f *reFabric, t *reTreatment) {
			c.bottomHem = reInt(1)
			pole(o, reL(1, 1))
			t.finishedWidth, t.stand, t.finishedLength = reL(24, 1), reL(3, 2), reL(701, 8)
		}, map[string]string{
			"pocket": "2.125in", "top_allowance": "4.125in", "plain_length": "93.75in", "bearing_below_top": "1.5in", "flat_width": "48in", "stitching": "96in", "codes.0": "",
		}},
		{"a pocket folded double", "rod-pocket", "in", func(o *reOrder, c *reConv, f *reFabric, t *reTreatment) {
			t.pocketDeep, t.turn, t.finishedWidth, t.finishedLength = reL(3, 1), reL(3, 1), reL(24, 1), reL(80, 1)
		}, map[string]string{"top_allowance": "6in", "plain_length": "94in"}},
		{"drpinc.net, a sheer on a rod", "rod-pocket", "in", func(o *reOrder, c *reConv, f *reFabric, t *reTreatment) {
			bare(c)
			c.weights, c.lengthAllowance, f.repeat = "every_foot", reInt(14), reL(11, 1)
			t.draw, t.faceWidth, t.fullness, t.finishedLength, t.pocketDeep = "one_way_left", reL(63, 1), reL(3, 1), reL(100, 1), reL(2, 1)
		}, map[string]string{"widths": "4.0000", "flat_width": "216in", "repeats_per_cut": "11", "cut_length": "121in", face + "length": "484in", "weights": "19",
			"codes.0": "warning fullness_out_of_range"}},
		{"eight eyelets on 54", "eyelet", "in", func(o *reOrder, c *reConv, f *reFabric, t *reTreatment) {
			pole(o, reL(1, 1))
			f.usable, t.finishedWidth = reL(60, 1), reL(27, 1)
		}, map[string]string{
			"flat_width": "54in", "points": "8", "pitch": "6.75in", "positions.0": "3.375in", "positions.7": "50.625in", "places.0": "1.6875in", "fold_depth": "3.375in",
			"eyelet_drop": "1.78125in", "bearing_below_top": "1in", "top_allowance": "8in", "buckram_piece.height": "4in", total + "eyelets.0.count": "8",
			total + "eyelets.0.inner": "1.5625in", total + "eyelets.0.outer": "2.5in", "codes.0": "",
		}},
		{"yupedia.com, eyelets", "eyelet", "cm", func(o *reOrder, c *reConv, f *reFabric, t *reTreatment) {
			bare(c)
			c.fullnessBasis, c.widthsRounding, c.pairSplit, c.lengthAllowance = "track", "nearest_whole", "total", reMM(300)
			f.usable, t.draw, t.faceWidth, t.fullness, t.finishedLength, t.eyeletOut = reCM(154), "pair", reCM(240), reL(2, 1), reCM(220), reM(66)
		}, map[string]string{
			"widths": "1.5000", "cut_length": "250cm", face + "length": "750cm", "flat_width": "231cm", "points": "12", "pitch": "19.25cm", "seams.0": "77cm", "seams_in_front": "0",
			"positions.3": "67.375cm", "positions.4": "86.625cm", "codes.0": "",
		}},
		{"eyelets with a return", "eyelet", "in", func(o *reOrder, c *reConv, f *reFabric, t *reTreatment) {
			f.usable, t.finishedWidth, t.returnTo = reL(107, 1), reL(48, 1), reL(3, 1)
		}, map[string]string{
			"flat_width": "101in", "points": "14", "pitch": "7.259259259in", "positions.0": "3in", "positions.13": "97.37037037in", "lead_to_point": "3.62962963in",
			"edge_to_point": "3in", "places.0": "3in", "places.1": "6.333333333in",
		}},
		{"eyelets clear of a seam", "eyelet", "in", func(o *reOrder, c *reConv, f *reFabric, t *reTreatment) {
			t.finishedWidth, t.returnTo = reL(48, 1), reL(3, 1)
		}, map[string]string{
			"flat_width": "101in", "widths": "2.0000", "seams.0": "50.5in", "points": "16", "pitch": "6.322580645in", "seams_in_front": "0", "places.1": "5.903225806in",
			"fullness": "2.1042", "weights": "3", "codes.0": "",
		}},
		{"tabs", "tab", "in", func(o *reOrder, c *reConv, f *reFabric, t *reTreatment) {
			pole(o, reL(11, 8))
			f.usable, t.draw, t.finishedWidth, t.fullness, t.finishedLength = reL(60, 1), "stationary_pair", reL(36, 1), reL(3, 2), reL(80, 1)
		}, map[string]string{
			"flat_width": "54in", "points": "8", "pitch": "7.428571429in", "positions.0": "1in", "positions.7": "53in", "tab_loop": "7.5625in", "tab_cut.length": "8.5625in",
			"tab_cut.width": "5in", "bearing_below_top": "-3.375in", "facing_piece.length": "55in", "facing_piece.height": "3in", "plain_length": "88.5in", "top_allowance": "0.5in",
			face + "trimmings.0.pieces": "16", face + "trimmings.0.length": "17.125in", face + "trimmings.1.pieces": "2", face + "trimmings.1.length": "6in",
			face + "length": "200.125in", total + "fabrics.0.length": "200.125in", total + "tabs": "16", total + "buckram": "0", "codes.0": "",
		}},
		{"mylltd.com, rings", "ring", "in", func(o *reOrder, c *reConv, f *reFabric, t *reTreatment) {
			bare(c)
			c.pairSplit, c.lengthAllowance, f.usable, f.repeat = "total", reInt(16), reL(48, 1), reL(24, 1)
			t.draw, t.faceWidth, t.lap, t.returnTo, t.fullness, t.finishedLength = "pair", reL(125, 1), reL(4, 1), reL(6, 1), reL(5, 2), reL(90, 1)
		}, map[string]string{
			"finished_width": "70.5in", "widths": "4.0000", "cut_length": "120in", face + "length": "960in", "flat_width": "192in", "points": "32", "pitch": "5.983870968in",
			"positions.0": "6in", "positions.31": "191.5in", "seams_in_front": "0", "fullness": "2.7234", total + "rings": "64", "codes.0": "warning fullness_out_of_range",
		}},
		{"a wave of 26 carriers", "wave-tape", "mm", func(o *reOrder, c *reConv, f *reFabric, t *reTreatment) {
			wave(o, t)
			f.usable, t.finishedWidth, t.finishedLength = reM(3000), reM(2000), reM(2400)
		}, map[string]string{
			"points": "26", "flat_width": "4160mm", "reach": "2080mm", "positions.0": "80mm", "positions.25": "4080mm", "tape_piece": "4210mm", "tape_pitch": "4220mm", "places.0": "40mm",
			"finished_width": "2000mm", total + "tape.0.to_order": "4240mm", "top_allowance": "75mm", "codes.0": "",
		}},
		{"a wave with a return", "wave-tape", "mm", func(o *reOrder, c *reConv, f *reFabric, t *reTreatment) {
			wave(o, t)
			f.usable, t.finishedWidth, t.returnTo, t.finishedLength = reM(3000), reM(1290), reM(90), reM(2400)
		}, map[string]string{"points": "16", "reach": "1330mm", "flat_width": "2570mm", "places.0": "90mm", "places.1": "170mm", "edge_to_point": "90mm", "lead_to_point": "80mm"}},
		{"a wave of a hand's width", "wave-tape", "mm", func(o *reOrder, c *reConv, f *reFabric, t *reTreatment) {
			wave(o, t)
			f.usable, t.finishedWidth, t.finishedLength = reM(3000), reM(50), reM(2400)
		}, map[string]string{"points": "2", "reach": "160mm", "finished_width": "50mm", "codes.0": "warning few_pleats"}},
		{"eyelets on 20", "eyelet", "in", func(o *reOrder, c *reConv, f *reFabric, t *reTreatment) {
			f.usable, t.finishedWidth = reL(26, 1), reL(10, 1)
		}, map[string]string{"flat_width": "20in", "points": "4", "pitch": "5in", "codes.0": "warning pitch_out_of_range"}},
		{"eyelets on 33", "eyelet", "in", func(o *reOrder, c *reConv, f *reFabric, t *reTreatment) {
			f.usable, t.finishedWidth = reL(39, 1), reL(33, 2)
		}, map[string]string{"flat_width": "33in", "points": "4", "pitch": "8.25in", "codes.0": "warning pitch_out_of_range"}},
		{"two tabs on 5", "tab", "in", func(o *reOrder, c *reConv, f *reFabric, t *reTreatment) {
			pole(o, reL(11, 8))
			f.usable, t.finishedWidth = reL(11, 1), reL(10, 3)
		}, map[string]string{"flat_width": "5in", "points": "2", "pitch": "3in", "codes.0": "warning few_pleats, warning pitch_out_of_range"}},
		{"four tabs on 5", "tab", "in", func(o *reOrder, c *reConv, f *reFabric, t *reTreatment) {
			pole(o, reL(11, 8))
			f.usable, t.finishedWidth, t.points = reL(11, 1), reL(10, 3), 4
		}, map[string]string{"codes.0": "error points_collide"}},
		{"cloth that can't be drawn up", "pencil-tape", "in", func(o *reOrder, c *reConv, f *reFabric, t *reTreatment) {
			o.tapes[0].tightest = reL(3, 1)
			f.usable, t.finishedWidth, t.fullness = reL(106, 1), reL(30, 1), reL(3, 1)
		}, map[string]string{"codes.0": "error gather_too_tight"}},
		{"a pocket that doesn't go over its rod", "rod-pocket", "in", func(o *reOrder, c *reConv, f *reFabric, t *reTreatment) {
			pole(o, reL(2, 1))
			t.finishedWidth, t.pocketDeep = reL(24, 1), reL(3, 1)
		}, map[string]string{"codes.0": "error pocket_tight"}},
		{"a pocket that goes over it with pains", "rod-pocket", "in", func(o *reOrder, c *reConv, f *reFabric, t *reTreatment) {
			pole(o, reL(2, 1))
			t.finishedWidth, t.pocketDeep = reL(24, 1), reL(13, 4)
		}, map[string]string{"codes.0": "warning pocket_tight"}},
		{"rings on a flat panel", "ring", "in", func(o *reOrder, c *reConv, f *reFabric, t *reTreatment) {
			f.usable, t.finishedWidth, t.fullness = reL(42, 1), reL(36, 1), reL(1, 1)
		}, map[string]string{"flat_width": "36in", "points": "6", "pitch": "7in", "places.1": "7.5in", "positions.1": "7.5in", "codes.0": ""}},
		{"a wave narrower than its rod", "wave-tape", "mm", func(o *reOrder, c *reConv, f *reFabric, t *reTreatment) {
			wave(o, t)
			o.tapes[0].pockets = 3
			f.usable, t.finishedWidth, t.finishedLength = reM(3000), reM(2000), reM(2400)
		}, map[string]string{"codes.0": "error too_narrow"}},
		{"a return as wide as the panel", "pencil-tape", "in", func(o *reOrder, c *reConv, f *reFabric, t *reTreatment) {
			t.finishedWidth, t.returnTo = reL(4, 1), reL(4, 1)
		}, map[string]string{"codes.0": "error too_narrow"}},
		{"a return up to the last hook", "pencil-tape", "in", func(o *reOrder, c *reConv, f *reFabric, t *reTreatment) {
			c.surplus, t.finishedWidth, t.returnTo = "trim", reL(9, 2), reL(4, 1)
		}, map[string]string{"hooks": "2", "hook_places.0": "0.5in", "hook_places.1": "4in"}},
		{"tabs on a flat panel in a shop that has them fuller", "tab", "in", func(o *reOrder, c *reConv, f *reFabric, t *reTreatment) {
			pole(o, reL(11, 8))
			o.figures = map[string]reFigures{"tab": {fullLow: reL(6, 5)}}
			f.usable, t.finishedWidth, t.fullness = reL(42, 1), reL(36, 1), reL(1, 1)
		}, map[string]string{"flat_width": "36in", "points": "6", "pitch": "6.8in", "codes.0": "warning fullness_out_of_range"}},
		// The greatest usual fullness of 34 61/64 is no whole nanometre.
		{"the greatest usual fullness", "ring", "in", func(o *reOrder, c *reConv, f *reFabric, t *reTreatment) {
			c.surplus, f.usable, t.finishedWidth, t.fullness = "trim", reL(100, 1), reL(2237, 64), reL(5, 2)
		}, map[string]string{"fullness": "2.5000", "codes.0": ""}},
		// Of 20 to 34 eyelets 20 alone keep one of the two seams clear; the 24 nearest to the preferred pitch would have no room.
		{"eyelets that have room by what keeps a seam clear", "eyelet", "mm", func(o *reOrder, c *reConv, f *reFabric, t *reTreatment) {
			c.surplus, c.widthAllowance, c.widthsRounding = "trim", reFrac(3, 2), "up_to_whole"
			pole(o, reL(1, 1))
			f.usable, t.finishedWidth, t.finishedLength, t.fullness = reL(103, 2), reM(2387), reM(2193), reL(11, 10)
			t.pitchLow, t.pitchHigh, t.pitchBest = reM(75), reM(135), reM(105)
			t.eyeletIn, t.eyeletOut = reM(64), reLen{reNum: reMM(98925).div(reInt(1000))}
		}, map[string]string{"points": "20", "pitch": "131.285mm", "trim_return": "954mm", "seams_in_front": "0",
			"codes.0": "note seam_at_point, warning eyelet_off_band, warning fullness_out_of_range"}},
		// 11 and 13¾ beside the glass.
		{"a pair that stacks unevenly", "rod-pocket", "in", func(o *reOrder, c *reConv, f *reFabric, t *reTreatment) {
			c.stackRule, c.surplus, t.pocketDeep = "per_width", "trim", reL(3, 1)
			t.draw, t.faceWidth, t.returnTo, t.returnOther, t.glass, t.fullness = "pair", reL(60, 1), reL(7, 2), reL(24, 1), reL(50, 1), reL(9, 4)
		}, map[string]string{"stack_back": "11in", ".treatments.0.panels.1.stack_back": "13.75in", "rod_wanted": "74.75in", ".treatments.0.panels.1.rod_wanted": "74.75in",
			"codes.0": "note stack_covers_glass"}},
	} {
		t.Run(c.name, func(t *testing.T) { reExpect(t, c.name, reFlowing(c.heading, c.unit, c.change), c.want) })
	}
}

// TestRecomputePairOfOneCount holds the points of a pair of eyelets on a print to figures worked out by hand. 84 flat hold 12, 7 apart, or 14,
// 6 apart; of 105 less 6 of hems and the 84 there are 15 over, so that a seam lies 34½ and what is trimmed at the lead from the return edge.
func TestRecomputePairOfOneCount(t *testing.T) {
	for _, c := range []struct {
		lead                       reLen
		left, right, points, front string
	}{
		// Trimmed ½ and 7½: of 12 the gap at 35 stands to the room and the one at 42 doesn't, of 14 the other way round. 12 are preferred.
		{reL(13, 2), "35in", "42in", "12", "1"},
		// Trimmed 2½ and 9½: 12 have eyelets 1½ from either seam, 14 have one 1 from the right seam. The right panel by itself would have 12.
		{reL(9, 2), "37in", "44in", "14", "0"},
	} {
		o := reFlowing("eyelet", "in", func(o *reOrder, c *reConv, f *reFabric, tr *reTreatment) {
			o.rods = []reRod{{id: "pole", diameter: reL(1, 1)}}
			f.usable, f.matchWidth, f.sideways, f.motif = reL(53, 1), reL(52, 1), reL(13, 1), reL(4, 1)
			tr.draw, tr.finishedWidth, tr.fullness, tr.motif = "stationary_pair", reL(42, 1), reL(2, 1), "mirrored"
		})
		o.treatments[0].motifLead = c.lead
		const right = ".treatments.0.panels.1."
		reExpect(t, "a pair of eyelets", o, map[string]string{
			"widths": "2.0000", "flat_width": "84in", "seams.0": c.left, right + "seams.0": c.right, "points": c.points, right + "points": c.points, "seams_in_front": c.front,
		})
	}
}
