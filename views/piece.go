package views

import (
	"slices"

	"tablehand/engine/measure"
	"tablehand/stations"
	"tablehand/views/i18n"
)

// Piece is a ticket as lists and the board show it: a panel that hangs somewhere, or a fabric to cut.
type Piece struct {
	Code      stations.Code
	Kind      stations.Kind
	Order     string
	Customer  string
	Due       string // YYYY-MM-DD or ""
	Window    string
	Room      string
	Panel     string // L, R, S
	Copy      int    // which of several windows alike, 0 where there is one
	Fabric    string // of a cutting ticket
	Station   stations.Station
	State     stations.State
	Done, Of  int // steps finished, of how many
	Late      bool
	Measures  bool                // something has to be measured before it is begun
	AtRisk    bool                // due soon
	Reason    string              // why it is held
	Picture   string              // id of the one that shows why, "" for none
	ForOffice bool                // held until the office decides; the reason then is a code
	Cloth     *stations.ClothHold // what its bolts lack, where that holds it
	SentBack  *stations.SentBack
	Person    string // who works on it
	Invoice   string // on which it stands

	Kept       []string // numbers that the order's newest file has otherwise, and the work keeps
	Wants      int      // the revision that has them otherwise, 0 where the file has the panel no more
	RemadeFrom stations.Code
	RemadeAs   stations.Code
	Scrapped   bool // ended after its cloth was cut into
	BillsScrap bool // and billed all the same
}

// PieceOf shows a ticket of the floor; today says what is late.
func PieceOf(t *stations.Ticket, today string) Piece {
	p := Piece{
		Code: t.Spec.Code, Kind: t.Spec.Kind, Order: t.Order, Customer: t.Customer, Due: t.Due,
		Window: t.Spec.Window, Room: t.Spec.Room, Panel: t.Spec.Panel, Fabric: t.Spec.Fabric,
		Station: t.Station(), State: t.State(), Done: t.At, Of: len(t.Steps), Invoice: t.Invoice,
	}
	if t.Spec.Copies > 1 {
		p.Copy = t.Spec.Copy
	}
	p.RemadeFrom, p.RemadeAs = t.Spec.RemadeFrom, t.RemadeAs
	p.Scrapped, p.BillsScrap = t.Scrapped, t.BillsScrap
	if t.Spec.Kind == stations.PanelTicket && !t.Cancelled {
		p.Kept = t.Kept
		if t.Wanted != nil {
			p.Wants = t.Wanted.Revision
		}
	}
	unfinished := p.State != stations.Finished && p.State != stations.Cancelled
	p.Late = unfinished && stations.PastDue(t.Due, today)
	p.AtRisk = unfinished && stations.DueSoon(t.Due, today)
	if step := t.Current(); step != nil {
		p.Measures = step.State == stations.Ready && len(step.MissingAtStart(nil)) > 0
		p.Cloth = step.Cloth
		p.Reason, p.Picture, p.ForOffice, p.SentBack, p.Person = step.Reason, step.Picture, step.ForOffice, step.SentBack, step.Person
	}
	return p
}

// Flag says in two words why a held piece is held, as a key of the catalogue. A person's reason is a sentence and stands
// beside it.
func (p Piece) Flag() string {
	switch key := "page.flag." + p.Reason; {
	case !p.ForOffice:
		return "page.flag.held"
	case p.Reason != "" && i18n.Has(key):
		return key
	}
	return "page.flag.decide"
}

// PiecesOf shows tickets.
func PiecesOf(tickets []*stations.Ticket, today string) []Piece {
	pieces := make([]Piece, 0, len(tickets))
	for _, t := range tickets {
		pieces = append(pieces, PieceOf(t, today))
	}
	return pieces
}

// IsCutting reports whether the piece is a fabric's cutting ticket.
func (p Piece) IsCutting() bool { return p.Kind == stations.CuttingTicket }

// The states that pages set off.
func (p Piece) Held() bool     { return p.State == stations.Held }
func (p Piece) AtWork() bool   { return p.State == stations.AtWork }
func (p Piece) Waiting() bool  { return p.State == stations.Waiting }
func (p Piece) Ready() bool    { return p.State == stations.Ready }
func (p Piece) Finished() bool { return p.State == stations.Finished }

// Class returns the piece's style classes: its state, and whether it is late or due soon.
func (p Piece) Class() string {
	c := "piece is-" + string(p.State)
	if p.Late {
		c += " is-late"
	}
	if p.AtRisk {
		c += " is-risk"
	}
	return c
}

