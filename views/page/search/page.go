// Package search is the page of what was found of what somebody looked for.
package search

import (
	"embed"

	"tablehand/views"
)

// Page is what was found of what somebody looked for, by kind.
type Page struct {
	views.Frame
	Asked    string
	Orders   []views.OrderRow
	Panels   []views.Piece
	Cutting  []views.Piece
	Invoices []views.InvoiceRow

	MoreOrders, MorePanels, MoreCutting, MoreInvoices int // found beyond those shown
}

// Nothing reports whether something was looked for and not found.
func (p Page) Nothing() bool {
	return p.Asked != "" && len(p.Orders)+len(p.Panels)+len(p.Cutting)+len(p.Invoices) == 0
}

//go:embed *.html
var html embed.FS

var page = views.Template{Name: "search", HTML: html, Files: []string{"page.html"}}

// Template is how the page is written.
func (Page) Template() *views.Template { return &page }
