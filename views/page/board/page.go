// Package board is the page of all orders as rods, with their panels at their stations.
package board

import (
	"embed"
	"html/template"
	"slices"

	"tablehand/stations/plan"
	"tablehand/views"
)

// Page shows every order as a rod with its panels at their stations.
type Page struct {
	views.Frame
	Columns  []Column         // the stations that tickets of the board pass
	Rods     []HungRod        // orders that are not finished, those asked for
	Finished []views.OrderRow // finished and not all invoiced
	Late     int
	AtRisk   int
	Held     int
	Orders   int // unfinished, also those not asked for
	Filter   Filter
	Seen     string      // what the page shows, for a browser that asks again: see the server
	Layout   plan.Layout // of the shop's stations
}

// Stations are those that the page can be asked for: the shop's, and of those that are off what work still passes.
func (p Page) Stations() []plan.Station {
	return slices.DeleteFunc(p.Layout.Stations(), func(s plan.Station) bool {
		return p.Layout.Off(s) && !slices.ContainsFunc(p.Columns, func(c Column) bool { return c.Station == s })
	})
}

// Column is a station at the board's head.
type Column struct {
	Station plan.Station
	Label   template.HTML
	Count   int // of what hangs there on the rods shown
}

// Label is a station's mark and name, as its Hanging has them on each rod.
func Label(v *views.Views, s plan.Station) template.HTML {
	return views.MarkAgain(s) + template.HTML(` <b>`+template.HTMLEscapeString(v.Say.Station(s))+`</b>`)
}

// Dense reports whether so many orders hang that each has a low row.
func (p Page) Dense() bool { return len(p.Rods) >= 15 }

// Filter says which orders and panels somebody wants to see.
type Filter struct {
	Find    string
	Station plan.Station
	State   string // one of States
}

// Asks reports whether the filter leaves anything out.
func (f Filter) Asks() bool { return f != Filter{} }

// States are what the board can be asked for, the most urgent first.
func States() []string {
	return []string{"late", "risk", "held", "at_work", "ready", "taken"}
}

// HungRod is a rod as it stands in the page, or the word that the browser has it already.
type HungRod struct {
	ID   string
	HTML template.HTML // "" where the browser has it
}

// States are what the page can be asked for.
func (p Page) States() []string { return States() }

//go:embed *.html
var html embed.FS

var board = views.Template{Name: "board", HTML: html, Files: []string{"page.html"}, Functions: functions}

// Template is how the page is written.
func (Page) Template() *views.Template { return &board }

// functions are what only these templates call.
func functions(*views.Views) template.FuncMap {
	return template.FuncMap{
		"stations": plan.Stations,
	}
}
