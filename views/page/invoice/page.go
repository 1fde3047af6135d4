// Package invoice is the page of one invoice, credit note or draft.
package invoice

import (
	"embed"
	"html/template"

	"tablehand/engine/billing"
	"tablehand/stations/invoice"
	"tablehand/views"
)

// Page shows a draft or an issued invoice.
type Page struct {
	views.Frame
	Invoice *invoice.Document
	Orders  []invoice.Order // its lines, as they are read
	Total   *billing.Money  // nil while a price is missing
	From    invoice.Letterhead
	Date    string // of issue, of a draft that of drafting, YYYY-MM-DD
	Answer  *views.Answer

	Credit *invoice.Document // of an invoice: its credit note, nil for none
	Typed  CreditForm        // of a try that was refused
}

// CreditForm is what somebody has typed to credit an invoice.
type CreditForm struct {
	Frees  string // yes, no, "" where nobody has said
	Reason string
}

// Several reports whether the invoice bills more than one order.
func (p Page) Several() bool { return len(p.Orders) > 1 }

// ToType are the lines of pieces on a draft whose amount somebody types: the price list has none, or it was typed before.
func (p Page) ToType() []invoice.Line {
	var lines []invoice.Line
	for _, l := range p.Invoice.Lines {
		if l.Piece != "" && (l.Typed || l.Amount == nil) && !p.Issued() && !p.Invoice.IsCredit() && p.Invoice.Currency != "" {
			lines = append(lines, l)
		}
	}
	return lines
}

// Typed is the amount of a line as somebody typed it, "" for none.
func typedAmount(l invoice.Line) string {
	if l.Amount == nil {
		return ""
	}
	return l.Amount.Amount()
}

// Issued reports whether the invoice has its number.
func (p Page) Issued() bool { return p.Invoice.Number != "" }

//go:embed *.html
var html embed.FS

var page = views.Template{Name: "invoice", HTML: html, Files: []string{"page.html"}, Functions: functions}

// Template is how the page is written.
func (Page) Template() *views.Template { return &page }

// functions are what only this template calls.
func functions(v *views.Views) template.FuncMap {
	return template.FuncMap{"what": v.Say.BilledWhat, "panels": v.Say.BilledPanels, "rate": v.Say.BilledRate, "amount": typedAmount}
}
