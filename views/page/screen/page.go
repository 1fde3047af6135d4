// Package screen is the shop screen on the wall.
package screen

import (
	"embed"
	"html/template"

	"tablehand/stations/plan"
	"tablehand/views"
	"tablehand/views/i18n"
)

// Page is the shop screen on the wall: read from 4 m, touched by nobody. Its figures count what people hold in
// their hands: panels, and cloth to cut. Late and due soon are those that are at a station, not those still uncut.
type Page struct {
	views.Frame
	Zone      string            // of the shop's clock, an IANA name; "" for that of the screen itself
	Lanes     []Lane            // the stations that the work passes, in its order; none where nothing is on the floor
	Sidemarks map[string]string // of the orders named, where the shop shows them
	Late      int
	AtRisk    int
	Held      int
	Done      int // steps finished today, at all stations
}

// Lane is one station on the wall.
type Lane struct {
	Station plan.Station
	Here    []Look        // of each piece that hangs here
	AtWork  []views.Piece // named with who works on them
	Held    []views.Piece // those due first, see MostHeld
	Next    []views.Piece // the first two that are ready: one, or both of a window
}

// MostHeld is how many held pieces of a station the wall names; the others only hang there.
const MostHeld = 2

// Named returns the orders that the wall names, some of them more than once.
func (p Page) Named() (orders []string) {
	for _, l := range p.Lanes {
		for _, pieces := range [][]views.Piece{l.AtWork, l.Held, l.Next} {
			for _, piece := range pieces {
				orders = append(orders, piece.Order)
			}
		}
	}
	return orders
}

// Line is what the wall says of a piece, or of both of a window, beside its station's mark.
type Line struct {
	Station plan.Station
	Hung
	Today, Sidemark string
	None            bool // nothing is ready at the station
}

// Now returns what is at work, and what is held, by station.
func (p Page) Now() (lines []Line) {
	for _, l := range p.Lanes {
		for _, pieces := range [][]views.Piece{l.AtWork, l.Held} {
			for _, h := range hang(pieces) {
				lines = append(lines, p.line(l.Station, h))
			}
		}
	}
	return lines
}

// Next returns what comes next at each station. One with nothing ready keeps its line, so that each stays in its place.
func (p Page) Next() (lines []Line) {
	for _, l := range p.Lanes {
		if next := hang(l.Next); len(next) > 0 {
			lines = append(lines, p.line(l.Station, next[0]))
		} else {
			lines = append(lines, Line{Station: l.Station, None: true})
		}
	}
	return lines
}

func (p Page) line(station plan.Station, h Hung) Line {
	return Line{Station: station, Hung: h, Today: p.Today, Sidemark: p.Sidemarks[h.Order]}
}

// Hung is what the wall has under one name: a panel, or both of a window that stand alike, so that a pair is one line.
type Hung struct {
	views.Piece // what is said of all
	Panels      []views.Piece
}

// hang groups pieces that follow each other and differ by nothing but their side.
func hang(pieces []views.Piece) []Hung {
	var all []Hung
	for _, p := range pieces {
		if n := len(all); n > 0 && len(all[n-1].Panels) == 1 && alike(all[n-1].Piece, p) {
			all[n-1].Panels = append(all[n-1].Panels, p)
			continue
		}
		all = append(all, Hung{p, []views.Piece{p}})
	}
	return all
}

// alike reports whether two panels are of one window, and one name, order, person and state can be told of both.
func alike(a, b views.Piece) bool {
	return !a.IsCutting() && !b.IsCutting() && a.Panel != b.Panel &&
		a.Order == b.Order && a.Window == b.Window && a.Room == b.Room && a.Copy == b.Copy &&
		a.Person == b.Person && a.State == b.State && (a.SentBack == nil) == (b.SentBack == nil) && (len(a.Kept) == 0) == (len(b.Kept) == 0)
}

//go:embed *.html
var html embed.FS

var page = views.Template{Name: "screen", HTML: html, Files: []string{"page.html"}, Functions: functions}

// functions are what only this template calls.
func functions(v *views.Views) template.FuncMap {
	return template.FuncMap{
		"short": func(s plan.Station) string { // a station's name as it fits under its panels
			if key := "screen.station." + string(s); i18n.Has(key) {
				return v.Say.T(key)
			}
			return v.Say.Station(s)
		},
	}
}

// Template is how the page is written.
func (Page) Template() *views.Template { return &page }
