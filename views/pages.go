package views

import (
	"html/template"
	"io"
	"slices"

	"tablehand/engine"
	"tablehand/engine/billing"
	"tablehand/stations"
)

// SignInPage asks for the shop's passphrase. A passphrase in the address's fragment, which browsers send to no
// server, fills it in.
type SignInPage struct {
	Frame
	Next  string // the page to go on to
	Wrong bool   // the passphrase last sent
	Wait  int    // seconds until another try, 0 for at once
}

// SignIn renders the sign-in page.
func (v *Views) SignIn(w io.Writer, p SignInPage) error { return v.render(w, "signin", p) }

// OrdersPage lists the orders, and takes a file; a file with errors comes back whole.
type OrdersPage struct {
	Frame
	Orders   []OrderRow
	Uploaded *Uploaded
}

// OrderRow is one order of the list.
type OrderRow struct {
	ID, Customer, Due      string
	State                  stations.OrderState
	Late                   bool
	Panels, Finished, Held int
}

// Uploaded is an order file that was not taken: its text, and what is wrong at each line.
type Uploaded struct {
	Source  string
	Refused string // the sentence of a refusal, such as an order of that name being there
	Lines   []SourceLine
	General []engine.Problem // without a line
	Errors  int
}

// SourceLine is one line of an order file with its problems.
type SourceLine struct {
	Number   int
	Text     string
	Problems []engine.Problem
}

// Orders renders the orders page.
func (v *Views) Orders(w io.Writer, p OrdersPage) error { return v.render(w, "orders", p) }

// StationPage is a station's own: the scan box, the open ticket, and what is at work and waits.
type StationPage struct {
	Frame
	Station stations.Station
	AtWork  []Piece
	Queue   []Piece // ready, late first
	Held    []Piece
	Coming  int // tickets that are still before this station
	Open    *OpenTicket
	Said    *Said // the answer to a scan sent without script
	Scanned string
}

// Next returns the first of the queue, nil where nothing waits.
func (p StationPage) Next() *Piece {
	if len(p.Queue) == 0 {
		return nil
	}
	return &p.Queue[0]
}

// Station renders a station page.
func (v *Views) Station(w io.Writer, p StationPage) error { return v.render(w, "station", p) }

// TicketPage is what a ticket's code leads to, on any phone.
type TicketPage struct {
	Frame
	Open OpenTicket
	Said *Said
}

// Ticket renders a ticket's page.
func (v *Views) Ticket(w io.Writer, p TicketPage) error { return v.render(w, "ticket", p) }

// ReadyPage gathers finished panels by customer, to draft an invoice of those ticked.
type ReadyPage struct {
	Frame
	Customers []CustomerReady
	Invoices  []InvoiceRow
	NoPrices  bool // the price list is empty
	Said      *Said
}

// CustomerReady is one customer's finished panels.
type CustomerReady struct {
	Customer string
	Panels   []ReadyPanel
}

// ReadyPanel is a finished panel with its price, nil where the list has none for it.
type ReadyPanel struct {
	Piece
	Price *billing.Money
}

// InvoiceRow is one invoice of the list.
type InvoiceRow struct {
	ID       string // number, or the draft's
	Issued   bool
	Credit   bool   // a credit note
	Credits  string // of a credit note: the number of its invoice
	Credited bool   // an invoice that is credited
	Customer string
	Panels   int
	Total    *billing.Money // nil while a price is missing
}

// ReadyToInvoice renders the page of finished panels.
func (v *Views) ReadyToInvoice(w io.Writer, p ReadyPage) error { return v.render(w, "ready", p) }

// InvoicePage shows a draft or an issued invoice.
type InvoicePage struct {
	Frame
	Invoice *stations.Invoice
	Orders  []stations.BilledOrder // its lines, as they are read
	Total   *billing.Money         // nil while a price is missing
	From    stations.Letterhead
	Date    string // of issue, of a draft that of drafting, YYYY-MM-DD
	Said    *Said

	Credit *stations.Invoice // of an invoice: its credit note, nil for none
	Typed  CreditForm        // of a try that was refused
}

// CreditForm is what somebody has typed to credit an invoice.
type CreditForm struct {
	Frees  string // yes, no, "" where nobody has said
	Reason string
}

// Several reports whether the invoice bills more than one order.
func (p InvoicePage) Several() bool { return len(p.Orders) > 1 }

// Issued reports whether the invoice has its number.
func (p InvoicePage) Issued() bool { return p.Invoice.Number != "" }

// Invoice renders an invoice's page.
func (v *Views) Invoice(w io.Writer, p InvoicePage) error { return v.render(w, "invoice", p) }

// PricesPage edits the price list; what was typed comes back when it is refused.
type PricesPage struct {
	Frame
	Prices   billing.PriceList
	Problems []engine.Problem
	Uploaded *Uploaded // a file that wasn't taken
	HasFile  bool      // there are prices to be had as a file
	Said     *Said
}

// Empty reports whether no price is set.
func (p PricesPage) Empty() bool {
	return !slices.ContainsFunc(p.Prices.Rows, func(r billing.PriceRow) bool { return r.Panel != "" || r.Width != "" })
}

// Prices renders the price list's page.
func (v *Views) Prices(w io.Writer, p PricesPage) error { return v.render(w, "prices", p) }

// ErrorPage tells what went wrong and where to go on.
type ErrorPage struct {
	Frame
	Status int
	Code   string
	Text   string
}

// Error renders the page of an error.
func (v *Views) Error(w io.Writer, p ErrorPage) error { return v.render(w, "error", p) }

// HTML returns the drawing as it stands in a page. It is ours, made from numbers by the paper package.
func (d Drawing) HTML() template.HTML { return template.HTML(d.SVG) }
