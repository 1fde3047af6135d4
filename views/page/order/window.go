package order

import (
	"slices"

	"tablehand/engine/workup"
	"tablehand/views"
)

// Window is one treatment worked out.
type Window struct {
	Index    int
	Name     string
	Room     string
	Heading  string
	Quantity int
	Panels   []string // their ids: L and R, or S
	Groups   []Group
	Drawings []views.Drawing
	Trails   bool           // with how each number came about
	Sum      *views.HangSum // of a finished length that was asked from the floor
	Alike    []Name         // with others that are made alike: its own name and theirs, as many as are shown
	Names    Part           // of all of them
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

// WindowOf shows a treatment of a work-up; the drawings are the caller's to add.
func WindowOf(t workup.Treatment) Window {
	w := Window{Index: t.Index, Name: t.Window, Room: t.Room, Heading: string(t.Heading), Quantity: t.Quantity}
	for i := range t.Panels {
		w.Panels = append(w.Panels, string(t.Panels[i].ID))
	}
	rows := views.NumbersOf(t)
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
