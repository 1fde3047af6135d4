package orderfile_test

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"tablehand/engine/orderfile"
)

const commented = `# Ring before noon
order: SMI-014   # from the phone
customer: Saltmarsh Inn
units: in
conventions: {overlap_basis: past_centre}   # theirs

fabrics:
  # the good one
  - id: reed
    use: face
    usable_width: 54   # measured
    bolts:
      - {id: R1, length: 40 yd, flaws: [{from: 7 yd, to: 8 yd}]}
  - {id: sateen, use: lining, usable_width: 54}
tapes: [{id: cart-4, period: 6 1/2, space: 2 1/2, height: 4, cords: 3}]
treatments:
  # by the door
  - window: "Bay, left"
    heading: cartridge-tape
    face_width: 84   # twice
    finished_length: 95 1/2
    face: reed
    notes: |
      Rod is up

      Measured twice
  - window: Kitchen
    heading: cartridge-tape
    face_width: 60
    hang: {bearing_to_floor: 96, heading_above_bearing: 1/2, clearance: 1/2}
    face: reed
pieces:
  - {piece: cushion, text: Seat, sizes: {width: 22, depth: 20}, route: [cutting, sewing]}
  - piece: repair   # hers
    text: Torn hem
    route:
      - sewing
      # by hand
      - packing
    sizes: {tear: 9}
`

