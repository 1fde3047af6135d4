package paper

import (
	"cmp"
	"fmt"
	"io"

	"tablehand/stations"
)

// A card is 3 1/2 × 2 in, as a visiting card: ten to a sheet, three to a label.
const (
	cardWidth  = 252.0
	cardHeight = 144.0
	cardMargin = 10.0
	cardSquare = 96.0
)

// Cards writes a card for every command that a scanner at a bench can give: what it does, its QR, and the words to
// type where the scanner is away.
func Cards(w io.Writer, doc ShopDoc) error {
	_, err := writeCards(w, doc)
	return err
}

func writeCards(w io.Writer, doc ShopDoc) (*pen, error) {
	sheet := cmp.Or(doc.Sheet, Letter)
	p := newPen(doc.Say, sheets[sheet], doc.Say.T("paper.card.title"), doc.Made)
	cells := newGrid(p, sheet, cardWidth, cardHeight)
	for _, c := range stations.Cards() {
		x, y := cells.next()
		if err := p.card(c, x, y); err != nil {
			return nil, err
		}
	}
	if err := p.pdf.Output(w); err != nil {
		return nil, fmt.Errorf("paper: cards: %w", err)
	}
	return p, nil
}

// card prints one card with its left top at (x, y).
func (p *pen) card(c stations.Card, x, y float64) error {
	bitmap, err := sturdy(c.String())
	if err != nil {
		return err
	}
	m := module(len(bitmap), cardSquare)
	side := m * float64(len(bitmap))
	p.square(bitmap, x+cardWidth-cardMargin-side, y+cardMargin, m)

	left := x + cardMargin
	room := cardWidth - 2*cardMargin - side - 4
	down := p.lines(left, y+cardMargin, room, p.say.T("card."+string(c.Action)), 19, bold, 2)
	if c.Reason != "" {
		down = p.lines(left, down, room, p.say.T("card.reason."+c.Reason), 13, bold, 3)
	}
	p.lines(left, down+2, room, p.say.T("card."+string(c.Action)+".does"), 9, plain, 4)
	p.fitted(left, y+cardHeight-cardMargin, cardWidth-2*cardMargin, p.say.T("paper.card.typed", "Text", c), 11, bold)
	return nil
}
