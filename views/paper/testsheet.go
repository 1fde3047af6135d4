package paper

import (
	"cmp"
	"fmt"
	"io"
	"strings"
	"time"

	"tablehand/views/i18n"
	"tablehand/views/paper/pdf"
)

// TestSheetDoc is what a printer is tried with.
type TestSheetDoc struct {
	Say     *i18n.Printer
	Sheet   Sheet  // "" labels
	Address string // base URL in the QR codes
	Shop    string
	Made    time.Time
}

// TestSheet writes one page that shows whether a printer does for tickets: rulers of 3 in and 75 mm to be laid against
// a real one, the label's edge, lines and letters down to the smallest in use, and a QR at the module sizes that
// tickets have. Each QR leads to the shop's hello page, so that reading one also proves the address.
func TestSheet(w io.Writer, doc TestSheetDoc) error {
	_, err := writeTestSheet(w, doc)
	return err
}

func writeTestSheet(w io.Writer, doc TestSheetDoc) (*pen, error) {
	sheet := cmp.Or(doc.Sheet, Labels)
	size := sheets[sheet]
	p := newPen(w, doc.Say, size, doc.Say.T("paper.test.title"), doc.Made)
	p.pdf.AddPage()
	p.page = 1
	x, y := (size.Wd-labelWidth)/2, (size.Ht-labelHeight)/2
	if sheet != Labels {
		y = 36
	}
	t := testSheet{p, doc, x, y}
	t.edge()
	top := y + 14
	top = p.lines(x+testMargin, top, testInside, doc.Say.T("paper.test.title"), 14, bold, 1)
	top = p.lines(x+testMargin, top, testInside, doc.Shop, 10, plain, 1)
	top = p.lines(x+testMargin, top+2, testInside, doc.Say.T("paper.test.scale"), 9, plain, 3)
	top = t.ruler(top+6, 3, 72, 16, "in")
	top = t.ruler(top+8, 75, 72/25.4, 1, "mm")
	top = p.lines(x+testMargin, top+4, testInside, doc.Say.T("paper.test.letters"), 9, plain, 2)
	for _, points := range []float64{14, 10, smallest} {
		top = p.lines(x+testMargin, top+2, testInside, doc.Say.T("paper.test.sample", "Points", fmt.Sprintf("%g", points)), points, plain, 1)
	}
	top = t.strokes(top + 6)
	top = p.lines(x+testMargin, top+4, testInside, doc.Say.T("paper.test.squares"), 9, plain, 3)
	if err := t.squares(top + 4); err != nil {
		return nil, err
	}
	if err := p.pdf.Close(); err != nil {
		return nil, fmt.Errorf("paper: test sheet: %w", err)
	}
	return p, nil
}

const (
	testMargin = 14.0
	testInside = labelWidth - 2*testMargin
	edgeInset  = 4.0 // that a label printer's slack leaves, in points
)

type testSheet struct {
	*pen
	doc  TestSheetDoc
	x, y float64 // the label's corner
}

// edge draws the label's outline: broken or missing at a side, the printer cuts there or the paper lies askew.
func (t testSheet) edge() {
	t.pdf.Rect(t.x+edgeInset, t.y+edgeInset, labelWidth-2*edgeInset, labelHeight-2*edgeInset, pdf.Stroked)
	for _, at := range []point{{X: t.x + edgeInset, Y: t.y + edgeInset}, {X: t.x + labelWidth - edgeInset, Y: t.y + edgeInset},
		{X: t.x + edgeInset, Y: t.y + labelHeight - edgeInset}, {X: t.x + labelWidth - edgeInset, Y: t.y + labelHeight - edgeInset}} {
		t.pdf.SetFillColour(shadeOf(0))
		t.pdf.Circle(at.X, at.Y, 2.2, pdf.Filled)
	}
}

// ruler draws units of a size in points, each divided into marks, with its numbers below.
func (t testSheet) ruler(y float64, units int, unit float64, marks int, name string) float64 {
	x := t.x + (labelWidth-float64(units)*unit)/2
	t.pdf.Line(x, y, x+float64(units)*unit, y)
	for i := 0; i <= units*marks; i++ {
		at := x + float64(i)*unit/float64(marks)
		t.pdf.Line(at, y, at, y+markHeight(i, marks))
		numbered, each := i%marks == 0, i/marks
		if marks == 1 {
			numbered, each = i%10 == 0 || i == units, i
		}
		if numbered && (marks > 1 || i != 70) { // 70 would touch 75
			text := fmt.Sprint(each)
			if i == units*marks {
				text += " " + name
			}
			t.centre(at, y+12+smallest, text, smallest, plain)
		}
	}
	return y + 12 + smallest + 2
}

// markHeight is that of the i-th mark of a ruler, in points: a whole unit's is the highest.
func markHeight(i, marks int) float64 {
	switch {
	case marks == 1 && i%10 == 0, marks > 1 && i%marks == 0:
		return 11
	case marks == 1 && i%5 == 0, marks > 1 && i%(marks/2) == 0:
		return 8
	case marks > 1 && i%(marks/4) == 0:
		return 6
	}
	return 4
}

// strokes draws lines from one printer's dot up: where the first is missing or broken, the head is dirty or too cold.
func (t testSheet) strokes(y float64) float64 {
	x := t.x + testMargin
	for dots := 1; dots <= 4; dots++ {
		t.pdf.SetLineWidth(float64(dots) * dot)
		t.pdf.Line(x, y, x+50, y)
		t.pdf.SetLineWidth(ruleWidth)
		t.text(x+54, y+3, fmt.Sprint(dots), smallest, plain)
		x += 68
	}
	return y + 6
}

// squares draws the hello QR at the smallest module that tickets use, and larger, as far as they fit.
func (t testSheet) squares(y float64) error {
	bitmap, err := modules(strings.ToUpper(strings.TrimRight(t.doc.Address, "/")) + "/HELLO")
	if err != nil {
		return err
	}
	x := t.x + testMargin
	for _, dots := range []float64{4, 5, 6} {
		side := dots * dot * float64(len(bitmap))
		if x+side > t.x+labelWidth-edgeInset || y+side+smallest+2 > t.y+labelHeight-edgeInset {
			break
		}
		t.square(symbolOf(bitmap), x, y, dots*dot)
		t.centre(x+side/2, y+side+smallest, t.say.T("paper.test.module", "MM", t.say.Decimal(fmt.Sprintf("%.2f", dots*25.4/203))), smallest, plain)
		x += side + 4
	}
	return nil
}
