// Package calendar is the page of the address by which calendars read the due dates.
package calendar

import (
	"embed"

	"tablehand/views"
)

// Page makes the address, and shows a new one once.
type Page struct {
	views.Frame
	There bool   // there is an address
	New   string // address, a new one, "" none
}

//go:embed *.html
var html embed.FS

var page = views.Template{Name: "calendar", HTML: html, Files: []string{"page.html"}}

// Template is how the page is written.
func (Page) Template() *views.Template { return &page }
