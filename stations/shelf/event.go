package shelf

import (
	"tablehand/engine/measure"
	"tablehand/stations/plan"
)

// Event is what one accepted command did to the shelf.
type Event struct {
	Action      Action           `json:"action"`
	Bolt        plan.Code        `json:"bolt,omitempty"`
	Came        []Came           `json:"came,omitempty"`  // of a receipt
	Bolts       []plan.Code      `json:"bolts,omitempty"` // held, freed or of another cloth together
	Cloth       string           `json:"cloth,omitempty"` // of a merge: which is merged
	Into        string           `json:"into,omitempty"`  // into which
	Measured    *Measured        `json:"measured,omitempty"`
	Flaws       []Flaw           `json:"flaws,omitempty"`        // found
	Off         []Off            `json:"off,omitempty"`          // what came off, or what became of what had
	Halves      []Off            `json:"halves,omitempty"`       // likewise of the width that cuts left beside them
	Rest        measure.Quantity `json:"rest,omitzero"`          // as it was measured; 0: it is used up
	Unexplained measure.Quantity `json:"unexplained,omitzero"`   // by how much less that is than was reckoned
	First       bool             `json:"first_length,omitempty"` // of an inspection: Rest is what was received
	Place       string           `json:"place,omitempty"`
	Kept        *Kept            `json:"kept,omitempty"`
	Reason      string           `json:"reason,omitempty"`
	Held        bool             `json:"held,omitempty"` // of an inspection: over the shop's limit
	Tickets     []plan.Code      `json:"tickets,omitempty"`
	New         plan.Code        `json:"new,omitempty"`   // a remnant's
	Found       bool             `json:"found,omitempty"` // a missing bolt turned up with it
	Count       string           `json:"count,omitempty"`
	Lines       []Line           `json:"lines,omitempty"` // what a count found
	As          Settlement       `json:"as,omitempty"`
	Each        []Event          `json:"each,omitempty"` // what a cutting that is finished did to each of its bolts
}

// About is the bolt that the event is about, "" where it is about several or about none.
func (e *Event) About() plan.Code {
	if e.Bolt == "" && len(e.Each) == 1 {
		return e.Each[0].Bolt
	}
	return e.Bolt
}

// Came is a bolt that came in.
type Came struct {
	Bolt          plan.Code        `json:"bolt"`
	Cloth         string           `json:"cloth"`
	Lot           string           `json:"lot,omitempty"`
	SupplierPiece string           `json:"supplier_piece,omitempty"`
	Owner         string           `json:"owner,omitempty"`
	Units         measure.Unit     `json:"units"`
	Invoiced      measure.Quantity `json:"invoiced,omitzero"`
	Length        measure.Quantity `json:"length,omitzero"` // measured
	Width         measure.Quantity `json:"width,omitzero"`
	Begin         measure.Quantity `json:"begin,omitzero"`
	Place         string           `json:"place,omitempty"`
	From          *Origin          `json:"from,omitempty"`
	// Of a bolt of an order's file: where its pattern begins, and what is known of its flaws.
	FirstRepeat measure.Quantity `json:"first_repeat,omitzero"`
	Flaws       []Flaw           `json:"flaws,omitempty"`
	Ends        measure.Quantity `json:"end_allowance,omitzero"` // where its cloth has its own
}

// Measured is what an inspection measured beside length and flaws.
type Measured struct {
	Widths  []measure.Quantity `json:"widths,omitempty"`
	Repeats int                `json:"repeats,omitempty"`
	Over    measure.Quantity   `json:"over,omitzero"`
	First   measure.Quantity   `json:"first_repeat,omitzero"`
	// Anew: the flaws of an earlier inspection, after which nothing came off, are replaced; those of the table stay.
	Anew bool `json:"anew,omitempty"`
}

// Width is the least that was measured, 0 where none was.
func (m *Measured) Width() measure.Length {
	least := measure.Length(0)
	for _, w := range m.Widths {
		if l := w.Length(); least == 0 || l < least {
			least = l
		}
	}
	return least
}
