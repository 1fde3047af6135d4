// Package signin is the page that asks for the passphrase.
package signin

import (
	"embed"

	"tablehand/views"
)

// Page asks for the shop's passphrase. A passphrase in the address's fragment, which browsers send to no
// server, fills it in.
type Page struct {
	views.Frame
	Next  string // the page to go on to
	Name  string // typed
	Wrong bool   // the passphrase last sent
	Busy  bool   // too many were signing in at once
	Wait  int    // seconds until another try, 0 for at once
}

//go:embed *.html
var html embed.FS

var page = views.Template{Name: "signin", HTML: html, Files: []string{"page.html"}}

// Template is how the page is written.
func (Page) Template() *views.Template { return &page }