// OpenTicket is a ticket laid open: what its present station has to know, do and enter.
type OpenTicket struct {
	Piece
	Otherwise []NumberChange // what the order's newest file has otherwise, and the work keeps
	History   History
	Step      *OpenStep // nil when finished or cancelled
	Waits     *Apart    // of a finished panel: its mate is held because it differs from it
	Route     []RouteStep
	Notes     []string
	Cuts      []stations.CutLine // of a cutting ticket
	Table     *Table             // of one at work
	Off       []stations.Off     // what its table told of the bolts beside the cuts
	Parts     []stations.BoltPart
	Drawing   Drawing
	Spots     map[string]Drawing // where on the cloth each number and entry of the step is, by name
	CutAt     []stations.Code    // the cutting tickets that a panel waits for
	CutBegun  bool               // cloth of the panel is cut, or may be
	Untold    bool               // it is being cut, and nobody has told which of it is
	Ending    *Ending            // a try to end the panel that was refused
	SendTo    []stations.Station
	Key       string // of the next command sent without script: it changes with the ticket
	Typed     map[string]string
	Ticked    map[string]bool
	Missing   map[string]bool // entries and checks that the last try lacked
	Says      *Said           // the answer to it, beside the ticket
	Makeup    Makeup          // of a panel
	Here      bool            // the page's station is the ticket's
	CanUndo   bool
	Frame     Frame            // of the page that it is on
	PostTo    string           // where its commands go
	Back      bool             // whether their answer is the ticket's own page
	Elsewise  stations.Station // where to go on with it when it is not Here
}

// Makeup is what a ticket is for: what a panel is made of and hangs under, how many there are alike, or what a fabric
// that is cut is for.
type Makeup struct {
	Heading, Face, Lining, Interlining, Tape string
	Under                                    string
	Copy, Copies                             int
	Use                                      string // of a cutting ticket's fabric
	Whose                                    string // sidemark or customer, "" where the shop and the order keep it off tickets
}

func makeupOf(t *stations.TicketSpec) Makeup {
	if t.Kind == stations.CuttingTicket {
		return Makeup{Use: string(t.Use)}
	}
	return Makeup{
		Heading: string(t.Heading), Face: t.Face(), Lining: t.Lining, Interlining: t.Interlining, Tape: t.Tape,
		Under: t.Under, Copy: t.Copy, Copies: t.Copies,
	}
}

// Ending is what was filled in to end a panel.
type Ending struct{ Billable, Reason string }

// Drawing is a panel's flat drawing to scale, as an SVG element; "" where there is none.
type Drawing struct{ SVG string }

// OpenStep is the present step of an open ticket.
type OpenStep struct {
	Station   stations.Station
	State     stations.State
	Values    []stations.Value
	Enter     []stations.Entry
	Checks    []string
	Cautions  []string
	SentBack  *stations.SentBack
	Reason    string
	ForOffice bool
	OutOf     []OutOf
	Measured  map[string]measure.Quantity // before
	Apart     *Apart                      // nil where it isn't held for its pair
	WouldBe   *WouldBe                    // what the order would become by what was measured, for the office
	Units     string
}

// Apart is how a panel differs from its mate by more than the shop allows.
type Apart struct {
	Mate     Piece
	SendTo   []stations.Station // where the mate can go back to; none when it stands on an invoice
	Key      string             // of a command about the mate
	Typed    string             // the reason of one that was refused
	Measures []stations.MatesApart
}

// ApartOf lays out why a panel is held for its mate.
func ApartOf(held, mate *stations.Ticket, today string) *Apart {
	a := &Apart{Mate: PieceOf(mate, today), Measures: held.Current().Pair.Measures}
	if mate.Invoice == "" {
		a.SendTo = sendTo(mate)
	}
	return a
}

// WaitsOf lays out why a panel that is finished waits: its mate is held because it differs from it.
func WaitsOf(held *stations.Ticket, today string) *Apart {
	a := &Apart{Mate: PieceOf(held, today)}
	for _, m := range held.Current().Pair.Measures {
		m.Measured, m.Mate = m.Mate, m.Measured
		a.Measures = append(a.Measures, m)
	}
	return a
}

// sendTo are the stations to which a ticket can go back.
func sendTo(t *stations.Ticket) []stations.Station {
	var all []stations.Station
	for i := range t.Steps {
		station := t.Steps[i].Spec.Station
		if i <= t.At && !t.Cancelled && (t.Spec.Kind == stations.CuttingTicket || station != stations.Cutting) {
			all = append(all, station)
		}
	}
	return all
}

// OutOf is a measured value outside its tolerance.
type OutOf struct {
	Entry    stations.Entry
	Measured measure.Quantity
}

// RouteStep is one stop of a ticket's route.
type RouteStep struct {
	Station stations.Station
	State   stations.State
}

