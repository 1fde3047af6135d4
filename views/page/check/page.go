// Package check is the page on which a shop is looked over.
package check

import (
	"embed"
	"html/template"

	"tablehand/views"
)

// Page is what a shop looks over now and then: how it is reached, printed, copied and kept.
type Page struct {
	views.Frame
	ShopAt   string             // the address that devices find it at
	Moved    bool               // the address is none of this machine's
	OnlyHere bool               // only this machine reaches it
	Square   template.HTML      // the QR of the address's hello page
	Reached  *Moment            // when another device last asked for that
	Backup   *Backup            // nil: none yet
	Copy     *views.SecondPlace // nil: none is named
	Trust    bool               // devices have to be made to trust the shop's own authority
	Space    SpaceLeft
	Now      Moment // the shop's clock
	Millis   int64  // the same in milliseconds since 1970
	Findings *Findings
	Answer   *views.Answer
}

// Moment is an instant in the shop's zone.
type Moment struct {
	Date string // YYYY-MM-DD
	Time string // 15:04:05
	Zone string
}

// Backup is the last backup that was whole.
type Backup struct {
	When Moment
	File string
	Old  bool // longer ago than a shop should be without one
	Here bool // it lies in the data folder and can be sent
}

// SpaceLeft is the disk under the shop, written out: "3.4 MB".
type SpaceLeft struct {
	Database, Free, Disk string // Free and Disk "" where the system doesn't tell
	Low                  bool
}

// Findings are what a look at everything showed.
type Findings struct {
	Answers     bool   // the address, asked from this machine
	Why         string // it doesn't, in the system's words
	Differences int    // between the books and their ledger
	First       string
}

//go:embed *.html
var html embed.FS

var page = views.Template{Name: "check", HTML: html, Files: []string{"page.html"}}

// Template is how the page is written.
func (Page) Template() *views.Template { return &page }
