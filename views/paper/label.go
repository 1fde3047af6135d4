package paper

import (
	"tablehand/stations/plan"
	"tablehand/views/paper/pdf"
)

// The label is 4 × 6 in, upright, in points of 1/72 in.
const (
	labelWidth  = 288
	labelHeight = 432
	labelMargin = 10
	inside      = labelWidth - 2*labelMargin

	ruleRoom = 5.0 // that a line across the label takes

	// 28 mm with the quiet zone read well from a hand's distance.
	qrComfort = 28.0 / 25.4 * 72
)

// Sheet is what is printed on.
type Sheet string

const (
	Labels Sheet = "label" // 4 × 6 in: one ticket each, or several tags or cards to be cut apart
	Letter Sheet = "letter"
	A4     Sheet = "a4"
	// TagStock is 4 × 1 1/2 in, for piece tags only: one each, nothing to cut.
	TagStock Sheet = "tag"
)

// sheets are the sizes in points.
var sheets = map[Sheet]pdf.Size{
	Labels: {Wd: labelWidth, Ht: labelHeight}, Letter: {Wd: 612, Ht: 792}, A4: {Wd: 595.28, Ht: 841.89},
	TagStock: {Wd: tagWidth, Ht: tagHeight},
}

// label draws on labels, or on halves of sheets to be cut apart, which are higher.
type label struct {
	*pen
	sheet  Sheet
	height float64
	y      float64 // where the next thing begins
	ruled  float64 // where the space under the last line across ends
	first  int     // the pen's page before the first label
	moved  bool    // the label begun last lies somewhere on a sheet
}

func newLabel(p *pen, sheet Sheet) *label {
	l := &label{pen: p, sheet: sheet, height: labelHeight, first: p.page}
	if sheet != Labels {
		l.height = sheets[sheet].Ht - 2*l.border()
	}
	return l
}

// border is what a sheet has around its two labels.
func (l *label) border() float64 { return (sheets[l.sheet].Wd - 2*labelWidth) / 2 }

// begin begins a label: a page of its own, or its half of a sheet, with the lines to cut along.
func (l *label) begin() {
	l.end()
	l.y = labelMargin
	l.page++
	if l.sheet == Labels {
		l.pdf.AddPage()
		return
	}
	half := (l.page - l.first + 1) % 2
	if half == 0 {
		l.pdf.AddPage()
	}
	l.pdf.Save()
	l.moved = true
	l.pdf.Translate(l.border()+float64(half)*labelWidth, l.border())
	l.dashed(func() { l.pdf.Rect(0, 0, labelWidth, l.height, pdf.Stroked) })
}

// end ends the label that was begun last.
func (l *label) end() {
	if l.moved {
		l.pdf.Restore()
	}
	l.moved = false
}

// left is the height that is still free on the label.
func (l *label) left() float64 { return l.height - labelMargin - l.y }

// line writes one line of at most room and moves on below it.
func (l *label) line(x, room float64, text string, size float64, st style) {
	l.y = l.lines(x, l.y, room, text, size, st, 1)
}

// paragraph writes a text over at most most lines.
func (l *label) paragraph(x, room float64, text string, size float64, st style, most int) {
	l.y = l.lines(x, l.y, room, text, size, st, most)
}

// rule draws a line across the label.
func (l *label) rule() {
	l.y += 2
	l.pdf.Line(labelMargin, l.y, labelWidth-labelMargin, l.y)
	l.y += ruleRoom - 2
	l.ruled = l.y
}

// qr draws a ticket's QR with its code below, in the upper right corner, and returns how wide and how high it is.
func (l *label) qr(address string, code plan.Code) (width, height float64, err error) {
	return l.ticketSquare(labelWidth-labelMargin, labelMargin, qrComfort, address, code, 11)
}
