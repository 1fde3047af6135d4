package ways

import (
	"slices"

	"tablehand/views"
)

// ClosedDays is the page that says when the shop is closed.
type ClosedDays struct {
	views.Frame
	Weekdays []Weekday
	Shipped  []string      // weekdays
	Wrong    string        // why the weekdays don't do
	Dates    []ClosedDates // at the end empty ones to type into
	TooMany  string        // why there are too many
	By       string        // who said so last, "" where nobody has
	At       views.Moment
	Answer   *views.Answer
}

// Refused reports whether something doesn't do.
func (p ClosedDays) Refused() bool {
	return p.Wrong != "" || p.TooMany != "" ||
		slices.ContainsFunc(p.Dates, func(d ClosedDates) bool { return d.From.Wrong != "" || d.To.Wrong != "" || d.Name.Wrong != "" })
}

// Weekday is a day of each week.
type Weekday struct {
	Day    string // mon to sun
	Closed bool
}

// ClosedDates is a row of the page: the first and last of some days in a row, and why they are closed.
type ClosedDates struct {
	Number         int // from 1
	From, To, Name DateField
}

// DateField is a field of such a row.
type DateField struct{ Typed, Wrong string }

var closedDays = views.Template{Name: "closed-days", HTML: html, Files: []string{"closeddays.html"}}

// Template is how the page is written.
func (ClosedDays) Template() *views.Template { return &closedDays }
