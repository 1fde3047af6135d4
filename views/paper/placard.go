package paper

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"tablehand/engine/measure"
	"tablehand/stations/plan"
	"tablehand/views/i18n"
	"tablehand/views/mark"
	"tablehand/views/paper/pdf"
)

// ShopDoc is paper of the shop itself, not of an order: station placards and command cards.
type ShopDoc struct {
	Say     *i18n.Printer
	Sheet   Sheet  // "" letter
	Address string // base URL in the QR codes
	Shop    plan.Layout
	Made    time.Time
}

// StationURL is the address of a station's page.
func StationURL(address string, s plan.Station) string {
	return strings.TrimRight(address, "/") + "/station/" + string(s)
}

// Placards writes a sheet for every station that the shop hasn't switched off: its name and mark to be seen from across the room, the QR by which a
// phone opens its page, and what can hurt there. The error is for labels, which are too small.
func Placards(w io.Writer, doc ShopDoc) error {
	_, err := writePlacards(w, doc)
	return err
}

func writePlacards(w io.Writer, doc ShopDoc) (*pen, error) {
	sheet := cmp.Or(doc.Sheet, Letter)
	if sheet == Labels {
		return nil, fmt.Errorf("paper: a placard does not fit a label")
	}
	p := newPen(w, doc.Say, sheets[sheet], doc.Say.T("paper.placard.title"), doc.Made)
	for _, s := range doc.Shop.Open() {
		if err := p.placard(&doc, sheet, s); err != nil {
			return nil, err
		}
	}
	if err := p.pdf.Close(); err != nil {
		return nil, fmt.Errorf("paper: placards: %w", err)
	}
	return p, nil
}

const (
	sheetMargin  = 36.0
	placardMark  = 96.0  // radius of a mark's circle
	placardQR    = 250.0 // about its side
	placardWords = 15.0
)

// placard prints one station's sheet.
func (p *pen) placard(doc *ShopDoc, sheet Sheet, s plan.Station) error {
	p.pdf.AddPage()
	p.page++
	size := sheets[sheet]
	room, middle := size.Wd-2*sheetMargin, size.Wd/2
	y := sheetMargin + 1.4*placardMark
	p.pdf.SetLineWidth(4)
	p.colouredMark(s, middle, y, placardMark)
	p.pdf.SetLineWidth(ruleWidth)

	name, fitted := p.fit(p.say.Station(s), room, 64, bold)
	y += 1.3*placardMark + fitted
	p.centre(middle, y, name, fitted, bold)

	url := StationURL(doc.Address, s)
	// Upper case keeps the symbol small; the server knows its stations in any case.
	code, err := p.symbol(strings.ToUpper(url))
	if err != nil {
		return err
	}
	m := module(code.side, placardQR)
	side := m * float64(code.side)
	y += 14
	p.square(code, sheetMargin, y, m)

	left := sheetMargin + side + 14
	down := p.lines(left, y+math.Floor(side/9), size.Wd-sheetMargin-left, p.say.T("paper.placard.scan"), 20, bold, 5)
	p.lines(left, down+6, size.Wd-sheetMargin-left, p.say.T("paper.placard.type"), placardWords, plain, 4)
	p.fitted(sheetMargin, y+side+placardWords, room, url, placardWords, bold)

	y += side + 2.2*placardWords
	for _, c := range plan.Cautions(s) {
		p.pdf.Line(sheetMargin, y, size.Wd-sheetMargin, y)
		p.warning(sheetMargin, y+26, 22)
		y = max(y+32, p.lines(sheetMargin+32, y+5, room-32, p.say.T("caution."+c), placardWords, bold, 3)+4)
	}
	return nil
}

// markRadius is that of a mark's circle on a ticket in points.
const markRadius = 7.5

// mark draws a station's selvedge mark, its number on its shape, in black and white, with (x, y) its middle. A station that only
// an old ledger knows has no number.
func (p *pen) mark(s plan.Station, x, y, radius float64) { p.drawMark(s, x, y, radius, pdf.Stroked) }

// colouredMark draws the mark in its colour, as screens show it: on paper that hangs and may be printed in colour. Its edge and
// shape keep it apart without.
func (p *pen) colouredMark(s plan.Station, x, y, radius float64) {
	colour, _ := mark.ColourOf(s)
	p.pdf.SetFillColour(pdf.Colour(colour.Fill))
	p.pdf.SetTextColour(pdf.Colour(colour.Ink))
	p.drawMark(s, x, y, radius, pdf.Edged)
	p.pdf.SetFillColour(shadeOf(0))
	p.pdf.SetTextColour(shadeOf(0))
}

func (p *pen) drawMark(s plan.Station, x, y, radius float64, paint pdf.Paint) {
	shape, known := mark.Of(s)
	for _, l := range shape.Lines {
		p.line(l, x, y, radius, paint)
	}
	if !known {
		return
	}
	number := measure.Count(plan.Number(s))
	size := smallest * radius / markRadius
	p.centre(x, y+radius*shape.Lower+0.36*size, number, size, bold)
}

// line draws a line of a mark whose middle is (x, y).
func (p *pen) line(l mark.Line, x, y, radius float64, paint pdf.Paint) {
	at := func(q mark.Point) point { return point(q.At(x, y, radius)) }
	from := at(l.From)
	if l.Straight() {
		corners := []point{from}
		for _, c := range l.Parts {
			corners = append(corners, at(c.To))
		}
		p.pdf.Polygon(corners, paint)
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
	p.pdf.Draw(paint)
}
