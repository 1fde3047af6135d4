package orderfile_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// withHeadings is an order file whose conventions have something for headings.
func withHeadings(units measure.Unit, headings string) []byte {
	return fmt.Appendf(nil, practised, units, `{"headings": `+headings+`}`)
}

// TestHeadingFiguresAreRead: an order file sets each figure of a heading set by hand; what it leaves out is as shipped, and no other
// heading's is touched.
func TestHeadingFiguresAreRead(t *testing.T) {
	o, problems := orderfile.Parse(withHeadings(measure.In, `{"box": {"fullness": "1.75", "fullness_max": 2.5, "space_min": 4.5, "preferred_space": "5 in", "take_up_max": "300 mm"},
		"pinch-2": {"pleats_per_width": 6, "heading_fold": 5}, "goblet": null}`))
	if o == nil {
		t.Fatal(problems)
	}
	c := &o.Conventions
	box, shipped := c.Heading(orderfile.Box, measure.In), orderfile.Box.Data()
	const in = measure.Inch
	if box.Fullness != (measure.Ratio{Num: 7, Den: 4}) || box.FullnessMin.Num != 0 || box.FullnessMax != (measure.Ratio{Num: 5, Den: 2}) ||
		box.Space != (orderfile.Range{Min: 9 * in / 2, Max: 12 * in}) || box.PreferredSpace != 5*in || box.TakeUp != (orderfile.Range{Min: 4 * in, Max: 300 * measure.Millimetre}) {
		t.Errorf("box is %+v", box)
	}
	if s := box.Sources; s.Fullness != orderfile.FromShop || s.Space != orderfile.FromShop || s.TakeUp != orderfile.FromShop || s.Count != orderfile.FromShop || s.Lead != shipped.Sources.Lead {
		t.Errorf("box cites %+v", s)
	}
	if pinch := c.Heading(orderfile.Pinch2, measure.In); pinch.PleatsPerWidth != 6 || *pinch.HeadingFold != 5*in || pinch.Fullness != orderfile.Pinch2.Data().Fullness {
		t.Errorf("pinch-2 is %+v", pinch)
	}
	standard := orderfile.DefaultConventions(measure.In)
	for _, d := range orderfile.Headings() {
		if d.Heading != orderfile.Box && d.Heading != orderfile.Pinch2 {
			compare(t, c.Heading(d.Heading, measure.In), standard.Heading(d.Heading, measure.In))
		}
	}
	before := *standard.Heading(orderfile.Goblet, measure.In)
	orderfile.Of(map[string]any{"headings.goblet.fullness": 3}).Over(standard, measure.In)
	compare(t, *standard.Heading(orderfile.Goblet, measure.In), before) // what is read is no other's
	standard = orderfile.DefaultConventions(measure.MM)
	compare(t, standard.Heading(orderfile.Box, measure.MM).Spacing, shipped.Metric.Spacing)
}

