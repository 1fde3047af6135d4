// Package mark has the shapes of the stations' selvedge marks, drawn once for screen and paper.
package mark

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"tablehand/stations/plan"
)

// Shape is the outline of a mark round its middle (0, 0), x to the right and y downwards; a circle has the radius 1.
type Shape struct {
	Lines []Line
	// Lower is how far under the middle its number stands.
	Lower float64
}

// Line goes from a point by its parts and, unless it is open, back there.
type Line struct {
	From  Point
	Parts []Curve
	Open  bool
}

// Point is a place of a shape.
type Point struct{ X, Y float64 }

// Curve goes on to a point, straight or, with Bend, as a cubic curve by two control points.
type Curve struct {
	To   Point
	Bend *[2]Point
}

// Straight reports whether a line is that of a shape with corners alone.
func (l Line) Straight() bool {
	return !l.Open && !slices.ContainsFunc(l.Parts, func(c Curve) bool { return c.Bend != nil })
}

// At returns a point on a sheet: the shape's middle at (x, y), so large that a circle has the radius.
func (p Point) At(x, y, radius float64) Point { return Point{x + radius*p.X, y + radius*p.Y} }

// Of returns the shape of a station. known is false of a station that only an old ledger knows, which has a plain one.
func Of(s plan.Station) (shape Shape, known bool) {
	if shape, known = shapes[plan.MarkOf(s).Shape]; !known {
		return plain, false
	}
	return shape, true
}

// Paths writes the shape's lines as paths of SVG, as large as a box of the width and height takes it, in its middle at (x, y).
// It also says where the number's middle is.
func (s Shape) Paths(x, y, width, height float64) (paths string, number float64) {
	least, most := s.bounds()
	radius := min(width/(most.X-least.X), height/(most.Y-least.Y))
	x, y = x-radius*(least.X+most.X)/2, y-radius*(least.Y+most.Y)/2
	var b strings.Builder
	for _, l := range s.Lines {
		from := l.From.At(x, y, radius)
		fmt.Fprintf(&b, `<path d="M%.1f %.1f`, from.X, from.Y)
		for _, c := range l.Parts {
			to := c.To.At(x, y, radius)
			if c.Bend == nil {
				fmt.Fprintf(&b, "L%.1f %.1f", to.X, to.Y)
				continue
			}
			one, two := c.Bend[0].At(x, y, radius), c.Bend[1].At(x, y, radius)
			fmt.Fprintf(&b, "C%.1f %.1f %.1f %.1f %.1f %.1f", one.X, one.Y, two.X, two.Y, to.X, to.Y)
		}
		if !l.Open {
			b.WriteByte('Z')
		}
		b.WriteString(`"/>`)
	}
	return b.String(), y + radius*s.Lower
}

// bounds are the shape's ends; its curves are quarters of ellipses, which reach no further than their ends.
func (s Shape) bounds() (least, most Point) {
	least, most = Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}
	take := func(p Point) {
		least = Point{min(least.X, p.X), min(least.Y, p.Y)}
		most = Point{max(most.X, p.X), max(most.Y, p.Y)}
	}
	for _, l := range s.Lines {
		take(l.From)
		for _, c := range l.Parts {
			take(c.To)
		}
	}
	return least, most
}
