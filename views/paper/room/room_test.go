package room_test

import (
	"math"
	"os"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/views/i18n"
	"tablehand/views/paper/room"
)

func example(t *testing.T, changes ...string) *workup.Workup {
	t.Helper()
	source, err := os.ReadFile("../../../testdata/orderfile/room.yaml")
	if err != nil {
		t.Fatal(err)
	}
	order, problems := orderfile.Parse([]byte(strings.NewReplacer(changes...).Replace(string(source))))
	if order == nil {
		t.Fatal(problems)
	}
	return workup.Compute(order)
}

func in(eighths int64) measure.Length { return measure.Inch.MulDiv(eighths, 8) }

// TestWhereItHangs holds the example's windows to where a rod and a rule put them: places in eighths of an inch from the rod's
// left corner, worked out by hand.
func TestWhereItHangs(t *testing.T) {
	w := example(t)
	if names := room.Names(w); !slices.Equal(names, []string{"14", ""}) {
		t.Fatalf("rooms %q", names)
	}
	if len(room.Of(w, "15").Windows) != 0 || len(room.Of(w, "").Windows) != 1 {
		t.Error("windows are in another room")
	}
	windows := room.Of(w, "14").Windows
	type panel struct{ left, wide, returnLeft, returnRight, long int64 }
	for i, want := range [][]panel{
		{{-28, 388, 28, 0, 786}, {340 - 28, 388, 0, 28, 786}},  // 84 and 6: 45 in front of the rod each, 3 1/2 behind it; 98 1/4
		{{-28, 364, 28, 16, 721}},                              // 40 + 3 1/2 + 2; 86 1/8 + 1 + 3 on the floor
		{{-28, 296, 28, 0, 435}, {488 - 268, 316, 0, 48, 435}}, // 61/2 + 3 and 3 1/2, or 6
		{{0, 272, 0, 28, 672}},                                 // 30 1/2 + 3 1/2, at the right
		{{-28, 196, 28, 0, 760}, {-1, 196, 0, 28, 760}},        // the rod isn't given
		{{0, 240, 0, 0, 560}},
	} {
		got := windows[i].Panels
		if len(got) != len(want) {
			t.Fatalf("%s: %d panels", windows[i].Name, len(got))
		}
		for k, p := range want {
			if g := got[k]; p.left != -1 && g.Left != in(p.left) || g.Width != in(p.wide) || g.ReturnLeft != in(p.returnLeft) || g.ReturnRight != in(p.returnRight) || g.Length != in(p.long) {
				t.Errorf("%s, %s: hangs at %v, %v wide, returns %v and %v, %v long", windows[i].Name, g.ID, g.Left.In(measure.In), g.Width.In(measure.In),
					g.ReturnLeft.In(measure.In), g.ReturnRight.In(measure.In), g.Length.In(measure.In))
			}
		}
	}
	if windows[5].Return != in(28) || windows[4].Rod != 0 || windows[0].Rod != in(84*8) || windows[2].Overlap != in(48) {
		t.Error("the rod, its overlap or the return of a single panel")
	}
	for _, w := range windows {
		for _, p := range w.Panels {
			if len(p.Folds) != p.Pleats || !slices.IsSorted(p.Folds) || p.Folds[0] <= 0 || p.Folds[len(p.Folds)-1] >= p.Width {
				t.Errorf("%s, %s: %d pleats at %v", w.Name, p.ID, p.Pleats, p.Folds)
			}
		}
	}
	if past := room.Of(example(t, "units: in\n", "units: in\nconventions: {overlap_basis: past_centre}\n", "face_width: 84,", "face_width: 84, overlap: 6,"), "14").Windows[0]; past.Overlap != in(96) || past.Panels[0].Width != in(412) {
		t.Errorf("past the centre: overlap %v, %v wide", past.Overlap.In(measure.In), past.Panels[0].Width.In(measure.In))
	}
}

// TestMotifLines: the cloth is turned over twice by 4 in at the top, so a pattern of 13 1/2 in that starts at the raw top starts
// again 5 1/2 in below the finished one, and one of 18 in half-dropped at 10 in, or at 1 in on the widths beside.
func TestMotifLines(t *testing.T) {
	windows := room.Of(example(t), "14").Windows
	for _, p := range windows[0].Panels {
		if len(p.Motifs) != 3 || p.Motifs[0].From != 0 || p.Motifs[2].To != p.Width || len(p.Motifs[0].At) != 7 { // 2 1/2 widths; 5 1/2 + 6 · 13 1/2 = 86 1/2
			t.Fatalf("%s: %+v", p.ID, p.Motifs)
		}
		for _, m := range p.Motifs {
			if m.At[0] != in(44) || m.At[1] != in(44+108) || m.From >= m.To {
				t.Errorf("%s: lines at %v, from %v to %v", p.ID, m.At, m.From, m.To)
			}
		}
	}
	starts := map[measure.Length]int{}
	for _, p := range windows[2].Panels {
		for k, m := range p.Motifs {
			starts[m.At[0]]++
			if k > 0 && (m.From != p.Motifs[k-1].To || m.At[0] == p.Motifs[k-1].At[0]) {
				t.Errorf("%s: widths beside each other %+v", p.ID, p.Motifs)
			}
		}
	}
	if len(starts) != 2 || starts[in(80)] != 2 || starts[in(8)] != 2 {
		t.Errorf("a half-drop starts at %v", starts)
	}
	if windows[1].Repeat != 0 || windows[1].Panels[0].Motifs != nil {
		t.Error("plain cloth has lines")
	}
	for _, allowance := range []string{"length_allowance: 16", "shrink: 3 %", "squaring: 2"} {
		unknown := room.Of(example(t, "units: in\n", "units: in\nconventions: {"+allowance+"}\n"), "14").Windows[0]
		if unknown.Panels[0].Motifs != nil || unknown.Repeat != in(108) {
			t.Errorf("%s: lines are drawn where nobody knows where they come to hang", allowance)
		}
	}
}

