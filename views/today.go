package views

import (
	"io"

	"tablehand/engine"
	"tablehand/engine/billing"
	"tablehand/engine/measure"
	"tablehand/stations"
)

// HomePage is where a device begins: the stations with what waits there, and for the office, above them, what needs a
// decision today.
type HomePage struct {
	Frame
	Stations []StationCount
	Orders   int // on the books: taken or released
	Late     int
	Held     int
	Billable int // finished panels that stand on no invoice
	Said     *Said

	Decide   []Held       // measured out of tolerance: the office alone can pass them
	Stopped  []Held       // held for another reason
	Lacking  []Held       // cuttings that their cloth holds
	Pressing []Pressing   // late, and then due soon
	Release  []Unreleased // taken and not on the floor, those whose cloth doesn't do first
	Changed  []Changed    // made otherwise than the newest file has it
	Bill     []Billable   // finished, by customer
	Next     *Pressing    // the order due next, where nothing presses

	MoreRelease int // taken, beyond those shown
}

// StationCount counts the tickets at a station.
type StationCount struct {
	Station             stations.Station
	AtWork, Ready, Held int
}

// Decisions is how many things on the page wait for the office.
func (p HomePage) Decisions() int {
	return len(p.Decide) + len(p.Lacking) + len(p.Stopped) + len(p.Release) + len(p.Bill)
}

// Nothing reports whether the office has nothing to look at.
func (p HomePage) Nothing() bool {
	return p.Decisions() == 0 && len(p.Pressing) == 0 && len(p.Changed) == 0
}

// Held is a ticket on hold, with what the office can do about it.
type Held struct {
	Piece
	Measures []Measure          // outside their tolerance
	WouldBe  *WouldBe           // what the order would become by what was measured, nil where that isn't cloth
	Apart    *Apart             // how it differs from its mate, nil where that doesn't hold it
	SendTo   []stations.Station // stations to which it can go back
	Remakes  bool               // it can be made anew
	Key      string             // of the command: it changes with the ticket
	Typed    string             // the reason, of a try that was refused
}

// HeldOf lays out a ticket that is held.
func HeldOf(t *stations.Ticket, today string) Held {
	open := Open(t, "", today)
	h := Held{Piece: open.Piece, SendTo: open.SendTo, Remakes: t.Spec.Kind == stations.PanelTicket}
	for _, out := range open.Step.OutOf {
		h.Measures = append(h.Measures, Measure{out, ScaleOf(out)})
	}
	return h
}

// WouldBe is what an order would become with its cloth as it was measured.
type WouldBe struct {
	Edit     string // the address of the order's form with the cloth as measured
	Rows     []WouldRow
	Problems []engine.Problem // that it would have and doesn't
	Match    measure.Quantity // the width at which the pattern meets, where the cloth is narrower
}

// WouldRow is one number of the order as it is, and as it would be: of a window's panel, or of the fabric.
type WouldRow struct {
	Window, Panel, Name string
	Was, Wants          measure.Quantity
}

// Measure is a measured value beside what it should be.
type Measure struct {
	OutOf
	Scale *Scale // nil for what is no length
}

// Pressing is an order whose date is past or near, and how many of its panels are where.
type Pressing struct {
	ID, Customer, Due string
	Late, AtRisk      bool
	Taken             bool // not released yet
	Held              int
	Finished, Panels  int
	At                []StationPanels
}

// StationPanels is how many panels of an order stand at a station.
type StationPanels struct {
	Station stations.Station
	Panels  int
}

// Unreleased is an order that is taken and not on the floor.
type Unreleased struct {
	ID, Customer, Due string
	Late, AtRisk      bool
	Short             []engine.Problem // what its cloth lacks; none where it can be released as it is
	NoCustomer        bool             // it can't be released before it names one
	Typed             string           // the reason, of a try that was refused
}

// Changed is an order of which some panels are made otherwise than its newest file has it.
type Changed struct {
	ID, Customer string
	Pieces       []Piece
}

// Billable is what of a customer's can be invoiced.
type Billable struct {
	Customer string
	Panels   []stations.Code
	Orders   []string
	Total    *billing.Money // nil while a price is missing
}

// Home renders the home page.
func (v *Views) Home(w io.Writer, p HomePage) error { return v.render(w, "home", p) }
