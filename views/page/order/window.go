package order

import (
	"slices"

	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/views"
)

// Window is one treatment worked out.
type Window struct {
	Index    int
	Path     string // of its order's page
	Name     string
	Room     string
	Heading  string
	Called   string // the heading, where it is the shop's own
	Quantity int
	Panels   []string // their ids: L and R, or S
	Groups   []Group
	Lead     []views.NumberRow // the numbers that the office looks for first
	Length   measure.Quantity  // finished
	Drawings []views.Drawing   // of each panel, or one where they are alike
	Open     bool              // with all its numbers in view
	Trails   bool              // with how each number came about
	Mass     measure.Quantity  // of its cloth, all its panels, where a rod carries it
	Limit    measure.Quantity  // of that rod
	Sum      *views.HangSum    // of a finished length that was asked from the floor
	Alike    []Name            // with others that are made alike: its own name and theirs, as many as are shown
	Names    Part              // of all of them
}

// Name is what a window is called, and its place in the file.
type Name struct {
	Index int
	Name  string
	Room  string
}

// Group is a run of a window's numbers that belong together.
type Group struct {
	Name string // catalogue: page.order.group.<name>
	Rows []views.NumberRow
}

// leading are the numbers of a window that its page shows beside the drawing: what a client, a bolt and a hand ask for.
var leading = []string{"finished_width", "flat_width", "pleats", "fullness", "widths", "cut_length", "run"}

// PanelsAlike reports whether one drawing does for all of the window's panels.
func (w Window) PanelsAlike() bool {
	for _, g := range w.Groups {
		if slices.ContainsFunc(g.Rows, func(r views.NumberRow) bool { return !r.Same }) {
			return false
		}
	}
	return true
}

// Weigh says what the window's panels weigh on their rod, where that is known.
func (w *Window) Weigh(of *workup.Workup) {
	for i := range of.Totals.Mass {
		m := &of.Totals.Mass[i]
		if m.Treatment != w.Index {
			continue
		}
		w.Mass = measure.OfMass(m.Mass, of.Order.Units)
		if m.Limit > 0 {
			w.Limit = measure.OfMass(m.Limit, of.Order.Units)
		}
	}
}

// WindowOf shows a treatment of a work-up; the drawings are the caller's to add.
func WindowOf(t workup.Treatment, units measure.Unit) Window {
	w := Window{Index: t.Index, Name: t.Window, Room: t.Room, Heading: string(t.Heading), Called: t.HeadingName, Quantity: t.Quantity}
	if len(t.Panels) > 0 {
		w.Length = measure.OfLength(t.Panels[0].FinishedLength, units)
	}
	for i := range t.Panels {
		w.Panels = append(w.Panels, string(t.Panels[i].ID))
	}
	rows := views.NumbersOf(t)
	for _, key := range leading {
		if i := slices.IndexFunc(rows, func(r views.NumberRow) bool { return r.Name == key }); i >= 0 {
			w.Lead = append(w.Lead, rows[i])
		}
	}
	for _, name := range workup.Groups() {
		group := Group{Name: string(name)}
		for _, n := range workup.Numbers() {
			i := slices.IndexFunc(rows, func(r views.NumberRow) bool { return r.Name == n.Key })
			if i >= 0 && n.Group == name {
				group.Rows = append(group.Rows, rows[i])
			}
		}
		if len(group.Rows) > 0 {
			w.Groups = append(w.Groups, group)
		}
	}
	return w
}

// placesAtOnce is how many places of a list, such as those of pleats, a line of a window's numbers shows; longer ones are on
// the drawing, and whole where it is told how they came about.
const placesAtOnce = 4

// span is a long list by its ends.
type span struct {
	First, Last measure.Quantity
	Count       int
}

// spanOf is nil for what a line shows whole.
func spanOf(q measure.Quantity) *span {
	if parts := q.Parts(); q.Kind() == measure.List && len(parts) > placesAtOnce {
		return &span{parts[0], parts[len(parts)-1], len(parts)}
	}
	return nil
}
