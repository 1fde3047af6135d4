package paper

import (
	"fmt"
	"html"
	"io"
	"strings"

	"github.com/skip2/go-qrcode"

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
	// BoltStock is 4 × 2 1/2 in, for labels of bolts: one each, nothing to cut.
	BoltStock Sheet = "bolt"
)

// sheets are the sizes in points.
var sheets = map[Sheet]pdf.Size{
	Labels: {Wd: labelWidth, Ht: labelHeight}, Letter: {Wd: 612, Ht: 792}, A4: {Wd: 595.28, Ht: 841.89},
	TagStock: {Wd: tagWidth, Ht: tagHeight}, BoltStock: {Wd: boltLabelWidth, Ht: boltLabelHeight},
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

// TicketURL is what a ticket's QR holds. Upper case keeps the symbol small (alphanumeric mode); hosts and our paths
// read the same in any case.
func TicketURL(address string, code plan.Code) string {
	return strings.ToUpper(strings.TrimRight(address, "/")) + "/T/" + string(code)
}

// BoltURL is what a bolt's QR holds.
func BoltURL(address string, code plan.Code) string {
	return strings.ToUpper(strings.TrimRight(address, "/")) + "/B/" + string(code)
}

// EnterURL is what the QR by which a device is let in holds.
func EnterURL(address string, code plan.Code) string {
	return strings.ToUpper(strings.TrimRight(address, "/")) + "/ENTER/" + string(code)
}

// modules returns the symbol of a text with its quiet zone of 4 modules, at level Q (25 % may be lost): for screens.
func modules(text string) ([][]bool, error) { return bitmapOf(text, qrcode.High) }

// sturdyVersion is the least that goes on paper: of a smaller symbol a blot over a tenth touches too many of the few
// codewords (measured: at version 1 half of such codes were lost, at version 4 none).
const sturdyVersion = 4

// sturdy is modules at level H (30 % may be lost), for paper that goes over a workroom's floor.
func sturdy(text string) ([][]bool, error) {
	if q, err := qrcode.NewWithForcedVersion(text, sturdyVersion, qrcode.Highest); err == nil {
		return q.Bitmap(), nil
	}
	return bitmapOf(text, qrcode.Highest) // needs a larger one
}

func bitmapOf(text string, level qrcode.RecoveryLevel) ([][]bool, error) {
	q, err := qrcode.New(text, level)
	if err != nil {
		return nil, fmt.Errorf("paper: QR of %d characters: %w", len(text), err)
	}
	return q.Bitmap(), nil
}

// runs calls f for every dark run of modules: row, first column, and how many.
func runs(bitmap [][]bool, f func(row, column, length int)) {
	for r, row := range bitmap {
		for c := 0; c < len(row); {
			if !row[c] {
				c++
				continue
			}
			end := c
			for end < len(row) && row[end] {
				end++
			}
			f(r, c, end-c)
			c = end
		}
	}
}

// QRTerminal draws the QR of a text with half blocks, dark on a light ground whatever the terminal's colours are.
func QRTerminal(w io.Writer, text string) error {
	bitmap, err := modules(text)
	if err != nil {
		return err
	}
	dark := func(r, c int) bool { return r < len(bitmap) && bitmap[r][c] }
	var b strings.Builder
	for r := 0; r < len(bitmap); r += 2 {
		b.WriteString("\x1b[30;107m")
		for c := range bitmap[r] {
			switch {
			case dark(r, c) && dark(r+1, c):
				b.WriteRune('█')
			case dark(r, c):
				b.WriteRune('▀')
			case dark(r+1, c):
				b.WriteRune('▄')
			default:
				b.WriteByte(' ')
			}
		}
		b.WriteString("\x1b[0m\n")
	}
	_, err = io.WriteString(w, b.String())
	return err
}

// QRSVG draws the QR of a text as SVG, dark on white with its quiet zone, one unit a module; label is what a screen
// reader says of it.
func QRSVG(text, label string) (string, error) {
	bitmap, err := modules(text)
	if err != nil {
		return "", err
	}
	var path strings.Builder
	runs(bitmap, func(row, column, length int) { fmt.Fprintf(&path, "M%d %dh%dv1h-%dz", column, row, length, length) })
	side := len(bitmap)
	return fmt.Sprintf(`<svg class="square" viewBox="0 0 %d %d" role="img" aria-label="%s" shape-rendering="crispEdges">`+
		`<rect width="%d" height="%d" fill="#fff"/><path d="%s" fill="#000"/></svg>`, side, side, html.EscapeString(label), side, side, path.String()), nil
}
