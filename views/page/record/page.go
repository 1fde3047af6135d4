// Package record is the page of who came in, was let in and shut out, and changed what.
package record

import (
	"embed"
	"time"

	"tablehand/views"
)

// Page shows entries, the newest first.
type Page struct {
	views.Frame
	Entries []Entry
	Before  int64 // the id of the last one shown, 0 where there is none before it
}

// Entry is one line.
type Entry struct {
	At                        time.Time // in the shop's zone
	Who, What, About, Address string
	Of                        string // what About changes, in the reader's words; "" where those are About's own
}

//go:embed *.html
var html embed.FS

var page = views.Template{Name: "record", HTML: html, Files: []string{"page.html"}}

// Template is how the page is written.
func (Page) Template() *views.Template { return &page }
