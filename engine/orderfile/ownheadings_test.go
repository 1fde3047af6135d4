package orderfile_test

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// tulip is a heading that a shop makes like goblets.
const tulip = `{"tulip": {"like": "goblet", "name": "Tulip pleat", "fullness": "2.25", "space_min": "4 in", "preferred_space": "5 in"}}`

// TestOwnHeadingsAreRead: a heading that a file makes is what it is like in all but what the file gives; an order names it.
func TestOwnHeadingsAreRead(t *testing.T) {
	file := strings.Replace(string(withHeadings(measure.In, tulip)), `"heading": "pinch-2"`, `"heading": "tulip"`, 1)
	o, problems := orderfile.Parse([]byte(file))
	if o == nil {
		t.Fatal(problems)
	}
	if h := o.Treatments[0].Heading; h != "tulip" || o.Treatments[0].Inserts != orderfile.Stuffed {
		t.Errorf("the window has %s, filled with %q", h, o.Treatments[0].Inserts)
	}
	d, goblet := o.Heading("tulip"), o.Heading(orderfile.Goblet)
	want := *goblet
	want.Heading, want.Like, want.Name = "tulip", orderfile.Goblet, "Tulip pleat"
	want.Fullness, want.Space.Min, want.PreferredSpace = measure.Ratio{Num: 9, Den: 4}, 4*measure.Inch, 5*measure.Inch
	want.Sources.Fullness, want.Sources.Space, want.Sources.Count = orderfile.FromShop, orderfile.FromShop, orderfile.FromShop
	compare(t, d, &want)
	if made := d.Made(); made.As("tulip") != orderfile.Goblet || made.HeadingName != "Tulip pleat" || d.Called() != "Tulip pleat" || goblet.Made() != (orderfile.Made{}) || goblet.Called() != "goblet" {
		t.Errorf("made as %+v, called %s; a goblet as %+v", made, d.Called(), goblet.Made())
	}
	if all := o.Conventions.AllHeadings(); all[len(all)-1] != "tulip" || len(o.Conventions.HeadingRows(measure.In)) != len(all) {
		t.Errorf("all are %v", all)
	}
}

// TestOwnHeadingFollowsTheShop: what isn't given is as the shop has the heading that it is like; an order changes a figure of what its shop made,
// or makes it anew under the same key.
func TestOwnHeadingFollowsTheShop(t *testing.T) {
	shop := orderfile.Practice{"headings": map[string]any{
		"goblet": map[string]any{"fullness": "2.4", "take_up_max": "8 in"}, "tulip": map[string]any{"like": "goblet", "name": "Tulip pleat", "space_min": "4 in"},
	}}
	under := func(headings string) *orderfile.Conventions {
		t.Helper()
		o, problems := orderfile.ParseUnder(withHeadings(measure.In, headings), func(u measure.Unit) orderfile.Conventions {
			return shop.Over(orderfile.DefaultConventions(u), u)
		})
		if o == nil {
			t.Fatal(problems)
		}
		return &o.Conventions
	}
	d := under(`{}`).Heading("tulip", measure.In)
	if d.Fullness.String() != "2.4" || d.TakeUp.Max != 8*measure.Inch || d.Space.Min != 4*measure.Inch {
		t.Errorf("as the shop has it: %+v", d)
	}
	d = under(`{"tulip": {"fullness": 3}}`).Heading("tulip", measure.In)
	if d.Fullness.String() != "3" || d.Space.Min != 4*measure.Inch || d.Name != "Tulip pleat" {
		t.Errorf("with a figure of the order's: %+v", d)
	}
	d = under(`{"tulip": {"like": "box", "name": "Flat tulip"}}`).Heading("tulip", measure.In)
	if d.Like != orderfile.Box || d.Name != "Flat tulip" || d.Space != orderfile.Box.Data().Space {
		t.Errorf("made anew: %+v", d)
	}
	if d = under(`{"tulip": {"name": "Lily"}}`).Heading("tulip", measure.In); d.Name != "Lily" || d.Space.Min != 4*measure.Inch {
		t.Errorf("under another name: %+v", d)
	}
	under(`{"tulip": null}`)
}

