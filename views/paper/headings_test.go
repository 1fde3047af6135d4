package paper

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/views/i18n"
)

// unpleated are windows of the headings without pleats, by name: what stands beside the order's treatments, and the window. Each
// drawing that shows one must bear its widest and its fullest.
var unpleated = map[string][2]string{
	"pencil":         {"tapes: [{id: pencil-3, kind: pencil, height: 3, cords: 3}]", "heading: pencil-tape, face_width: 84, finished_length: 95 1/2"},
	"pencil, turned": {"tapes: [{id: pencil-3, kind: pencil, height: 3, cords: 3, top_drop: 1/4}]", "heading: pencil-tape, draw: one_way_right, face_width: 65, return: 3, finished_length: 80"},
	"pocket":         {"rods: [{id: r, diameter: 1}]", "heading: rod-pocket, draw: stationary, finished_width: 40, finished_length: 87 5/8, pocket: {stand: 1 1/2}"},
	"pocket, bare":   {"rods: [{id: r, kind: flat, circumference: 5 1/2}]", "heading: rod-pocket, draw: stationary, finished_width: 40, finished_length: 30"},
	"eyelet":         {"rods: [{id: r, diameter: 1}]", "heading: eyelet, face_width: 96, finished_length: 94"},
	"eyelet, turned": {"rods: [{id: r, diameter: 1, projection: 4}]", "heading: eyelet, draw: one_way_left, face_width: 45, return: 3, finished_length: 84"},
	"eyelet, small":  {"rods: [{id: r, kind: track}]", "heading: eyelet, draw: stationary, finished_width: 9, finished_length: 108"},
	"tab":            {"rods: [{id: r, diameter: 1 3/8}]", "heading: tab, draw: stationary, quantity: 2, finished_width: 36, fullness: 1.5, finished_length: 80"},
	"tab, looped":    {"rods: [{id: r, kind: flat}]", "heading: tab, face_width: 60, finished_length: 60, tab: {loop: 8, width: 1 1/2}"},
	"ring":           {"rods: [{id: r, diameter: 1, ring_inner: 1 1/2, ring_drop: 2}]", "heading: ring, face_width: 125, overlap: 4, return: 6, fullness: 2.5, finished_length: 106"},
	"ring, unknown":  {"rods: []", "heading: ring, draw: stationary, finished_width: 20, finished_length: 108"},
	"wave":           {"rods: [{id: r, kind: track, carrier_pitch: 3 1/8}]\ntapes: [{id: s-8, kind: wave, height: 3, pocket_pitch: 3/4, pockets: 8}]", "heading: wave-tape, face_width: 150, return: 3 1/2, finished_length: 95"},
}

// unpleatedOrder is an order of one of them.
func unpleatedOrder(t testing.TB, name string) *workup.Workup {
	t.Helper()
	of, known := unpleated[name]
	if !known {
		t.Fatalf("no window %q", name)
	}
	w := worked(t, fmt.Sprintf("order: SMI-031\nunits: in\nfabrics: [{id: reed, use: face, usable_width: 54}]\n%s\ntreatments: [{window: Bay, face: reed, %s}]\n", of[0], of[1]))
	if len(w.Treatments[0].Panels) == 0 {
		t.Fatalf("%s: %+v", name, w.Problems)
	}
	return w
}

// firstPanel is the first of an order.
func firstPanel(w *workup.Workup) *Panel { return hungOf(w, &w.Treatments[0], 0) }

// drawnThing is a shape or a text of a flat drawing.
type drawnThing struct {
	class, text         string
	x, y, width, height measure.Length // of a circle: its middle and its radius, as width
}

// sheetOf records what is drawn on it.
type sheetOf struct{ things []drawnThing }

func (s *sheetOf) rect(class string, x, y, width, height measure.Length) {
	s.things = append(s.things, drawnThing{class, "", x, y, width, height})
}

func (s *sheetOf) line(class string, x1, y1, x2, y2 measure.Length) {
	s.things = append(s.things, drawnThing{class, "", x1, y1, x2 - x1, y2 - y1})
}

func (s *sheetOf) circle(class string, x, y, radius measure.Length) {
	s.things = append(s.things, drawnThing{class, "", x, y, radius, 0})
}

// label records the box of the letters; capitals are three quarters of their size.
func (s *sheetOf) label(class string, x, y, size measure.Length, anchor, text string) {
	wide := measure.Length(float64(size) * letterWidth * float64(utf8.RuneCountInString(text)))
	switch anchor {
	case "middle":
		x -= wide / 2
	case "end":
		x -= wide
	}
	s.things = append(s.things, drawnThing{class, text, x, y - size*3/4, wide, size * 3 / 4})
}

func (s *sheetOf) all(class string) (list []drawnThing) {
	for _, d := range s.things {
		if d.class == class {
			list = append(list, d)
		}
	}
	return list
}

