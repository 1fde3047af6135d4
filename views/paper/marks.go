package paper

import (
	"math"
	"slices"

	"codeberg.org/go-pdf/fpdf"

	"tablehand/engine/measure"
	"tablehand/stations"
)

// markRadius is that of a mark's circle on a ticket in points.
const markRadius = 7.5

// mark draws a station's selvedge mark, its number on its shape, in black and white, with (x, y) its middle.
func (p *pen) mark(s stations.Station, x, y, radius float64) {
	place := slices.Index(stations.Stations(), s)
	if place < 0 { // a station that only an old ledger knows has no mark
		return
	}
	lower := 0.0 // how far the number stands under the middle
	switch s {
	case stations.Cutting:
		p.pdf.Circle(x, y, radius, "D")
	case stations.Inserts:
		p.tube(x, y, radius)
		lower = 0.3 * radius
	case stations.Tape:
		p.pdf.Polygon([]point{{X: x, Y: y - radius}, {X: x + 1.3*radius, Y: y}, {X: x, Y: y + radius}, {X: x - 1.3*radius, Y: y}}, "D")
	case stations.Heading:
		p.pdf.RoundedRect(x-1.1*radius, y-0.65*radius, 2.2*radius, 1.3*radius, 0.65*radius, "1234", "D")
	case stations.Pleating:
		p.pdf.Polygon([]point{{X: x - radius, Y: y - radius}, {X: x + radius, Y: y - radius}, {X: x + 0.5*radius, Y: y + radius},
			{X: x - 0.5*radius, Y: y + radius}}, "D")
	default:
		p.pdf.Polygon(corners(s, x, y, radius), "D")
	}
	number := measure.Count(place + 1)
	size := smallest * radius / markRadius
	p.centre(x, y+lower+0.36*size, number, size, bold)
}

// tube draws a rolled tube that stands upright, with (x, y) its middle: the roll's turns are seen at its upper end.
func (p *pen) tube(x, y, radius float64) {
	wide, flat := 0.9*radius, 0.35*radius
	top, foot := y-0.75*radius, y+0.8*radius
	p.pdf.Line(x-wide, top, x-wide, foot)
	p.pdf.Line(x+wide, top, x+wide, foot)
	p.pdf.Arc(x, foot, wide, flat, 0, 180, 360, "D")
	p.pdf.Ellipse(x, top, wide, flat, 0, "D")
	p.pdf.Arc(x-0.15*wide, top, 0.7*wide, 0.6*flat, 0, 0, 360, "D")
}

// corners are those of a station's regular shape.
func corners(s stations.Station, x, y, radius float64) []point {
	shape := map[stations.Station]struct {
		n     int
		turn  float64 // of the first corner, in corners' distances
		outer float64 // of the radius
		inner float64 // a star's, else 0
	}{
		stations.Joining:  {n: 4, turn: 0.5, outer: 1.25},
		stations.Fold:     {n: 3, outer: 1.35},
		stations.PullUp:   {n: 5, outer: 1.15},
		stations.Pressing: {n: 6, outer: 1.1},
		stations.Tacking:  {n: 8, turn: 0.5, outer: 1.1},
		stations.Packing:  {n: 5, outer: 1.35, inner: 0.85},
	}[s]
	var points []point
	at := func(corner, r float64) {
		a := 2 * math.Pi * (corner + shape.turn) / float64(max(shape.n, 1))
		points = append(points, fpdf.PointType{X: x + r*math.Sin(a), Y: y - r*math.Cos(a)})
	}
	for i := range shape.n {
		at(float64(i), radius*shape.outer)
		if shape.inner > 0 {
			at(float64(i)+0.5, radius*shape.inner)
		}
	}
	return points
}
