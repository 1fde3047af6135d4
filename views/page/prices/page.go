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

// Row is a row of the list with its place in it.
type Row struct {
	billing.PriceRow
	At int
}

// Panels are the rows of headings, Pieces those of pieces that are no panels.
func (p Page) Panels() []Row { return p.rows(false) }
func (p Page) Pieces() []Row { return p.rows(true) }

func (p Page) rows(pieces bool) []Row {
	var rows []Row
	for i, r := range p.Prices.Rows {
		if (r.Piece != "") == pieces {
			rows = append(rows, Row{r, i})
		}
	}
	return rows
}

// PricesPieces reports whether a kind of piece has a price.
func (p Page) PricesPieces() bool {
	return slices.ContainsFunc(p.Prices.Rows, func(r billing.PriceRow) bool { return r.Each != "" })
}

// Empty reports whether no price is set.
func (p Page) Empty() bool {
	return !slices.ContainsFunc(p.Prices.Rows, func(r billing.PriceRow) bool { return r.Panel != "" || r.Width != "" || r.Each != "" })
}

//go:embed *.html
var html embed.FS

var page = views.Template{Name: "prices", HTML: html, Files: []string{"page.html"}}

// Template is how the page is written.
func (Page) Template() *views.Template { return &page }
