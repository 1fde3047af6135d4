package workup_test

import (
	"fmt"
	"testing"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// unpleated reads an order of one window of a heading without pleats, whatever its units; cloth is 54 in wide, or 137 cm, where the fabric says nothing.
func unpleated(t *testing.T, units measure.Unit, fabric, conventions, beside, window string) *orderfile.Order {
	t.Helper()
	text := fmt.Sprintf(`order: HEADINGS
units: %s
conventions: {fullness_slack: 0%s}
fabrics: [{id: reed, use: face, %s}]
%s
treatments: [{window: Bay, face: reed, %s}]
`, units, conventions, fabric, beside, window)
	o, problems := orderfile.Parse([]byte(text))
	if o == nil {
		t.Fatalf("%s\n%v", text, problems)
	}
	return o
}

const (
	bare  = ", seam: 0, side_hem: 0, widths_rounding: up_to_whole" // as published examples reckon that leave hems and seams out
	keeps = ", surplus: keep"
)

// The headings without pleats, worked out by hand and by a program of its own. What equals a published example says so.
func TestContinuousHeadings(t *testing.T) {
	const pencil = "tapes: [{id: pencil-3, kind: pencil, height: 3, cords: 3}]"
	for _, c := range []struct {
		name, fabric, conventions, beside, window string
		units                                     measure.Unit
		want                                      map[string]string
		told                                      string
	}{
		{
			// A published example of a one-way drape on a 65 in track at 2 1/4.
			name: "W01, one way on 65 in", units: measure.In, fabric: "usable_width: 54", conventions: bare + ", fullness_basis: track, length_allowance: 16", beside: pencil,
			window: "heading: pencil-tape, draw: one_way_left, face_width: 65, return: 0, fullness: 2.25, finished_length: 80",
			want: map[string]string{
				"widths": "3", "flat_width": "146.25in", "cut_length": "96in", "cord_pull_out": "81.25in", "cord_in_hand": "82.25in", "cord_total": "246.75in",
				"tape_piece": "148.25in", "hooks": "23", "hook_places 2": "3.40909091in", "fullness": "2.25", "stitching": "292.5in", "pleats": "", "tape_pitch": "",
			},
		},
		{
			name: "W10, a pair of 56 in", units: measure.In, fabric: "usable_width: 54, vertical_repeat: 8", beside: pencil,
			conventions: bare + ", pair_split: total, length_allowance: 15, surplus: keep",
			window:      "heading: pencil-tape, face_width: 56, return: 3, overlap: 6, fullness: 2, finished_length: 64",
			want:        map[string]string{"finished_width": "34in", "widths": "1.5", "cut_length": "80in", "hooks": "13", "hook_places 1": "0.5in", "hook_places 2": "3in", "hook_places 13": "33.5in"},
		},
		{
			name: "C01, a rod pocket of 30 by 60", units: measure.In, fabric: "usable_width: 61 1/4", conventions: ", side_hem: 5/16, bottom_hem: 5/8",
			window: "heading: rod-pocket, draw: stationary, finished_width: 30, fullness: 2, finished_length: 60, pocket: {depth: 2, turn: 1/2}",
			want:   map[string]string{"flat_width": "60in", "widths": "1", "top_allowance": "2.5in", "cut_length": "63.75in", "bearing_below_top": "0in"},
		},
		{
			name: "a rod of 1 in with a stand", units: measure.In, fabric: "usable_width: 54", conventions: ", bottom_hem: 1",
			beside: "rods: [{id: r, diameter: 1}]",
			window: "heading: rod-pocket, draw: stationary, finished_width: 40, finished_length: 87 5/8, pocket: {stand: 1 1/2}",
			want:   map[string]string{"pocket": "2.125in", "top_allowance": "4.125in", "plain_length": "93.75in", "bearing_below_top": "1.5in", "hooks": "", "stand": "1.5in"},
		},
		{
			name: "eight eyelets on 54 in", units: measure.In, fabric: "usable_width: 60", conventions: keeps,
			beside: "rods: [{id: r, diameter: 1}]",
			window: "heading: eyelet, draw: stationary, finished_width: 27, finished_length: 84, fullness: 2",
			want: map[string]string{
				"flat_width": "54in", "points": "8", "pitch": "6.75in", "positions 1": "3.375in", "positions 8": "50.625in", "places 1": "1.6875in",
				"fold_depth": "3.375in", "eyelet_drop": "1.78125in", "bearing_below_top": "1in", "lead_to_point": "3.375in", "buckram_piece 1": "54in",
			},
		},
		{
			// M06: three widths for a pair of 240 cm at 2.
			name: "M06, a pair of eyelets", units: measure.CM, fabric: "usable_width: 154",
			conventions: ", seam: 0, side_hem: 0, widths_rounding: nearest_whole, pair_split: total, length_allowance: 30, surplus: keep",
			window:      "heading: eyelet, face_width: 240, fullness: 2, finished_length: 220, eyelet: {inner: 4, outer: 5.46}",
			want:        map[string]string{"widths": "1.5", "flat_width": "231cm", "points": "12", "pitch": "19.25cm", "seams": "77cm", "seams_in_front": "0", "cut_length": "250cm"},
		},
		{
			name: "eyelets and a return", units: measure.In, fabric: "usable_width: 107", conventions: keeps,
			window: "heading: eyelet, draw: stationary, finished_width: 48, return: 3, finished_length: 84",
			want: map[string]string{
				"flat_width": "101in", "points": "14", "pitch": "7.25925926in", "positions 1": "3in", "positions 14": "97.37037037in", "lead_to_point": "3.62962963in",
				"places 2": "6.33333333in", "edge_to_point": "3in",
			},
		},
		{
			name: "eyelets, a return and a seam", units: measure.In, fabric: "usable_width: 54", conventions: keeps,
			window: "heading: eyelet, draw: stationary, finished_width: 48, return: 3, finished_length: 84",
			want:   map[string]string{"widths": "2", "flat_width": "101in", "seams": "50.5in", "points": "16", "pitch": "6.32258065in", "places 2": "5.90322581in", "seams_in_front": "0"},
		},
		{
			name: "tabs of 2 in", units: measure.In, fabric: "usable_width: 60", conventions: keeps,
			beside: "rods: [{id: r, diameter: 1 3/8}]",
			window: "heading: tab, draw: stationary, quantity: 2, finished_width: 36, fullness: 1.5, finished_length: 80",
			want: map[string]string{
				"flat_width": "54in", "points": "8", "pitch": "7.42857143in", "positions 1": "1in", "positions 8": "53in", "tab_loop": "7.5625in",
				"tab_cut 1": "8.5625in", "tab_cut 3": "5in", "bearing_below_top": "-3.375in", "facing_piece 1": "55in", "cut_length": "88.5in",
			},
		},
		{
			name: "W05, a pair on rings", units: measure.In, fabric: "usable_width: 48, vertical_repeat: 24", conventions: bare + ", pair_split: total, length_allowance: 0, surplus: keep",
			beside: "rods: [{id: r, diameter: 1, ring_drop: 1 1/2}]",
			window: "heading: ring, face_width: 125, overlap: 4, return: 6, fullness: 2.5, finished_length: 106",
			want: map[string]string{
				"finished_width": "70.5in", "widths": "4", "cut_length": "120in", "flat_width": "192in", "points": "32", "pitch": "5.98387097in", "seams 1": "48in",
				"seams_in_front": "0", "positions 1": "6in", "positions 32": "191.5in", "fullness": "2.723", "hook_drop": "0.375in", "bearing_below_top": "-1.5in",
			},
			told: "fullness_out_of_range",
		},
		{
			name: "a wave of 2 m", units: measure.MM, fabric: "usable_width: 1500", beside: "rods: [{id: r, kind: track, carrier_pitch: 80}]\ntapes: [{id: s-8, kind: wave, height: 75, pocket_pitch: 20, pockets: 8}]",
			window: "heading: wave-tape, draw: stationary, finished_width: 2000, return: 0, finished_length: 2400",
			want: map[string]string{
				"points": "26", "flat_width": "4160mm", "reach": "2080mm", "positions 1": "80mm", "positions 26": "4080mm", "tape_piece": "4210mm", "tape_pitch": "4220mm", "hooks": "26",
				"cords": "", "pitch": "160mm", "seams_in_front": "0",
			},
		},
		{
			name: "a wave with a return", units: measure.MM, fabric: "usable_width: 1500", beside: "rods: [{id: r, kind: track, carrier_pitch: 80}]\ntapes: [{id: s-8, kind: wave, height: 75, pocket_pitch: 20, pockets: 8}]",
			window: "heading: wave-tape, draw: stationary, finished_width: 1290, return: 90, finished_length: 2400",
			want:   map[string]string{"points": "16", "flat_width": "2570mm", "places 2": "170mm", "places 1": "90mm", "hooks": "17"},
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			w := workup.Compute(unpleated(t, c.units, c.fabric, c.conventions, c.beside, c.window))
			if len(w.Treatments[0].Panels) == 0 {
				t.Fatalf("%+v", w.Problems)
			}
			p := &w.Treatments[0].Panels[0]
			for name, want := range c.want {
				if got := at(p, name); !nearly(got, want) {
					t.Errorf("%s is %q, want %q", name, got, want)
				}
			}
			if c.told != "" && !has(w, c.told) {
				t.Errorf("not told: %s in %v", c.told, w.Problems)
			}
		})
	}
}
