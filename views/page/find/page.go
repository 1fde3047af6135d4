// Package find is the page that finds a ticket by its code or a photograph.
package find

import (
	"embed"

	"tablehand/views"
)

// Page finds a ticket by its code, typed or photographed.
type Page struct {
	views.Frame
	Answer *views.Answer // why the last photograph led nowhere
}

//go:embed *.html
var html embed.FS

var page = views.Template{Name: "find", HTML: html, Files: []string{"page.html"}}

// Template is how the page is written.
func (Page) Template() *views.Template { return &page }