// flatOf draws a panel flat with its top edge at 0, its letters in so many parts of the larger of its sides.
func flatOf(p *Panel, parts measure.Length, language string) (*flat, *sheetOf) {
	s := &sheetOf{}
	f := newFlat(s, p, measure.In, max(p.FlatWidth, p.FinishedLength)/parts, i18n.For(language))
	f.draw(-f.above())
	return f, s
}

// TestWhatHoldsAPanelIsDrawnToScale: as many eyelets, tabs, rings, hooks and stitched lines as the panel has, each where and as large as
// its numbers say.
func TestWhatHoldsAPanelIsDrawnToScale(t *testing.T) {
	for name := range unpleated {
		w := unpleatedOrder(t, name)
		line := w.Order.Treatments[0]
		p := firstPanel(w)
		_, s := flatOf(p, 12, "en")
		var want []drawnThing
		each := func(class string, of func(x measure.Length) drawnThing) {
			for _, x := range p.Positions {
				d := of(x)
				d.class = class
				want = append(want, d)
			}
		}
		down := func(class string, y measure.Length) {
			want = append(want, drawnThing{class: class, y: y, width: p.FlatWidth})
		}
		height := p.TapeHeight
		switch line.Heading {
		case orderfile.Eyelet:
			each("eyelet", func(x measure.Length) drawnThing {
				return drawnThing{x: x, y: p.EyeletDrop, width: line.Eyelet.Outer / 2}
			})
			each("hole", func(x measure.Length) drawnThing {
				return drawnThing{x: x, y: p.EyeletDrop, width: line.Eyelet.Inner / 2}
			})
			if name == "eyelet, turned" {
				want = append(want, drawnThing{class: "hook", x: measure.Inch / 2, y: p.HookDrop, height: p.BuckramHeight - p.HookDrop})
			}
		case orderfile.Tab:
			high := -p.Bearing
			if name == "tab, looped" {
				high = 4 * measure.Inch // half of a loop of 8 in
			}
			each("tab", func(x measure.Length) drawnThing {
				return drawnThing{x: x - line.Tab.Width/2, y: -high, width: line.Tab.Width, height: high}
			})
		case orderfile.Ring:
			if name == "ring" { // its top is that of the pole, 2 in over the edge, and it is 1 1/2 in wide inside
				each("ring", func(x measure.Length) drawnThing {
					return drawnThing{x: x, y: -5 * measure.Inch / 4, width: 3 * measure.Inch / 4}
				})
				want = append(want, drawnThing{class: "hook", x: measure.Inch / 2, y: p.HookDrop, height: p.BuckramHeight - p.HookDrop})
			}
		case orderfile.RodPocket:
			if p.Stand > 0 {
				down("pocket", p.Stand)
				want = append(want, drawnThing{class: "rod", x: p.SideHem + measure.Inch, y: p.Stand + p.Pocket/2, width: measure.Inch / 2})
			}
			down("pocket", p.Stand+p.Pocket)
		case orderfile.PencilTape:
			for _, x := range p.HookPlaces {
				at := measure.Length(math.Round(float64(x) * float64(p.FlatWidth) / float64(p.FinishedWidth)))
				want = append(want, drawnThing{class: "hook", x: at, y: p.HookDrop, height: p.TopDrop + height - p.HookDrop})
			}
		case orderfile.WaveTape:
			want = append(want, drawnThing{class: "hook", x: measure.Inch / 2, y: p.HookDrop, height: p.TopDrop + height - p.HookDrop})
			each("hook", func(x measure.Length) drawnThing {
				return drawnThing{x: x, y: p.HookDrop, height: p.TopDrop + height - p.HookDrop}
			})
		}
		for _, class := range []string{"eyelet", "hole", "tab", "ring", "pocket", "hook"} {
			got := s.all(class)
			var meant []drawnThing
			for _, d := range want {
				if d.class == class {
					meant = append(meant, d)
				}
			}
			if name != "ring, unknown" && !slices.Equal(got, meant) {
				t.Errorf("%s: %s at\n%v, want\n%v", name, class, got, meant)
			}
		}
		rods := 0
		for _, d := range append(s.all("rod"), want...) {
			if d.class == "rod" {
				rods++
			}
		}
		if wants := map[string]int{"eyelet": 1, "eyelet, turned": 1, "eyelet, small": 1, "tab": 1, "ring": 1, "pocket": 2}[name]; rods != wants { // the pocket's is in want too
			t.Errorf("%s: %d rods, want %d", name, rods, wants)
		}
		for _, d := range s.all("rod") {
			if d.x == 0 && (d.y != p.Bearing || d.height != p.Pole) {
				t.Errorf("%s: the rod lies at %v, %v high", name, d.y, d.height)
			}
		}
		if len(s.all("pleat"))+len(s.all("dot")) > 0 {
			t.Errorf("%s: pleats are drawn", name)
		}
		if tails := len(s.all("tail")); tails != p.Cords {
			t.Errorf("%s: the ends of %d cords", name, tails)
		}
	}
}