// TestHeadingFiguresAreChecked: what is wrong is told where it stands, with what there is; ranges that don't hold together stay as they were.
func TestHeadingFiguresAreChecked(t *testing.T) {
	const at = "conventions.headings."
	standard := orderfile.DefaultConventions(measure.In)
	for _, c := range []struct{ headings, code, where string }{
		{`{"boxes": {}}`, "unknown_key", "boxes"},
		{`{"cartridge-tape": {"fullness": 2}}`, "unknown_key", "cartridge-tape"}, // its tape sets it
		{`{"eyelet": {"space_min": 2}}`, "unknown_key", "eyelet.space_min"},
		{`{"eyelet": {"pitch_min": 9}}`, "bad_value", "eyelet.pitch_min"},
		{`{"eyelet": {"preferred_pitch": 9}}`, "bad_value", "eyelet.preferred_pitch"},
		{`{"eyelet": {"ends": "tab"}}`, "bad_value", "eyelet.ends"},
		{`{"ring": {"fullness": 0.9}}`, "bad_value", "ring.fullness"},
		{`{"box": {"fulness": 2}}`, "unknown_key", "box.fulness"},
		{`{"box": {"pleats_per_width": 5}}`, "unknown_key", "box.pleats_per_width"}, // counted by its spaces
		{`{"box": 2}`, "bad_value", "box"},
		{`{"box": {"fullness": 1}}`, "bad_value", "box.fullness"},
		{`{"box": {"fullness": 11}}`, "absurd", "box.fullness"},
		{`{"box": {"fullness": "full"}}`, "bad_value", "box.fullness"},
		{`{"box": {"space_min": 0}}`, "bad_value", "box.space_min"},
		{`{"box": {"space_min": "4 ells"}}`, "bad_length", "box.space_min"},
		{`{"box": {"space_max": 41}}`, "absurd", "box.space_max"},
		{`{"box": {"take_up_min": -1}}`, "negative", "box.take_up_min"},
		{`{"box": {"take_up_min": 13}}`, "bad_value", "box.take_up_min"},
		{`{"box": {"take_up_max": 3}}`, "bad_value", "box.take_up_max"},
		{`{"box": {"space_max": 3}}`, "bad_value", "box.space_max"},
		{`{"box": {"space_min": 7}}`, "bad_value", "box.space_min"}, // over the preferred
		{`{"box": {"preferred_space": 13}}`, "bad_value", "box.preferred_space"},
		{`{"box": {"preferred_space": 3, "space_min": 3.5}}`, "bad_value", "box.preferred_space"},
		{`{"box": {"fullness_min": 2, "fullness_max": 1.5}}`, "bad_value", "box.fullness_min"},
		{`{"pinch-3": {"fullness_min": 3.5}}`, "bad_value", "pinch-3.fullness_min"},
		{`{"pinch-3": {"pleats_per_width": 0}}`, "bad_value", "pinch-3.pleats_per_width"},
		{`{"pinch-3": {"heading_fold": 13}}`, "absurd", "pinch-3.heading_fold"},
	} {
		o, problems := orderfile.Parse(withHeadings(measure.In, c.headings))
		if o != nil || len(problems) != 1 || problems[0].Code != c.code || problems[0].Where != at+c.where || problems[0].Line != 1 {
			t.Errorf("%s: %+v, want %s at %s", c.headings, problems, c.code, c.where)
		}
		if c.code == "unknown_key" && len(problems) == 1 && len(problems[0].Args["Known"].([]string)) < 6 {
			t.Errorf("%s: known are %v", c.headings, problems[0].Args["Known"])
		}
		var own map[string]any
		if err := json.Unmarshal([]byte(c.headings), &own); err != nil {
			t.Fatal(err)
		}
		if kept, _ := (orderfile.Practice{"headings": own}).Read(standard, measure.In); len(problems) == 1 && problems[0].Code != "unknown_key" {
			for _, r := range orderfile.HeadingConventions() {
				if "headings."+c.where == r.Key && r.Text(&kept, measure.In) != r.Text(&standard, measure.In) {
					t.Errorf("%s leaves %s", c.headings, r.Text(&kept, measure.In))
				}
			}
		}
	}
	_, problems := orderfile.Parse(withHeadings(measure.In, `{"box": {"space_min": 20, "take_up_min": 20}, "goblet": {"fullness": 0, "x": 1}}`))
	if len(problems) != 4 {
		t.Errorf("all that is wrong: %+v", problems)
	}
	fits := schema(t)
	for headings, ok := range map[string]bool{
		`{"box": {"fullness": 1.75, "space_min": "4 in"}}`: true, `{"pinch-2": {"pleats_per_width": 6}}`: true, `{"box": null}`: true,
		`{"boxes": {}}`: false, `{"box": {"fulness": 2}}`: false, `{"box": {"pleats_per_width": 6}}`: false, `{"box": {"space_min": 0}}`: false, `{"cartridge-tape": {}}`: false,
	} {
		if err := fits.Validate(asJSON(t, withHeadings(measure.In, headings))); (err == nil) != ok {
			t.Errorf("%s: the schema says %v", headings, err)
		}
	}
}

