package paper

import (
	"math"
	"strings"
	"unicode"

	"codeberg.org/go-pdf/fpdf"
	"github.com/go-fonts/dejavu/dejavusanscondensed"
	"github.com/go-fonts/dejavu/dejavusanscondensedbold"

	"tablehand/engine/measure"
	"tablehand/stations"
	"tablehand/views/i18n"
)

// The label is 4 × 6 in, upright, in points of 1/72 in.
const (
	labelWidth  = 288
	labelHeight = 432
	labelMargin = 10
	inside      = labelWidth - 2*labelMargin

	smallest = 8.0  // points: nothing on a label is set smaller
	leading  = 1.22 // of a line, in sizes of its letters

	ruleWidth = 0.6
	ruleRoom  = 5.0 // that a line across the label takes

	// A QR's modules are whole dots of a 203 dpi label printer, so that all come out alike; 4 dots are half a
	// millimetre. 28 mm with the quiet zone read well from a hand's distance.
	dot         = 72.0 / 203
	moduleLeast = 4 * dot
	qrComfort   = 28.0 / 25.4 * 72
)

type point = fpdf.PointType

type style string

const (
	plain style = ""
	bold  style = "B"
)

// printed is one text as it stands on a label, for the tests that hold labels to their edges.
type printed struct {
	page             int
	text             string
	x, y, width, top float64 // y is the baseline
	size             float64
}

// Sheet is what tickets are printed on.
type Sheet string

const (
	Labels Sheet = "label"  // 4 × 6 in, one each
	Letter Sheet = "letter" // two labels side by side, to be cut apart
	A4     Sheet = "a4"     // likewise
)

// sheets are the sizes in points.
var sheets = map[Sheet]fpdf.SizeType{
	Labels: {Wd: labelWidth, Ht: labelHeight}, Letter: {Wd: 612, Ht: 792}, A4: {Wd: 595.28, Ht: 841.89},
}

// Known reports whether there is such a sheet.
func (s Sheet) Known() bool { return sheets[s].Wd > 0 }

// label draws on labels and keeps what it has written.
type label struct {
	pdf   *fpdf.Fpdf
	say   *i18n.Printer
	sheet Sheet
	y     float64 // where the next thing begins
	ruled float64 // where the space under the last line across ends
	page  int     // counts labels
	moved bool    // the label begun last lies somewhere on a sheet
	log   []printed
}

func newLabel(say *i18n.Printer, sheet Sheet) *label {
	pdf := fpdf.NewCustom(&fpdf.InitType{OrientationStr: "P", UnitStr: "pt", Size: sheets[sheet]})
	pdf.SetCatalogSort(true)
	pdf.SetLang(say.Language())
	pdf.AddUTF8FontFromBytes("label", string(plain), dejavusanscondensed.TTF)
	pdf.AddUTF8FontFromBytes("label", string(bold), dejavusanscondensedbold.TTF)
	pdf.SetAutoPageBreak(false, 0)
	pdf.SetMargins(0, 0, 0)
	pdf.SetCellMargin(0)
	pdf.SetLineWidth(ruleWidth)
	return &label{pdf: pdf, say: say, sheet: sheet}
}

// begin begins a label: a page of its own, or its half of a sheet, with the lines to cut along.
func (l *label) begin() {
	l.end()
	l.y = labelMargin
	l.page++
	if l.sheet == Labels {
		l.pdf.AddPage()
		return
	}
	if l.page%2 == 1 {
		l.pdf.AddPage()
	}
	l.pdf.TransformBegin()
	l.moved = true
	size := sheets[l.sheet]
	l.pdf.TransformTranslate((size.Wd-2*labelWidth)/2+float64((l.page+1)%2)*labelWidth, (size.Wd-2*labelWidth)/2)
	l.pdf.SetDashPattern([]float64{2, 3}, 0)
	l.pdf.Rect(0, 0, labelWidth, labelHeight, "D")
	l.pdf.SetDashPattern(nil, 0)
}

// end ends the label that was begun last.
func (l *label) end() {
	if l.moved {
		l.pdf.TransformEnd()
	}
	l.moved = false
}

// left is the height that is still free on the label.
func (l *label) left() float64 { return labelHeight - labelMargin - l.y }

func (l *label) width(text string, size float64, st style) float64 {
	l.pdf.SetFont("label", string(st), size)
	return l.pdf.GetStringWidth(printable(text))
}

// printable puts a box for what the fonts have no glyph for, all beyond the basic plane, and spaces for characters
// that control rather than show.
func printable(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.IsControl(r), unicode.Is(unicode.Cf, r):
			return ' '
		case r >= 0xFFFD, unicode.Is(unicode.Co, r):
			return '□'
		}
		return r
	}, text)
}

