package recompute

import (
	"maps"
	"testing"
)

// reHeaded is an order of one stationary panel of a heading set by hand: it keeps its cloth, without slack, and has no return, lap or
// lead but what a case gives it.
func reHeaded(heading string, change func(c *reConv, f *reFabric, t *reTreatment)) reOrder {
	o := reOrder{
		id: "H", unit: "in", conv: reUnits("in").conv, fabrics: []reFabric{{id: "reed", use: "face", usable: reL(54, 1)}},
		treatments: []reTreatment{{
			window: "Bay", heading: heading, draw: "stationary", face: "reed", quantity: 1, finishedLength: reL(90, 1),
			returnTo: reL(0, 1), lap: reL(0, 1), leadFlat: reL(0, 1),
		}},
	}
	o.conv.surplus, o.conv.slack = "keep", reInt(0)
	change(&o.conv, &o.fabrics[0], &o.treatments[0])
	return o
}

// reFingered is the worked pair of 84 on a pinch tape of period p and space s.
func reFingered(p, s reLen, ends string) reOrder {
	o := reWorked()
	o.tapes = []reTape{{id: "pinch-3", kind: "pinch", ends: ends, period: p, space: s, height: reL(3, 1), cords: 2}}
	o.treatments[0].heading = "pinch-tape"
	return o
}

// TestRecomputePinchTape holds groups of fingers on a tape, with either end, to figures worked out by hand.
func TestRecomputePinchTape(t *testing.T) {
	amid := reFingered(reL(6, 1), reL(3, 1), "")
	amid.tapes[0].nominal, amid.tapes[0].least, amid.tapes[0].most = reL(3, 4), reL(1, 2), reL(2, 1)
	reExpect(t, "pleats from mid-space", amid, map[string]string{
		"finished_width": "48.5in", "pleats": "15", "end_margin": "1.75in", "flat_width": "93.5in", "pleat_positions.0": "4.75in",
		"pleat_positions.14": "88.75in", "pleat_places.0": "3.25in", "tape_piece": "95.5in", "tape_start": "2.75in", "cord_pull_out": "45in",
		"cord_total": "92in", "fingers": "3", "finger_projection": "0.5in", "hooks": "17", ".totals.buckram": "0",
	})
	// (48½ − 9½)/3½ = 11.14: 12 spaces.
	flat := reFingered(reL(9, 1), reL(7, 2), "flat")
	reExpect(t, "flat ends", flat, map[string]string{
		"pleats": "13", "finished_width": "51.5in", "tight_width": "51.5in", "deviation": "3in", "alternative.pleats": "12", "alternative.finished_width": "48in",
		"flat_width": "123in", "edge_to_pleat": "3.5in", "lead_flat": "6in", "pleat_positions.0": "6.25in", "pleat_places.0": "3.5in",
		"pleat_places.12": "45.5in", "corner_to_pleat": "0in", "tape_start": "2.75in", "cord_pull_out": "71.5in",
		// 13 periods a panel, 2¾ and 5¼ beside the dots: ⌈8/9⌉ period between two pieces.
		".totals.tape.0.used": "251in", ".totals.tape.0.to_order": "260in",
		"codes.0": "note cord_hazard, warning width_not_reached",
	})
	flat.treatments[0].pleats = 12
	reExpect(t, "flat ends and 12 pleats", flat, map[string]string{"finished_width": "48in", "deviation": "-0.5in", "codes.0": "note cord_hazard, warning width_not_reached"})
	flat.treatments[0].pleats, flat.treatments[0].finishedWidth = 0, reL(19, 2)
	reExpect(t, "flat ends and nothing else", flat, map[string]string{"pleats": "1", "flat_width": "15in", "deviation": "0in"})
	flat.treatments[0].finishedWidth = reL(151, 16)
	if told := flat.work().treatments[0].problems.told; !told["error too_narrow"] {
		t.Errorf("flat ends under the flats: %v", told)
	}
}

