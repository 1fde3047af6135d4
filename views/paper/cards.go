package paper

import (
	"cmp"
	"fmt"
	"io"
	"strings"
	"time"
	"unicode/utf8"

	"tablehand/engine/measure"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views/i18n"
)

// A card is 3 1/2 × 2 in, as a visiting card: ten to a sheet, three to a label.
const (
	cardWidth  = 252.0
	cardHeight = 144.0
	cardMargin = 10.0
	cardSquare = 96.0
)

// A key card stands with the others on one sheet beside the bench: four across, so far apart that a scanner reads the
// one it is held to.
const (
	keyWidth  = 144.0
	keyHeight = 104.0
	keySquare = 76.0
)

// Cards writes a card for every command that a scanner at a bench can give: what it does, its QR, and the words to
// type where the scanner is away; and a sheet with the keys of the open page.
func Cards(w io.Writer, doc ShopDoc) error {
	_, err := writeCards(w, doc)
	return err
}

func writeCards(w io.Writer, doc ShopDoc) (*pen, error) {
	sheet := cmp.Or(doc.Sheet, Letter)
	p := newPen(w, doc.Say, sheets[sheet], doc.Say.T("paper.card.title"), doc.Made)
	cells := newGrid(p, sheet, cardWidth, cardHeight)
	for _, c := range stations.Cards() {
		x, y := cells.next()
		if err := p.card(c, x, y); err != nil {
			return nil, err
		}
	}
	if err := p.keys(sheet); err != nil {
		return nil, err
	}
	if err := p.pdf.Close(); err != nil {
		return nil, fmt.Errorf("paper: cards: %w", err)
	}
	return p, nil
}

// card prints one card with its left top at (x, y).
func (p *pen) card(c stations.Card, x, y float64) error {
	code, err := p.symbol(c.String())
	if err != nil {
		return err
	}
	m := module(code.side, cardSquare)
	side := m * float64(code.side)
	p.square(code, x+cardWidth-cardMargin-side, y+cardMargin, m)

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

// keys prints the keys of the open page, as many to a sheet as it takes.
func (p *pen) keys(sheet Sheet) error {
	cells := newGrid(p, sheet, keyWidth, keyHeight)
	for _, c := range stations.Presses() {
		x, y := cells.next()
		code, err := p.symbol(c.String())
		if err != nil {
			return err
		}
		m := module(code.side, keySquare)
		side := m * float64(code.side)
		p.square(code, x+keyWidth-cardMargin-side, y+cardMargin, m)
		face, size := p.face(c), 15.0
		if utf8.RuneCountInString(face) == 1 {
			size = 30
		}
		p.lines(x+cardMargin, y+cardMargin, keyWidth-2*cardMargin-side-4, face, size, bold, 3)
		p.fitted(x+cardMargin, y+keyHeight-6, keyWidth-2*cardMargin, c.String(), 8, plain)
	}
	return nil
}

// face is what a key card says to people: a digit, a fraction, a word.
func (p *pen) face(c stations.Card) string {
	kind, number, counted := strings.Cut(c.Press, " ")
	switch {
	case kind == "key":
		return number
	case kind == "mark":
		return p.say.Mark()
	case c.Eighths > 0:
		return p.say.Length(measure.Inch.Times(c.Eighths).Div(8), measure.In)
	case counted:
		return p.say.T("card.press." + kind + "_" + number)
	}
	return p.say.T("card.press." + kind)
}

// BadgeMark stands before the code of a badge, so that it is never taken for a ticket's.
const BadgeMark = "P"

// BadgeURL is what a badge's QR holds.
func BadgeURL(address string, badge plan.Code) string {
	return strings.ToUpper(strings.TrimRight(address, "/")) + "/" + BadgeMark + "/" + string(badge)
}

// BadgeDoc is a person's badge.
type BadgeDoc struct {
	Say            *i18n.Printer
	Address        string // base URL in the QR code
	Shop           string
	Name, Initials string
	Badge          plan.Code
	Made           time.Time
}

const badgeQR = 190.0 // about its side

// Badge writes a badge on one label: the initials large, the name, the QR, and the code to type where none is read.
func Badge(w io.Writer, doc BadgeDoc) error {
	p := newPen(w, doc.Say, sheets[Labels], doc.Name, doc.Made)
	p.pdf.AddPage()
	p.page = 1
	middle, y := labelWidth/2.0, 84.0
	initials, size := p.fit(doc.Initials, inside, 64, bold)
	p.centre(middle, y, initials, size, bold)
	name, size := p.fit(doc.Name, inside, 20, bold)
	p.centre(middle, y+32, name, size, bold)
	shop, size := p.fit(doc.Shop, inside, 12, plain)
	p.centre(middle, y+52, shop, size, plain)
	code, err := p.symbol(BadgeURL(doc.Address, doc.Badge))
	if err != nil {
		return err
	}
	m := module(code.side, badgeQR)
	side := m * float64(code.side)
	p.square(code, middle-side/2, y+72, m)
	p.centre(middle, y+72+side+28, BadgeMark+" "+string(doc.Badge[:3]+" "+doc.Badge[3:6]+" "+doc.Badge[6:]), 20, bold)
	if err := p.pdf.Close(); err != nil {
		return fmt.Errorf("paper: badge: %w", err)
	}
	return nil
}
