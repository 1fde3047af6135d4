// Package ready is the page of what can be invoiced, and of all invoices.
package ready

import (
	"embed"

	"tablehand/engine/billing"
	"tablehand/views"
)

// Page gathers finished panels by customer, to draft an invoice of those ticked.
type Page struct {
	views.Frame
	Customers []Customer
	Invoices  []views.InvoiceRow
	Billed    []string // the customers who have any
	Of        string   // whose alone are shown, "" all
	NoPrices  bool     // the price list is empty
	Answer    *views.Answer
}

// Customer is one customer's finished panels.
type Customer struct {
	Customer string
	Panels   []Panel
	Waiting  []Panel // whose windows have another panel that isn't finished: billed only where somebody ticks them
}

// Panel is a finished panel with its price, nil where the list has none for it.
type Panel struct {
	views.Piece
	Price *billing.Money
}

//go:embed *.html
var html embed.FS

var page = views.Template{Name: "ready", HTML: html, Files: []string{"page.html"}}

// Template is how the page is written.
func (Page) Template() *views.Template { return &page }
