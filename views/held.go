package views

import (
	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/stations"
	"tablehand/stations/plan"
)

// Held is a ticket on hold, with what the office can do about it.
type Held struct {
	Piece
	Measures []Measure      // outside their tolerance
	WouldBe  *WouldBe       // what the order would become by what was measured, nil where that isn't cloth
	Apart    *Apart         // how it differs from its mate, nil where that doesn't hold it
	SendTo   []plan.Station // stations to which it can go back
	Remakes  bool           // it can be made anew
	Key      string         // of the command: it changes with the ticket
	Typed    string         // the reason, of a try that was refused
}

// HeldOf lays out a ticket that is held.
func HeldOf(t *stations.Ticket, today string) Held {
	h := Held{Piece: PieceOf(t, today), SendTo: SendTo(t), Remakes: t.Spec.Kind != plan.CuttingTicket}
	for _, out := range OutOfTolerance(t.Current()) {
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

// OutOf is a measured value outside its tolerance.
type OutOf struct {
	Entry    plan.Entry
	Measured measure.Quantity
}

// Apart is how a panel differs from its mate by more than the shop allows.
type Apart struct {
	Mate     Piece
	SendTo   []plan.Station // where the mate can go back to; none when it stands on an invoice
	Key      string         // of a command about the mate
	Typed    string         // the reason of one that was refused
	Measures []stations.MatesApart
	Bars     map[string]*PairBars // by entry
}

// ApartOf lays out why a panel is held for its mate.
func ApartOf(floor *stations.Floor, held, mate *stations.Ticket, today string) *Apart {
	_, list := floor.BesideMate(held)
	a := &Apart{Mate: PieceOf(mate, today), Measures: held.Current().Pair.Measures, Bars: BarsOf(list, held.Current().Measured)}
	if mate.Invoice == "" {
		a.SendTo = SendTo(mate)
	}
	return a
}

// SendTo are the stations to which a ticket can go back.
func SendTo(t *stations.Ticket) []plan.Station {
	var all []plan.Station
	for i := range t.Steps {
		station := t.Steps[i].Spec.Station
		if i <= t.At && !t.Cancelled && (t.Spec.Kind == plan.CuttingTicket || station != plan.Cutting) {
			all = append(all, station)
		}
	}
	return all
}

// OutOfTolerance are the values of a step that lie outside their tolerance.
func OutOfTolerance(step *stations.StepNow) []OutOf {
	var all []OutOf
	for _, name := range step.OutOf {
		for _, e := range step.Spec.Enter {
			if e.Name == name {
				all = append(all, OutOf{e, step.Measured[name]})
			}
		}
	}
	return all
}
