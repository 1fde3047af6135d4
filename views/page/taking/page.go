// Package taking is the page that an order is typed into.
package taking

import (
	"embed"
	"io"
	"slices"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/views"
)

// Page is the form that an order is typed into, beside what it comes to.
type Page struct {
	views.Frame
	ID       string // of the order that is changed, "" for a new one
	Revision int    // that the file was read at
	Action   string // where the form is sent to
	Review   string // where its changes are looked at before they are made, "" when they are made at once
	Base     string // the file that the fields were read from
	Source   string // the file as the fields have it now
	Sheet    *Part  // nil: the file can't be shown as a form, only as text
	Blanks   map[string]*Part
	Refused  string // the sentence of a refusal
	Tried    bool   // it was sent, so everything that is missing is told
	Draft    Draft
}

// New reports whether the page is for an order that isn't on the books yet.
func (p Page) New() bool { return p.ID == "" }

// RenderPart writes a part of the page, for its script: "taking-sheet", "taking-conventions", "taking-results", "taking-told", "bolt-short",
// "hang-sum" or "taking-ways".
func RenderPart(v *views.Views, w io.Writer, part string, data any) error {
	return v.RenderPart(w, &taking, part, data)
}

// Draft is what an order comes to while it is typed.
type Draft struct {
	Order      string
	Windows    []DraftWindow
	Pieces     []views.PieceLine // that could be worked out
	Cloth      []views.ClothRow
	Incomplete bool             // a window is left out of the cloth
	General    []engine.Problem // of no field
	Errors     int
	First      string           // the first field with an error, "" for none
	Warnings   int              // beside what is short
	Short      []views.Shortage // fabrics whose bolts don't do
	Unwritable bool             // the last change of the form can't be put into the file
}

// DraftWindow is a window of the draft; without numbers while something is wrong or missing.
type DraftWindow struct {
	Field   string // its group's name in the form
	Name    string
	Numbers []views.NumberRow
	Drawing *views.Drawing // of the window that is typed
	Panel   string         // that it shows
}

// Shown returns the window whose drawing is shown, nil for none.
func (d Draft) Shown() *DraftWindow {
	for i := range d.Windows {
		if d.Windows[i].Drawing != nil {
			return &d.Windows[i]
		}
	}
	return nil
}

// keyNumbers are the numbers that an order is typed by: what to tell the client, and what cloth it takes.
var keyNumbers = []string{"finished_width", "pleats", "space", "take_up", "points", "pitch", "fullness", "flat_width", "widths", "cut_length", "stack_back"}

// DraftWindowOf shows the key numbers of a treatment.
func DraftWindowOf(t workup.Treatment, field string) DraftWindow {
	d := DraftWindow{Field: field, Name: t.Window}
	rows := views.NumbersOf(t)
	for _, name := range keyNumbers {
		if i := slices.IndexFunc(rows, func(r views.NumberRow) bool { return r.Name == name }); i >= 0 {
			d.Numbers = append(d.Numbers, rows[i])
		}
	}
	return d
}

// SumOf returns the sum that the texts of a window's hang make, nil while they make none.
func SumOf(text map[string]string, units measure.Unit) *views.HangSum {
	var h orderfile.Hang
	var below measure.Length
	for key, to := range map[string]*measure.Length{
		"hang.bearing_to_floor": &h.BearingToFloor, "hang.heading_above_bearing": &h.HeadingAboveBearing, "hang.clearance": &h.Clearance,
		"hang.heading_below_bearing": &below,
	} {
		one := key == "hang.heading_above_bearing" && text["hang.heading_below_bearing"] != "" || key == "hang.heading_below_bearing"
		if one && text[key] == "" {
			continue
		}
		l, err := measure.Parse(text[key], units)
		if err != nil || l < 0 {
			return nil
		}
		*to = l
	}
	h.HeadingAboveBearing -= below
	return views.HangSumOf(h, units)
}

//go:embed *.html
var html embed.FS

var taking = views.Template{Name: "taking", HTML: html, Files: []string{"page.html", "sheet.html", "results.html"}}

// Template is how the page is written.
func (Page) Template() *views.Template { return &taking }
