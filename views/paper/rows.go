package paper

import (
	"strings"

	"tablehand/engine/measure"
	"tablehand/stations/plan"
)

// A station's row: its mark, its name and what can hurt there at the left, its numbers beside them.
const (
	nameX      = labelMargin + 19
	nameWidth  = 72
	numbersX   = nameX + nameWidth + 4
	numberRoom = labelWidth - labelMargin - numbersX

	// Numbers are as large as the label allows.
	largestNumber  = 17.0
	largeNumber    = 13.5 // large enough to leave room for a drawing
	smallestNumber = 8.5
	largestMark    = 11.0 // of the running marks, which are many
	smallestMark   = 8.0
)

// row is a station's row laid out.
type row struct {
	step     plan.Step
	name     []string
	nameSize float64
	cautions []string
	cells    []cell
	chalk    chalk   // the running marks under its numbers, if it has them
	height   float64 // without them: they may go on on another label
}

// tall is the row's height, its running marks with it.
func (r row) tall() float64 {
	if len(r.chalk.lines) == 0 {
		return r.height
	}
	return r.height + r.chalk.tall()
}

// cell is a number over its short name, x and y from the left top of the row's numbers.
type cell struct {
	number figure
	name   string
	x, y   float64
}

// rows lays out the stations of a panel's ticket with numbers as large as the room allows; fits is false where even
// the least are too large.
func (p *page) rows(room, least float64) (rows []row, fits bool) {
	for size := largestNumber; size >= least; size -= 0.5 {
		rows = nil
		var height float64
		for _, s := range p.ticket.Steps {
			r := p.laidRow(s, size)
			rows = append(rows, r)
			height += r.tall()
		}
		if height <= room {
			return rows, true
		}
	}
	return rows, false
}

// rowAt is a row of a ticket, which passes each station once, at a size of its numbers.
type rowAt struct {
	station plan.Station
	size    float64
}

// laidRow is row, laid out once: what fits is found by trying.
func (p *page) laidRow(s plan.Step, size float64) row {
	at := rowAt{s.Station, size}
	r, laid := p.laid[at]
	if !laid {
		r = p.row(s, size)
		p.laid[at] = r
	}
	return r
}

func (p *page) row(s plan.Step, size float64) row {
	r := row{step: s, nameSize: 9.5}
	for ; ; r.nameSize -= 0.5 {
		r.name = p.wrap(p.say.Station(s.Station), nameWidth, r.nameSize, bold, 2)
		if len(r.name) == 1 || r.nameSize <= 9 {
			break
		}
	}
	if len(s.Cautions) > 0 {
		var words []string
		for _, c := range s.Cautions {
			words = append(words, p.say.T("paper.caution."+c))
		}
		r.cautions = p.wrap(strings.Join(words, ", "), nameWidth-10, smallest, plain, 2)
	}
	below := 0.0
	r.cells, below = p.cells(s, size)
	left := float64(len(r.name))*r.nameSize*leading + float64(len(r.cautions))*smallest*leading
	r.height = max(left, below, 2*markRadius+2) + 3
	marks := min(size, largestMark)
	if size <= smallestNumber {
		marks = smallestMark
	}
	r.chalk, _ = p.chalked(s, inside, marks)
	return r
}

// cells lays the numbers of a step in lines and returns them with where the last one ends.
func (p *page) cells(s plan.Step, size float64) (cells []cell, below float64) {
	const gap = 8.0
	if p.ticket.Kind == plan.PieceTicket {
		cells = p.pieceCells(s, size)
	} else {
		for _, n := range s.Label() {
			cells = append(cells, p.cellsOf(s, n, size)...)
		}
	}
	line := capHeight*size + 4 + smallest*leading
	x, y := 0.0, 0.0
	for i := range cells {
		width := max(cells[i].number.width, p.width(cells[i].name, smallest, plain))
		if x > 0 && x+width > numberRoom {
			x, y = 0, y+line
		}
		cells[i].x, cells[i].y = x, y+capHeight*size
		x += width + gap
	}
	if len(cells) == 0 {
		return nil, 0
	}
	return cells, y + line - 2
}

// pieceCells sets what a station shows of a piece: its sizes, and what is cut for it.
func (p *page) pieceCells(s plan.Step, size float64) (cells []cell) {
	for _, v := range s.Values {
		between := " × "
		if v.Value.Kind() == measure.Sum {
			between = " + "
		}
		name, _ := p.fit(p.say.Named("value", v.Name), numberRoom, smallest, plain)
		cells = append(cells, cell{number: p.setIn(numberRoom, v.Value.Parts(), between, size), name: name})
	}
	return cells
}

