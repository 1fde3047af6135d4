package plan

import (
	"cmp"
	"strings"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// Kind tells the tickets of an order apart.
type Kind string

const (
	PanelTicket   Kind = "panel"   // one for each panel
	CuttingTicket Kind = "cutting" // one for each fabric
	PieceTicket   Kind = "piece"   // one for each cushion, repair, ... that is no panel
)

// Ticket is a ticket as it was released.
type Ticket struct {
	Code      Code              `json:"ticket"`
	Kind      Kind              `json:"kind"`
	Revision  int               `json:"revision,omitempty"` // of the order, that these numbers were printed for first; 0 of old releases: the first
	Treatment int               `json:"treatment"`          // in the newest order file, from 0; panels. Pieces count on from the windows
	Window    string            `json:"window,omitempty"`   // of a piece its text
	Room      string            `json:"room,omitempty"`
	Panel     string            `json:"panel,omitempty"`  // L, R, S
	Copy      int               `json:"copy,omitempty"`   // which of the windows, from 1
	Copies    int               `json:"copies,omitempty"` // how many such windows the treatment has
	Fabric    string            `json:"fabric,omitempty"`
	Fabrics   []string          `json:"fabrics,omitempty"` // that the panel uses
	Heading   orderfile.Heading `json:"heading,omitempty"`
	orderfile.Made
	Widths   measure.Halves    `json:"widths,omitempty"` // of the face, for the price
	Units    measure.Unit      `json:"units"`
	Notes    []string          `json:"notes,omitempty"` // of order and treatment
	CordEnd  orderfile.CordEnd `json:"cord_end,omitempty"`
	Steps    []Step            `json:"steps"` // panels: cutting first, which nobody scans
	Cuts     []Cut             `json:"cuts,omitempty"`
	Remnants []Remnant         `json:"remnants,omitempty"`
	Proof    Proof             `json:"proof,omitempty"` // of a cutting ticket whose cuts lie on the shelf's bolts
	Parts    []BoltPart        `json:"parts,omitempty"` // bolts that other orders are cut from too

	RemadeFrom Code    `json:"remade_from,omitempty"` // the panel that this one replaces
	Drawn      *Origin `json:"drawn,omitempty"`       // where a panel's numbers are of an older file

	// Lining and Interlining are a panel's fabrics, "" for none, and on what was released before they were kept.
	Lining      string `json:"lining,omitempty"`
	Interlining string `json:"interlining,omitempty"`

	Edition int           `json:"edition,omitempty"` // of the numbers that it could have; 0 is the first
	Use     orderfile.Use `json:"use,omitempty"`     // what a cutting ticket's fabric is for
	Tape    string        `json:"tape,omitempty"`    // of a panel set by tape
	Under   string        `json:"under,omitempty"`   // a top treatment that hides the panel's heading

	Piece   orderfile.PieceKind `json:"piece,omitempty"`   // what a piece is; "" of other tickets
	Outside *Outside            `json:"outside,omitempty"` // of a piece: who else works on it
}

// Face returns the fabric that a panel shows.
func (s *Ticket) Face() string {
	if len(s.Fabrics) == 0 {
		return ""
	}
	return s.Fabrics[0]
}

// Outside says who outside the shop works on a piece, and when it is back.
type Outside struct {
	Who  string `json:"who"`
	Back string `json:"back,omitempty"` // civil date YYYY-MM-DD
}

// String has both on one line: "Marsh Upholstery, 2026-12-10".
func (o *Outside) String() string {
	switch {
	case o == nil:
		return ""
	case o.Back == "":
		return o.Who
	}
	return o.Who + ", " + o.Back
}

// MadeAs is the shipped heading as which a panel is made, whose way through the shop and words it has.
func (s *Ticket) MadeAs() orderfile.Heading { return s.Made.As(s.Heading) }

// IsCut reports whether a ticket is of something whose cloth is cut before its own work begins. A repair isn't.
func (s *Ticket) IsCut() bool { return s.Kind != CuttingTicket && s.Steps[0].Station == Cutting }

// Origin says in which file of the order, and at which of its treatments, a panel stands as it is being made.
type Origin struct {
	Revision  int `json:"revision"`
	Treatment int `json:"treatment"`
}

// At returns a ticket's step at a station, nil where its route doesn't pass there.
func (s *Ticket) At(station Station) *Step {
	for i := range s.Steps {
		if s.Steps[i].Station == station {
			return &s.Steps[i]
		}
	}
	return nil
}

// Value returns a number that some step of the ticket shows, Nothing where none does.
func (s *Ticket) Value(name string) measure.Quantity {
	for _, step := range s.Steps {
		for _, v := range step.Values {
			if v.Name == name {
				return v.Value
			}
		}
	}
	return measure.Quantity{}
}

// Number returns a ticket's number of a name by which a revision tells what it changes, Nothing where it has none: a value, an entry's target,
// or one of the ticket's words.
func (s *Ticket) Number(name string) measure.Quantity {
	switch name {
	case "window":
		return measure.OfWord(s.Window)
	case "room":
		return measure.OfWord(s.Room)
	case "heading":
		return measure.OfWord(cmp.Or(s.HeadingName, string(s.Heading)))
	case "quantity":
		return measure.OfCount(s.Copies)
	case "fabric":
		return measure.OfWord(strings.Join(s.Fabrics, ", "))
	case "notes":
		return measure.OfWord(strings.Join(s.Notes, ". "))
	case "tape":
		return measure.OfWord(s.Tape)
	case "under":
		return measure.OfWord(s.Under)
	case "outside":
		return measure.OfWord(s.Outside.String())
	}
	for i := range s.Steps {
		if v := s.Steps[i].Value(name); !v.IsZero() {
			return v
		}
	}
	for i := range s.Steps {
		if e := s.Steps[i].Entry(name); e != nil {
			return e.Target
		}
		if limit := s.Steps[i].Limit(name); !limit.IsZero() {
			return limit
		}
	}
	return measure.Quantity{}
}

// Panels are those that a cutting ticket cuts for.
func (s *Ticket) Panels() map[Code]bool {
	codes := map[Code]bool{}
	for i := range s.Cuts {
		for _, p := range s.Cuts[i].For {
			codes[p.Ticket] = true
		}
	}
	return codes
}
