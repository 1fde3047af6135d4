package i18n

import (
	"strings"

	"tablehand/engine/measure"
	"tablehand/stations/invoice"
)

// BilledWhat says what the panels of a line are, or what a piece is: "cartridge pleat tape, 2½ widths, lined, finished 48 1/2 in × 95 1/2 in".
func (p *Printer) BilledWhat(l invoice.Line) string {
	if l.Piece != "" {
		if l.Scrapped {
			return p.T("piece."+l.Piece) + ", " + p.T("invoice.scrapped")
		}
		return p.T("piece." + l.Piece)
	}
	parts := []string{p.Heading(l.Heading, l.HeadingName), p.N("invoice.widths", plural(l.Widths), "Widths", Widths(l.Widths))}
	if l.Lining != "" {
		parts = append(parts, p.T("invoice.lined"))
	}
	if l.Interlining != "" {
		parts = append(parts, p.T("invoice.interlined"))
	}
	if !l.Width.IsZero() && !l.Length.IsZero() {
		parts = append(parts, p.T("invoice.finished", "Width", p.Quantity(l.Width), "Length", p.Quantity(l.Length)))
	}
	if l.Scrapped {
		parts = append(parts, p.T("invoice.scrapped"))
	}
	return strings.Join(parts, ", ")
}

// Priced names what a line's price is asked for: a heading, or a kind of piece.
func (p *Printer) Priced(l invoice.Line) string {
	if l.Piece != "" {
		return p.T("piece." + l.Piece)
	}
	return p.Heading(l.Heading, l.HeadingName)
}

// BilledPanels counts the pieces of a row, panels by their side: "2 left, 2 right panels".
func (p *Printer) BilledPanels(r invoice.Row) string {
	if r.Piece != "" {
		return p.N("invoice.pieces", len(r.Lines))
	}
	var sides []string
	for _, side := range []string{"L", "R", "S"} {
		if n := r.Panels(side); n > 0 {
			sides = append(sides, p.N("invoice.side."+side, n))
		}
	}
	return strings.Join(sides, ", ")
}

// BilledRate is the sum that an amount follows from: "40.00 + 2½ × 18.00"; "" for one billed before rates were
// kept, and for one without a price.
func (p *Printer) BilledRate(l invoice.Line) string {
	if l.Rate == nil {
		return ""
	}
	return p.T("invoice.rate", "Panel", p.Amount(l.Rate.Panel), "Widths", Widths(l.Widths), "Width", p.Amount(l.Rate.Width))
}

// Widths writes a number of widths: "2½", "½", "3".
func Widths(w measure.Halves) string {
	whole, half := w/2, w%2 != 0
	switch {
	case !half:
		return measure.Count(int(whole))
	case whole == 0:
		return "½"
	}
	return measure.Count(int(whole)) + "½"
}

// plural is the count that a number of widths takes its plural by: a half takes that of one, more than one that of
// several.
func plural(w measure.Halves) int { return (int(w) + 1) / 2 }
