package workup_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// TestHeadingFiguresCount: the work-up goes by what a shop sets for the heading, and the trail says that it is the shop's.
func TestHeadingFiguresCount(t *testing.T) {
	const box, pinch = "heading: box, finished_width: 48, draw: stationary, return: 0", "heading: pinch-2, finished_width: 48, draw: stationary, return: 0"
	for _, c := range []struct{ window, own, number, before, after, source string }{
		{box, "box: {fullness: 1.75}", "fullness_asked", "2", "1.75", "source.convention"},
		{box, "box: {space_min: 8, preferred_space: 9}", "pleats", "9", "6", "source.convention"},                   // 46 1/2 in over 5 gaps are 9.3 in
		{strings.Replace(box, "48", "24", 1), "box: {preferred_space: 9}", "pleats", "5", "4", "source.convention"}, // 22 1/2 in: 5 5/8 or 7 1/2
		{box, "box: {space_max: 5, preferred_space: 5}", "pleats", "9", "11", "source.convention"},
		{box, "box: {heading_fold: 5}", "plain_length", "100in", "102in", ""},
		{pinch, "pinch-2: {fullness: 3}", "fullness_asked", "2.25", "3", "source.convention"},
		{strings.Replace(pinch, "48", "24, fullness: 2", 1), "pinch-2: {pleats_per_width: 7}, pinch-3: {pleats_per_width: 9}", "pleats", "5", "7", "source.convention"}, // one width of 54 in
		{pinch, "pinch-2: {take_up_min: 1, take_up_max: 4}", "take_up", "", "", "source.convention"},
		{pinch + ", heading_fold: 3", "pinch-2: {heading_fold: 5}", "plain_length", "98in", "98in", ""}, // the window's own goes first
	} {
		shipped, _ := firstPanel(t, headed(t, "", ", pleat_count: per_width", c.window))
		own, _ := firstPanel(t, headed(t, "", ", pleat_count: per_width, headings: {"+c.own+"}", c.window))
		if c.after != "" && (at(shipped, c.number) != c.before || at(own, c.number) != c.after) {
			t.Errorf("%s: %s is %s as shipped, and %s, want %s and %s", c.own, c.number, at(shipped, c.number), at(own, c.number), c.before, c.after)
		}
		for _, step := range own.Trail {
			if step.Name == c.number && c.source != "" && step.Source != c.source {
				t.Errorf("%s: %s cites %q", c.own, c.number, step.Source)
			}
		}
		for _, step := range shipped.Trail {
			if step.Name == c.number && c.source != "" && step.Source == "source.convention" {
				t.Errorf("as shipped %s cites the shop", c.number)
			}
		}
	}
}

// TestUsualFullnessOfAShop: widths are held against the range that the shop has for the heading, or the one end of it.
func TestUsualFullnessOfAShop(t *testing.T) {
	for own, want := range map[string]bool{"": false, "fullness_max: 1.9": true, "fullness_max: 2.2": false, "fullness_min: 2.4": true, "fullness_min: 1.5, fullness_max: 3": false} {
		_, told := firstPanel(t, headed(t, "", ", headings: {box: {"+own+"}}", "heading: box, widths: 2, finished_width: 48, draw: stationary"))
		if strings.Contains(told, "warning widths_out_of_range widths") != want {
			t.Errorf("%q tells %s", own, told)
		}
	}
}

