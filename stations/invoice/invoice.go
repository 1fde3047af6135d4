// Package invoice has the documents of billing: invoices and credit notes, their lines, what they come to, how they are numbered and
// how they are read.
package invoice

import (
	"cmp"
	"slices"
	"strconv"
	"time"

	"tablehand/engine/billing"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/stations/plan"
)

// Letterhead is what an invoice says of the shop itself, and of its orders in the shop's words. Address and terms are in lines, "" where the shop has set none.
type Letterhead struct {
	Shop    string `json:"shop,omitempty"`
	Address string `json:"address,omitempty"`
	Terms   string `json:"terms,omitempty"` // of payment
	Paper   string `json:"paper,omitempty"` // that it is printed on: letter, a4
	// Sidemarks are those of the orders billed, by order, where the shop or the order shows them.
	Sidemarks map[string]string `json:"sidemarks,omitempty"`
}

// Kind tells the documents of billing apart. Its values are those of the ledger's events and of the documents
// that programs read.
type Kind string

const (
	Ordinary   Kind = "invoice"
	CreditNote Kind = "credit_note"
)

// Document is a draft or issued invoice, or a credit note of one; read only. A draft of an invoice follows the price
// list; what is issued, and what is credited, stays as it is.
type Document struct {
	Draft    string    `json:"draft"`
	Kind     Kind      `json:"kind,omitempty"`   // "" of an invoice
	Number   string    `json:"number,omitempty"` // "" while a draft
	Customer string    `json:"customer"`
	Lines    []Line    `json:"lines"`
	Currency string    `json:"currency"`
	Drafted  time.Time `json:"drafted"`
	Issued   time.Time `json:"issued,omitzero"`
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

// Line is one panel's line; Amount is nil while no price is set.
type Line struct {
	Ticket  plan.Code `json:"ticket"`
	Order   string    `json:"order"`
	Window  string    `json:"window"`
	Room    string    `json:"room,omitempty"`
	Panel   string    `json:"panel"`
	Copy    int       `json:"copy"`
	Heading string    `json:"heading"`
	orderfile.Made
	Widths measure.Halves `json:"widths"`
	// Piece is what a piece is that is no panel: its text is the window. Typed: its amount is as somebody typed it, whatever
	// the price list says.
	Piece string `json:"piece,omitempty"`
	Typed bool   `json:"typed,omitempty"`
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

// LineOf is the line of a panel of an order, without its price; scrapped: it was ended unfinished.
func LineOf(s *plan.Ticket, order string, scrapped bool) Line {
	return Line{
		Ticket: s.Code, Order: order, Window: s.Window, Room: s.Room, Panel: s.Panel, Copy: s.Copy,
		Heading: string(s.Heading), Made: s.Made, Piece: string(s.Piece), Widths: s.Widths, Lining: s.Lining, Interlining: s.Interlining,
		Scrapped: scrapped, Width: s.Value("finished_width"), Length: hung(s),
	}
}

// hung is the finished length: of cloth that grows as it hangs, of what it grows to.
func hung(s *plan.Ticket) measure.Quantity {
	if grown := s.Value("hung_length"); !grown.IsZero() {
		return grown
	}
	return s.Value("finished_length")
}

// IsCredit reports whether the document is a credit note: its amounts are what it takes off an invoice.
func (i *Document) IsCredit() bool { return i.Kind == CreditNote }

// Name is a document's number, the id of a draft.
func (i *Document) Name() string { return cmp.Or(i.Number, i.Draft) }

// Price sets every line's amount by a price list, but for those that were typed.
func (i *Document) Price(list billing.PriceList) {
	i.Currency = list.Currency
	for n := range i.Lines {
		l := &i.Lines[n]
		if l.Typed && l.Amount.Currency == list.Currency {
			continue
		}
		l.Rate, l.Amount, l.Typed = nil, nil, false
		if l.Piece != "" {
			if m, ok := list.Each(l.Piece); ok {
				l.Amount = &m
			}
			continue
		}
		if r, ok := list.Rate(l.Heading, string(l.HeadingLike)); ok {
			m := r.Of(l.Widths)
			l.Rate, l.Amount = &r, &m
		}
	}
}

// Unpriced returns the tickets of the lines that have no price.
func (i *Document) Unpriced() []plan.Code {
	var codes []plan.Code
	for _, l := range i.Lines {
		if l.Amount == nil {
			codes = append(codes, l.Ticket)
		}
	}
	return codes
}

// Total is the sum of the lines that have an amount.
func (i *Document) Total() billing.Money {
	var amounts []billing.Money
	for _, l := range i.Lines {
		if l.Amount != nil {
			amounts = append(amounts, *l.Amount)
		}
	}
	return billing.Sum(i.Currency, amounts)
}

// CreditNote drafts a credit note of the whole of an issued invoice: what it takes off is what the invoice bills, line by line,
// whatever the prices are now.
func (i *Document) CreditNote(draft string, frees bool, reason string, at time.Time) *Document {
	return &Document{
		Draft: draft, Kind: CreditNote, RefersTo: i.Number, Frees: frees, Reason: reason,
		Customer: i.Customer, Currency: i.Currency, Lines: slices.Clone(i.Lines), Drafted: at,
	}
}

// creditSeries begins the numbers of credit notes, which are counted by themselves: CN-1, CN-2, ... An invoice's number
// has no letters, so that either leads to its document alone.
const creditSeries = "CN-"

// NumberAfter is the number that a document gets when it is issued, after so many invoices and credit notes.
func (i *Document) NumberAfter(invoices, credits int) string {
	if i.IsCredit() {
		return creditSeries + strconv.Itoa(credits+1)
	}
	return strconv.Itoa(invoices + 1)
}