// TestHeadingRowsHaveBounds: each row is what it ships, in each unit; it takes its least and most as it says them, and refuses what is beyond.
func TestHeadingRowsHaveBounds(t *testing.T) {
	var by []string
	for _, d := range orderfile.Headings() {
		if d.Family != orderfile.SetByTape {
			by = append(by, string(d.Heading))
		}
	}
	standard := orderfile.DefaultConventions(measure.MM)
	for _, r := range orderfile.HeadingConventions() {
		if !slices.Contains(by, string(r.Heading)) || r.Key != "headings."+string(r.Heading)+"."+r.Field || r.Sources.Inch == "" || r.Sources.Metric == "" {
			t.Errorf("the row %+v", r)
		}
		if (r.Text(&standard, measure.MM) == "") != r.Optional() {
			t.Errorf("%s ships %q, and may be left out: %t", r.Key, r.Text(&standard, measure.MM), r.Optional())
		}
		if r.Words() != nil {
			continue
		}
		_, most, _ := r.Limits(measure.MM)
		for _, value := range []string{most + "0", "-1"} {
			if _, problems := orderfile.Of(map[string]any{r.Key: value}).Read(standard, measure.MM); len(problems) != 1 || problems[0].Where != r.Key || orderfile.Disagrees(problems[0]) {
				t.Errorf("%s: %s: %+v", r.Key, value, problems)
			}
		}
		_, problems := orderfile.Of(map[string]any{r.Key: most}).Read(standard, measure.MM)
		if problems = slices.DeleteFunc(problems, orderfile.Disagrees); len(problems) > 0 {
			t.Errorf("%s: %s: %+v", r.Key, most, problems)
		}
	}
}

// TestHeadingFiguresGoTogether: whatever is read, and however often, each heading's ranges hold together; what a record keeps of it reads
// back the same.
func TestHeadingFiguresGoTogether(t *testing.T) {
	rows := orderfile.HeadingConventions()
	rapid.Check(t, func(t *rapid.T) {
		units := rapid.SampledFrom([]measure.Unit{measure.In, measure.MM}).Draw(t, "units")
		c := orderfile.FirstReleaseConventions(units)
		for range rapid.IntRange(1, 3).Draw(t, "readings") {
			set := map[string]any{}
			for range rapid.IntRange(1, 8).Draw(t, "figures") {
				r := rapid.SampledFrom(rows).Draw(t, "row")
				set[r.Key] = rapid.SampledFrom([]string{"2", "3.5", "5", "8.25", "160 mm", "12 in"}).Draw(t, "value")
			}
			var problems []engine.Problem
			c, problems = orderfile.Of(set).Read(c, units)
			for _, p := range problems {
				if p.Code == "" || !strings.HasPrefix(p.Where, "headings.") {
					t.Fatalf("%+v", p)
				}
			}
		}
		for _, d := range orderfile.Headings() {
			h := c.Heading(d.Heading, units)
			if h.Space.Min > h.PreferredSpace || h.PreferredSpace > h.Space.Max || h.TakeUp.Min > h.TakeUp.Max ||
				h.Pitch.Min > h.PreferredPitch || h.PreferredPitch > h.Pitch.Max || h.FullnessMax.Num > 0 && h.FullnessMin.Cmp(h.FullnessMax) > 0 {
				t.Fatalf("%s is %+v", d.Heading, h)
			}
		}
		again := orderfile.Kept(orderfile.ToKeep(c, units))(units)
		if fmt.Sprint(orderfile.ToKeep(again, units)) != fmt.Sprint(orderfile.ToKeep(c, units)) {
			t.Fatalf("%v is kept, and read as %v", orderfile.ToKeep(c, units), orderfile.ToKeep(again, units))
		}
	})
}

// TestFormKeepsHeadingFigures: a form doesn't show what an order has for a heading, keeps it as the file has it, and writes other changes
// around it.
func TestFormKeepsHeadingFigures(t *testing.T) {
	const own = "  headings:\n    box: {fullness: 1.75, space_min: 5} # theirs\n"
	file := "order: T-1\nunits: in\nconventions:\n  seam: 1/2\n" + own + "fabrics: [{id: reed, use: face, usable_width: 54}]\n" +
		"treatments: [{window: Bay, heading: box, face_width: 84, finished_length: 96, face: reed}]\n"
	form, ok := orderfile.FormOf([]byte(file))
	if !ok || len(form.Rest) != 1 || form.Rest[0].Key != "conventions.headings" {
		t.Fatalf("%t, %+v", ok, form)
	}
	form.Text["conventions.seam"] = "5/8"
	written, ok := orderfile.WithForm([]byte(file), form)
	if !ok || !strings.Contains(string(written), own) || !strings.Contains(string(written), "5/8") {
		t.Errorf("written as\n%s", written)
	}
	o, problems := orderfile.Parse(written)
	if o == nil || o.Conventions.Heading(orderfile.Box, measure.In).Space.Min != 5*measure.Inch {
		t.Errorf("%+v", problems)
	}
}
