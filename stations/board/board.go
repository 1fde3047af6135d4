// Package board shows the floor as programs and screens read it: rows, the board of all orders, one ticket's
// document, and the change that an event makes. It does no I/O; words for people come from the caller.
package board

import (
	"time"

	"tablehand/stations"
)

// Row is a ticket on a list.
type Row struct {
	Ticket  stations.Code    `json:"ticket"`
	Kind    stations.Kind    `json:"kind"`
	Window  string           `json:"window,omitempty"`
	Panel   string           `json:"panel,omitempty"`
	Copy    int              `json:"copy,omitempty"`
	Fabric  string           `json:"fabric,omitempty"`
	Station stations.Station `json:"station"` // where it is or waits
	State   stations.State   `json:"state"`
}

// RowOf returns a ticket's row.
func RowOf(t *stations.Ticket) Row {
	return Row{
		Ticket: t.Spec.Code, Kind: t.Spec.Kind, Window: t.Spec.Window, Panel: t.Spec.Panel, Copy: t.Spec.Copy,
		Fabric: t.Spec.Fabric, Station: t.Station(), State: t.State(),
	}
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
			line.Tickets = append(line.Tickets, RowOf(t))
		}
		b.Orders = append(b.Orders, line)
	}
	return b
}

// Change is what the event stream says of an event: enough to know what to look at again.
type Change struct {
	Seq     int64            `json:"seq"`
	At      time.Time        `json:"at"`
	Action  stations.Action  `json:"action"`
	Ticket  stations.Code    `json:"ticket,omitempty"`
	Order   string           `json:"order,omitempty"`
	Station stations.Station `json:"station,omitempty"`
	State   stations.State   `json:"state,omitempty"`
	Next    stations.Station `json:"next,omitempty"`
	Reason  string           `json:"reason,omitempty"`
	Also    []stations.Moved `json:"also,omitempty"`
}

// ChangeOf returns an event's change.
func ChangeOf(e stations.Event) Change {
	return Change{
		Seq: e.Seq, At: e.At, Action: e.Action, Ticket: e.Ticket, Order: e.Order, Station: e.Station,
		State: e.State, Next: e.Next, Reason: e.Reason, Also: e.Also,
	}
}
