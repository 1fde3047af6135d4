// Package failure is the page that says what went wrong.
package failure

import (
	"embed"

	"tablehand/views"
)

// Page tells what went wrong and where to go on.
type Page struct {
	views.Frame
	Status int
	Code   string
	Text   string
}

//go:embed *.html
var html embed.FS

var page = views.Template{Name: "failure", HTML: html, Files: []string{"page.html"}}

// Template is how the page is written.
func (Page) Template() *views.Template { return &page }
