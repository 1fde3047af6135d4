// Package ways is the pages of a shop's own ways: the conventions that its orders are worked out by, and how far measures may lie off.
package ways

import (
	"embed"
	"slices"
	"strings"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/views"
)

// Conventions is the page of fields of the conventions, and of what they would do once they are set as they are typed.
type Conventions struct {
	views.Frame
	Groups []Group
	New    NewHeading
	Tried  *Tried // nil: nobody has asked
	Answer *views.Answer
}

// Wrong reports whether a field has something that doesn't do.
func (p Conventions) Wrong() bool {
	return p.New.Wrong != nil || slices.ContainsFunc(p.Groups, Group.Wrong)
}

// NewHeading is what is typed of a heading of the shop's own that is to be made.
type NewHeading struct {
	Key, Name, Like string
	Likes           []string          // the headings that it may be like
	Wrong           map[string]string // why it doesn't do, by the field that it is told at: key, name, like
}

// Typed reports whether anything is typed of it.
func (h NewHeading) Typed() bool { return h.Key != "" || h.Name != "" }

// Row is the name of a convention of its own; "" of the heading's.
func (h NewHeading) Row(field string) string {
	if field == "" {
		return "headings." + h.Key
	}
	return "headings." + h.Key + "." + field
}

// Group is the conventions about one part of the work.
type Group struct {
	Name    orderfile.Group
	Heading string // whose own they are, "" of others
	Like    string // of a heading of the shop's own: which it is like
	Off     bool   // it is asked off
	Rows    []Row
}

// ID is the group's own in the page.
func (g Group) ID() string { return strings.TrimSuffix(string(g.Name)+"-"+g.Heading, "-") }

// Wrong reports whether a field of the group has something that doesn't do.
func (g Group) Wrong() bool {
	return slices.ContainsFunc(g.Rows, func(r Row) bool { return r.Wrong != "" })
}

// Own lists the rows that aren't as shipped.
func (g Group) Own() []Row {
	return slices.DeleteFunc(slices.Clone(g.Rows), func(r Row) bool { return !r.Own || r.Plain })
}

// Row is a convention: its field, and what is known of its value.
type Row struct {
	Name      string
	Label     string   // the end of a key under convention
	Typed     string   // what stands in the field
	Unit      string   // behind the field: in, yd, %
	Words     []string // that it may be; none of one that is no word
	InForce   Value
	Shipped   Value
	Source    string // of the shipped value: the end of a key under setup.source
	Own       bool   // it isn't as shipped
	Least     string // in the field's unit, as Most; "" of a word
	Most      string
	Above     bool // the least isn't allowed itself
	Optional  bool // it may be left empty
	By        string
	At        views.Moment // zero where nobody has set it
	From      Value        // what it was before
	AsShipped bool         // asked back
	Wrong     string       // why what is typed doesn't do
	Like      string       // of a heading of the shop's own: whose figure the shipped one is
	Plain     bool         // a text of the shop's own, for which nothing is shipped
}

// Value is what a convention is, as an order file has it; "" none.
type Value struct {
	Kind, Text string // of a word: what the catalogue has it under
	Word       bool
	Own        bool // a text of the shop's own
}

// Tried is what conventions would do to the windows of a sample.
type Tried struct {
	Made    *NewHeading // that would be made, nil for none
	Changes []TriedChange
	Windows []Window
}

// Any reports whether anything would be set otherwise.
func (t Tried) Any() bool { return t.Made != nil || len(t.Changes) > 0 }

// Still reports whether all windows would stay as they are.
func (t Tried) Still() bool {
	return !slices.ContainsFunc(t.Windows, func(w Window) bool { return len(w.Changes)+len(w.More)+len(w.Problems) > 0 })
}

// TriedChange is a convention that would be set otherwise.
type TriedChange struct {
	Heading  string // whose own it is, "" of others
	Label    string // the end of a key under convention
	From, To Value
	Moves    bool // something of a window, by itself
	Sampled  bool // a window could show it
}

// Window is a window of the sample, with what would be otherwise.
type Window struct {
	Name     string
	Changes  []Number // the numbers that one looks at first
	More     []Number
	Problems []engine.Problem // errors, that leave it without numbers
}

// Number is one that would be otherwise.
type Number struct {
	Of, Name      string
	Before, After measure.Quantity
}

// Foremost reports whether a number is one that one looks at first: how wide and how full, how it is cut, what is ordered.
func Foremost(name string) bool {
	return slices.Contains([]string{"finished_width", "flat_width", "pleats", "space", "take_up", "widths", "fullness", "cut_length", "lining_width", "hooks", "weights", "to_order", "cones"}, name)
}

//go:embed *.html
var html embed.FS

var conventions = views.Template{Name: "conventions", HTML: html, Files: []string{"conventions.html"}}

// Template is how the page is written.
func (Conventions) Template() *views.Template { return &conventions }
