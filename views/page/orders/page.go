// Package orders is the page of all orders, on which a file is taken.
package orders

import (
	"embed"

	"tablehand/stations"
	"tablehand/views"
)

// Page lists the orders, and takes a file; a file with errors comes back whole.
type Page struct {
	views.Frame
	Orders             []views.OrderRow // those asked for, a part of them
	First, Last, Total int              // which part, from 1, of how many
	Before, After      string           // addresses of the parts beside it, "" for none
	All                int              // orders, also those not asked for
	Customers          []string
	Filter             Filter
	Uploaded           *views.Uploaded
}

// Filter says which orders somebody wants to see, and in what order.
type Filter struct {
	Find, Customer string
	State          string // one of States, "" for any
	Sort           string // one of Sorts
}

// Asks reports whether the filter leaves anything out.
func (f Filter) Asks() bool { return f.Find != "" || f.Customer != "" || f.State != "" }

// Late is asked for like a state.
const Late = "late"

// States are what the list can be asked for, in the order of an order's life.
func States() []string {
	return []string{Late, string(stations.OrderTaken), string(stations.OrderReleased), string(stations.OrderFinished), string(stations.OrderInvoiced), string(stations.OrderCancelled)}
}

// Sorts are what the list goes by, the usual one first.
func Sorts() []string { return []string{"due", "order", "customer", "state"} }

// The same for the page's template.
func (p Page) States() []string { return States()[1:] }

func (p Page) Sorts() []string { return Sorts() }

//go:embed *.html
var html embed.FS

var page = views.Template{Name: "orders", HTML: html, Files: []string{"page.html"}}

// Template is how the page is written.
func (Page) Template() *views.Template { return &page }
