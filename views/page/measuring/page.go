// Package measuring is the page that says what is measured and ticked when.
package measuring

import (
	"embed"
	"slices"

	"tablehand/stations/plan"
	"tablehand/views"
)

// Page shows, station by station, when each measure and check is asked.
type Page struct {
	views.Frame
	Stations []Station
	Answer   *views.Answer
}

// Station is what one station asks.
type Station struct {
	Station plan.Station
	Rows    []Row // measures first, then checks
}

// Row is one measure or check of a station.
type Row struct {
	Name   string
	Kind   string // entry, check
	Safety bool   // it is always asked
	Ways   []plan.AskingRow
}

// Shared reports whether several routes pass the row's station, each with a setting of its own.
func (r Row) Shared() bool { return len(r.Ways) > 1 }

// Rarer are what a station asks on one occasion alone, not of each panel.
type Rarer struct {
	When plan.Occasion
	Rows []Row
}

// Rarer returns what isn't always asked at the station, by occasion, in the order of its rows.
func (s Station) Rarer() (rarer []Rarer) {
	for _, row := range s.Rows {
		for _, way := range row.Ways {
			if way.When == plan.Always {
				continue
			}
			i := slices.IndexFunc(rarer, func(r Rarer) bool { return r.When == way.When })
			if i < 0 {
				i, rarer = len(rarer), append(rarer, Rarer{When: way.When})
			}
			if rows := rarer[i].Rows; len(rows) == 0 || rows[len(rows)-1].Name != row.Name {
				rarer[i].Rows = append(rows, row)
			}
		}
	}
	return rarer
}

// StationsOf puts settings together by station, in the order given.
func StationsOf(shop []plan.Station, rows []plan.AskingRow) []Station {
	var stations []Station
	for _, s := range shop {
		station := Station{Station: s}
		for _, r := range rows {
			if r.Station != s {
				continue
			}
			i := slices.IndexFunc(station.Rows, func(row Row) bool { return row.Name == r.Name })
			if i < 0 {
				i, station.Rows = len(station.Rows), append(station.Rows, Row{Name: r.Name, Kind: r.Kind(), Safety: r.Safety})
			}
			station.Rows[i].Ways = append(station.Rows[i].Ways, r)
		}
		if len(station.Rows) > 0 {
			stations = append(stations, station)
		}
	}
	return stations
}

//go:embed *.html
var html embed.FS

var page = views.Template{Name: "measuring", HTML: html, Files: []string{"page.html"}}

// Template is how the page is written.
func (Page) Template() *views.Template { return &page }
