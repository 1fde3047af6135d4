// Package board shows the floor as programs and screens read it: rows, the board of all orders, one ticket's
// document, and the change that an event makes. It does no I/O; words for people come from the caller.
package board

import (
	"time"

	"tablehand/engine/orderfile"
	"tablehand/stations"
	"tablehand/stations/invoice"
	"tablehand/stations/plan"
)

// Label says which ticket one is.
type Label struct {
	Ticket plan.Code `json:"ticket"`
	Kind   plan.Kind `json:"kind"`
	Window string    `json:"window,omitempty"`
	Room   string    `json:"room,omitempty"`
	Panel  string    `json:"panel,omitempty"`
	Copy   int       `json:"copy,omitempty"`
	Fabric string    `json:"fabric,omitempty"`

	Piece orderfile.PieceKind `json:"piece,omitempty"` // what a piece is, which has a text for a window
	Text  string              `json:"text,omitempty"`
}

func labelOf(s *plan.Ticket) Label {
	l := Label{Ticket: s.Code, Kind: s.Kind, Window: s.Window, Room: s.Room, Panel: s.Panel, Copy: s.Copy, Fabric: s.Fabric, Piece: s.Piece}
	if s.Kind == plan.PieceTicket {
		l.Window, l.Text = "", s.Window
	}
	return l
}

// Row is a ticket on a list.
type Row struct {
	Label
	Station plan.Station   `json:"station"` // where it is or waits
	State   stations.State `json:"state"`
	Billed  bool           `json:"billed,omitempty"` // on an issued invoice

	Scrapped bool `json:"scrapped,omitempty"` // cancelled after its cloth was cut
	Billable bool `json:"billable,omitempty"` // and it can be billed all the same
}

// RowOf returns the row of a ticket, with what a floor, its own or one soon after, knows of its invoice.
func RowOf(f *stations.Floor, t *stations.Ticket) Row {
	i := f.Invoice(t.Invoice)
	return Row{Label: labelOf(t.Spec), Station: t.Station(), State: t.State(), Billed: i != nil && i.Number != "",
		Scrapped: t.Scrapped, Billable: t.Scrapped && t.BillsScrap}
}

// newRow is the row of a ticket that has just been made: cutting can begin, a panel waits for its cloth.
func newRow(s *plan.Ticket) Row {
	row := Row{Label: labelOf(s), Station: s.Steps[0].Station, State: stations.Waiting}
	if !s.IsCut() {
		row.State = stations.Ready
	}
	return row
}

// Board is every order that still concerns the floor or the office: not cancelled, not invoiced.
type Board struct {
	Seq    int64   `json:"seq"`
	Orders []Order `json:"orders"`
}

// Order is one order's line on the board.
type Order struct {
	Order   string `json:"order"`
	Due     string `json:"due"`
	Late    bool   `json:"late"`
	Tickets []Row  `json:"tickets"`
}

// Of returns the board of a floor on a day (YYYY-MM-DD in the shop's zone), orders by due date.
func Of(f *stations.Floor, today string) Board {
	b := Board{Seq: f.Seq(), Orders: []Order{}}
	for _, o := range f.Orders() {
		if o.State == stations.OrderCancelled || o.State == stations.OrderInvoiced {
			continue
		}
		line := Order{Order: o.ID, Due: o.Due, Late: o.Late(today), Tickets: []Row{}}
		for _, t := range o.Tickets {
			line.Tickets = append(line.Tickets, RowOf(f, t))
		}
		b.Orders = append(b.Orders, line)
	}
	return b
}

