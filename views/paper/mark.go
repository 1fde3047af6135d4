package paper

import (
	"math"
	"strconv"

	"codeberg.org/go-pdf/fpdf"

	"tablehand/stations"
)

// markSize is the height of a selvedge mark in points.
const markSize = 18

// shapes are the stations' shapes, each in a square from (0,0) to (1,1), the same as on the pages; a ticket is
// black on white, so the colours are left out. The number stands a little lower in some.
var shapes = map[stations.Station]struct {
	points []fpdf.PointType
	lower  float64
}{
	stations.Cutting:  {}, // a circle
	stations.Joining:  {points: []fpdf.PointType{{X: .06, Y: .06}, {X: .94, Y: .06}, {X: .94, Y: .94}, {X: .06, Y: .94}}},
	stations.Fold:     {points: []fpdf.PointType{{X: .5, Y: 0}, {X: 1, Y: .96}, {X: 0, Y: .96}}, lower: .13},
	stations.Tape:     {points: []fpdf.PointType{{X: .5, Y: 0}, {X: 1, Y: .5}, {X: .5, Y: 1}, {X: 0, Y: .5}}},
	stations.PullUp:   {points: star(5, .53, 0), lower: .03},
	stations.Inserts:  {points: []fpdf.PointType{{X: .2, Y: 0}, {X: .8, Y: 0}, {X: .8, Y: .2}, {X: 1, Y: .2}, {X: 1, Y: .8}, {X: .8, Y: .8}, {X: .8, Y: 1}, {X: .2, Y: 1}, {X: .2, Y: .8}, {X: 0, Y: .8}, {X: 0, Y: .2}, {X: .2, Y: .2}}},
	stations.Pressing: {points: star(6, .53, 0)},
	stations.Packing:  {points: star(5, .58, .36), lower: .03},
}

// star returns a regular polygon, or a star where inner is its smaller radius.
func star(n int, outer, inner float64) []fpdf.PointType {
	var points []fpdf.PointType
	for i := range 2 * n {
		r := outer
		if i%2 == 1 {
			if inner == 0 {
				continue
			}
			r = inner
		}
		a := math.Pi * float64(i) / float64(n)
		points = append(points, fpdf.PointType{X: .5 + r*math.Sin(a), Y: .53 - r*math.Cos(a)})
	}
	return points
}

// mark draws a station's selvedge mark: the number of its place on the route in its shape.
func (c *canvas) mark(x, y float64, s stations.Station, number int) {
	c.pdf.SetLineWidth(0.9)
	shape := shapes[s]
	if shape.points == nil {
		c.pdf.Circle(c.x+x+markSize/2, c.y+y+markSize/2, markSize*0.49, "D")
	} else {
		points := make([]fpdf.PointType, len(shape.points))
		for i, p := range shape.points {
			points[i] = fpdf.PointType{X: c.x + x + markSize*p.X, Y: c.y + y + markSize*p.Y}
		}
		c.pdf.Polygon(points, "D")
	}
	f := bold(9)
	text := strconv.Itoa(number)
	c.text(x+(markSize-c.width(f, text))/2, y+markSize*(.5+shape.lower)+0.365*f.size, f, text)
}

// warning draws a small triangle with a stroke and a dot in it, its foot on the baseline.
func (c *canvas) warning(x, baseline, size float64) {
	x, baseline = c.x+x, c.y+baseline
	c.pdf.SetFillColor(0, 0, 0)
	c.pdf.Polygon([]fpdf.PointType{{X: x + size/2, Y: baseline - 0.9*size}, {X: x + size, Y: baseline}, {X: x, Y: baseline}}, "F")
	c.pdf.SetFillColor(255, 255, 255)
	c.pdf.Rect(x+0.44*size, baseline-0.6*size, 0.12*size, 0.32*size, "F")
	c.pdf.Rect(x+0.44*size, baseline-0.2*size, 0.12*size, 0.12*size, "F")
	c.pdf.SetFillColor(0, 0, 0)
}
