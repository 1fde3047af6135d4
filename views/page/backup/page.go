// Package backup is the page that asks for the passphrase before a copy of the whole shop leaves it.
package backup

import (
	"embed"

	"tablehand/views"
)

// Page asks whoever is signed in for the shop's passphrase again: a copy has everything, and a signed-in browser may
// stand where anybody can reach it.
type Page struct {
	views.Frame
	File  string // the copy's name
	Wrong bool   // the passphrase last sent
	Wait  int    // seconds until another try, 0 for at once
}

//go:embed *.html
var html embed.FS

var page = views.Template{Name: "backup", HTML: html, Files: []string{"page.html"}}

// Template is how the page is written.
func (Page) Template() *views.Template { return &page }
