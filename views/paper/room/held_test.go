package room_test

import (
	"maps"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/views/i18n"
	"tablehand/views/paper/room"
)

func poles(t *testing.T) (*workup.Workup, map[string]*room.Window) {
	t.Helper()
	source, err := os.ReadFile("../../../testdata/orderfile/poles.yaml")
	if err != nil {
		t.Fatal(err)
	}
	order, problems := orderfile.Parse(source)
	if order == nil {
		t.Fatal(problems)
	}
	w := workup.Compute(order)
	windows := map[string]*room.Window{}
	r := room.Of(w, "")
	for i := range r.Windows {
		windows[r.Windows[i].Name] = &r.Windows[i]
	}
	return w, windows
}

// TestTheRodAndTheTopEdge: the top edge of a heading on a pole stands where its pole has it: eyelets an inch over it, tabs by the pole and their gap
// under its top, rings by their drop, a pocket by what stands over it; in inches, worked out by hand.
func TestTheRodAndTheTopEdge(t *testing.T) {
	_, windows := poles(t)
	for name, want := range map[string]struct{ below, rises measure.Length }{
		"Eyelets": {in(8), 0}, "Tabs": {in(-32), in(32)}, "Rings": {in(-16), in(16)}, "Pocket": {in(16), 0}, "Pencil": {in(2), 0}, "Wave": {in(2), 0},
		"Goblets": {in(4), 0}, "Café": {in(-32), in(32)}, "Cupboard": {-windows["Cupboard"].Rises, windows["Cupboard"].Rises},
	} {
		if w := windows[name]; w.Below != want.below || w.Rises != want.rises || name == "Cupboard" && w.Rises <= 0 {
			t.Errorf("%s: the rod's top %v below the top edge, %v above it", name, w.Below.In(measure.In), w.Rises.In(measure.In))
		}
	}
}

// TestWhereThePointsHang: from the left edge as the work-up has them from the return edge; a wave's closed to the width that it hangs at.
func TestWhereThePointsHang(t *testing.T) {
	w, windows := poles(t)
	for i := range w.Treatments {
		worked := &w.Treatments[i]
		for k, p := range windows[worked.Window].Panels {
			of := &worked.Panels[k]
			if len(p.Points) != of.Points || !slices.IsSorted(p.Points) {
				t.Fatalf("%s, %s: points at %v", worked.Window, p.ID, p.Points)
			}
			for n, x := range p.Points {
				from, at := of.Places, x
				if p.ID == workup.Right {
					n, at = len(p.Points)-1-n, p.Width-x
				}
				want := float64(from[n])
				if of.Reach > 0 { // the return lies flat, the rest closes evenly
					ret := float64(7 * measure.Inch / 2)
					want = ret + (want-ret)*(float64(of.FinishedWidth)-ret)/(float64(of.Reach)-ret)
				}
				if math.Abs(float64(at)-want) > 1 {
					t.Errorf("%s, %s: point %d at %v of %v", worked.Window, p.ID, n, at, from[n])
				}
			}
		}
	}
}

// TestHeldAsItHangs counts what is drawn of each window.
func TestHeldAsItHangs(t *testing.T) {
	w, windows := poles(t)
	r := room.Of(w, "")
	for name, want := range map[string]map[string]int{
		"Eyelets":  {"pole": 1, "eyelet": 16, "back": 6, "heading": 2 + 8},
		"Tabs":     {"pole": 1, "tab": 14},
		"Rings":    {"pole": 1, "ring": 20, "back": 8, "heading": 2},
		"Pocket":   {"rod-unknown": 1, "pocket": 2, "heading": 1},
		"Pencil":   {"rod": 1, "pocket": 0, "heading": 2},
		"Wave":     {"rod": 1, "heading": 2, "back": 10},
		"Goblets":  {"rod": 1, "heading": 2, "pleat": 14 * 5},
		"Café":     {"rod-unknown": 1, "tab": 7},
		"Cupboard": {"rod": 1, "ring": 10, "back": 4, "heading": 1},
	} {
		r.Windows = []room.Window{*windows[name]}
		pen := &inked{letters: 9, classes: map[string]int{}}
		e := room.Lay(r, &room.Sheet{Width: 700, Tallest: 600, Letters: 9, Wide: wide, Say: i18n.For("en")})
		for i := range e.Rows {
			e.Rows[i].Draw(pen, 0, 0)
		}
		for _, class := range []string{"pole", "rod", "rod-unknown", "eyelet", "tab", "ring", "back", "pocket"} {
			if pen.classes[class] != want[class] {
				t.Errorf("%s: %d of %s, want %d", name, pen.classes[class], class, want[class])
			}
		}
		if n := want["pleat"]; n > 0 && pen.classes["pleat"] != n || strings.Contains("Pocket Pencil", name) && pen.classes["pleat"] < 20 {
			t.Errorf("%s: %d strokes in the heading", name, pen.classes["pleat"])
		}
		if got := pen.classes["heading"] - strings.Count(name, "Tabs")*2 - strings.Count(name, "Café"); got != want["heading"] {
			t.Errorf("%s: %d bands", name, got)
		}
		for _, word := range pen.words {
			for _, h := range pen.held {
				if word.left < h.right && h.left < word.right && word.top < h.bottom && h.top < word.bottom {
					t.Errorf("%s: %q stands on a %s", name, word.text, h.text)
				}
			}
		}
		if pen.classes["fold"] == 0 {
			t.Errorf("%s: no folds: %v", name, slices.Sorted(maps.Keys(pen.classes)))
		}
	}
}

// TestHeldInWords: what holds a panel is counted, and a top edge under the rod is said to be so.
func TestHeldInWords(t *testing.T) {
	w, _ := poles(t)
	r := room.Of(w, "")
	said := map[string]string{}
	for _, s := range r.Words(i18n.For("en")) {
		said[s.Names[0]] = strings.Join(s.Words, ". ")
	}
	for name, parts := range map[string][]string{
		"Eyelets": {"8 eyelets", "the heading's top 1 in above the rod"}, "Tabs": {"7 tabs", "the heading's top 4 in below the top of the rod, the hem 1/2 in off"},
		"Rings": {"10 rings", "2 in below the top of the rod, the cloth down to the floor"}, "Pocket": {"gathered evenly", "2 in above the rod"},
		"Pencil": {"gathered evenly"}, "Wave": {"12 carriers"},
	} {
		for _, part := range parts {
			if !strings.Contains(said[name], part) || strings.Contains(said[name], "0 pleats") {
				t.Errorf("%s isn't said to have %q: %s", name, part, said[name])
			}
		}
	}
}
