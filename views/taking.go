package views

import (
	"io"
	"slices"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// TakingPage is the form that an order is typed into, beside what it comes to.
type TakingPage struct {
	Frame
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
func (p TakingPage) New() bool { return p.ID == "" }

// Taking renders the form's page.
func (v *Views) Taking(w io.Writer, p TakingPage) error { return v.render(w, "taking", p) }

// TakingPart renders a part of that page, for the page's script: "taking-sheet", "taking-results" or "hang-sum".
func (v *Views) TakingPart(w io.Writer, part string, data any) error {
	return v.pages["taking"].ExecuteTemplate(w, part, data)
}

// Part is a part of the form: the order's own fields, or those of a fabric, bolt, tape or window.
type Part struct {
	Name   string // of its fields' names: "", "treatments.0"
	List   string // "order", "fabrics", "bolts", "tapes", "treatments"
	Number int    // among its kind, from 1
	From   int
	Fields []Field // asked each time
	More   []Field // asked seldom
	Open   bool    // More has something in it
	Bolts  []*Part
	Parts  map[string][]*Part // of the order: by list
	Rest   []orderfile.Unshown
	Sum    *HangSum
}

// Field is one thing that the form asks.
type Field struct {
	Name, Label, Value string
	Kind               string // text, length, count, number, date, notes, choice
	Size               string // "wide", "short" or ""
	When               string // the script shows it only then
	List               string // "fabrics" or "tapes": the choice is among those of the form
	Use                string // and among the fabrics of that use
	Options            []Option
	Default            string // what stands for it where it is left out
	Fixed              bool   // can't be typed
	Needed             bool
	Problems           []FieldProblem
}

// Option is one of a choice; Family is a heading's.
type Option struct{ Value, Label, Family string }

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
}

// Draft is what an order comes to while it is typed.
type Draft struct {
	Order      string
	Windows    []DraftWindow
	Cloth      []ClothRow
	Incomplete bool             // a window is left out of the cloth
	General    []engine.Problem // of no field
	Errors     int
	Unwritable bool // the last change of the form can't be put into the file
}

// DraftWindow is a window of the draft; without numbers while something is wrong or missing.
type DraftWindow struct {
	Field   string // its group's name in the form
	Name    string
	Numbers []NumberRow
	Drawing *Drawing // of the window that is typed
	Panel   string   // that it shows
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
var keyNumbers = []string{"finished_width", "pleats", "space", "take_up", "fullness", "flat_width", "widths", "cut_length", "stack_back"}

// DraftWindowOf shows the key numbers of a treatment.
func DraftWindowOf(t workup.Treatment, field string) DraftWindow {
	d := DraftWindow{Field: field, Name: t.Window}
	byName := map[string]NumberRow{}
	for _, g := range WindowOf(t).Groups {
		for _, row := range g.Rows {
			byName[row.Name] = row
		}
	}
	for _, name := range keyNumbers {
		if row, ok := byName[name]; ok {
			d.Numbers = append(d.Numbers, row)
		}
	}
	return d
}

// HangSum is a finished length as the sum that it was asked as.
type HangSum struct{ BearingToFloor, HeadingAboveBearing, Clearance, Length measure.Quantity }

// HangSumOf writes the sum of a hang.
func HangSumOf(h orderfile.Hang, units measure.Unit) *HangSum {
	of := func(l measure.Length) measure.Quantity { return measure.OfLength(l, units) }
	return &HangSum{of(h.BearingToFloor), of(h.HeadingAboveBearing), of(h.Clearance),
		of(h.BearingToFloor + h.HeadingAboveBearing - h.Clearance)}
}

// SumOf returns the sum that the texts of a window's hang make, nil while they make none.
func SumOf(text map[string]string, units measure.Unit) *HangSum {
	var h orderfile.Hang
	for key, to := range map[string]*measure.Length{
		"hang.bearing_to_floor": &h.BearingToFloor, "hang.heading_above_bearing": &h.HeadingAboveBearing, "hang.clearance": &h.Clearance,
	} {
		l, err := measure.Parse(text[key], units)
		if err != nil || l < 0 {
			return nil
		}
		*to = l
	}
	return HangSumOf(h, units)
}