// TestFormChangesOnlyWhatItMust holds each kind of change against the lines that it may touch.
func TestFormChangesOnlyWhatItMust(t *testing.T) {
	tests := []struct {
		name   string
		change func(f *orderfile.Form)
		diff   string // lines taken away and put in
	}{
		{"nothing", func(f *orderfile.Form) {}, ""},
		{"a value beside a comment", func(f *orderfile.Form) { f.Lists["treatments"][0].Text["face_width"] = "8' 3" },
			"-    face_width: 84   # twice\n+    face_width: 8' 3   # twice\n"},
		{"a name that needs quotes", func(f *orderfile.Form) { f.Text["customer"] = "Inn: the new one # 2" },
			"-customer: Saltmarsh Inn\n+customer: \"Inn: the new one # 2\"\n"},
		{"a new key has its place", func(f *orderfile.Form) { f.Text["due"] = "2026-12-18" }, "+due: 2026-12-18\n"},
		{"a value is cleared", func(f *orderfile.Form) { f.Text["customer"] = "" }, "-customer: Saltmarsh Inn\n"},
		{"a comment outlives its value", func(f *orderfile.Form) { f.Lists["fabrics"][0].Text["usable_width"] = "" },
			"-    usable_width: 54   # measured\n+    usable_width:   # measured\n"},
		{"the first key of an element", func(f *orderfile.Form) { f.Lists["treatments"][1].Text["window"] = "" },
			"-  - window: Kitchen\n+  - window:\n"},
		{"lines of text", func(f *orderfile.Form) { f.Lists["treatments"][0].Text["notes"] = "Rod is up\n\nMeasured once" },
			"-      Measured twice\n+      Measured once\n"},
		{"lines of text in one line's place", func(f *orderfile.Form) { f.Lists["treatments"][1].Text["notes"] = "One\nTwo" },
			"+    notes: |\n+      One\n+      Two\n"},
		{"a value in braces", func(f *orderfile.Form) { f.Lists["fabrics"][1].Text["usable_width"] = "58, less selvedge" },
			"-  - {id: sateen, use: lining, usable_width: 54}\n+  - {id: sateen, use: lining, usable_width: \"58, less selvedge\"}\n"},
		{"a key in braces", func(f *orderfile.Form) { f.Lists["fabrics"][0].Lists["bolts"][0].Text["lot"] = "A" },
			"-      - {id: R1, length: 40 yd, flaws: [{from: 7 yd, to: 8 yd}]}\n+      - {id: R1, length: 40 yd, lot: A, flaws: [{from: 7 yd, to: 8 yd}]}\n"},
		{"a flaw moves", func(f *orderfile.Form) { f.Lists["fabrics"][0].Lists["bolts"][0].Lists["flaws"][0].Text["to"] = "9 yd" },
			"-      - {id: R1, length: 40 yd, flaws: [{from: 7 yd, to: 8 yd}]}\n+      - {id: R1, length: 40 yd, flaws: [{from: 7 yd, to: 9 yd}]}\n"},
		{"a flaw more", func(f *orderfile.Form) {
			b := f.Lists["fabrics"][0].Lists["bolts"][0].Lists
			b["flaws"] = append(b["flaws"], orderfile.Form{From: orderfile.NotInFile, Text: map[string]string{"from": "12 yd", "to": "12 yd 3 in"}})
		}, "-      - {id: R1, length: 40 yd, flaws: [{from: 7 yd, to: 8 yd}]}\n+      - {id: R1, length: 40 yd, flaws: [{from: 7 yd, to: 8 yd}, {from: 12 yd, to: 12 yd 3 in}]}\n"},
		{"no flaw is left", func(f *orderfile.Form) { f.Lists["fabrics"][0].Lists["bolts"][0].Lists["flaws"] = nil },
			"-      - {id: R1, length: 40 yd, flaws: [{from: 7 yd, to: 8 yd}]}\n+      - {id: R1, length: 40 yd}\n"},
		{"a sum goes", func(f *orderfile.Form) {
			w := f.Lists["treatments"][1].Text
			w["hang.bearing_to_floor"], w["hang.heading_above_bearing"], w["hang.clearance"] = "", "", ""
			w["finished_length"] = "96"
		}, "-    hang: {bearing_to_floor: 96, heading_above_bearing: 1/2, clearance: 1/2}\n+    finished_length: 96\n"},
		{"a sum comes", func(f *orderfile.Form) {
			w := f.Lists["treatments"][0].Text
			w["hang.bearing_to_floor"], w["hang.clearance"] = "96 1/4", "1/2"
		}, "+    hang: {bearing_to_floor: 96 1/4, clearance: 1/2}\n"},
		{"a window is removed with its comment", func(f *orderfile.Form) { f.Lists["treatments"] = f.Lists["treatments"][1:] },
			"-  # by the door\n-  - window: \"Bay, left\"\n-    heading: cartridge-tape\n-    face_width: 84   # twice\n-    finished_length: 95 1/2\n-    face: reed\n-    notes: |\n-      Rod is up\n-\n-      Measured twice\n"},
		{"a window is copied without it", func(f *orderfile.Form) {
			copied := f.Lists["treatments"][1]
			copied.Text = map[string]string{}
			for k, v := range f.Lists["treatments"][1].Text {
				copied.Text[k] = v
			}
			copied.Text["window"] = "Kitchen 2"
			f.Lists["treatments"] = append(f.Lists["treatments"], copied)
		}, "+  - window: Kitchen 2\n+    heading: cartridge-tape\n+    face_width: 60\n+    hang: {bearing_to_floor: 96, heading_above_bearing: 1/2, clearance: 1/2}\n+    face: reed\n"},
		{"a bolt is new", func(f *orderfile.Form) {
			f.Lists["fabrics"][1].Lists["bolts"] = []orderfile.Form{{From: orderfile.NotInFile, Text: map[string]string{"id": "S1", "length": "50 yd"}}}
		}, "-  - {id: sateen, use: lining, usable_width: 54}\n+  - {id: sateen, use: lining, usable_width: 54, bolts: [{id: S1, length: 50 yd}]}\n"},
		{"a tape is new", func(f *orderfile.Form) {
			f.Lists["tapes"] = append(f.Lists["tapes"], orderfile.Form{From: orderfile.NotInFile, Text: map[string]string{"id": "cart-3", "end_margin.min": "1/2"}})
		}, "-tapes: [{id: cart-4, period: 6 1/2, space: 2 1/2, height: 4, cords: 3}]\n+tapes: [{id: cart-4, period: 6 1/2, space: 2 1/2, height: 4, cords: 3}, {id: cart-3, end_margin: {min: 1/2}}]\n"},
		{"a piece goes another way", func(f *orderfile.Form) { f.Lists["pieces"][0].Lists["route"] = way("cutting", "pressing", "packing") },
			"-  - {piece: cushion, text: Seat, sizes: {width: 22, depth: 20}, route: [cutting, sewing]}\n+  - {piece: cushion, text: Seat, sizes: {width: 22, depth: 20}, route: [cutting, pressing, packing]}\n"},
		{"a way that was written in lines", func(f *orderfile.Form) { f.Lists["pieces"][1].Lists["route"] = way("packing", "", "sew: it") },
			"-    route:\n-      - sewing\n-      # by hand\n-      - packing\n+    route: [packing, \"\", \"sew: it\"]\n"},
		{"the same way told again", func(f *orderfile.Form) { f.Lists["pieces"][1].Lists["route"] = way("sewing", "packing") }, ""},
		{"the usual way", func(f *orderfile.Form) { f.Lists["pieces"][0].Lists["route"] = nil },
			"-  - {piece: cushion, text: Seat, sizes: {width: 22, depth: 20}, route: [cutting, sewing]}\n+  - {piece: cushion, text: Seat, sizes: {width: 22, depth: 20}}\n"},
		{"a piece gets cloth and goes outside", func(f *orderfile.Form) {
			p := f.Lists["pieces"][1]
			p.Lists["fabrics"] = []orderfile.Form{{From: orderfile.NotInFile, Text: map[string]string{"fabric": "reed", "cuts": "2", "cut_length": "9 1/2"}}}
			p.Text["outside.who"], p.Text["sizes.width"] = "Marsh", "20"
		}, "-    sizes: {tear: 9}\n+    outside: {who: Marsh}\n+    sizes: {width: 20, tear: 9}\n+    fabrics:\n+      - {fabric: reed, cuts: 2, cut_length: 9 1/2}\n"},
		{"a piece is new", func(f *orderfile.Form) {
			f.Lists["pieces"] = append(f.Lists["pieces"], orderfile.Form{From: orderfile.NotInFile, Text: map[string]string{"piece": "repair", "text": "Torn lining"},
				Lists: map[string][]orderfile.Form{"route": way("sewing", "outside")}})
		}, "+  - piece: repair\n+    text: Torn lining\n+    route: [sewing, outside]\n"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			form, ok := orderfile.FormOf([]byte(commented))
			if !ok {
				t.Fatal("the form can't show it")
			}
			tt.change(&form)
			got, ok := orderfile.WithForm([]byte(commented), form)
			if !ok {
				t.Fatal("the change can't be made")
			}
			if diff := cmp.Diff(tt.diff, lineDiff(commented, string(got))); diff != "" {
				t.Errorf("(-want +got)\n%s\n%s", diff, got)
			}
		})
	}
}

