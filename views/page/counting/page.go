// Package counting is the pages on which a workroom counts what lies at a station.
package counting

import (
	"embed"

	"tablehand/stations/plan"
	"tablehand/views"
)

// StartPage begins a count, or goes on with one.
type StartPage struct {
	views.Frame
	Stations []plan.Station // that can be counted from here
	Open     []Open
}

// Open is a count that goes on.
type Open struct {
	ID      string
	Station plan.Station
	Who     string
	Began   views.Moment
}

// Page is a count.
type Page struct {
	views.Frame
	ID              string
	Station         plan.Station
	Ended           bool
	Expected, There int
	Seen            []Seen // the last first
	Missing, Astray []views.Piece
	Answer          *views.Answer
}

// Seen is a ticket that was seen. Here: it belongs at this station.
type Seen struct {
	views.Piece
	Here bool
}

//go:embed *.html
var html embed.FS

var (
	startPage = views.Template{Name: "counting-start", HTML: html, Files: []string{"start.html"}}
	page      = views.Template{Name: "counting", HTML: html, Files: []string{"page.html"}}
)

// Template is how the page is written.
func (StartPage) Template() *views.Template { return &startPage }

// Template is how the page is written.
func (Page) Template() *views.Template { return &page }
