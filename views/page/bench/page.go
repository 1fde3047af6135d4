// Package bench is what somebody at work has before him: a station's page, and the page that a ticket's code leads to. Both lay the
// ticket open.
package bench

import (
	"embed"
	"html/template"

	"tablehand/stations/plan"
	"tablehand/views"
)

// Hand is somebody who works on the floor.
type Hand struct {
	Name, Initials string
	Chosen         bool // works at this device
}

// StationPage is a station's own: the scan box, the open ticket, and what is at work and waits.
type StationPage struct {
	Crew []Hand // who works on the floor, to be chosen by one tap
	views.Frame
	Station plan.Station
	AtWork  []views.Piece
	Queue   []views.Piece // ready, late first
	Held    []views.Piece
	Coming  int // tickets that are still before this station
	Open    *OpenTicket
	Answer  *views.Answer // the answer to a scan sent without script
	Scanned string
}

// Next returns the first of the queue, nil where nothing waits.
func (p StationPage) Next() *views.Piece {
	if len(p.Queue) == 0 {
		return nil
	}
	return &p.Queue[0]
}

// TicketPage is what a ticket's code leads to, on any phone.
type TicketPage struct {
	views.Frame
	Open   OpenTicket
	Answer *views.Answer
}

//go:embed *.html
var html embed.FS

var station = views.Template{Name: "station", HTML: html, Files: []string{"station.html", "ticket.html", "parts.html"}, Functions: functions}

var ticket = views.Template{Name: "ticket", HTML: html, Files: []string{"code.html", "ticket.html", "parts.html"}, Functions: functions}

// Template is how the page is written.
func (StationPage) Template() *views.Template { return &station }

// Template is how the page is written.
func (TicketPage) Template() *views.Template { return &ticket }

// functions are what only these templates call.
func functions(v *views.Views) template.FuncMap {
	return template.FuncMap{
		"keypad":  func(units string) []KeypadKey { return keypad(v.Say, units) },
		"point":   v.Say.Mark,
		"reasons": HoldReasons,
		"sketch":  sketch,
	}
}