// TestOwnHeadingOfATape has a name of its own and nothing else: its figures are its tape's.
func TestOwnHeadingOfATape(t *testing.T) {
	file := strings.Replace(string(withHeadings(measure.In, `{"house": {"like": "cartridge-tape", "name": "House pleat"}}`)), `"heading": "pinch-2"`, `"heading": "house"`, 1)
	o, problems := orderfile.Parse([]byte(strings.Replace(file, `"treatments"`, `"tapes": [{"id": "cartridge-4", "period": 6, "space": 3, "height": 4, "cords": 2}], "treatments"`, 1)))
	if o == nil {
		t.Fatal(problems)
	}
	if d := o.Heading("house"); d.Family != orderfile.SetByTape || d.Route != "cartridge-tape" || o.Treatments[0].Tape == "" {
		t.Errorf("%+v", d)
	}
}

// TestOwnHeadingsAreChecked: what is wrong is told once, where it stands.
func TestOwnHeadingsAreChecked(t *testing.T) {
	const at = "conventions.headings."
	fits := schema(t)
	for _, c := range []struct {
		headings, code, kind, where string
		seen                        bool // by the schema too
	}{
		{`{"tulip": {"like": "goblet"}}`, "missing_key", "", "tulip.name", false}, // an order may change one of the shop's
		{`{"tulip": {"name": "Tulip"}}`, "missing_key", "", "tulip.like", false},
		{`{"tulip": {"like": "gobelt", "name": "Tulip"}}`, "bad_value", "choice_like", "tulip.like", true},
		{`{"tulip": {"like": "goblet", "name": "Tulip"}, "lily": {"like": "tulip", "name": "Lily"}}`, "bad_value", "like_own", "lily.like", true},
		{`{"lily": {"like": "tulip", "name": "Lily"}, "tulip": {"like": "goblet", "name": "Tulip"}}`, "bad_value", "like_own", "lily.like", true},
		{`{"box": {"like": "goblet", "name": "Box"}}`, "bad_value", "heading_shipped", "box", true},
		{`{"pinch-tape": {"like": "goblet", "name": "Box"}}`, "bad_value", "heading_shipped", "pinch-tape", true},
		{`{"box": {"name": "Box"}}`, "unknown_key", "among", "box.name", true},
		{`{"Tulip": {"like": "goblet", "name": "Tulip"}}`, "bad_value", "heading_key", "Tulip", true},
		{`{"3-tulip": {"like": "goblet", "name": "Tulip"}}`, "bad_value", "heading_key", "3-tulip", true},
		{`{"` + strings.Repeat("t", 33) + `": {"like": "goblet", "name": "Tulip"}}`, "bad_value", "heading_key", strings.Repeat("t", 33), true},
		{`{"tulip": {"like": "goblet", "name": "` + strings.Repeat("T", 41) + `"}}`, "absurd", "text", "tulip.name", true},
		{`{"tulip": {"like": "goblet", "name": " "}}`, "bad_value", "blank", "tulip.name", true},
		{`{"tulip": {"like": "goblet", "name": "Tulip", "pitch_min": 3}}`, "unknown_key", "among", "tulip.pitch_min", false},
		{`{"tulip": {"like": "goblet", "name": "Tulip", "space_min": 5.5}}`, "bad_value", "preferred_space", "tulip.space_min", false},
		{`{"tulip": {"like": "goblet", "name": "Tulip", "fullness": 1}}`, "bad_value", "fullness", "tulip.fullness", false},
		{`{"house": {"like": "pinch-tape", "name": "House", "fullness": 2}}`, "unknown_key", "among", "house.fullness", false},
		{`{"tulip": {"fullness": 2}}`, "unknown_key", "among", "tulip", false},
	} {
		file := withHeadings(measure.In, c.headings)
		o, problems := orderfile.Parse(file)
		if o != nil || len(problems) != 1 || problems[0].Code != c.code || problems[0].Where != at+c.where || c.kind != "" && !strings.HasSuffix(problems[0].Key, "."+c.kind) {
			t.Errorf("%s: %+v, want %s %s at %s", c.headings, problems, c.code, c.kind, c.where)
		}
		if c.seen && fits.Validate(asJSON(t, file)) == nil {
			t.Errorf("%s: the schema takes it", c.headings)
		}
	}
	if err := fits.Validate(asJSON(t, []byte(strings.Replace(string(withHeadings(measure.In, tulip)), `"heading": "pinch-2"`, `"heading": "tulip"`, 1)))); err != nil {
		t.Error(err)
	}
	many := map[string]any{}
	for i := range orderfile.MostOwnHeadings + 1 {
		many[fmt.Sprintf("h%d", i)] = map[string]any{"like": "goblet", "name": "Tulip"}
	}
	text, _ := json.Marshal(many)
	if _, problems := orderfile.Parse(withHeadings(measure.In, string(text))); len(problems) != 1 || problems[0].Code != "absurd" {
		t.Errorf("%d headings: %+v", len(many), problems)
	}
	file := strings.Replace(string(withHeadings(measure.In, tulip)), `"heading": "pinch-2"`, `"heading": "tulpi"`, 1)
	if _, problems := orderfile.Parse([]byte(file)); len(problems) != 1 || problems[0].Args["Like"] != "tulip" {
		t.Errorf("a slip in its key: %+v", problems)
	}
}

