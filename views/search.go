package views

import "io"

// SearchPage is what was found of what somebody looked for, by kind.
type SearchPage struct {
	Frame
	Asked    string
	Orders   []OrderRow
	Panels   []Piece
	Cutting  []Piece
	Invoices []InvoiceRow

	MoreOrders, MorePanels, MoreCutting, MoreInvoices int // found beyond those shown
}

// Nothing reports whether something was looked for and not found.
func (p SearchPage) Nothing() bool {
	return p.Asked != "" && len(p.Orders)+len(p.Panels)+len(p.Cutting)+len(p.Invoices) == 0
}

// Search renders the page of what was found.
func (v *Views) Search(w io.Writer, p SearchPage) error { return v.render(w, "search", p) }