// TestRecomputeHandHeadings holds the other headings set by hand to figures that were printed or worked out by hand.
func TestRecomputeHandHeadings(t *testing.T) {
	bare := func(c *reConv) { c.seam, c.sideHem = reInt(0), reInt(0) }
	for _, c := range []struct {
		name, heading string
		change        func(c *reConv, f *reFabric, t *reTreatment)
		want          map[string]string
	}{
		{"cartridges by hand", "cartridge-hand", func(c *reConv, f *reFabric, t *reTreatment) {
			t.draw, t.faceWidth, t.returnTo, t.lap, t.leadFlat = "pair", reL(84, 1), reL(7, 2), reL(6, 1), reLen{}
		}, map[string]string{
			"widths": "2.5000", "flat_width": "127in", "pleats": "16", "space": "2.6in", "take_up": "4.90625in", "lead_flat": "6in",
			"tube_diameter": "1.561707879in", "tube_gap": "1.038292121in", "seams.0": "23.5in", "seams.1": "76.5in", "seams_in_pleats": "2", "seams_hidden": "2",
			"take_ups.0": "4.975in", "take_ups.2": "4.975in", "take_ups.3": "4.971428571in", "take_ups.9": "4.971428571in", "take_ups.10": "4.795833333in",
			"pleat_places.1": "6.1in", "inserts": "16", "insert_piece.length": "14.75in", "insert_piece.height": "4in", "insert_turns": "3.0064",
			"buckram_piece.length": "127in", ".totals.buckram.0.pieces": "34", ".totals.buckram.0.length": "726in", "codes.0": "",
		}},
		{"goblets", "goblet", func(c *reConv, f *reFabric, t *reTreatment) {
			c.pleatEnds, c.surplus, t.finishedWidth = "half_space", "trim", reL(48, 1)
		}, map[string]string{
			"widths": "2.0000", "flat_width": "96in", "pleats": "9", "space": "5.333333333in", "take_up": "5.333333333in", "tube_diameter": "1.697652726in",
			"tube_gap": "3.635680607in", "pleat_places.0": "2.666666667in", "inserts": "9", "seams_hidden": "1", ".totals.buckram.0.pieces": "1", "codes.0": "",
		}},
		{"boxes for Singer's pair", "box", func(c *reConv, f *reFabric, t *reTreatment) {
			t.draw, t.faceWidth, t.returnTo, t.lap, t.leadFlat, t.pleats, f.usable = "pair", reL(98, 1), reL(3, 1), reL(2, 1), reLen{}, 13, reL(150, 1)
		}, map[string]string{
			"finished_width": "53in", "flat_width": "144in", "take_up": "7in", "space": "4in", "pleat_face": "3.5in", "face_gap": "0.5in", "fullness": "2.7170",
			"pleat_places.12": "51in", "codes.0": "",
		}},
		{"a stage's boxes", "box", func(c *reConv, f *reFabric, t *reTreatment) {
			bare(c)
			c.pleatEnds, c.surplus, t.finishedWidth, t.pleats, t.fullness = "half_space", "trim", reL(240, 1), 20, reL(3, 2)
		}, map[string]string{"flat_width": "360in", "space": "12in", "take_up": "6in", "pleat_face": "3in", "face_gap": "9in"}},
		{"inverted boxes", "inverted-box", func(c *reConv, f *reFabric, t *reTreatment) {
			t.finishedWidth, t.fullness, t.pleats, f.usable = reL(49, 1), reL(8, 5), 8, reL(91, 1)
		}, map[string]string{
			"flat_width": "85in", "space": "7in", "take_up": "4.5in", "pleat_face": "2.25in", "face_gap": "4.75in", "pleat_positions.1": "13.75in",
			"codes.0": "note pleat_in_hem, warning pleat_over_edge",
		}},
		{"inverted boxes by their ranges", "inverted-box", func(c *reConv, f *reFabric, t *reTreatment) {
			c.pleatEnds, t.finishedWidth, t.fullness, f.usable = "half_space", reL(40, 1), reL(3, 2), reL(66, 1)
		}, map[string]string{
			"flat_width": "60in", "pleats": "5", "space": "8in", "take_up": "4in", "pleat_positions.0": "6in", "pleat_positions.1": "18in", "pleat_positions.4": "54in",
			"codes.0": "",
		}},
		// The one seam lies in the middle of the third of five pleats: in it, but 5 from its sides, of which 2½ would hide it.
		{"a seam under the face of a box", "box", func(c *reConv, f *reFabric, t *reTreatment) {
			t.finishedWidth, t.pleats, t.fullness, t.returnTo, t.leadFlat = reL(51, 1), 5, reL(19, 10), reL(3, 1), reL(3, 1)
		}, map[string]string{"flat_width": "101in", "take_up": "10in", "seams.0": "50.5in", "seams_in_pleats": "1", "seams_hidden": "0", "take_ups.0": "10in", "codes.0": ""}},
		// 27 of cloth in 18: 9 consumed, and 4 spaces of 4½ between 5; lone tubes of 3·1.8 up to a sixteenth.
		{"cartridges left empty", "cartridge-hand", func(c *reConv, f *reFabric, t *reTreatment) {
			t.inserts, t.finishedWidth, t.pleats, f.usable, t.fullness = "none", reL(18, 1), 5, reL(33, 1), reL(3, 2)
		}, map[string]string{"flat_width": "27in", "tube_diameter": "0.572957795in", "tube_gap": "3.927042205in", ".totals.buckram.0.pieces": "1",
			"codes.0": "note pleat_in_hem, warning pleat_out_of_range, warning pleat_over_edge"}},
		// 3 take-ups of 12 in spaces of 6: 3.82 across.
		{"tubes that meet", "goblet", func(c *reConv, f *reFabric, t *reTreatment) {
			t.finishedWidth, t.pleats, f.usable, t.fullness, f.thickness = reL(12, 1), 3, reL(54, 1), reL(4, 1), reL(11, 5)
		}, map[string]string{"take_up": "12in", "space": "6in", "tube_gap": "-0.019718634in",
			"codes.0": "error tubes_collide, note pleat_in_hem, warning pleat_out_of_range, warning pleat_over_edge"}},
		{"boxes over each other", "box", func(c *reConv, f *reFabric, t *reTreatment) {
			t.finishedWidth, t.pleats, f.usable, t.fullness, t.returnTo, t.leadFlat = reL(12, 1), 3, reL(45, 1), reL(3, 1), reL(2, 1), reL(2, 1)
		}, map[string]string{"take_up": "9in", "space": "4in", "pleat_face": "4.5in", "face_gap": "-0.5in", "codes.0": "error pleats_overlap, warning pleat_over_edge"}},
		{"inverted boxes over each other", "inverted-box", func(c *reConv, f *reFabric, t *reTreatment) {
			t.finishedWidth, t.pleats, f.usable, t.fullness, t.returnTo, t.leadFlat = reL(13, 1), 3, reL(46, 1), reL(3, 1), reL(9, 4), reL(11, 4)
		}, map[string]string{"take_up": "9in", "face_gap": "-0.5in", "codes.0": "warning pleat_out_of_range, warning pleats_overlap"}},
	} {
		o := reHeaded(c.heading, c.change)
		reExpect(t, c.name, o, c.want)
		none := map[string]bool{}
		if panels, ok := o.work().treatments[0].tree["panels"].([]any); ok {
			for _, key := range []string{"inserts", "insert_piece", "insert_turns"} {
				_, none[key] = panels[0].(reTree)[key]
			}
		}
		filled := c.heading == "cartridge-hand" && o.treatments[0].inserts != "none"
		want := map[string]bool{"inserts": filled || c.heading == "goblet", "insert_piece": filled, "insert_turns": filled}
		if !maps.Equal(none, want) {
			t.Errorf("%s: %v, want %v", c.name, none, want)
		}
	}
}

// TestRecomputeMetricRanges: a metric order counts goblets by ranges of whole millimetres, under whatever rule.
func TestRecomputeMetricRanges(t *testing.T) {
	o := rePinched("mm", func(c *reConv, f *reFabric, t *reTreatment) {
		c.surplus, c.pleatCount = "trim", "best"
		f.usable, t.heading, t.draw, t.finishedWidth, t.finishedLength = reLen{reNum: reMM(3000)}, "goblet", "stationary", reLen{reNum: reMM(1150)}, reLen{reNum: reMM(2000)}
	})
	// 8 to 10 spaces are in the range of 115 to 150, and so are take-ups of 1150/9 to 1150/11: of these 1150/9 is nearest to 130.
	reExpect(t, "goblets in millimetres", o, map[string]string{"pleats": "10", "space": "127.777777778mm", "take_up": "115mm"})
}