// TestInWords: what is drawn is said, and nothing that the order doesn't give.
func TestInWords(t *testing.T) {
	r := room.Of(example(t), "14")
	said := map[string]string{}
	for _, s := range r.Words(i18n.For("en")) {
		for _, name := range s.Names {
			said[name] = strings.Join(s.Words, ". ")
		}
	}
	for name, want := range map[string]string{
		"Bay": "cartridge pleat tape, pair. Each panel: 48 1/2 in wide and 98 1/4 in long, 19 pleats, 2½ widths of cloth. Rod 84 in from corner to corner, returns 3 1/2 in, overlap 6 in. " +
			"Rod 98 1/4 in above the floor; the heading's top 1/2 in above the rod, the hem 1/2 in off the floor. The pattern repeats every 13 1/2 in (dashed lines), first 5 1/2 in below the top",
		"Niche":  "double pinch pleats, one way, stacks right. Single panel: 34 in wide and 84 in long, 9 pleats, 2 widths of cloth. Rod 30 1/2 in from corner to corner, right return 3 1/2 in. The order doesn't give the rod's height",
		"Screen": "double pinch pleats, stationary. Single panel: 30 in wide and 70 in long, 8 pleats, 2 widths of cloth. The order doesn't give the rod's width, return 3 1/2 in at one edge. The order doesn't give the rod's height",
	} {
		if said[name] != want {
			t.Errorf("%s is said as\n%s\nwant\n%s", name, said[name], want)
		}
	}
	for name, part := range map[string]string{"Corner": "Right panel: 39 1/2 in wide", "French door with a long name": "the cloth down to the floor. 3 in of the length lie on the floor"} {
		if !strings.Contains(said[name], part) {
			t.Errorf("%s isn't said to have %q: %s", name, part, said[name])
		}
	}
	twins := room.Of(example(t, "window: Niche", "window: \"Bay 2, left\"", "Screen, room: \"14\", heading: pinch-2, draw: stationary, finished_width: 30, finished_length: 70",
		"\"Bay 2, right\", room: \"14\", heading: pinch-2, draw: one_way_right, face_width: 30 1/2, finished_length: 84"), "14")
	if words := twins.Words(i18n.For("en")); !slices.ContainsFunc(words, func(s room.Said) bool { return slices.Equal(s.Names, []string{"Bay 2, left", "Bay 2, right"}) }) {
		t.Errorf("windows alike are said twice: %v", words)
	}
}

// inked is a pen that remembers where words came to stand.
type inked struct {
	letters float64
	words   []box
	held    []box // tabs and rings
	classes map[string]int
}

type box struct {
	text                     string
	left, right, top, bottom float64
}

func wide(text string, _ bool) float64 { return 9 * float64(utf8.RuneCountInString(text)) }

func (p *inked) Rect(class string, x, y, width, height float64) {
	p.classes[class]++
	if class == "tab" {
		p.held = append(p.held, box{class, x, x + width, y, y + height})
	}
}
func (p *inked) Line(class string, _, _, _, _ float64) { p.classes[class]++ }
func (p *inked) Circle(class string, x, y, radius float64) {
	p.classes[class]++
	p.held = append(p.held, box{class, x - radius, x + radius, y - radius, y + radius})
}

func (p *inked) Centre(x, y float64, text string, strong bool) {
	half := wide(text, strong) / 2
	p.words = append(p.words, box{text, x - half, x + half, y - 0.73*p.letters, y})
}

func (p *inked) Upward(x, y float64, text string) {
	half := wide(text, false) / 2
	p.words = append(p.words, box{text, x - 0.73*p.letters, x, y - half, y + half})
}

