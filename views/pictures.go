package views

import "io"

// FindPage finds a ticket by its code, typed or photographed.
type FindPage struct {
	Frame
	Said *Said // why the last photograph led nowhere
}

// Find renders the page on which a ticket is found.
func (v *Views) Find(w io.Writer, p FindPage) error { return v.render(w, "find", p) }