// TestEveryHeadingFigureCounts: no figure is taken and does nothing for its heading.
func TestEveryHeadingFigureCounts(t *testing.T) {
	values := map[string][]string{
		"fullness": {"1.6"}, "fullness_min": {"2.9", "2.1", "1.6"}, "fullness_max": {"2.1", "1.3"}, "space_min": {"3.7", "5.5", "2.8"}, "space_max": {"3.8", "6.1", "5.3", "3.1"},
		"preferred_space": {"3.5", "4", "5.9", "7.5"}, "take_up_min": {"6", "5", "9", "3.8"}, "take_up_max": {"4.6", "4.2", "3.2", "6"}, "pleats_per_width": {"7", "4"}, "heading_fold": {"5"},
		"pitch_min": {"6.9", "5.9"}, "pitch_max": {"7.1", "6.1"}, "preferred_pitch": {"6.2", "6.8", "5.2"}, "ends": {"fixed"}, "end": {"3"}, "inset": {"3"}, "parity": {"any", "even"},
	}
	// What counts only with another figure of its heading.
	with := map[string]string{"end": "ends: fixed, ", "inset": "ends: inset, "}
	beside := map[orderfile.Heading]string{orderfile.PencilTape: ", tape: pencil", orderfile.WaveTape: ", tape: wave"}
	for _, r := range orderfile.HeadingConventions() {
		counts := false
		for _, value := range values[r.Field] {
			for _, width := range []string{"48", "71", "96, widths: 4", "44, widths: 2"} {
				window := fmt.Sprintf("heading: %s, draw: stationary, finished_width: %s%s", r.Heading, width, beside[r.Heading])
				text := func(conventions string) string {
					o, problems := orderfile.Parse(fmt.Appendf(nil, "{order: F, units: in, conventions: {%s}, fabrics: [{id: f, use: face, usable_width: 54}], "+
						"tapes: [{id: pencil, kind: pencil, height: 3, cords: 3}, {id: wave, kind: wave, height: 3, pocket_pitch: 3/4, pockets: 8}], "+
						"rods: [{id: rod, diameter: 1, carrier_pitch: 3}], treatments: [{window: W, finished_length: 84, face: f, %s}]}", conventions, window))
					if o == nil {
						return fmt.Sprint(len(problems)) // figures that don't go together
					}
					return whole(t, o)
				}
				after := text(fmt.Sprintf("headings: {%s: {%s%s: %s}}", r.Heading, with[r.Field], r.Field, value))
				before := text(fmt.Sprintf("headings: {%s: {%s}}", r.Heading, strings.TrimSuffix(with[r.Field], ", ")))
				counts = counts || after != before && len(after) > 9
			}
		}
		if !counts {
			t.Errorf("%s: none of %q changes anything", r.Key, values[r.Field])
		}
	}
}

// whole is all of a work-up's numbers, steps and problems.
func whole(t interface{ Fatal(...any) }, o *orderfile.Order) string {
	doc, err := json.Marshal(workup.Compute(o).Document(true, func(p engine.Problem) string { return p.Code }, strings.ToUpper))
	if err != nil {
		t.Fatal(err)
	}
	return string(doc)
}

// TestHeadingFiguresAreOfTheirHeading: what is set for one heading changes nothing of an order without it.
func TestHeadingFiguresAreOfTheirHeading(t *testing.T) {
	rows := orderfile.HeadingConventions()
	byHand := slices.DeleteFunc(slices.Clone(rows), func(r orderfile.Convention) bool { return r.Heading.Data().Family != orderfile.SetByHand })
	rapid.Check(t, func(t *rapid.T) {
		o := randomOrder(t)
		has := map[orderfile.Heading]bool{}
		for i := range o.Treatments {
			if o.Treatments[i].Tape == "" && o.Treatments[i].Heading.Data().Family == orderfile.SetByHand {
				o.Treatments[i].Heading = rapid.SampledFrom(byHand).Draw(t, "heading").Heading
			}
			has[o.Treatments[i].Heading] = true
		}
		before := whole(t, o)
		set := map[string]any{}
		for range rapid.IntRange(1, 6).Draw(t, "figures") {
			if r := rapid.SampledFrom(rows).Draw(t, "row"); !has[r.Heading] {
				set[r.Key] = rapid.SampledFrom([]string{"2", "3", "5", "7 in"}).Draw(t, "value")
			}
		}
		o.Conventions, _ = orderfile.Of(set).Read(o.Conventions, o.Units)
		if after := whole(t, o); after != before {
			t.Fatalf("%v changes\n%s\ninto\n%s", set, before, after)
		}
	})
}