// TestFrontsAndBacks: the folds are lettered by turns from the first point, F in the middle of the first gap; where they are too many for
// letters of that size every second of both; and the band is shaded where they stand to the room.
func TestFrontsAndBacks(t *testing.T) {
	for name := range unpleated {
		p := firstPanel(unpleatedOrder(t, name))
		_, s := flatOf(p, 12, "en")
		got := map[measure.Length]string{}
		for _, d := range s.all("gap") {
			got[d.x+d.width/2] = d.text
		}
		fronts := s.all("front")
		if p.Points == 0 || p.TabLoop > 0 {
			if len(got)+len(fronts) > 0 {
				t.Errorf("%s: letters %v", name, got)
			}
			continue
		}
		every := 1
		if name == "ring" { // 34
			every = 2
		}
		if len(got) != (p.Points-1+every-1)/every || len(fronts) != p.Points/2 {
			t.Errorf("%s: %d letters and %d fronts of %d points", name, len(got), len(fronts), p.Points)
		}
		for k := 0; k+1 < p.Points; k++ {
			want := "FB"[k%2 : k%2+1]
			if k/2%every > 0 {
				want = ""
			}
			middle := (p.Positions[k] + p.Positions[k+1]) / 2
			near := ""
			for at, letter := range got {
				if (at - middle).Abs() < measure.Inch/1000 {
					near = letter
				}
			}
			if near != want {
				t.Errorf("%s: gap %d is lettered %q", name, k+1, near)
			}
			if k%2 == 0 && (fronts[k/2].x != p.Positions[k] || fronts[k/2].width != p.Positions[k+1]-p.Positions[k]) {
				t.Errorf("%s: front %d at %v", name, k/2, fronts[k/2])
			}
		}
	}
}

// TestFlatDrawingsKeepTheirLetters: on the drawing of an order, on a ticket and on a sheet, in each language, no letters of a panel without
// pleats lie on others or leave the drawing.
func TestFlatDrawingsKeepTheirLetters(t *testing.T) {
	panels := map[string]*Panel{}
	for name := range unpleated {
		panels[name] = firstPanel(unpleatedOrder(t, name))
	}
	for _, language := range i18n.Languages() {
		for _, parts := range []measure.Length{12, 20, 45} {
			for name, p := range panels {
				f, s := flatOf(p, parts, language)
				margin, top := max(f.text, f.overhang())+measure.Micrometre, -f.above()
				var labels []drawnThing
				for _, d := range s.things {
					if d.text == "" {
						continue
					}
					if d.x < -margin || d.x+d.width > p.FlatWidth+margin || d.y < top || d.y+d.height > top+f.height() {
						t.Errorf("%s in %s, one part of %d: %q leaves the drawing", name, language, parts, d.text)
					}
					for _, o := range labels {
						if d.x < o.x+o.width && o.x < d.x+d.width && d.y < o.y+o.height && o.y < d.y+d.height {
							t.Errorf("%s in %s, one part of %d: %q lies on %q", name, language, parts, d.text, o.text)
						}
					}
					labels = append(labels, d)
				}
				if len(labels) < 4 {
					t.Errorf("%s: %d texts", name, len(labels))
				}
			}
		}
	}
}

// TestAPlanOnAPage: points are lettered over the cloth where they lie, and tabs and rings are within the drawing, above the cloth's edge.
func TestAPlanOnAPage(t *testing.T) {
	for name := range unpleated {
		p := firstPanel(unpleatedOrder(t, name))
		var b, small bytes.Buffer
		if err := errors.Join(PlanHTML(&b, Plan{Panel: p, Units: measure.In}, i18n.For("en")), ClothHTML(&small, Plan{Panel: p, Units: measure.In})); err != nil {
			t.Fatal(err)
		}
		if p.Points > 0 {
			for _, x := range []measure.Length{p.Positions[0], p.Positions[p.Points-1]} {
				if at := fmt.Sprintf(`<svg x="%.2f%%"`, 100*float64(x)/float64(p.FlatWidth)); !strings.Contains(b.String(), at) {
					t.Errorf("%s: nothing is lettered at %v", name, x.In(measure.In))
				}
			}
		}
		above := measure.Length(0)
		switch name {
		case "tab":
			above = 27 * measure.Inch / 8 // pole and gap
		case "tab, looped":
			above = 4 * measure.Inch
		case "ring":
			above = 2 * measure.Inch
		case "ring, unknown":
			above = p.Pitch.Div(8) * 2
		}
		box := fmt.Sprintf(`viewBox="0 %s %s %s"`, (-above).Number(measure.In, 8), p.FlatWidth.Number(measure.In, 8), (p.FinishedLength+above).Number(measure.In, 8))
		for _, drawn := range []string{b.String(), small.String()} {
			if !strings.Contains(drawn, box) {
				t.Errorf("%s: no %s in %.300s", name, box, drawn)
			}
		}
	}
}