// way is a piece's way through the shop as the form has it.
func way(stations ...string) []orderfile.Form {
	var list []orderfile.Form
	for _, s := range stations {
		list = append(list, orderfile.Form{From: orderfile.NotInFile, Text: map[string]string{"station": s}})
	}
	return list
}

// lineDiff lists the lines that differ: both files' common start and end are left out, and common lines between.
func lineDiff(was, is string) string {
	a, b := strings.SplitAfter(was, "\n"), strings.SplitAfter(is, "\n")
	var out strings.Builder
	length := make([][]int, len(a)+1) // of the longest common run of lines from here on
	for i := range length {
		length[i] = make([]int, len(b)+1)
	}
	for i := len(a) - 1; i >= 0; i-- {
		for j := len(b) - 1; j >= 0; j-- {
			if a[i] == b[j] {
				length[i][j] = length[i+1][j+1] + 1
			} else {
				length[i][j] = max(length[i+1][j], length[i][j+1])
			}
		}
	}
	for i, j := 0, 0; i < len(a) || j < len(b); {
		switch {
		case i < len(a) && j < len(b) && a[i] == b[j]:
			i, j = i+1, j+1
		case i < len(a) && (j == len(b) || length[i+1][j] >= length[i][j+1]):
			out.WriteString("-" + a[i])
			i++
		default:
			out.WriteString("+" + b[j])
			j++
		}
	}
	return out.String()
}

