package mark

import (
	"maps"
	"math"
	"slices"
	"strings"
	"testing"

	"tablehand/stations/plan"
)

// TestEveryStationHasItsShape: the shape that its row names can be drawn.
func TestEveryStationHasItsShape(t *testing.T) {
	for _, s := range plan.Stations() {
		if _, known := Of(s); !known {
			t.Errorf("%s has the shape %q in stations/plan/routes.yaml, which is none of %q of views/mark/shapes.go", s, plan.MarkOf(s).Shape, slices.Sorted(maps.Keys(shapes)))
		}
	}
}

// TestEveryStationHasItsColour: the colour that its row names is one of the set, and the number on it is read.
func TestEveryStationHasItsColour(t *testing.T) {
	for _, s := range plan.Stations() {
		c, known := ColourOf(s)
		if !known {
			t.Errorf("%s has the colour %q in stations/plan/routes.yaml, which is none of %q of views/mark/colours.go", s, plan.MarkOf(s).Colour, slices.Sorted(maps.Keys(colours)))
		}
		if contrast := (light(c.Fill) + 0.05) / (light(c.Ink) + 0.05); max(contrast, 1/contrast) < 4.5 {
			t.Errorf("%s: %s on %s has a contrast of %.2f", s, c.Ink, c.Fill, max(contrast, 1/contrast))
		}
	}
}

// light is the relative luminance of WCAG 2.2.
func light(c RGB) float64 {
	part := func(n uint8) float64 {
		if v := float64(n) / 255; v > 0.04045 {
			return math.Pow((v+0.055)/1.055, 2.4)
		} else {
			return v / 12.92
		}
	}
	return 0.2126*part(c.R) + 0.7152*part(c.G) + 0.0722*part(c.B)
}

// A station that only an old ledger knows has a mark of its own, which is no other station's.
func TestUnknownStation(t *testing.T) {
	shape, known := Of("beading")
	if known || len(shape.Lines) == 0 {
		t.Fatalf("%v %v", shape, known)
	}
	unlike(t, "plain", shape)
}

// TestShapes: each is its own, lies round its middle, no larger than what is kept free for it on a label, and is closed.
func TestShapes(t *testing.T) {
	for name, s := range shapes {
		least, most := s.bounds()
		if least.X > -0.85 || most.X < 0.85 || math.Abs(least.X+most.X) > 1e-9 || least.Y > -0.6 || most.Y < 0.6 || max(-least.X, most.X, -least.Y, most.Y) > 1.36 {
			t.Errorf("%s reaches from %v to %v", name, least, most)
		}
		unlike(t, name, s)
	}
	if len(shapes) <= len(plan.Stations()) {
		t.Error("no shape is left for another station: draw some in views/mark/shapes.go")
	}
}

// unlike fails where a shape of another name is drawn alike.
func unlike(t *testing.T, name string, s Shape) {
	t.Helper()
	paths, _ := s.Paths(0, 0, 30, 30)
	for other, o := range shapes {
		if drawn, _ := o.Paths(0, 0, 30, 30); other != name && drawn == paths {
			t.Errorf("%s and %s are drawn alike", name, other)
		}
	}
}

func TestPaths(t *testing.T) {
	paths, number := shapes["diamond"].Paths(16, 16, 26, 40)
	if want := `<path d="M16.0 6.0L29.0 16.0L16.0 26.0L3.0 16.0Z"/>`; paths != want || number != 16 {
		t.Errorf("%s, its number at %g; want %s", paths, number, want)
	}
	paths, _ = shapes["circle"].Paths(10, 10, 20, 20)
	if want := `M20.0 10.0C20.0 15.5 15.5 20.0 10.0 20.0C4.5 20.0 0.0 15.5 0.0 10.0C0.0 4.5 4.5 0.0 10.0 0.0C15.5 0.0 20.0 4.5 20.0 10.0Z`; !strings.Contains(paths, want) {
		t.Errorf("%s; want %s", paths, want)
	}
	// A tube's sides are no line across its upper end, and its number stands under its middle.
	paths, number = shapes["tube"].Paths(0, 0, 18, 100)
	if body, _, _ := strings.Cut(paths, "/>"); strings.Contains(body, "Z") || number <= 0 {
		t.Errorf("%s, its number at %g", paths, number)
	}
}
