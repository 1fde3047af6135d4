package stations

import (
	"time"

	"tablehand/engine/billing"
	"tablehand/engine/measure"
	"tablehand/stations/plan"
)

// Letterhead is what an invoice says of the shop itself. Address and terms are in lines, "" where the shop has set none.
type Letterhead struct {
	Shop    string `json:"shop,omitempty"`
	Address string `json:"address,omitempty"`
	Terms   string `json:"terms,omitempty"` // of payment
}

// Invoice is a draft or issued invoice, or a credit note of one; read only. A draft of an invoice follows the price
// list; what is issued, and what is credited, stays as it is.
type Invoice struct {
	Draft    string        `json:"draft"`
	Kind     DocumentKind  `json:"kind,omitempty"`   // "" of an invoice
	Number   string        `json:"number,omitempty"` // "" while a draft
	Customer string        `json:"customer"`
	Lines    []InvoiceLine `json:"lines"`
	Currency string        `json:"currency"`
	Drafted  time.Time     `json:"drafted"`
	Issued   time.Time     `json:"issued,omitzero"`
	// Date is the civil date of issue, and From what the shop said of itself then; an invoice that was issued before
	// they were kept has neither.
	Date string      `json:"date,omitempty"`
	From *Letterhead `json:"from,omitempty"`

	// Of a credit note: the number of the invoice that it credits, why, and whether its panels can be billed again.
	RefersTo string `json:"refers_to,omitempty"`
	Reason   string `json:"reason,omitempty"`
	Frees    bool   `json:"frees,omitempty"`

	// Of an invoice: the draft id of the credit note that credits it, also once that is issued, "" for none; and whether
	// its panels are free of it. Later events say so, not the invoice's own.
	CreditedBy string `json:"-"`
	Freed      bool   `json:"-"`
}

// InvoiceLine is one panel's line; Amount is nil while no price is set.
type InvoiceLine struct {
	Ticket  plan.Code      `json:"ticket"`
	Order   string         `json:"order"`
	Window  string         `json:"window"`
	Room    string         `json:"room,omitempty"`
	Panel   string         `json:"panel"`
	Copy    int            `json:"copy"`
	Heading string         `json:"heading"`
	Widths  measure.Halves `json:"widths"`
	// Lining and Interlining are the fabrics, Width and Length the finished size; none on a ticket that
	// doesn't say.
	Lining      string           `json:"lining,omitempty"`
	Interlining string           `json:"interlining,omitempty"`
	Width       measure.Quantity `json:"finished_width,omitzero"`
	Length      measure.Quantity `json:"finished_length,omitzero"`
	Scrapped    bool             `json:"scrapped,omitempty"` // billed though it was ended unfinished
	Rate        *billing.Rate    `json:"rate,omitempty"`     // that the amount follows from
	Amount      *billing.Money   `json:"amount,omitempty"`
}

// Unpriced returns the tickets of the lines that have no price.
func (i *Invoice) Unpriced() []plan.Code {
	var codes []plan.Code
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
		l.Rate, l.Amount = nil, nil
		if r, ok := list.Rate(l.Heading); ok {
			m := r.Of(l.Widths)
			l.Rate, l.Amount = &r, &m
		}
	}
}

func lineOf(t *Ticket) InvoiceLine {
	s := t.Spec
	return InvoiceLine{
		Ticket: s.Code, Order: t.Order, Window: s.Window, Room: s.Room, Panel: s.Panel, Copy: s.Copy,
		Heading: string(s.Heading), Widths: s.Widths, Lining: s.Lining, Interlining: s.Interlining,
		Scrapped: t.Scrapped, Width: s.Value("finished_width"), Length: s.Value("finished_length"),
	}
}