// Change is what the event stream says of an event: enough to keep a board that was read once as it would be read now.
//
//   - Ticket is now at Next, ready, where there is a Next, else at Station in State; those of Also likewise.
//   - Tickets are new on Order: each stands behind the last one of its kind, window (piece: text) and room (cutting: of its kind), at
//     the end where there is none, and before Also. Labels replace what tickets of the order were called, before that.
//   - take and revise set the order's Due. It leaves the board by cancel, and when all its panels are finished or
//     cancelled, at least one is finished, and each of those is Billed.
type Change struct {
	Seq     int64            `json:"seq"`
	At      time.Time        `json:"at"`
	Action  stations.Action  `json:"action"`
	Ticket  plan.Code        `json:"ticket,omitempty"`
	Order   string           `json:"order,omitempty"`
	Station plan.Station     `json:"station,omitempty"`
	State   stations.State   `json:"state,omitempty"`
	Next    plan.Station     `json:"next,omitempty"`
	Reason  string           `json:"reason,omitempty"`
	Also    []stations.Moved `json:"also,omitempty"`

	Bolt  string     `json:"bolt,omitempty"`  // of the shelf the one that it is about; at the cutting table the flawed one, the one that is measured
	Lines []NewLines `json:"lines,omitempty"` // cutting tickets whose cuts are laid out anew

	Due       string      `json:"due,omitempty"`
	Tickets   []Row       `json:"tickets,omitempty"`
	Labels    []Label     `json:"labels,omitempty"`
	Cancelled []plan.Code `json:"cancelled,omitempty"` // tickets that a revision, a scrap or a close drops
	Billed    []plan.Code `json:"billed,omitempty"`    // panels that stand on an issued invoice from now on
	Scrapped  []plan.Code `json:"scrapped,omitempty"`  // panels that are ended though their cloth is cut
	Billable  bool        `json:"billable,omitempty"`  // those can be billed all the same
	Unbilled  []plan.Code `json:"unbilled,omitempty"`  // and those that do no more: it is credited, and frees them
}

// NewLines says which values of a ticket are others now.
type NewLines struct {
	Ticket plan.Code `json:"ticket"`
	Values []string  `json:"values"`
}

// ChangeOf returns an event's change.
func ChangeOf(e stations.Event) Change {
	c := Change{
		Seq: e.Seq, At: e.At, Action: e.Action, Ticket: e.Ticket, Order: e.Order, Station: e.Station,
		State: e.State, Next: e.Next, Reason: e.Reason, Also: e.Also, Bolt: e.Bolt,
	}
	if e.Bolt == "" && e.Shelf != nil {
		c.Bolt = string(e.Shelf.About())
	}
	for _, part := range e.Parts() {
		for i := range part.Lines {
			c.Lines = append(c.Lines, NewLines{part.Lines[i].Ticket, []string{"cuts"}})
		}
	}
	for i := range e.Holds {
		if h := &e.Holds[i]; h.Ticket == e.Ticket && h.Reason != "" {
			c.Reason = h.Reason
		}
	}
	for i := range e.Tickets {
		c.Tickets = append(c.Tickets, newRow(&e.Tickets[i]))
	}
	switch {
	case e.Taken != nil:
		c.Due = e.Taken.Due
	case e.Revised != nil:
		c.Due, c.Cancelled = e.Revised.Due, e.Revised.Dropped
		for i := range e.Revised.Specs {
			c.Labels = append(c.Labels, labelOf(&e.Revised.Specs[i].Spec))
		}
	case e.Ended != nil:
		c.Cancelled, c.Scrapped, c.Billable = e.Ended.Cancelled, e.Ended.Scrapped, e.Ended.Billable
	case e.Action == stations.Issue && !e.Invoice.IsCredit():
		c.Billed = ticketsOn(e.Invoice)
	case e.Action == stations.Issue && e.Invoice.Frees:
		c.Unbilled = ticketsOn(e.Invoice)
	case e.Action == stations.Credit:
		c.Reason = "" // the floor has no say in it
	}
	return c
}

func ticketsOn(i *invoice.Document) []plan.Code {
	var codes []plan.Code
	for _, l := range i.Lines {
		codes = append(codes, l.Ticket)
	}
	return codes
}
