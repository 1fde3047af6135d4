package paper

import (
	"slices"

	"tablehand/engine/measure"
	"tablehand/stations/plan"
	"tablehand/views/mark"
	"tablehand/views/paper/pdf"
)

// markRadius is that of a mark's circle on a ticket in points.
const markRadius = 7.5

// mark draws a station's selvedge mark, its number on its shape, in black and white, with (x, y) its middle. A station that only
// an old ledger knows has no number.
func (p *pen) mark(s plan.Station, x, y, radius float64) {
	shape, known := mark.Of(s)
	for _, l := range shape.Lines {
		p.line(l, x, y, radius)
	}
	if !known {
		return
	}
	number := measure.Count(slices.Index(plan.Stations(), s) + 1)
	size := smallest * radius / markRadius
	p.centre(x, y+radius*shape.Lower+0.36*size, number, size, bold)
}

// line draws a line of a mark whose middle is (x, y).
func (p *pen) line(l mark.Line, x, y, radius float64) {
	at := func(q mark.Point) point { return point(q.At(x, y, radius)) }
	from := at(l.From)
	if l.Straight() {
		corners := []point{from}
		for _, c := range l.Parts {
			corners = append(corners, at(c.To))
		}
		p.pdf.Polygon(corners, pdf.Stroked)
		return
	}
	p.pdf.MoveTo(from.X, from.Y)
	for _, c := range l.Parts {
		to := at(c.To)
		if c.Bend == nil {
			p.pdf.LineTo(to.X, to.Y)
			continue
		}
		one, two := at(c.Bend[0]), at(c.Bend[1])
		p.pdf.CurveTo(one.X, one.Y, two.X, two.Y, to.X, to.Y)
	}
	if !l.Open {
		p.pdf.ClosePath()
	}
	p.pdf.Draw(pdf.Stroked)
}
