package bench

import (
	"slices"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views"
	"tablehand/views/bolt"
)

// OpenTicket is a ticket laid open: what its present station has to know, do and enter.
type OpenTicket struct {
	views.Piece
	Revision  int                  // of the order, that its numbers are from: newer paper says it; 0 and 1 are as released
	Otherwise []views.NumberChange // what the order's newest file has otherwise, and the work keeps
	History   views.History
	Step      *OpenStep                  // nil when finished or cancelled
	Mate      views.Piece                // with Beside: the other panel of the pair, which is done at this station
	Beside    map[string]*views.PairBars // by entry, what its measure is held against
	Waits     *views.Apart               // of a finished panel: its mate is held because it differs from it
	Route     []RouteStep
	Notes     []string
	Own       *views.OwnPiece // a customer's own piece
	Cuts      []plan.Cut      // of a cutting ticket
	Table     *Table          // of one at work
	Off       []stations.Off  // what its table told of the bolts beside the cuts
	Parts     []plan.BoltPart
	Bolts     []bolt.Strip // that its cuts lie on
	Drawing   views.Drawing
	Spots     map[string]views.Drawing // where on the cloth each number and entry of the step is, by name
	CutAt     []plan.Code              // the cutting tickets that a panel waits for
	CutBegun  bool                     // cloth of the panel is cut, or may be
	Untold    bool                     // it is being cut, and nobody has told which of it is
	Lead      *LeadTry                 // a lead's try to decide that was refused
	Ending    *Ending                  // a try to end the panel that was refused
	SendTo    []plan.Station
	Key       string // of the next command sent without script: it changes with the ticket
	Typed     map[string]string
	Ticked    map[string]bool
	Missing   map[string]bool // entries and checks that the last try lacked
	Makeup    Makeup          // of a panel
	Here      bool            // the page's station is the ticket's
	Among     bool            // of several stations of the page
	CanUndo   bool
	Frame     views.Frame  // of the page that it is on
	PostTo    string       // where its commands go
	Back      bool         // whether their answer is the ticket's own page
	Elsewise  plan.Station // where to go on with it when it is not Here
}

// Makeup is what a ticket is for: what a panel is made of and hangs under, how many there are alike, or what a fabric
// that is cut is for.
type Makeup struct {
	Heading, Face, Lining, Interlining, Tape string
	orderfile.Made
	Under        string
	Copy, Copies int
	Use          string // of a cutting ticket's fabric
	Piece        orderfile.PieceKind
	Outside      *plan.Outside // who else works on a piece, nil for nobody
	Whose        string        // sidemark or customer, "" where the shop and the order keep it off tickets
}

func makeupOf(t *plan.Ticket) Makeup {
	if t.Kind == plan.CuttingTicket {
		return Makeup{Use: string(t.Use)}
	}
	return Makeup{
		Heading: string(t.Heading), Made: t.Made, Face: t.Face(), Lining: t.Lining, Interlining: t.Interlining, Tape: t.Tape,
		Under: t.Under, Copy: t.Copy, Copies: t.Copies, Piece: t.Piece, Outside: t.Outside,
	}
}

// LeadTry is what a lead filled in, but for the PIN.
type LeadTry struct{ Badge, Reason string }

// Ending is what was filled in to end a panel.
type Ending struct{ Billable, Reason string }

// OpenStep is the present step of an open ticket.
type OpenStep struct {
	Station   plan.Station
	State     stations.State
	Values    []plan.Value
	Enter     []plan.Entry
	Checks    []string
	Cautions  []string
	SentBack  *stations.SentBack
	Reason    string
	ForOffice bool
	OutOf     []views.OutOf
	Measured  map[string]measure.Quantity // before
	Apart     *views.Apart                // nil where it isn't held for its pair
	WouldBe   *views.WouldBe              // what the order would become by what was measured, for the office
	Units     string
}

// RouteStep is one stop of a ticket's route.
type RouteStep struct {
	Station plan.Station
	State   stations.State
}

// Open lays a ticket open for the page of a station; at "" it is the ticket's own page, which works wherever the
// ticket is. Of its step it has what the floor asks for now.
func Open(f *stations.Floor, t *stations.Ticket, at plan.Station, today string) OpenTicket {
	o := OpenTicket{Piece: views.PieceOf(t, today), Revision: t.Spec.Revision, Notes: t.Spec.Notes, Cuts: t.Spec.Cuts, Parts: t.Spec.Parts, Makeup: makeupOf(t.Spec), Table: TableOf(f, t), Off: t.Off,
		Typed: map[string]string{}, Ticked: map[string]bool{}, Missing: map[string]bool{}}
	for i := range t.Steps {
		o.Route = append(o.Route, RouteStep{t.Steps[i].Spec.Station, t.Steps[i].State})
	}
	o.SendTo = views.SendTo(t)
	for _, name := range o.Kept {
		if t.Wanted != nil {
			o.Otherwise = append(o.Otherwise, views.NumberChange{Name: name, Was: t.Spec.Number(name), Wants: t.Wanted.Number(name), Stays: true})
		}
	}
	now := t.Current()
	if now == nil {
		return o
	}
	o.Here = at == "" || at == now.Spec.Station
	o.Elsewise = now.Spec.Station
	asked := f.Asked(t, t.At)
	o.Step = &OpenStep{
		Station: now.Spec.Station, State: now.State, Values: now.Spec.Values, Enter: slices.DeleteFunc(slices.Clone(asked.Enter), atTable),
		Checks: asked.Checks, Cautions: now.Spec.Cautions, SentBack: now.SentBack, Reason: now.Reason,
		ForOffice: now.ForOffice, Units: string(t.Spec.Units), Measured: now.Measured,
		OutOf: views.OutOfTolerance(now),
	}
	return o
}

// atTable reports whether an entry is told at the cutting table, one by one.
func atTable(e plan.Entry) bool {
	_, _, is := plan.AtTable(e.Name)
	return is
}

// WaitsOf lays out why a panel that is finished waits: its mate is held because it differs from it.
func WaitsOf(floor *stations.Floor, held *stations.Ticket, today string) *views.Apart {
	_, list := floor.BesideMate(held)
	a := &views.Apart{Mate: views.PieceOf(held, today), Bars: views.BarsOf(list, held.Current().Measured)}
	for entry, bars := range a.Bars {
		a.Bars[entry] = bars.Mirrored()
	}
	for _, m := range held.Current().Pair.Measures {
		m.Measured, m.Mate = m.Mate, m.Measured
		a.Measures = append(a.Measures, m)
	}
	return a
}

// Along is the word of the catalogue for what the ticket's cuts have along their bolt.
func (o OpenTicket) Along() string { return plan.Along(o.Cuts) }

// Turned reports whether panels lie across the bolt.
func (o OpenTicket) Turned() bool {
	return slices.ContainsFunc(o.Cuts, func(c plan.Cut) bool { return c.Railroaded })
}