// TestNoWordsLeaveTheSheet lays rooms of any windows out on sheets of any width: every measure is whole on it, none lies on
// another, and the letters are as large on all.
func TestNoWordsLeaveTheSheet(t *testing.T) {
	names := rapid.SampledFrom([]string{"Bay", "French door to the terrace", "Left of the bed", "Treppenhausfenster"})
	length := func(least, most int64) *rapid.Generator[measure.Length] {
		return rapid.Map(rapid.Int64Range(least*8, most*8), in)
	}
	rapid.Check(t, func(t *rapid.T) {
		r := room.Room{Name: "14", Units: measure.In}
		for range rapid.IntRange(1, 6).Draw(t, "windows") {
			w := room.Window{Name: names.Draw(t, "name"), Heading: orderfile.Pinch2, Draw: orderfile.Pair, Quantity: 1, Rod: length(12, 200).Draw(t, "rod")}
			long := length(8, 160).Draw(t, "length")
			if rapid.Bool().Draw(t, "hang") {
				w.Hang = &orderfile.Hang{BearingToFloor: long, HeadingAboveBearing: in(4), Clearance: in(4)}
			}
			if rapid.Bool().Draw(t, "tabs") {
				w.Rises = length(0, 6).Draw(t, "rises")
				w.Below = -w.Rises
			}
			w.Overlap = length(0, 6).Draw(t, "overlap")
			turn, other := length(0, 8).Draw(t, "return"), length(0, 8).Draw(t, "other")
			left := w.Rod.Div(2) + w.Overlap.Div(2) + turn
			right := w.Rod.Div(2) + w.Overlap.Div(2) + other
			w.Panels = []room.Panel{{ID: workup.Left, Left: -turn, Width: left, Length: long, ReturnLeft: turn, Pleats: 3},
				{ID: workup.Right, Left: w.Rod + other - right, Width: right, Length: long, ReturnRight: other, Pleats: 3}}
			r.Windows = append(r.Windows, w)
		}
		sheet := &room.Sheet{Width: rapid.Float64Range(288, 1200).Draw(t, "width"), Tallest: 440, Letters: 16, Wide: wide, Say: i18n.For("en")}
		if rapid.Bool().Draw(t, "bounded") {
			sheet.Height = rapid.Float64Range(300, 900).Draw(t, "height")
		}
		pen := &inked{letters: 16, classes: map[string]int{}}
		y := 0.0
		e := room.Lay(r, sheet)
		for i := range e.Rows {
			e.Rows[i].Draw(pen, 0, y)
			y += e.Rows[i].Height()
		}
		if math.Abs(y-e.Height()) > 0.01 || pen.classes["outline"] != 2*len(r.Windows) || pen.classes["rod"] != len(r.Windows) {
			t.Fatalf("drawn to %.1f of %.1f: %v", y, e.Height(), pen.classes)
		}
		for i, a := range pen.words {
			if a.left < -0.1 || a.right > sheet.Width+0.1 || a.top < -0.1 || a.bottom > y+0.1 {
				t.Errorf("%q stands at %.0f–%.0f × %.0f–%.0f on %.0f × %.0f", a.text, a.left, a.right, a.top, a.bottom, sheet.Width, y)
			}
			for _, b := range pen.words[:i] {
				if a.left < b.right-0.1 && b.left < a.right-0.1 && a.top < b.bottom-0.1 && b.top < a.bottom-0.1 {
					t.Errorf("%q stands on %q", a.text, b.text)
				}
			}
		}
	})
}

// TestClothAsItHangs: bands at their edges on either panel of a pair, motifs by twos of a mirrored pair as far from the middle, and lines
// of a pattern that a room has at one height counted from the hem, shrinking or not.
func TestClothAsItHangs(t *testing.T) {
	read := func(changes ...string) room.Room {
		source, err := os.ReadFile("../../../testdata/orderfile/cloth.yaml")
		if err != nil {
			t.Fatal(err)
		}
		order, problems := orderfile.Parse([]byte(strings.NewReplacer(changes...).Replace(string(source))))
		if order == nil {
			t.Fatal(problems)
		}
		return room.Of(workup.Compute(order), "Parlour")
	}
	r := read()
	left, right := r.Windows[0].Panels[0], r.Windows[0].Panels[1]
	if l, w := left.Bands[0], right.Bands[0]; l.Left+l.Width != left.Width || w.Left != 0 || l.Width != in(24) || w.Width != in(24) || l.Height != left.Length {
		t.Errorf("bands %+v and %+v", l, w)
	}
	for k, x := range right.Middles[:3] {
		if mirror := left.Width - left.Middles[len(left.Middles)-1-k]; (mirror - x).Abs() > in(1) {
			t.Errorf("motif %d: %v and %v from the leading edges", k, mirror.In(measure.In), x.In(measure.In))
		}
	}
	if !r.Windows[1].Panels[0].Sheer || r.Windows[0].Panels[0].Sheer {
		t.Error("which window is a sheer")
	}
	for change, want := range map[string][2]int64{"": {168, 200}, ", shrink: 3 %": {168, 194}} { // 96 less 3 · 25; its repeat shrinks with it
		at := read("units: in\n", "units: in\nconventions: {room_phase: together}\n", "motif_offset: 4", "motif_offset: 4"+change).Windows[0].Panels[0].Motifs[0].At
		if n := len(at); at[n-1]+in(want[1]) != left.Length || at[1]-at[0] != in(want[1]) {
			t.Errorf("%q: lines at %v of %v", change, at, left.Length)
		}
	}
	if at := read("motif_offset: 4", "motif_offset: 4, shrink: 3 %").Windows[0].Panels[0].Motifs; at != nil {
		t.Errorf("lines at %v that nobody knows", at)
	}
}
