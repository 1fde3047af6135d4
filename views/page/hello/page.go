// Package hello is the page that a phone finds at the end of the test code.
package hello

import (
	"embed"

	"tablehand/views"
)

// Page tells a phone that it reaches the shop.
type Page struct{ views.Frame }

//go:embed *.html
var html embed.FS

var page = views.Template{Name: "hello", HTML: html, Files: []string{"page.html"}}

// Template is how the page is written.
func (Page) Template() *views.Template { return &page }
