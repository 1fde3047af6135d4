// Package purchases is the page of what has to be bought.
package purchases

import (
	"embed"

	"tablehand/engine/measure"
	"tablehand/views"
)

// Page lists what orders due in a span of days take, by supplier.
type Page struct {
	views.Frame
	From, To  string // YYYY-MM-DD, both included
	Suppliers []Supplier
	States    []string
	Answer    *views.Answer
}

// Supplier is what to buy of one; its name is "" where the books don't say.
type Supplier struct {
	Name  string
	Lines []Line
}

// Line is one thing to buy.
type Line struct {
	ID           string
	What         string // catalogue: purchases.what.<what>
	Name         string
	Number       string           // the supplier's
	Size         measure.Quantity // the height of buckram, the drop of hooks, both diameters of eyelets
	Need, OnHand measure.Quantity
	ToOrder      measure.Quantity
	Packs        int
	Orders       []string
	State        string
}

//go:embed *.html
var html embed.FS

var page = views.Template{Name: "purchases", HTML: html, Files: []string{"page.html"}}

// Template is how the page is written.
func (Page) Template() *views.Template { return &page }
