package workup_test

import (
	"fmt"
	"reflect"
	"strings"
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
			// 4160 and 160 of hems; three widths join to 4305.
			name: "a wave whose hems want a width more", units: measure.MM, fabric: "usable_width: 1455", beside: "rods: [{id: r, kind: track, carrier_pitch: 80}]\ntapes: [{id: s-8, kind: wave, height: 75, pocket_pitch: 20, pockets: 8}]",
			window: "heading: wave-tape, draw: stationary, finished_width: 2000, return: 0, finished_length: 2400",
			want:   map[string]string{"flat_width": "4160mm", "widths": "4"},
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

// What is unusual of a heading without pleats, and what can't be made: each told once, where the key stands that mends it.
func TestContinuousCorners(t *testing.T) {
	const (
		pencil = "tapes: [{id: pencil, kind: pencil, height: 3, cords: 3, tightest: 3}]"
		wave   = "tapes: [{id: wave, kind: wave, height: 75, pocket_pitch: 20, pockets: 8}]\nrods: [{id: r, carrier_pitch: 80}]"
		pole   = "rods: [{id: pole, diameter: 2}]"
	)
	for _, c := range []struct {
		name, beside, conventions, window string
		want                              map[string]string
		told                              string // "severity code where", by commas; "" nothing
	}{
		{"eyelets on 20 in", "", ", side_hem: 0", "heading: eyelet, finished_width: 10", map[string]string{"points": "4"}, "warning pitch_out_of_range treatments[0].finished_width"},
		{"eyelets on 33 in", "", ", side_hem: 0", "heading: eyelet, finished_width: 16 1/2, finished_length: 84", map[string]string{"flat_width": "33in", "points": "4", "pitch": "8.25in"}, "warning pitch_out_of_range treatments[0].finished_width"},
		{"a tab on 5 in", "rods: [{id: r, diameter: 1}]", ", side_hem: 0", "heading: tab, finished_width: 5, fullness: 1, finished_length: 84", map[string]string{"points": "2", "pitch": "3in"},
			"warning pitch_out_of_range treatments[0].finished_width, warning few_pleats treatments[0].finished_width"},
		{"four tabs on 5 in", "rods: [{id: r, diameter: 1}]", ", side_hem: 0", "heading: tab, finished_width: 5, fullness: 1, finished_length: 84, points: {count: 4}", nil, "error points_collide treatments[0].points.count"},
		{"100 in drawn up to 30", pencil, ", side_hem: 0", "heading: pencil-tape, finished_width: 30, fullness: 3.333333333, finished_length: 84", nil,
			"warning fullness_out_of_range treatments[0].fullness, error gather_too_tight treatments[0].finished_width"},
		{"a pole in a small pocket", pole, "", "heading: rod-pocket, finished_width: 30, finished_length: 84, pocket: {depth: 3}", nil, "error pocket_tight treatments[0].pocket.depth"},
		{"a pole in a close pocket", pole, "", "heading: rod-pocket, finished_width: 30, finished_length: 84, pocket: {depth: 3 1/4}", map[string]string{"pocket": "3.25in"}, "warning pocket_tight treatments[0].pocket.depth"},
		{"a high stand", pole, "", "heading: rod-pocket, finished_width: 30, finished_length: 84, pocket: {stand: 5 1/2}", nil, "note stand_flops treatments[0].pocket.stand"},
		{"a flat panel on rings", "", ", side_hem: 0", "heading: ring, finished_width: 37, fullness: 1, finished_length: 84", map[string]string{"pitch": "5.14285714in", "flat_width": "37in", "places 8": "36.5in", "positions 8": "36.5in"}, ""},
		{"eyelets narrow for their pole", pole, "", "heading: eyelet, finished_width: 27, finished_length: 84", nil, "warning eyelet_tight treatments[0].eyelet.inner"},
		{"eyelets out of their band", "", ", heading_fold: 2", "heading: eyelet, finished_width: 27, finished_length: 84", nil, "warning eyelet_off_band treatments[0].eyelet.drop"},
		{"folds that meet the wall", "rods: [{id: r, projection: 3 1/2}]", keeps, "heading: eyelet, finished_width: 27, widths: 1, finished_length: 84", nil, "warning folds_touch_wall rods[0].projection"},
		{"a ring narrow for its pole", "rods: [{id: r, diameter: 2, ring_inner: 2 1/4}]", "", "heading: ring, finished_width: 30, finished_length: 84", nil, "warning ring_tight rods[0].ring_inner"},
		{"a hang of its own", "rods: [{id: r, diameter: 1, ring_drop: 2}]", "", "heading: ring, finished_width: 30, hang: {bearing_to_floor: 96, clearance: 1/2}", map[string]string{"plain_length": "109.5in"}, ""},
		{"another hang than its own", "rods: [{id: r, diameter: 1, ring_drop: 2}]", "", "heading: ring, finished_width: 30, hang: {bearing_to_floor: 96, heading_below_bearing: 1, clearance: 1/2}", nil, "warning hang_differs treatments[0].hang"},
		{"drawn tabs", "rods: [{id: r, diameter: 1}]", "", "heading: tab, draw: pair, face_width: 60, finished_length: 84", nil, "note tabs_drag treatments[0].draw"},
		{"a fold below its tape", pencil, "", "heading: pencil-tape, finished_width: 30, finished_length: 84, heading_fold: 3 1/4", nil, "warning fold_outside_tape treatments[0].heading_fold"},
		{"less cloth than rod", "", "", "heading: eyelet, finished_width: 60, finished_length: 84, widths: 1", nil, "error too_narrow treatments[0].widths"},
	} {
		t.Run(c.name, func(t *testing.T) {
			window := "draw: stationary, cord_end: tucked, " + c.window
			if strings.Contains(c.window, "draw:") {
				window = c.window
			}
			if !strings.Contains(window, "hang:") && !strings.Contains(window, "finished_length") {
				window += ", finished_length: 84"
			}
			w := workup.Compute(unpleated(t, measure.In, "usable_width: 60", c.conventions, c.beside, window))
			var told []string
			for _, p := range w.Problems {
				if p.Code != "cloth_not_known" && p.Code != "tail_short" && p.Code != "seam_shows" {
					told = append(told, fmt.Sprintf("%s %s %s", p.Severity, p.Code, p.Where))
				}
			}
			if got := strings.Join(told, ", "); got != c.told {
				t.Errorf("told %q, want %q", got, c.told)
			}
			for name, want := range c.want {
				if got := at(&w.Treatments[0].Panels[0], name); !nearly(got, want) {
					t.Errorf("%s is %q, want %q", name, got, want)
				}
			}
		})
	}
	// Of a wave the fewest carriers are two, whatever the width.
	w := workup.Compute(unpleated(t, measure.MM, "usable_width: 1500", "", wave, "heading: wave-tape, draw: stationary, finished_width: 50, return: 0, finished_length: 2000"))
	if p := &w.Treatments[0].Panels[0]; p.Points != 2 || p.Reach != mm("160") {
		t.Errorf("%d carriers reach %s", p.Points, p.Reach.In(measure.MM))
	}
}

// TestTrimmingsOfTabs: 16 tabs of two panels lie 12 in a row of 60 in, so in two rows; each panel has a strip of facing.
func TestTrimmingsOfTabs(t *testing.T) {
	w := workup.Compute(unpleated(t, measure.In, "usable_width: 60", keeps, "rods: [{id: r, diameter: 1 3/8}]",
		"heading: tab, draw: stationary, quantity: 2, finished_width: 36, fullness: 1.5, finished_length: 80"))
	use := w.Treatments[0].Fabrics[0]
	want := []workup.Trimming{
		{For: workup.ForTabs, Each: []int{8}, InRow: 12, Pieces: 16, Rows: 2, CutLength: inches("8 9/16"), Across: inches("5")},
		{For: workup.ForFacing, Each: []int{1}, InRow: 1, Pieces: 2, Rows: 2, CutLength: inches("3")},
	}
	if !reflect.DeepEqual(use.Trimmings, want) || use.Length != 2*inches("88 1/2")+inches("17 1/8")+inches("6") || w.Totals.Tabs != 16 {
		t.Errorf("%+v", use)
	}
}
