package choices_test

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/engine/workup/choices"
)

const head = `order: SMI-1
units: in
fabrics: [{id: reed, use: face, usable_width: 54}, {id: heron, use: face, usable_width: 54, vertical_repeat: 25}]
tapes: [{id: cart-4, period: 6 1/2, space: 2 1/2, height: 4, cords: 3}]
treatments:
`

func parse(t interface{ Fatal(...any) }, src string) *orderfile.Order {
	o, problems := orderfile.Parse([]byte(src))
	if o == nil {
		t.Fatal(problems, src)
	}
	return o
}

// TestWaysOfAWindow: what is proposed for some windows, and why. The cloth saved is two cuts' length less, counted by hand.
func TestWaysOfAWindow(t *testing.T) {
	for _, tt := range []struct {
		name, window string
		want         []string // "widths=2 less_cloth"
	}{
		{"a pinch pleat", "{window: Den, heading: pinch-3, face_width: 84, finished_length: 95 1/2, face: reed}", []string{"as_asked", "widths=", "pleats=", "heading=pinch-2|heading=cartridge-tape"}},
		{"a tape", "{window: Den, heading: cartridge-tape, face_width: 84, finished_length: 95 1/2, face: reed}", []string{"as_asked", "surplus=keep", "heading=cartridge-hand"}},
	} {
		o := parse(t, head+"  - "+tt.window+"\n")
		var got []string
		for _, w := range choices.Of(o, 0) {
			var set []string
			for key, value := range w.Set {
				set = append(set, key+"="+value)
			}
			slices.Sort(set)
			got = append(got, strings.TrimSpace(strings.Join(set, ",")+" "+w.Why.Code))
		}
		if len(got) < 3 || len(got) > 5 || got[0] != "as_asked" {
			t.Errorf("%s: %q", tt.name, got)
		}
		for _, want := range tt.want {
			if !slices.ContainsFunc(got, func(g string) bool {
				return slices.ContainsFunc(strings.Split(want, "|"), func(w string) bool { return strings.HasPrefix(g, w) })
			}) {
				t.Errorf("%s: nothing with %s among %q", tt.name, want, got)
			}
		}
	}
}

// TestNoWayWithoutAPleat: of a panel of one pleat none has a pleat less.
func TestNoWayWithoutAPleat(t *testing.T) {
	o := parse(t, strings.Replace(head, "{id: cart-4,", "{id: flat, kind: pinch, ends: flat,", 1)+
		"  - {window: Slit, heading: pinch-tape, finished_width: 4, draw: stationary, return: 2, lead_flat: 2, finished_length: 95 1/2, face: reed}\n")
	if p := workup.Compute(o).Treatments[0].Panels; len(p) != 1 || p[0].Pleats != 1 {
		t.Fatalf("%+v", p)
	}
	for _, w := range choices.Of(o, 0) {
		if w.Set["pleats"] == "0" {
			t.Errorf("%+v", w.Why)
		}
	}
}

// TestNoWaysOfWhatDoesNotWork: a window that can't be made has no other ways.
func TestNoWaysOfWhatDoesNotWork(t *testing.T) {
	o := parse(t, head+"  - {window: Slit, heading: cartridge-tape, finished_width: 2, draw: stationary, finished_length: 95 1/2, face: reed}\n")
	if ways := choices.Of(o, 0); len(ways) > 0 {
		t.Errorf("%d ways", len(ways))
	}
}

// TestWaysAreWhatTheFileWouldGive: a way's keys, written into the file, give the way's numbers; ways have no errors, differ from each
// other, and the window that is asked is first, as the order has it.
func TestWaysAreWhatTheFileWouldGive(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		window := map[string]string{
			"window": "Den", "face_width": rapid.SampledFrom([]string{"30", "48", "66", "84", "120 1/2"}).Draw(t, "width"), "finished_length": "95 1/2",
			"heading": rapid.SampledFrom([]string{"cartridge-tape", "pinch-2", "pinch-3"}).Draw(t, "heading"),
			"face":    rapid.SampledFrom([]string{"reed", "heron"}).Draw(t, "face"),
			"draw":    rapid.SampledFrom([]string{"pair", "one_way_left"}).Draw(t, "draw"), "quantity": rapid.SampledFrom([]string{"1", "2"}).Draw(t, "quantity"),
		}
		if window["heading"] != "cartridge-tape" && rapid.Bool().Draw(t, "full") {
			window["fullness"] = rapid.SampledFrom([]string{"2", "2.5", "3"}).Draw(t, "fullness")
		}
		if rapid.Bool().Draw(t, "kept") {
			window["surplus"] = "keep"
		}
		form := orderfile.Form{From: orderfile.NotInFile, Text: window}
		base, ok := orderfile.FormOf([]byte(strings.TrimSuffix(head, "treatments:\n")))
		if !ok {
			t.Fatal("no form")
		}
		other := orderfile.Form{From: orderfile.NotInFile, Text: map[string]string{"window": "Hall", "face_width": "60", "finished_length": "80", "heading": "pinch-2", "face": "reed"}}
		write := func(w orderfile.Form) *orderfile.Order {
			base.Lists["treatments"] = []orderfile.Form{other, w}
			src, ok := orderfile.WithForm([]byte(strings.TrimSuffix(head, "treatments:\n")), base)
			if !ok {
				t.Fatal("can't be written")
			}
			return parse(t, string(src))
		}
		o := write(form)
		ways := choices.Of(o, 1)
		if len(ways) == 0 {
			t.Skip("not to be made")
		}
		for i, w := range ways {
			text := map[string]string{}
			for key, value := range window {
				text[key] = value
			}
			for key, value := range w.Set {
				text[key] = value
			}
			want := workup.Compute(write(orderfile.Form{From: orderfile.NotInFile, Text: text})).Treatments[1]
			got := *w.Treatment()
			got.Index = want.Index
			for j := range want.Panels { // a trail names the treatment's place in the file
				want.Panels[j].Trail, got.Panels[j].Trail = nil, nil
			}
			if !reflect.DeepEqual(got, want) {
				t.Fatalf("way %d, %v:\n%+v\nthe file gives\n%+v", i, w.Set, got, want)
			}
			if !slices.Contains(choices.Codes(), w.Why.Code) || (i == 0) != (len(w.Set) == 0) {
				t.Fatalf("way %d: %v %v", i, w.Set, w.Why)
			}
			for _, v := range ways[:i] {
				if reflect.DeepEqual(v.Treatment().Panels, got.Panels) {
					t.Fatalf("%v and %v are alike", v.Set, w.Set)
				}
			}
		}
	})
}
