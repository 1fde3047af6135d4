package paper

import (
	"fmt"
	"io"
	"strings"
	"time"

	"tablehand/stations/plan"
	"tablehand/views/i18n"
)

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