// TestFormOfANewOrder: what is typed into an empty form is an order that Parse reads, its keys in the usual order.
func TestFormOfANewOrder(t *testing.T) {
	fresh := func(text map[string]string) orderfile.Form {
		return orderfile.Form{From: orderfile.NotInFile, Text: text, Lists: map[string][]orderfile.Form{}}
	}
	reed := fresh(map[string]string{"id": "reed", "use": "face", "usable_width": "54"})
	reed.Lists["bolts"] = []orderfile.Form{fresh(map[string]string{"id": "R1", "length": "40 yd"})}
	form := fresh(map[string]string{"order": "SMI-014", "units": "in", "customer": "null", "notes": "Yard gate\nRing"})
	form.Lists["fabrics"] = []orderfile.Form{reed}
	form.Lists["tapes"] = []orderfile.Form{fresh(map[string]string{"id": "cart-4", "period": "6 1/2", "space": "2 1/2", "height": "4", "cords": "3"})}
	form.Lists["treatments"] = []orderfile.Form{fresh(map[string]string{"window": "Bay", "heading": "cartridge-tape", "face_width": "7'",
		"hang.bearing_to_floor": "98 1/4", "hang.heading_above_bearing": "3/4", "hang.clearance": "1/2", "face": "reed"})}
	file, ok := orderfile.WithForm(nil, form)
	if !ok {
		t.Fatal("can't be written")
	}
	want := `order: SMI-014
customer: "null"
units: in
notes: |
  Yard gate
  Ring
fabrics:
  - id: reed
    use: face
    usable_width: 54
    bolts:
      - {id: R1, length: 40 yd}
tapes:
  - id: cart-4
    period: 6 1/2
    space: 2 1/2
    height: 4
    cords: 3
treatments:
  - window: Bay
    heading: cartridge-tape
    face_width: 7'
    hang: {bearing_to_floor: 98 1/4, heading_above_bearing: 3/4, clearance: 1/2}
    face: reed
`
	if diff := cmp.Diff(want, string(file)); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
	if _, problems := orderfile.Parse(file); len(problems) > 0 {
		t.Error(problems)
	}
}

// TestFormShowsWhatItCan: a file that is no order's mapping is left to its text.
func TestFormShowsWhatItCan(t *testing.T) {
	for _, text := range []string{"a: [", "- a", "order: {a: b}", "treatments: 3", "treatments: [3]", "pieces: [{route: [{a: b}]}]", "pieces: [{route: [&a x, *a]}]", "order: &a x\ncustomer: *a", "order: A\norder: B", "hang: 3\ntreatments:\n- hang: 3", "{}"} {
		if _, ok := orderfile.FormOf([]byte(text)); ok {
			t.Errorf("a form for %q", text)
		}
	}
	full, err := os.ReadFile("../../testdata/orderfile/full.yaml")
	if err != nil {
		t.Fatal(err)
	}
	form, ok := orderfile.FormOf(full)
	if !ok || len(form.Rest) != 1 || form.Rest[0].Key != "conventions.tolerances" || form.Lists["treatments"][1].Text["hang.clearance"] != "1/2" {
		t.Errorf("%v %+v", ok, form.Rest)
	}
}

// TestFormRoundTrip changes random files by random forms: the file that comes out has the form's texts and, beside
// them, what it had.
func TestFormRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := &build{t: t}
		_, tree := b.order()
		tree.keys = append(tree.keys, somePieces(t))
		w := &writer{t: t, json: rapid.Bool().Draw(t, "json"), at: map[string][2]int{}}
		src := w.file(tree)
		form, ok := orderfile.FormOf([]byte(src))
		if !ok {
			t.Fatalf("no form for\n%s", src)
		}
		if got, ok := orderfile.WithForm([]byte(src), form); !ok || string(got) != plainText(src) {
			t.Fatalf("unchanged (%v), and yet\n%s\nbecame\n%s", ok, src, got)
		}
		for range rapid.IntRange(1, 6).Draw(t, "changes") {
			changeForm(t, &form)
		}
		got, ok := orderfile.WithForm([]byte(src), form)
		if !ok {
			t.Fatalf("can't write %+v into\n%s", form, src)
		}
		again, ok := orderfile.FormOf(got)
		if diff := cmp.Diff(shown(form), shown(again)); !ok || diff != "" {
			t.Fatalf("%v (-form +file)\n%s\n%s\nbecame\n%s", ok, diff, src, got)
		}
		if twice, ok := orderfile.WithForm(got, again); !ok || string(twice) != string(got) {
			t.Fatalf("written again it changes\n%s\n%s", got, twice)
		}
	})
}

// somePieces are pieces as a file may have them, right or wrong.
func somePieces(t *rapid.T) entry {
	pieces := entry{key: "pieces", list: []entry{}}
	for range rapid.IntRange(0, 3).Draw(t, "pieces") {
		p := entry{keys: []entry{{key: "piece", text: "repair"}, {key: "text", text: "Torn hem"}}}
		if rapid.Bool().Draw(t, "sizes") {
			p.keys = append(p.keys, entry{key: "sizes", keys: []entry{{key: "width", text: "20"}, {key: "tear", text: "9"}}})
		}
		if n := rapid.IntRange(-1, 3).Draw(t, "route"); n >= 0 {
			p.keys = append(p.keys, entry{key: "route", list: []entry{{text: "sewing"}, {text: "outside"}, {text: "packing"}}[:n:n]})
		}
		pieces.list = append(pieces.list, p)
	}
	return pieces
}