// text writes at a baseline.
func (l *label) text(x, y float64, text string, size float64, st style) {
	text = printable(text)
	w := l.width(text, size, st)
	l.pdf.Text(x, y, text)
	l.log = append(l.log, printed{page: l.page, text: text, x: x, y: y, width: w, top: y - size, size: size})
}

// fit makes a text no wider than room: smaller, down to the smallest size, then shortened with an ellipsis.
func (l *label) fit(text string, room, size float64, st style) (string, float64) {
	for ; size > smallest && l.width(text, size, st) > room; size -= 0.5 {
	}
	size = max(size, smallest)
	runes := []rune(text)
	for len(runes) > 1 && l.width(text, size, st) > room {
		runes = runes[:len(runes)-1]
		text = strings.TrimRight(string(runes), " ,") + "…"
	}
	return text, size
}

// line writes one line of at most room and moves on below it.
func (l *label) line(x, room float64, text string, size float64, st style) {
	text, fitted := l.fit(text, room, size, st)
	l.y += fitted
	l.text(x, l.y, text, fitted, st)
	l.y += fitted * (leading - 1)
}

// wrap breaks a text into lines of at most room, the last of at most most lines shortened where more is left.
func (l *label) wrap(text string, room, size float64, st style, most int) []string {
	var lines []string
	line := ""
	words := strings.Fields(text)
	for i, w := range words {
		longer := strings.TrimSpace(line + " " + w)
		if line == "" || l.width(longer, size, st) <= room {
			line = longer
			continue
		}
		if len(lines) == most-1 {
			line += " " + strings.Join(words[i:], " ")
			break
		}
		lines = append(lines, line)
		line = w
	}
	if line != "" {
		lines = append(lines, line)
	}
	for i := range lines {
		lines[i], _ = l.fit(lines[i], room, size, st)
	}
	return lines
}

// paragraph writes a text over at most most lines.
func (l *label) paragraph(x, room float64, text string, size float64, st style, most int) {
	for _, line := range l.wrap(text, room, size, st, most) {
		l.line(x, room, line, size, st)
	}
}

// rule draws a line across the label.
func (l *label) rule() {
	l.y += 2
	l.pdf.Line(labelMargin, l.y, labelWidth-labelMargin, l.y)
	l.y += ruleRoom - 2
	l.ruled = l.y
}

// qr draws a ticket's QR with its code below, in the upper right corner, and returns how wide it is.
func (l *label) qr(url string, code stations.Code) (float64, error) {
	bitmap, err := modules(url)
	if err != nil {
		return 0, err
	}
	module := max(moduleLeast, math.Floor(qrComfort/dot/float64(len(bitmap)))*dot)
	side := module * float64(len(bitmap))
	x, y := labelWidth-labelMargin-side, float64(labelMargin)
	l.pdf.SetFillColor(0, 0, 0)
	runs(bitmap, func(row, column, length int) {
		// A run is a little higher than its row, so that no hairline shows between rows.
		l.pdf.Rect(x+float64(column)*module, y+float64(row)*module, float64(length)*module, module*1.02, "F")
	})
	typed, size := l.fit(grouped(code), side, 11, bold)
	l.text(x+(side-l.width(typed, size, bold))/2, y+side+codeRoom-3, typed, size, bold)
	return side, nil
}

// codeRoom is what the code takes under its QR.
const codeRoom = 13.0

// grouped writes a code as it is read out: 7K3M-9Q2X-4.
func grouped(code stations.Code) string {
	c := string(code)
	if len(c) != 9 {
		return c
	}
	return c[:4] + "-" + c[4:8] + "-" + c[8:]
}

// markRadius is that of a mark's circle in points.
const markRadius = 7.5

// mark draws a station's selvedge mark, its number on its shape, in black and white, with (x, y) its middle.
func (l *label) mark(s stations.Station, x, y float64) {
	const radius = markRadius
	number := 0
	for i, at := range stations.Stations() {
		if at == s {
			number = i + 1
		}
	}
	switch s {
	case stations.Cutting:
		l.pdf.Circle(x, y, radius, "D")
	case stations.Inserts:
		a, b := radius*0.4, radius
		l.pdf.Polygon([]point{{X: x - a, Y: y - b}, {X: x + a, Y: y - b}, {X: x + a, Y: y - a}, {X: x + b, Y: y - a},
			{X: x + b, Y: y + a}, {X: x + a, Y: y + a}, {X: x + a, Y: y + b}, {X: x - a, Y: y + b}, {X: x - a, Y: y + a},
			{X: x - b, Y: y + a}, {X: x - b, Y: y - a}, {X: x - a, Y: y - a}}, "D")
	default:
		l.pdf.Polygon(corners(s, x, y, radius), "D")
	}
	digit := measure.Count(number)
	l.text(x-l.width(digit, smallest, bold)/2, y+2.9, digit, smallest, bold)
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
