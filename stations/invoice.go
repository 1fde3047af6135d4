package stations

import (
	"time"

	"tablehand/engine/billing"
	"tablehand/engine/measure"
)

// Invoice is a draft or issued invoice; read only. A draft follows the price list, an issued one stays as it is.
type Invoice struct {
	Draft    string        `json:"draft"`
	Number   string        `json:"number,omitempty"` // "" while a draft
	Customer string        `json:"customer"`
	Lines    []InvoiceLine `json:"lines"`
	Currency string        `json:"currency"`
	Drafted  time.Time     `json:"drafted"`
	Issued   time.Time     `json:"issued,omitzero"`
}

// InvoiceLine is one panel's line; Amount is nil while no price is set.
type InvoiceLine struct {
	Ticket  Code           `json:"ticket"`
	Order   string         `json:"order"`
	Window  string         `json:"window"`
	Room    string         `json:"room,omitempty"`
	Panel   string         `json:"panel"`
	Copy    int            `json:"copy"`
	Heading string         `json:"heading"`
	Widths  measure.Halves `json:"widths"`
	Amount  *billing.Money `json:"amount,omitempty"`
}

// Unpriced returns the tickets of the lines that have no price.
func (i *Invoice) Unpriced() []Code {
	var codes []Code
	for _, l := range i.Lines {
		if l.Amount == nil {
			codes = append(codes, l.Ticket)
		}
	}
	return codes
}

// price sets every line's amount by a price list.
func (i *Invoice) price(list billing.PriceList) {
	i.Currency = list.Currency
	for n := range i.Lines {
		l := &i.Lines[n]
		l.Amount = nil
		if m, ok := list.Price(l.Heading, l.Widths); ok {
			l.Amount = &m
		}
	}
}

func lineOf(t *Ticket) InvoiceLine {
	s := t.Spec
	return InvoiceLine{
		Ticket: s.Code, Order: t.Order, Window: s.Window, Room: s.Room, Panel: s.Panel, Copy: s.Copy,
		Heading: string(s.Heading), Widths: s.Widths,
	}
}
