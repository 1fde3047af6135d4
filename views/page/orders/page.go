// Package orders is the page of all orders, on which a file is taken.
package orders

import (
	"embed"

	"tablehand/views"
)

// Page lists the orders, and takes a file; a file with errors comes back whole.
type Page struct {
	views.Frame
	Orders   []views.OrderRow
	Uploaded *views.Uploaded
}

//go:embed *.html
var html embed.FS

var page = views.Template{Name: "orders", HTML: html, Files: []string{"page.html"}}

// Template is how the page is written.
func (Page) Template() *views.Template { return &page }
