// Package bench is what somebody at work has before him: a station's page, and the page that a ticket's code leads to. Both lay the
// ticket open.
package bench

import (
	"embed"
	"html/template"
	"strings"

	"tablehand/stations/plan"
	"tablehand/views"
)

// Hand is somebody who works on the floor.
type Hand struct {
	Name, Initials string
	Chosen         bool // works at this device
}

// StationPage is a bench's: of one station, or of several that somebody does in a row. It has the scan box, the open ticket, and
// what is at work and waits.
type StationPage struct {
	Crew []Hand // who works on the floor, to be chosen by one tap
	views.Frame
	Stations []plan.Station // at least one; the page's address is by the first
	AtWork   []views.Piece
	Queue    []views.Piece // ready, late first
	Held     []views.Piece
	Coming   int // tickets that are still before these stations
	Open     *OpenTicket
	Answer   *views.Answer // the answer to a scan sent without script
	Scanned  string
}

// Station is the one that the page's address is by.
func (p StationPage) Station() plan.Station { return p.Stations[0] }

// Several reports whether the bench has more than one station, so that each piece says at which it is.
func (p StationPage) Several() bool { return len(p.Stations) > 1 }

// IsAt reports whether the open ticket is at a station of the bench.
func (p StationPage) IsAt(station plan.Station) bool {
	return p.Open != nil && p.Open.Here && p.Open.Step.Station == station
}

// QueueRow is a piece in a list of the page.
type QueueRow struct {
	views.Piece
	Page  plan.Station // that the page's address is by
	Marks bool         // whether it says at which station it is
}

// Row returns the row of a piece.
func (p StationPage) Row(piece views.Piece) QueueRow {
	return QueueRow{piece, p.Station(), p.Several()}
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
		"names": func(list []plan.Station, between string) string {
			names := make([]string, len(list))
			for i, station := range list {
				names[i] = v.Say.Station(station)
			}
			return strings.Join(names, between)
		},
		"keypad":  func(units string) []KeypadKey { return keypad(v.Say, units) },
		"point":   v.Say.Mark,
		"reasons": HoldReasons,
		"sketch":  sketch,
	}
}
