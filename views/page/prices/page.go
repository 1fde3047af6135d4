// Package prices is the page of the price list.
package prices

import (
	"embed"
	"slices"

	"tablehand/engine"
	"tablehand/engine/billing"
	"tablehand/views"
)

// Page edits the price list; what was typed comes back when it is refused.
type Page struct {
	views.Frame
	Prices   billing.PriceList
	Problems []engine.Problem
	Uploaded *views.Uploaded // a file that wasn't taken
	HasFile  bool            // there are prices to be had as a file
	Answer   *views.Answer
}

// Empty reports whether no price is set.
func (p Page) Empty() bool {
	return !slices.ContainsFunc(p.Prices.Rows, func(r billing.PriceRow) bool { return r.Panel != "" || r.Width != "" })
}

//go:embed *.html
var html embed.FS

var page = views.Template{Name: "prices", HTML: html, Files: []string{"page.html"}}

// Template is how the page is written.
func (Page) Template() *views.Template { return &page }