func plainText(src string) string {
	return strings.ReplaceAll(strings.TrimPrefix(src, "\ufeff"), "\r\n", "\n")
}

// shown is what a form shows, flat: a line for each text.
func shown(f orderfile.Form) []string {
	var lines []string
	for _, key := range []string{"order", "id", "window", "heading", "face_width", "finished_length", "customer", "notes", "lot", "length", "hang.clearance", "end_margin.min", "piece", "text", "sizes.width", "station", "edge", "width", "fabric"} {
		if f.Text[key] != "" {
			lines = append(lines, key+"="+f.Text[key])
		}
	}
	for _, u := range f.Rest {
		lines = append(lines, u.Key+"~"+u.Text)
	}
	for _, list := range []string{"fabrics", "bolts", "tapes", "treatments", "bands", "pieces", "route"} {
		for i, item := range f.Lists[list] {
			for _, line := range shown(item) {
				lines = append(lines, fmt.Sprintf("%s[%d].%s", list, i, line))
			}
		}
	}
	return lines
}

// changeForm does to a form what a person might.
func changeForm(t *rapid.T, f *orderfile.Form) {
	key := rapid.SampledFrom([]string{"order", "customer", "notes", "due", "units"}).Draw(t, "key")
	text := rapid.SampledFrom([]string{"", "96 1/2", "8' 3\"", "true", "~", "- x", "a: b", "a #b", "{x", "one\ntwo", "one\n\n  two:", "½ é, ü", "null", "0x1F", "1_000", "'", `"`, "a\tb", "@", "x:"}).Draw(t, "text")
	switch list := rapid.SampledFrom([]string{"", "fabrics", "tapes", "treatments", "pieces"}).Draw(t, "list"); {
	case list == "":
		f.Text[key] = text
	case len(f.Lists[list]) == 0 || rapid.Float64().Draw(t, "new") < 0.2:
		fresh := orderfile.Form{From: orderfile.NotInFile, Text: map[string]string{}, Lists: map[string][]orderfile.Form{}}
		fresh.Text[map[string]string{"fabrics": "id", "tapes": "id", "treatments": "window", "pieces": "text"}[list]] = text
		f.Lists[list] = append(f.Lists[list], fresh)
	default:
		changeItem(t, f, list, text)
	}
}

func changeItem(t *rapid.T, f *orderfile.Form, list, text string) {
	items := f.Lists[list]
	i := rapid.IntRange(0, len(items)-1).Draw(t, "element")
	switch rapid.SampledFrom([]string{"text", "text", "text", "copy", "remove", "bolt"}).Draw(t, "change") {
	case "text":
		keys := map[string][]string{"fabrics": {"id", "usable_width", "match"}, "tapes": {"id", "cords", "end_margin.min"},
			"treatments": {"window", "face_width", "hang.clearance", "notes", "finished_length"}, "pieces": {"piece", "text", "sizes.width"}}[list]
		items[i].Text[rapid.SampledFrom(keys).Draw(t, "field")] = text
	case "copy":
		twin := items[i]
		twin.Text = map[string]string{}
		for k, v := range items[i].Text {
			twin.Text[k] = v
		}
		f.Lists[list] = append(items, twin)
	case "remove":
		f.Lists[list] = append(items[:i:i], items[i+1:]...)
	case "bolt":
		switch list {
		case "treatments":
			items[i].Lists = map[string][]orderfile.Form{"bands": append([]orderfile.Form{{From: orderfile.NotInFile, Text: map[string]string{"edge": text, "width": "3"}}}, items[i].Lists["bands"]...)}
		case "pieces":
			items[i].Lists = map[string][]orderfile.Form{"route": append(way(text), items[i].Lists["route"]...)}
		case "fabrics":
			items[i].Lists = map[string][]orderfile.Form{"bolts": append([]orderfile.Form{{From: orderfile.NotInFile, Text: map[string]string{"id": text}}}, items[i].Lists["bolts"]...)}
		}
	}
}

