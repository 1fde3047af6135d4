package paper

import (
	"strings"

	"tablehand/engine/measure"
	"tablehand/stations/plan"
)

// chalk is the running marks of a ticket's pleats, laid out: each pleat's number, and where it starts and ends from the
// return edge, in columns that a finger goes along line by line.
type chalk struct {
	title   string
	lines   [][]figure // a pleat each
	first   []int      // the pleat that a line begins with, from 1
	numbers float64    // what a pleat's own number takes before its marks
	column  float64    // what a pleat takes
	height  float64    // of a line
}

const (
	chalkMarks = "pleat_marks"
	chalkGap   = 4.0 // between two pleats
)

// chalked lays out the marks of a step in a room; ok is false where it has none.
func (p *pen) chalked(s plan.Step, room, size float64) (c chalk, ok bool) {
	marks := valueOf(s, chalkMarks).Parts()
	if len(marks) < 2 {
		return c, false
	}
	c.title, _ = p.fit(p.say.T("paper.value."+chalkMarks, "Unit", string(marks[0].Unit())), room, smallest, plain)
	var pleats []figure
	for k := 0; k+1 < len(marks); k += 2 {
		g := p.fromTo(marks[k], marks[k+1], size)
		pleats = append(pleats, g)
		c.column = max(c.column, g.width)
	}
	c.numbers = p.width(pleatNumber(len(pleats)), smallest, plain) + 1.5
	c.column += c.numbers
	each := max(1, int((room+chalkGap)/(c.column+chalkGap)))
	for k := 0; k < len(pleats); k += each {
		c.lines, c.first = append(c.lines, pleats[k:min(k+each, len(pleats))]), append(c.first, k+1)
	}
	c.height = size*leading + 1.5
	return c, true
}

// pleatNumber is a pleat's own, set so that it can't be read as part of its mark: 1 before 3 1/2 is not 13 1/2.
func pleatNumber(n int) string { return measure.Count(n) + ")" }

// fromTo sets where a pleat starts and ends, without the unit that all of them have.
func (p *pen) fromTo(from, to measure.Quantity, size float64) figure {
	var g figure
	var spoken []string
	for _, mark := range []measure.Quantity{from, to} {
		if len(spoken) > 0 {
			g.width += 2
			g.add(p, "–", smallest, plain, 0)
			g.width += 2
		}
		f := p.say.Figure(mark.Length(), mark.Unit())
		g.length(p, f, size, false)
		spoken = append(spoken, strings.TrimSuffix(f.String(), " "+f.Unit))
	}
	g.spoken = strings.Join(spoken, " – ")
	return g
}

// titleRoom is what the title takes.
func (c chalk) titleRoom() float64 { return smallest*leading + 1 }

// tall is the height of all of it.
func (c chalk) tall() float64 { return c.titleRoom() + float64(len(c.lines))*c.height + 3 }

// chalkLine draws one line of marks with its top at y.
func (p *pen) chalkLine(c chalk, line int, x, y float64) {
	base := y + c.height - 4
	for k, g := range c.lines[line] {
		at := x + float64(k)*(c.column+chalkGap)
		p.text(at, base, pleatNumber(c.first[line]+k), smallest, plain)
		p.figure(at+c.numbers, base, g)
	}
}