// cellsOf sets one number, none where the step hasn't it; a list too long for a line goes on in a second cell.
func (p *page) cellsOf(s plan.Step, n plan.LabelNumber, size float64) []cell {
	var values []measure.Quantity
	for _, name := range n.Of {
		v := valueOf(s, name)
		if v.IsZero() || toldBetter(s, name) || marked(s) && (name == "space" || name == "take_up" || name == "take_ups") {
			return nil
		}
		values = append(values, v.Parts()...)
	}
	between := " " + n.Between + " "
	name, _ := p.fit(p.say.T("paper.value."+n.Name), numberRoom, smallest, plain)
	var cells []cell
	if n.Name == "take_ups" {
		for _, run := range p.alike(values) {
			cells = append(cells, cell{number: p.setIn(numberRoom, run, " × ", size), name: name})
		}
		return cells
	}
	for len(values) > 0 {
		k := len(values)
		for k > 1 && p.set(values[:k], between, size).width > numberRoom {
			k--
		}
		cells = append(cells, cell{number: p.setIn(numberRoom, values[:k], between, size), name: name})
		values = values[k:]
	}
	return cells
}

// toldBetter reports whether another number of the step says the same better: most panels are drawn up to their finished
// width, take-ups that differ stand for their mean, and what is measured before a panel hangs has a name of its own.
func toldBetter(s plan.Step, name string) bool {
	if instead := plan.Instead(name); instead != "" && instead != name && !s.Value(instead).IsZero() {
		return true
	}
	return name == "tight_width" && valueOf(s, name) == valueOf(s, "finished_width") || name == "take_up" && !valueOf(s, "take_ups").IsZero()
}

// marked reports whether a step has the running marks: what lies between them stands on the screen and in the packet.
func marked(s plan.Step) bool { return !valueOf(s, chalkMarks).IsZero() }

// alike gathers neighbours that read the same: how many, and one of them.
func (p *pen) alike(values []measure.Quantity) [][]measure.Quantity {
	var runs [][]measure.Quantity
	for first := 0; first < len(values); {
		end := first + 1
		for end < len(values) && p.say.Quantity(values[end]) == p.say.Quantity(values[first]) {
			end++
		}
		runs = append(runs, []measure.Quantity{measure.OfCount(end - first), values[first]})
		first = end
	}
	return runs
}

// valueOf returns a number of a step, computed or the target of an entry; Nothing where it has none.
func valueOf(s plan.Step, name string) measure.Quantity {
	for _, v := range s.Values {
		if v.Name == name {
			return v.Value
		}
	}
	for _, e := range s.Enter {
		if e.Name == name {
			return e.Target
		}
	}
	return measure.Quantity{}
}

// station draws one station's row.
func (p *page) station(r row) {
	if p.y > p.ruled {
		p.pdf.SetLineWidth(ruleWidth / 2)
		p.pdf.Line(labelMargin, p.y-0.5, labelWidth-labelMargin, p.y-0.5)
		p.pdf.SetLineWidth(ruleWidth)
	}
	top := p.y + 2
	p.mark(r.step.Station, labelMargin+8, top+markRadius+1, markRadius)
	y := top
	for _, line := range r.name {
		p.text(nameX, y+r.nameSize, line, r.nameSize, bold)
		y += r.nameSize * leading
	}
	for i, line := range r.cautions {
		if i == 0 {
			p.warning(nameX, y+smallest, smallest)
		}
		p.text(nameX+10, y+smallest, line, smallest, plain)
		y += smallest * leading
	}
	for _, c := range r.cells {
		// The name first: who reads the page aloud, or copies from it, gets name and number in that order.
		p.text(numbersX+c.x, top+c.y+2+smallest, c.name, smallest, plain)
		p.figure(numbersX+c.x, top+c.y, c.number)
	}
	p.y += r.height
}

// marks draws a station's running marks under it, on another label from where they don't fit.
func (p *page) marks(c chalk, anew func() error) error {
	for n := range c.lines {
		need := c.height
		if n == 0 {
			need += c.titleRoom()
		}
		if p.left() < need {
			if err := anew(); err != nil {
				return err
			}
		}
		if n == 0 {
			p.text(labelMargin, p.y+smallest, c.title, smallest, plain)
			p.y += c.titleRoom()
		}
		p.chalkLine(c, n, labelMargin, p.y)
		p.y += c.height
	}
	if len(c.lines) > 0 {
		p.y += 3
	}
	return nil
}
