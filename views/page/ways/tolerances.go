package ways

import (
	"slices"

	"tablehand/engine/measure"
	"tablehand/stations/plan"
	"tablehand/views"
)

// Tolerances is the page of fields of the tolerances, by the stations where they are measured.
type Tolerances struct {
	views.Frame
	Stations []Measured
	Answer   *views.Answer
}

// Wrong reports whether a field has something that doesn't do.
func (p Tolerances) Wrong() bool { return slices.ContainsFunc(p.Stations, Measured.Wrong) }

// Measured is what is measured at the same stations.
type Measured struct {
	Stations []plan.Station
	Rows     []Tolerance
}

// Wrong reports whether a field of them has something that doesn't do.
func (m Measured) Wrong() bool {
	return slices.ContainsFunc(m.Rows, func(t Tolerance) bool {
		return slices.ContainsFunc(t.Fields, func(s Side) bool { return s.Wrong != "" })
	})
}

// Own lists the rows that aren't as shipped.
func (m Measured) Own() []Tolerance {
	return slices.DeleteFunc(slices.Clone(m.Rows), func(t Tolerance) bool { return !t.Own })
}

// Tolerance is how far a measure may lie off.
type Tolerance struct {
	Name, Entry string
	Fields      []Side // under and over; one of what has no sides
	InForce     Sides
	Shipped     Sides
	Source      string // of the shipped ones: the end of a key under setup.source
	Own         bool   // it isn't as shipped
	By          string
	At          views.Moment // zero where nobody has set it
	From, To    string
}

// Sides are under and over the target.
type Sides struct{ Minus, Plus measure.Quantity }

// Side is the field of one of them.
type Side struct {
	Name, About string // of the field, and of what says what it is
	Side        string // minus, plus, both
	Typed, Unit string
	Wrong       string // why what is typed doesn't do
}

var tolerances = views.Template{Name: "tolerances", HTML: html, Files: []string{"tolerances.html"}}

// Template is how the page is written.
func (Tolerances) Template() *views.Template { return &tolerances }