// Open lays a ticket open for the page of a station; at "" it is the ticket's own page, which works wherever the
// ticket is.
func Open(t *stations.Ticket, at stations.Station, today string) OpenTicket {
	o := OpenTicket{Piece: PieceOf(t, today), Notes: t.Spec.Notes, Cuts: t.Spec.Cuts, Parts: t.Spec.Parts, Makeup: makeupOf(t.Spec), Table: TableOf(t), Off: t.Off,
		Typed: map[string]string{}, Ticked: map[string]bool{}, Missing: map[string]bool{}}
	for i := range t.Steps {
		o.Route = append(o.Route, RouteStep{t.Steps[i].Spec.Station, t.Steps[i].State})
	}
	o.SendTo = sendTo(t)
	for _, name := range o.Kept {
		if t.Wanted != nil {
			o.Otherwise = append(o.Otherwise, NumberChange{Name: name, Was: t.Spec.Number(name), Wants: t.Wanted.Number(name), Stays: true})
		}
	}
	now := t.Current()
	if now == nil {
		return o
	}
	o.Here = at == "" || at == now.Spec.Station
	o.Elsewise = now.Spec.Station
	o.Step = &OpenStep{
		Station: now.Spec.Station, State: now.State, Values: now.Spec.Values, Enter: now.Spec.Enter,
		Checks: now.Spec.Checks, Cautions: now.Spec.Cautions, SentBack: now.SentBack, Reason: now.Reason,
		ForOffice: now.ForOffice, Units: string(t.Spec.Units), Measured: now.Measured,
	}
	for _, name := range now.OutOf {
		for _, e := range now.Spec.Enter {
			if e.Name == name {
				o.Step.OutOf = append(o.Step.OutOf, OutOf{e, now.Measured[name]})
			}
		}
	}
	return o
}

// UncutPanel reports whether the ticket is a panel whose cloth is not cut yet: nobody scans it there.
func (o OpenTicket) UncutPanel() bool {
	return o.Kind == stations.PanelTicket && o.Step != nil && o.Step.Station == stations.Cutting
}

// ShowsWork reports whether the step's numbers are of use where the page is.
func (o OpenTicket) ShowsWork() bool { return o.Step != nil && o.Here && !o.UncutPanel() }

// Acts reports whether the page's device may act on the step.
func (o OpenTicket) Acts() bool { return o.ShowsWork() && o.Frame.Works() }

// CanFinish reports whether the step waits for its checks and entries.
func (o OpenTicket) CanFinish() bool { return o.Acts() && o.Step.State == stations.AtWork }

// CanMeasure reports whether the step can be begun, and something is measured before.
func (o OpenTicket) CanMeasure() bool {
	return o.Acts() && o.Step.State == stations.Ready && slices.ContainsFunc(o.Step.Enter, func(e stations.Entry) bool { return e.AtStart })
}

// Checks are what a hand and an eye confirm, once the step is at work.
func (o OpenTicket) Checks() []string {
	if !o.CanFinish() {
		return nil
	}
	return o.Step.Checks
}

// CanHold reports whether the step can be held.
func (o OpenTicket) CanHold() bool {
	return o.Acts() && o.Step.State != stations.Held
}

// CanRemake reports whether the office can have the panel made anew: it is held, and its cloth is cut.
func (o OpenTicket) CanRemake() bool {
	return o.Acts() && o.Frame.Office() && o.Kind == stations.PanelTicket && o.Held()
}

// NextIsCut reports whether the one thing to do next is a cut: some are left. Until the first is told the ticket may also
// be cut by its list and finished once.
func (o OpenTicket) NextIsCut() bool {
	return o.CanFinish() && o.Table != nil && o.Table.Next != nil
}

// MeasuresFirst reports whether a cutting was begun without what is measured before the first cut, and nothing is cut yet.
func (o OpenTicket) MeasuresFirst() bool {
	return o.CanFinish() && o.Table != nil && !o.Table.Told && slices.ContainsFunc(o.Entries(), func(r EntryRow) bool { return r.Entry.AtStart })
}

// CanScrap reports whether the office can end the panel: cutting of its cloth has begun, and it isn't billed.
func (o OpenTicket) CanScrap() bool {
	return o.Frame.Office() && o.Kind == stations.PanelTicket && o.State != stations.Cancelled && o.CutBegun && o.Invoice == ""
}

// NeedsOffice reports whether the step is held until the office decides.
func (o OpenTicket) NeedsOffice() bool { return o.Step != nil && o.Step.ForOffice }

// MainAction returns the one action that moves the work on, "" where nothing here does.
func (o OpenTicket) MainAction() stations.Action {
	if !o.Acts() {
		return ""
	}
	switch o.Step.State {
	case stations.Ready:
		return stations.Start
	case stations.AtWork:
		return stations.Finish
	case stations.Held:
		if !o.Step.ForOffice || o.Cloth != nil && o.Frame.Office() {
			return stations.Resume
		}
		if o.Frame.Office() && o.Cloth == nil {
			return stations.Accept
		}
	}
	return ""
}

// EntryRow is one entry of the open ticket's step.
type EntryRow struct {
	Open  OpenTicket
	Entry stations.Entry
}

// Entries returns what the step asks to be measured now: before it is begun what a start carries, and later the rest.
func (o OpenTicket) Entries() []EntryRow {
	if !o.CanFinish() && !o.CanMeasure() {
		return nil
	}
	var rows []EntryRow
	for _, e := range o.Step.Enter {
		if o.CanMeasure() == e.AtStart || !e.AtStart || o.Step.Measured[e.Name].IsZero() {
			rows = append(rows, EntryRow{o, e})
		}
	}
	return rows
}
