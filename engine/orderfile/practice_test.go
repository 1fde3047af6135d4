package orderfile_test

import (
	"encoding/json"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"testing"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// withOther returns the conventions with one field, or one tolerance, another than it was.
func withOther(t *testing.T, c orderfile.Conventions, field int) orderfile.Conventions {
	t.Helper()
	v := reflect.ValueOf(&c).Elem().Field(field)
	if v.Kind() == reflect.String {
		for _, choice := range orderfile.Choices() {
			for _, value := range choice.Words() {
				if under := choice.Under(c, value); reflect.ValueOf(under).Field(field).String() != v.String() {
					return under
				}
			}
		}
		t.Errorf("no row of engine/orderfile/conventionrows.go reaches the field of type %s", v.Type())
		return c
	}
	switch x := v.Addr().Interface().(type) {
	case *int:
		*x += 2
	case *measure.Length:
		*x += measure.Inch / 64
	case *orderfile.Percent:
		*x += 125
	case **measure.Length:
		*x = new(18 * measure.Inch)
	case *measure.Ratio:
		*x = measure.Ratio{Num: 17, Den: 2}
	case *[]orderfile.OwnHeading:
		own := orderfile.OwnHeading{Heading: "tulip", Like: orderfile.Goblet, Name: "Tulip pleat"}
		for i, d := range orderfile.Headings() {
			if d.Heading == own.Like {
				own.Figures = c.Headings[i]
			}
		}
		own.Figures.Space.Max += measure.Inch / 64
		*x = []orderfile.OwnHeading{own}
	case *[]orderfile.HeadingFigures:
		*x = slices.Clone(*x)
		for i, d := range orderfile.Headings() {
			if own := &(*x)[i]; d.Family == orderfile.SetByHand {
				own.Fullness, own.FullnessMin, own.FullnessMax = measure.Ratio{Num: 19, Den: 10}, measure.Ratio{Num: 7, Den: 4}, measure.Ratio{Num: 11, Den: 4}
				own.Space.Max += measure.Inch / 64
				own.PreferredSpace = own.Space.Max
				own.TakeUp.Min -= measure.Inch / 64
				own.HeadingFold = new(5 * measure.Inch)
				if d.PerWidth {
					own.PleatsPerWidth = 6
				}
			}
		}
	case *orderfile.Tolerances:
		*x = maps.Clone(*x)
		for name, tolerance := range *x {
			tolerance.Plus += measure.Inch / 16
			(*x)[name] = tolerance
		}
	default:
		t.Fatalf("a convention of type %s", v.Type())
	}
	return c
}

// practised is an order file in some units with some conventions.
const practised = `{"units": %q, "order": "T-1", "conventions": %s,
  "fabrics": [{"id": "reed", "use": "face", "usable_width": "54 in"}],
  "treatments": [{"window": "Bay", "heading": "pinch-2", "face_width": "84 in", "finished_length": "96 in", "face": "reed"}]}`

// An order's record keeps every convention that it was worked up with, and gives it back, in each unit; pasted into a
// file it fits the schema.
func TestPracticeIsKept(t *testing.T) {
	taken := schema(t)
	for _, units := range []measure.Unit{measure.In, measure.CM, measure.MM} {
		first := orderfile.FirstReleaseConventions(units)
		compare(t, orderfile.Kept(nil)(units), first)
		for i := range reflect.TypeFor[orderfile.Conventions]().NumField() {
			name := reflect.TypeFor[orderfile.Conventions]().Field(i).Name
			if name == "Shelf" { // no order's
				continue
			}
			want := withOther(t, first, i)
			kept := orderfile.ToKeep(want, units)
			if name == "Own" {
				name = "Headings" // they stand among these
			}
			if keys := slices.Collect(maps.Keys(kept)); len(keys) != 1 || fieldName(keys[0]) != name {
				t.Fatalf("%s: %s differs, and %v is kept: it wants a row in engine/orderfile/conventionrows.go, whose func returns it", units, name, kept)
			}
			text, err := json.Marshal(kept)
			if err != nil {
				t.Fatal(err)
			}
			var read orderfile.Practice
			if err := json.Unmarshal(text, &read); err != nil {
				t.Fatal(err)
			}
			compare(t, read, kept)
			compare(t, orderfile.Kept(read)(units), want)
			file := fmt.Sprintf(practised, units, text)
			if err := taken.Validate(asJSON(t, []byte(file))); err != nil {
				t.Errorf("%s: the schema: %v", name, err)
			}
			if o, problems := orderfile.Parse([]byte(file)); o == nil {
				t.Errorf("%s: %+v", name, problems)
			}
		}
	}
}

// A practice can be pasted into a file, and the file's own conventions go before those of the order.
func TestPracticeInAFile(t *testing.T) {
	parse := func(conventions string, practice func(measure.Unit) orderfile.Conventions) orderfile.Conventions {
		t.Helper()
		o, problems := orderfile.ParseUnder(fmt.Appendf(nil, practised, measure.In, conventions), practice)
		if o == nil {
			t.Fatal(problems)
		}
		return o.Conventions
	}
	first := orderfile.FirstReleaseConventions(measure.In)
	kept := orderfile.Kept(orderfile.Practice{"surplus": "keep", "seam": "0.625in"})
	compare(t, parse(`{}`, orderfile.Kept(nil)), first)
	own := parse(`{"surplus": "trim"}`, kept)
	if own.Surplus != "trim" || own.Seam != 5*measure.Inch/8 {
		t.Errorf("the file says trim, the order ⅝: %s, %s", own.Surplus, own.Seam.In(measure.In))
	}
	shipped := orderfile.DefaultConventions(measure.In)
	pasted, err := json.Marshal(own.Differing(shipped, measure.In))
	if err != nil {
		t.Fatal(err)
	}
	compare(t, parse(string(pasted), orderfile.DefaultConventions), own)
	if same := shipped.Differing(shipped, measure.In); same != nil {
		t.Errorf("the shipped conventions differ from themselves: %v", same)
	}
}
