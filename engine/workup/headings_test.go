package workup_test

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// headed reads an order of one window. Where it says nothing else its cloth is 54 in wide inside the selvages, joins take 1 in, side
// hems 1 1/2 in doubled, all joined cloth stays in the panel, and no slack is taken off the fullness.
func headed(t *testing.T, fabric, conventions, window string) *orderfile.Order {
	t.Helper()
	fields := map[string]string{"id": "reed", "use": "face", "usable_width": "54"}
	var face []string
	for _, f := range strings.Split(fabric, ", ") {
		if key, value, ok := strings.Cut(f, ": "); ok {
			fields[key] = value
		}
	}
	for key, value := range fields {
		face = append(face, key+": "+value)
	}
	text := fmt.Sprintf(`order: HEADINGS
units: in
conventions: {fullness_slack: 0, surplus: keep%s}
fabrics: [{%s}]
treatments: [{window: Bay, finished_length: 84, face: reed, %s}]
`, conventions, strings.Join(face, ", "), window)
	o, problems := orderfile.Parse([]byte(text))
	if o == nil {
		t.Fatalf("%s\n%v", text, problems)
	}
	return o
}

// firstPanel is the first panel of the only window, and what is told of it.
func firstPanel(t *testing.T, o *orderfile.Order) (*workup.Panel, string) {
	t.Helper()
	w := workup.Compute(o)
	var codes []string
	for _, p := range w.Problems {
		if p.Code == "cloth_not_known" { // no bolts are listed
			continue
		}
		codes = append(codes, fmt.Sprintf("%s %s %s", p.Severity, p.Code, strings.TrimPrefix(p.Where, "treatments[0].")))
	}
	if len(w.Treatments[0].Panels) == 0 {
		t.Fatalf("%v", w.Problems)
	}
	return &w.Treatments[0].Panels[0], strings.Join(codes, ", ")
}

// at is a number of a panel, or the k-th of a list, from 1: "take_ups 3"; "" where the panel hasn't it.
func at(p *workup.Panel, which string) string {
	name, k := which, 1
	fmt.Sscan(which, &name, &k)
	for _, v := range p.Values() {
		if v.Name == name {
			return strings.Fields(v.Value.String())[k-1]
		}
	}
	return ""
}

// nearly reports whether two lengths in inches are the same to a nanometre or two, or two texts alike.
func nearly(a, b string) bool {
	x, errX := strconv.ParseFloat(strings.TrimSuffix(a, "in"), 64)
	y, errY := strconv.ParseFloat(strings.TrimSuffix(b, "in"), 64)
	if errX != nil || errY != nil {
		return a == b
	}
	return math.Abs(x-y) < 1e-7 && strings.HasSuffix(a, "in") == strings.HasSuffix(b, "in")
}