// TestOwnHeadingsAreKept: whatever headings are made, in readings on top of each other, what a record keeps of them reads back the same,
// and rows are those of what each is like.
func TestOwnHeadingsAreKept(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		units := rapid.SampledFrom([]measure.Unit{measure.In, measure.MM}).Draw(t, "units")
		c := orderfile.FirstReleaseConventions(units)
		for range rapid.IntRange(1, 3).Draw(t, "readings") {
			headings := map[string]any{}
			for _, key := range rapid.SliceOfNDistinct(rapid.SampledFrom([]string{"tulip", "lily", "box", "goblet"}), 1, 3, rapid.ID).Draw(t, "keys") {
				own := map[string]any{}
				if rapid.Bool().Draw(t, "made") && key[0] != 'b' && key[0] != 'g' {
					own["like"], own["name"] = string(rapid.SampledFrom(orderfile.AllHeadings()).Draw(t, "like")), "Ours"
				}
				for _, field := range []string{"fullness", "space_min", "space_max", "heading_fold", "pitch_max", "parity"} {
					if rapid.IntRange(0, 3).Draw(t, field) == 0 {
						own[field] = rapid.SampledFrom([]string{"2.5", "4 in", "11 in", "any", "even"}).Draw(t, "value")
					}
				}
				headings[key] = own
			}
			c, _ = orderfile.Practice{"headings": headings}.Read(c, units)
		}
		kept := orderfile.ToKeep(c, units)
		again := orderfile.Kept(kept)(units)
		if fmt.Sprint(again.Own) == "" || fmt.Sprint(kept) != fmt.Sprint(orderfile.ToKeep(again, units)) {
			t.Fatalf("%v is kept, and read as %v", kept, orderfile.ToKeep(again, units))
		}
		shipped := c.Shipped(units)
		for _, o := range c.Own {
			if d := c.Heading(o.Heading, units); d.Name != o.Name || d.Route != o.Like.Data().Route {
				t.Fatalf("%+v is %+v", o, d)
			}
			if d := again.Heading(o.Heading, units); d == nil || d.Spacing != c.Heading(o.Heading, units).Spacing {
				t.Fatalf("%+v reads back as %+v", o, d)
			}
		}
		for _, r := range c.Rows()[len(orderfile.ShopConventions()):] {
			if r.Field == "like" && r.Text(&shipped, units) != r.Text(&c, units) {
				t.Fatalf("%s ships %q", r.Key, r.Text(&shipped, units))
			}
		}
	})
}