// FuzzForm holds any file to this: a form of it that nobody changes gives the file back, and one that is changed
// gives a file that has the change, or none; nothing panics.
func FuzzForm(f *testing.F) {
	for _, seed := range []string{commented, "order: A", "", "# a", "treatments:\n- {window: a,\n   hang: {clearance: 1} }\n", `{"order": "A", "treatments": [{}]}`, `{"order": "", "treatments": [{}]}`,
		"notes: >\n a\n b\ntapes: [{id: a}, # c\n {id: b}]", "? order\n: A\n", "fabrics:\n- id: a\n  bolts:\n  - id: b\n", "order:\n"} {
		f.Add(seed, "a: b")
	}
	f.Fuzz(func(t *testing.T, src, text string) {
		form, ok := orderfile.FormOf([]byte(src))
		if !ok {
			return
		}
		if got, ok := orderfile.WithForm([]byte(src), form); ok && len(form.Text)+len(form.Lists) > 0 {
			if want := strings.ReplaceAll(plainText(src), "\r", "\n"); string(got) != want {
				t.Fatalf("unchanged, and yet %q became %q", want, got)
			}
		}
		form.Text["customer"] = text
		form.Lists["treatments"] = append(form.Lists["treatments"], orderfile.Form{From: orderfile.NotInFile, Text: map[string]string{"window": text, "notes": text}})
		got, ok := orderfile.WithForm([]byte(src), form)
		if !ok {
			return
		}
		if again, ok := orderfile.FormOf(got); !ok || len(again.Lists["treatments"]) != len(form.Lists["treatments"]) {
			t.Fatalf("%q with %q became %q", src, text, got)
		}
	})
}

// TestGroupWhereNothingStood: a group takes the place of nothing, one space behind its key.
func TestGroupWhereNothingStood(t *testing.T) {
	const group = "hang: {bearing_to_floor: 96, heading_above_bearing: 1/2, clearance: 1/2}"
	for _, was := range []string{"hang:", "hang: ~", "hang: ~   # ask"} {
		file := strings.Replace(commented, group, was, 1)
		form, ok := orderfile.FormOf([]byte(file))
		if !ok {
			t.Fatal("the form can't show it")
		}
		form.Lists["treatments"][1].Text["hang.clearance"] = "1"
		got, ok := orderfile.WithForm([]byte(file), form)
		want := "hang: {clearance: 1}" + strings.TrimPrefix(strings.TrimPrefix(was, "hang:"), " ~")
		if !ok || !strings.Contains(string(got), "    "+want+"\n") {
			t.Errorf("%q becomes, %t, not %q\n%s", was, ok, want, got)
		}
	}
}

// TestListWhereNothingStood: the first elements of a list stand two columns in from its key.
func TestListWhereNothingStood(t *testing.T) {
	for _, was := range []string{"tapes:", "tapes: []"} {
		file := strings.Replace(commented, "tapes: [{id: cart-4, period: 6 1/2, space: 2 1/2, height: 4, cords: 3}]", was, 1)
		form, ok := orderfile.FormOf([]byte(file))
		if !ok {
			t.Fatal("the form can't show it")
		}
		form.Lists["tapes"] = []orderfile.Form{{From: orderfile.NotInFile, Text: map[string]string{"id": "cart-3", "cords": "3"}}}
		got, ok := orderfile.WithForm([]byte(file), form)
		if list := "\n  - id: cart-3\n    cords: 3\ntreatments:"; !ok || !strings.Contains(string(got), list) {
			t.Errorf("%q, %t\n%s", was, ok, got)
		}
	}
}

// TestGroupKeepsItsOtherKeys: a group with nothing but keys that the form has no field for stays as it is, in braces and in lines, and
// whether the form brings along what it doesn't show, as a page doesn't.
func TestGroupKeepsItsOtherKeys(t *testing.T) {
	for _, file := range []string{
		"order: X\npieces:\n  - {piece: repair, text: Hem, sizes: {tear: 9}}\n",
		"order: X\npieces:\n  - piece: repair\n    text: Hem\n    sizes: {tear: 9}\n",
		"order: X\npieces:\n  - piece: repair\n    text: Hem\n    sizes:\n      tear: 9\n",
	} {
		form, ok := orderfile.FormOf([]byte(file))
		if !ok {
			t.Fatal(file)
		}
		form.Lists["pieces"][0].Rest = nil
		form.Lists["pieces"][0].Text["notes"] = "Soon"
		written, ok := orderfile.WithForm([]byte(file), form)
		if !ok || !strings.Contains(string(written), "tear: 9") || !strings.Contains(string(written), "Soon") {
			t.Errorf("%s\nis written %t\n%s", file, ok, written)
		}
	}
}