// The headings set by hand, worked out by hand and by a program of its own. What equals a published example says so.
func TestPleatsSetByHand(t *testing.T) {
	for _, c := range []struct {
		name, fabric, conventions, window string
		want                              map[string]string // by name, of a list with which of it from 1: "pleat_places 2"
		told                              string
	}{
		{
			name: "cartridges on a pair of 84 in", window: "heading: cartridge-hand, face_width: 84",
			want: map[string]string{
				"finished_width": "48.5in", "widths": "2.5", "flat_width": "127in", "pleats": "16", "space": "2.6in", "take_up": "4.90625in",
				"tube_diameter": "1.56170788in", "tube_gap": "1.03829212in", "inserts": "16", "insert_turns": "3.006",
				"seams 1": "23.5in", "seams 2": "76.5in", "seams_in_pleats": "2", "seams_hidden": "2", "lead_flat": "6in",
				"take_ups 1": "4.975in", "take_ups 3": "4.975in", "take_ups 4": "4.97142857in", "take_ups 10": "4.97142857in", "take_ups 11": "4.79583333in",
				"take_ups 16": "4.79583333in", "pleat_places 2": "6.1in", "buckram_piece 1": "127in",
			},
		},
		{
			name: "goblets, half a space at the ends", conventions: ", pleat_ends: half_space",
			window: "heading: goblet, draw: stationary, finished_width: 48, return: 0, lead_flat: 0, surplus: trim",
			want: map[string]string{
				"flat_width": "96in", "widths": "2", "pleats": "9", "space": "5.33333333in", "take_up": "5.33333333in", "tube_diameter": "1.69765273in",
				"tube_gap": "3.63568061in", "inserts": "9", "insert_turns": "", "insert_piece": "", "pleat_positions 1": "5.33333333in", "pleat_places 1": "2.66666667in",
			},
		},
		{
			// Singer Sewing Library No. 102, 1960: 53 in finished, 91 in for 13 pleats of 7 in, spaces of 4 in.
			name: "the manual's panel, boxed", fabric: "usable_width: 150",
			window: "heading: box, face_width: 98, return: 3, overlap: 2, lead_flat: 2, pleats: 13",
			want: map[string]string{
				"finished_width": "53in", "flat_width": "144in", "widths": "1", "space": "4in", "take_up": "7in", "pleat_face": "3.5in", "face_gap": "0.5in",
				"fullness": "2.717", "inserts": "", "tube_gap": "", "pleat_places 13": "51in",
			},
		},
		{
			// sewwhatinc.com, 2010: 20 ft at half as much again is 30 ft; 12 in on centre, boxes 3 in wide.
			name: "a stage curtain", conventions: ", pleat_ends: half_space, seam: 0, widths_rounding: up_to_whole", fabric: "usable_width: 60",
			window: "heading: box, draw: stationary, finished_width: 240, return: 0, lead_flat: 0, pleats: 20, fullness: 1.5, surplus: trim, side_hem: 0",
			want:   map[string]string{"flat_width": "360in", "space": "12in", "take_up": "6in", "pleat_face": "3in", "face_gap": "9in"},
			told:   "note seam_shows face",
		},
		{
			// C. Bryan, eHow UK: 49 in between the first and the last of 8 pleats, 7 in on centre, 4 1/2 in each.
			name: "inverted boxes", fabric: "usable_width: 91",
			window: "heading: inverted-box, draw: stationary, finished_width: 49, fullness: 1.6, return: 0, lead_flat: 0, pleats: 8",
			want:   map[string]string{"flat_width": "85in", "widths": "1", "space": "7in", "take_up": "4.5in", "pleat_face": "2.25in", "face_gap": "4.75in", "pleat_positions 2": "13.75in"},
			told:   "warning pleat_over_edge return, note pleat_in_hem return",
		},
		{
			name: "inverted boxes, counted by their ranges", fabric: "usable_width: 66", conventions: ", pleat_ends: half_space",
			window: "heading: inverted-box, draw: stationary, finished_width: 40, fullness: 1.5, return: 0, lead_flat: 0",
			want:   map[string]string{"flat_width": "60in", "pleats": "5", "space": "8in", "take_up": "4in", "pleat_positions 1": "6in", "pleat_positions 2": "18in", "pleat_positions 5": "54in"},
		},
		{
			name: "half a box past either edge", fabric: "usable_width: 150", window: "heading: box, draw: stationary, finished_width: 49, fullness: 2, return: 0, lead_flat: 0",
			told: "warning pleat_over_edge return, note pleat_in_hem return",
		},
		{
			// Take-ups of 9 in with spaces of 4 in: faces of 4 1/2 in.
			name: "boxes over each other", fabric: "usable_width: 93", window: "heading: box, draw: stationary, finished_width: 24, return: 0, lead_flat: 0, pleats: 7",
			want: map[string]string{"space": "4in", "take_up": "9in", "pleat_face": "4.5in", "face_gap": "-0.5in"},
			told: "error pleats_overlap pleats, warning pleat_over_edge return, note pleat_in_hem return",
		},
		{
			name: "inverted boxes over each other only make bulk", fabric: "usable_width: 93", window: "heading: inverted-box, draw: stationary, finished_width: 24, return: 0, lead_flat: 0, pleats: 7",
			want: map[string]string{"face_gap": "-0.5in"},
			told: "warning pleat_out_of_range pleats, warning pleats_overlap pleats, warning pleat_over_edge return, note pleat_in_hem return",
		},
		{
			name: "nothing in the tubes", fabric: "usable_width: 93",
			window: "heading: cartridge-hand, draw: stationary, finished_width: 38, return: 2, lead_flat: 2, pleats: 11, inserts: none",
			want:   map[string]string{"inserts": "", "insert_piece": "", "tube_diameter": "1.41792587in"},
		},
		{
			name: "tubes against each other", fabric: "usable_width: 93",
			window: "heading: cartridge-hand, draw: stationary, finished_width: 20, return: 2, lead_flat: 2, pleats: 7",
			want:   map[string]string{"take_up": "9.57142857in", "tube_diameter": "3.04668036in", "tube_gap": "-0.38001369in"},
			told:   "warning pleat_out_of_range pleats, error tubes_collide pleats",
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, told := firstPanel(t, headed(t, c.fabric, c.conventions, c.window))
			for which, want := range c.want {
				if got := at(p, which); !nearly(got, want) {
					t.Errorf("%s is %q, want %q", which, got, want)
				}
			}
			if told != c.told {
				t.Errorf("told %q, want %q", told, c.told)
			}
		})
	}
}

