// Package enter is the page on which a device becomes one of the shop's.
package enter

import (
	"embed"

	"tablehand/stations/plan"
	"tablehand/views"
)

// Page asks for the code of a device, or with one says what the device is about to become.
type Page struct {
	views.Frame
	Code       string // "" where it is still to be typed
	Name, Kind string
	Stations   []plan.Station // of a bench; none: all
	Typed      string
	Wrong      string // the sentence that says why what was typed doesn't do
}

//go:embed *.html
var html embed.FS

var page = views.Template{Name: "enter", HTML: html, Files: []string{"page.html"}}

// Template is how the page is written.
func (Page) Template() *views.Template { return &page }
