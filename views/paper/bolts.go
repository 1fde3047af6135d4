package paper

import (
	"cmp"
	"fmt"
	"io"
	"time"

	"tablehand/engine/measure"
	"tablehand/stations/plan"
	"tablehand/views/i18n"
)

// A bolt's label is 4 × 2 1/2 in. It stays on its bolt until that is used up.
const (
	boltLabelWidth  = labelWidth
	boltLabelHeight = 180.0
	boltLabelMargin = 10.0
	boltLabelSquare = 104.0
)

// shortBolt is what is told as a cut is, not as cloth is bought.
const shortBolt = 10 * measure.Yard

// kind names what a remnant is.
func (b *BoltLabel) kind() string {
	if b.Half {
		return "bolt.kind.half"
	}
	return "bolt.kind.remnant"
}

func (b *BoltLabel) lengthUnits() measure.Unit {
	if b.Length < shortBolt {
		return b.Units
	}
	return b.Units.Purchase()
}

// BoltLabelsDoc are labels of bolts.
type BoltLabelsDoc struct {
	Say     *i18n.Printer
	Sheet   Sheet  // "" labels of their own size
	Address string // base URL in the QR codes
	Made    time.Time
	Bolts   []BoltLabel
}

// BoltLabel is one of them.
type BoltLabel struct {
	Bolt           plan.Code
	Cloth          string // as the shop calls it
	Lot            string
	Length         measure.Length // what is on it
	Units          measure.Unit
	Width          measure.Length // 0 where nobody knows
	Place          string
	Received       string // civil date YYYY-MM-DD
	Remnant        bool
	Half           bool // of the width
	CustomersCloth bool
	Owner          string // whose it is, where that may be told
}

// BoltLabels writes labels of bolts: what somebody sees of one from before the shelf, and its code.
func BoltLabels(w io.Writer, doc BoltLabelsDoc) error {
	_, err := writeBoltLabels(w, doc)
	return err
}

func writeBoltLabels(w io.Writer, doc BoltLabelsDoc) (*pen, error) {
	sheet := cmp.Or(doc.Sheet, BoltStock)
	p := newPen(w, doc.Say, sheets[sheet], doc.Say.T("paper.bolt.title"), doc.Made)
	cells := newGrid(p, sheet, boltLabelWidth, boltLabelHeight)
	for i := range doc.Bolts {
		x, y := cells.next()
		if err := p.boltLabel(&doc, &doc.Bolts[i], x, y); err != nil {
			return nil, err
		}
	}
	if err := p.pdf.Close(); err != nil {
		return nil, fmt.Errorf("paper: labels of bolts: %w", err)
	}
	return p, nil
}

// boltLabel draws one with its left top at (x, y): the cloth over the whole width, below it the numbers beside the square.
func (p *pen) boltLabel(doc *BoltLabelsDoc, b *BoltLabel, x, y float64) error {
	left, wide := x+boltLabelMargin, boltLabelWidth-2*boltLabelMargin
	top := p.lines(left, y+boltLabelMargin-2, wide, b.Cloth, 18, bold, 2)
	side, _, err := p.codeSquare(x+boltLabelWidth-boltLabelMargin+4, top-2, boltLabelSquare, BoltURL(doc.Address, b.Bolt), b.Bolt, 11)
	if err != nil {
		return err
	}
	room := wide - side
	if b.Lot != "" {
		top = p.lines(left, top+1, room, p.say.T("paper.bolt.lot", "Lot", b.Lot), 16, bold, 1)
	}
	top = p.lines(left, top+1, room, p.say.Length(b.Length, b.lengthUnits()), 16, bold, 1)
	if b.Width > 0 {
		top = p.lines(left, top+1, room, p.say.T("paper.bolt.width", "Width", p.say.Length(b.Width, b.Units)), 11, plain, 1)
	}
	kind := p.say.T("paper.bolt.received", "Date", p.say.ShortDate(b.Received))
	if b.Remnant {
		kind = join(p.say.T(b.kind()), p.say.ShortDate(b.Received))
	}
	top = p.lines(left, top+1, room, kind, 11, plain, 1)
	if b.CustomersCloth {
		p.lines(left, top+1, room, cmp.Or(b.Owner, p.say.T("paper.bolt.customers")), 11, bold, 2)
	}
	if b.Place != "" {
		p.lines(left, y+boltLabelHeight-boltLabelMargin-24, room, b.Place, 22, bold, 1)
	}
	return nil
}