// pinchTape is a pair of 84 in under a pinch tape of two cords, in a 54 in cloth.
func pinchTape(t *testing.T, tape, window string) *orderfile.Order {
	t.Helper()
	o, problems := orderfile.Parse([]byte(`order: PINCH
units: in
fabrics: [{id: reed, use: face, usable_width: 54}]
tapes: [{id: deep, kind: pinch, height: 3, cords: 2, ` + tape + `}]
treatments: [{window: Bay, heading: pinch-tape, face_width: 84, finished_length: 84, face: reed` + window + `}]
`))
	if o == nil {
		t.Fatal(problems)
	}
	return o
}

// TestPinchTape: worked out by hand and by a program of its own, from amid a space and from the rod's corner.
func TestPinchTape(t *testing.T) {
	for _, c := range []struct {
		name, tape, window string
		want               map[string]string
		told               string
	}{
		{
			name: "amid a space", tape: "period: 6, space: 3, end_margin: {nominal: 3/4, min: 1/2, max: 2}",
			want: map[string]string{
				"finished_width": "48.5in", "pleats": "15", "end_margin": "1.75in", "flat_width": "93.5in", "pleat_positions 1": "4.75in", "pleat_positions 15": "88.75in",
				"pleat_places 1": "3.25in", "tape_piece": "95.5in", "cord_pull_out": "45in", "cord_total": "92in", "finger_projection": "0.5in", "fingers": "3", "hooks": "17",
				"inserts": "", "tube_diameter": "", "stack_back": "14in", "lead_flat": "",
			},
			told: "note pleat_in_lap overlap, note cord_hazard cord_end",
		},
		{
			name: "from the rod's corner", tape: "period: 9, space: 3 1/2, ends: flat",
			want: map[string]string{
				"finished_width_asked": "48.5in", "finished_width": "51.5in", "deviation": "3in", "pleats": "13", "flat_width": "123in", "edge_to_pleat": "3.5in",
				"lead_flat": "6in", "pleat_positions 1": "6.25in", "pleat_places 1": "3.5in", "pleat_places 13": "45.5in", "tape_start": "2.75in", "cord_pull_out": "71.5in",
				"end_margin": "", "tight_width": "51.5in",
			},
			told: "warning width_not_reached face_width, note cord_hazard cord_end",
		},
		{
			name: "the pleats that are given", tape: "period: 9, space: 3 1/2, ends: flat, fingers: 2", window: ", pleats: 12, lead_flat: 5",
			want: map[string]string{"finished_width": "47in", "pleats": "12", "lead_flat": "5in", "fingers": "2", "finger_projection": "1.375in", "alternative": ""},
			told: "warning width_not_reached pleats, note pleat_in_lap overlap, note cord_hazard cord_end",
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, told := firstPanel(t, pinchTape(t, c.tape, c.window))
			for which, want := range c.want {
				if got := at(p, which); !nearly(got, want) {
					t.Errorf("%s is %q, want %q", which, got, want)
				}
			}
			if told != c.told {
				t.Errorf("told %q, want %q", told, c.told)
			}
		})
	}
	p, _ := firstPanel(t, pinchTape(t, "period: 9, space: 3 1/2, ends: flat", ""))
	if a := p.Alternative; a == nil || a.Pleats != 12 || a.FinishedWidth.In(measure.In) != "48in" {
		t.Errorf("one pleat fewer: %+v", a)
	}
}

// TestTapesFitTheirHeadings: a heading takes a tape of its own kind, and only a pinch tape has ends and fingers.
func TestTapesFitTheirHeadings(t *testing.T) {
	file := `order: KINDS
units: in
fabrics: [{id: reed, use: face, usable_width: 54}]
tapes: [{id: deep, period: 6, space: 3, height: 3, cords: 2, KIND}]
treatments: [{window: Bay, heading: HEADING, face_width: 84, finished_length: 84, face: reed}]
`
	for _, c := range []struct{ kind, heading, told string }{
		{"kind: pinch", "cartridge-tape", "wrong_use treatments[0].tape"},
		{"kind: cartridge", "pinch-tape", "wrong_use treatments[0].tape"},
		{"fingers: 2", "cartridge-tape", "bad_value tapes[0].fingers"},
		{"ends: flat", "cartridge-tape", "bad_value tapes[0].ends"},
		{"kind: wave", "cartridge-tape", "missing_key tapes[0].pocket_pitch, missing_key tapes[0].pockets, not_supported tapes[0].period, not_supported tapes[0].space, not_supported tapes[0].cords, wrong_use treatments[0].tape"},
		{"kind: pinch, fingers: 5", "pinch-tape", "absurd tapes[0].fingers"},
	} {
		_, problems := orderfile.Parse([]byte(strings.NewReplacer("KIND}", c.kind+"}", "HEADING", c.heading).Replace(file)))
		var told []string
		for _, p := range problems {
			told = append(told, p.Code+" "+p.Where)
		}
		if got := strings.Join(told, ", "); got != c.told {
			t.Errorf("%s under %s: %q, want %q", c.kind, c.heading, got, c.told)
		}
	}
}
