package ways

import (
	"tablehand/stations/plan"
	"tablehand/views"
)

// Stations is the page of the shop's stations and routes, and of what they would be once they are set as they are typed.
type Stations struct {
	views.Frame
	Rows   []Station
	New    *Station // the fields of one that is added; nil where the shop has as many as it can
	Routes []Route
	Tried  bool // the routes are as they would be
	Leave  bool // work lies at a station that is switched off: leaving it there is asked
	Answer *views.Answer
}

// Wrong reports whether a field has something that doesn't do.
func (p Stations) Wrong() bool {
	for _, r := range p.Rows {
		if len(r.Wrong) > 0 {
			return true
		}
	}
	return p.New != nil && len(p.New.Wrong) > 0
}

// Route is a way through the shop.
type Route struct {
	Name     string
	Stations []Passed
	Unasked  []Unasked // what nobody asks on it while stations are off
}

// Passed is a station on a way, by the name that it has, or would have.
type Passed struct {
	Station plan.Station
	Name    string
}

// Unasked is what a station that is off would ask.
type Unasked struct {
	Station plan.Station
	plan.Checklist
	Moved []string // checks that another station asks in its place
}

// Station is the fields of one.
type Station struct {
	Key         string       // of its fields: the station, or "own" of a new one
	Station     plan.Station // "" of a new one
	Own         bool
	Fixed       bool // it can't be switched off
	Off, Next   bool
	Removes     bool
	Name, Bench string
	Asks        plan.Checklist
	Safety      []string // checks that are asked for safety
	Lies        int
	Coming      int
	After       []After
	Checks      []Check
	Measures    []Measure
	By          string
	At          views.Moment      // zero where nobody has set it
	Wrong       map[string]string // by field: why what is typed doesn't do
}

// Otherwise reports whether the station isn't as shipped.
func (s Station) Otherwise() bool { return s.Off || s.Name != "" || s.Bench != "" || s.Own }

// After says behind which station of a route a station of the shop's own comes.
type After struct {
	Route    string
	Stations []plan.Station
	Chosen   plan.Station // "" : it isn't on the route
}

// Check is a check in the shop's words; one without a name is new.
type Check struct{ Field, Name, Label string }

// Measure is a number that the station may measure.
type Measure struct {
	plan.Measure
	On          bool
	Minus, Plus string
	Unit        string // "" of a count
}

var stationsPage = views.Template{Name: "stations", HTML: html, Files: []string{"stations.html"}}

// Template is how the page is written.
func (Stations) Template() *views.Template { return &stationsPage }
