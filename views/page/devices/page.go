// Package devices is the page of the devices that are let in, and that of the code by which one enters.
package devices

import (
	"embed"
	"html/template"
	"slices"

	"tablehand/stations/plan"
	"tablehand/views"
	"tablehand/views/i18n"
)

// Page lists devices and tokens, and lets another in.
type Page struct {
	views.Frame
	Devices []Row
	Tokens  []Token
	Form    Form
	Answer  *views.Answer
}

// Row is one device.
type Row struct {
	ID, Name, Kind string
	Stations       []plan.Station // of a bench; none: all
	Entered        bool
	Waits          bool // it may still enter by its code
	Seen           views.Moment
	Address        string
}

// Token is one token.
type Token struct {
	ID, Name, Role string
	Created        views.Moment
}

// Form is what a device is let in as.
type Form struct {
	Name, Kind, Language string
	Stations             []plan.Station
	Shop                 plan.Layout
	Wrong                map[string]string // by field: the sentence that says why what was typed doesn't do
}

// Kinds are what a device can be.
func (f Form) Kinds() []string { return []string{"bench", "wall", "office", "accounts"} }

// Languages are those that a device can read.
func (f Form) Languages() []string { return i18n.Choices() }

// OwnName is a language as it calls itself.
func (f Form) OwnName(tag string) string { return i18n.For(tag).T("language.own_name") }

// AllStations are those that a bench can be for.
func (f Form) AllStations() []plan.Station { return f.Shop.Open() }

// Benches are those at which the shop has put several stations together.
func (f Form) Benches() []string { return f.Shop.Benches() }

// Has reports whether a station was ticked.
func (f Form) Has(station plan.Station) bool { return slices.Contains(f.Stations, station) }

// CodePage shows the code by which a device enters, as long as there is one.
type CodePage struct {
	views.Frame
	ID, Name, Kind string
	Stations       []plan.Station
	Entered        bool
	Square         template.HTML // "" where the code is used or has expired
	EnterAt, Code  string
	Until          views.Moment
}

//go:embed *.html
var html embed.FS

var page = views.Template{Name: "devices", HTML: html, Files: []string{"page.html", "kind.html"}}

var codePage = views.Template{Name: "device", HTML: html, Files: []string{"code.html", "kind.html"}}

// Template is how the page is written.
func (Page) Template() *views.Template { return &page }

// Template is how the page is written.
func (CodePage) Template() *views.Template { return &codePage }
