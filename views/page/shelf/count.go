package shelf

import (
	"tablehand/engine/measure"
	"tablehand/stations/shelf"
	"tablehand/views"
)

// CountsPage begins a count of the shelf, or leads to one.
type CountsPage struct {
	views.Frame
	Places []string // where something lies
	Open   *CountRow
	Past   []CountRow // newest first
}

// CountRow is a count in a list.
type CountRow struct {
	ID    string
	Place string // "" for the whole shelf
	Begun views.Moment
	Open  int // lines that the office hasn't settled
}

// CountPage is a count of the shelf: label after label while it goes on, then what isn't as the shelf has it.
type CountPage struct {
	views.Frame
	CountRow
	Ended  bool
	At     string        // where whoever scans stands, kept from scan to scan
	Saw    *Counted      // what was just scanned
	Seen   []Counted     // the last first
	Seens  int           // all of them
	Left   []Bolt        // not seen yet, first those whose length nobody measured
	Lines  []CountLines  // of one that has ended, by what differs
	Answer *views.Answer // of what was refused or settled
}

// Counted is a bolt that was scanned.
type Counted struct {
	Bolt
	Lay                string           // where it was seen, "" where nobody said
	Length             measure.Quantity // as it was measured, Nothing where it wasn't
	Elsewhere, Differs bool
	Found              bool // it was missing until then
}

// CountLines are a count's lines of a kind.
type CountLines struct {
	What  shelf.Differs
	Lines []CountLine
}

// CountLine is a bolt that isn't as the shelf has it.
type CountLine struct {
	Bolt
	Lay              string // where it was seen
	Reckoned, Length measure.Quantity
	Settled          shelf.Settlement
	Since            bool // something has happened to it since it was scanned
}

// Mark is the shape that stands before the lines.
func (l CountLines) Mark() string {
	return map[shelf.Differs]string{shelf.Unseen: "▲", shelf.Elsewhere: "≠", shelf.Otherwise: "±"}[l.What]
}

var (
	countsPage = views.Template{Name: "shelf-counts", HTML: html, Files: []string{"counts.html"}}
	countPage  = views.Template{Name: "shelf-count", HTML: html, Files: []string{"count.html", "bolts.html"}}
)

// Template is how the page is written.
func (CountsPage) Template() *views.Template { return &countsPage }

// Template is how the page is written.
func (CountPage) Template() *views.Template { return &countPage }
