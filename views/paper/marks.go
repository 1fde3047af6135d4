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
	switch s {
	case stations.Cutting:
		p.pdf.Circle(x, y, radius, "D")
	case stations.Inserts:
		a, b := radius*0.4, radius
		p.pdf.Polygon([]point{{X: x - a, Y: y - b}, {X: x + a, Y: y - b}, {X: x + a, Y: y - a}, {X: x + b, Y: y - a},
			{X: x + b, Y: y + a}, {X: x + a, Y: y + a}, {X: x + a, Y: y + b}, {X: x - a, Y: y + b}, {X: x - a, Y: y + a},
			{X: x - b, Y: y + a}, {X: x - b, Y: y - a}, {X: x - a, Y: y - a}}, "D")
	case stations.Heading:
		p.pdf.RoundedRect(x-1.1*radius, y-0.65*radius, 2.2*radius, 1.3*radius, 0.65*radius, "1234", "D")
	case stations.Pleating:
		p.pdf.Polygon([]point{{X: x - radius, Y: y - radius}, {X: x + radius, Y: y - radius}, {X: x + 0.5*radius, Y: y + radius},
			{X: x - 0.5*radius, Y: y + radius}}, "D")
	default:
		p.pdf.Polygon(corners(s, x, y, radius), "D")
	}
	number := measure.Count(slices.Index(stations.Stations(), s) + 1)
	size := smallest * radius / markRadius
	p.centre(x, y+0.36*size, number, size, bold)
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
		stations.Tape:     {n: 4, outer: 1.2},
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
