package taking

import (
	"regexp"
	"slices"

	"tablehand/engine"
	"tablehand/engine/orderfile"
	"tablehand/views"
)

// Part is a part of the form: the order's own fields, or those of a fabric, bolt, tape, window or piece.
type Part struct {
	Name   string // of its fields' names: "", "treatments.0"
	List   string // "order", "fabrics", "bolts", "flaws", "tapes", "rods", "treatments", "bands", "pieces", "piece_fabrics", "route"
	Number int    // among its kind, from 1
	From   int
	Fields []Field // asked each time
	More   []Field // asked seldom
	Open   bool    // More has something in it
	Bolts  []*Part
	Flaws  []*Part            // of a bolt
	Bands  []*Part            // of a window: told with what is asked seldom
	Cloths []*Part            // of a piece
	Route  []*Part            // of a piece: the stations that it passes, and a place for one more
	Parts  map[string][]*Part // of the order: by list
	Own    []Field            // of the order: its own conventions
	Rest   []orderfile.Unshown
	Sum    *views.HangSum
	Short  *views.Shortage // of a bolt: its fabric's, told here
	Ways   *Ways           // of a window: to make it, where somebody asks for them
}

// Field is one thing that the form asks.
type Field struct {
	Name, Label, Value string
	Key                string // in the order file
	Kind               string // text, length, count, number, date, notes, choice
	Size               string // "wide", "short" or ""
	When               string // the script shows it only then
	List               string // "fabrics", "tapes" or "rods": the choice is among those of the form
	Use                string // and among the fabrics of that use
	Options            []Option
	Default            string // what stands for it where it is left out
	Unit               string // that a bare number of a length has: the order's
	OwnUnit            bool   // the text says its unit itself
	Fixed              bool   // can't be typed
	Needed             bool
	Passed             bool // by Enter
	Problems           []FieldProblem
}

// Option is one of a choice; Traits are a heading's.
type Option struct{ Value, Label, Traits string }

// ownUnit finds a unit in a length: 60 yd, 8' 3". The script of the form goes by the same.
var ownUnit = regexp.MustCompile(`[\p{L}'"′″’”]`)

// ID is the field's own in the page.
func (f Field) ID() string { return "f-" + f.Name }

// Wrong reports whether the field has an error.
func (f Field) Wrong() bool {
	return slices.ContainsFunc(f.Problems, func(p FieldProblem) bool { return p.Severity == engine.Error })
}

// FieldProblem is a problem at its field. Missing is one that says no more than that it isn't filled in yet.
type FieldProblem struct {
	Field    string          `json:"field"`
	Severity engine.Severity `json:"severity"`
	Code     string          `json:"code"`
	Text     string          `json:"text"`
	Offers   []Offer         `json:"offers,omitempty"` // of which one is meant, to be taken by a press
}

// Offer is what a field takes by a press, and what the button says.
type Offer struct {
	Value string `json:"value"`
	Text  string `json:"text"`
}

// parts are the lists of an order that have a part of the form, in the order in which they stand there.
var parts = []string{"fabrics", "tapes", "rods", "treatments", "pieces"}

// Named returns the name of the first field in the sheet's order of which so much is true, "" for none.
func (p *Part) Named(is func(Field) bool) string {
	for _, f := range slices.Concat(p.Fields, p.More) {
		if is(f) {
			return f.Name
		}
	}
	within := [][]*Part{p.Bolts, p.Flaws, p.Bands, p.Cloths, p.Route}
	for _, list := range parts {
		within = append(within, p.Parts[list])
	}
	for _, list := range within {
		for _, part := range list {
			if name := part.Named(is); name != "" {
				return name
			}
		}
	}
	return ""
}

// UnitWord is the order's unit as its choice names it.
func (p *Part) UnitWord() string {
	for _, f := range p.Fields {
		for _, o := range f.Options {
			if f.Name == "units" && o.Value == f.Value {
				return o.Label
			}
		}
	}
	return ""
}
