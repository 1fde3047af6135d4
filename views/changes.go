package views

import (
	"time"

	"tablehand/engine/measure"
	"tablehand/stations"
	"tablehand/stations/plan"
)

// TicketChange is a ticket whose numbers change, or are wanted otherwise.
type TicketChange struct {
	Piece
	Protected bool
	Why       string // why it is protected: catalogue changes.why.<why>
	Untold    bool   // its cloth is being cut, and nobody has told which of it is
	Numbers   []NumberChange
	Outlines  []Outline // of a panel whose size changes
}

// NumberChange is one number before and after. Stays: cloth or work keeps it as it was.
type NumberChange struct {
	Name       string
	Was, Wants measure.Quantity
	Stays      bool
}

// History is what has happened to an order or a panel, newest first: as much as a page shows.
type History struct {
	Rows   []HistoryRow
	Path   string // of the page that it is on
	Total  int    // of all that has happened
	Newer  int    // rows left out that are newer
	Older  int    // and older ones,
	Before int64  // which are those before this number of the ledger
	Open   bool   // somebody is reading in it
}

// HistoryRow is one event of an order or a panel.
type HistoryRow struct {
	At       time.Time
	Action   stations.Action
	Who      string
	Piece    *Piece // the ticket, nil where it is about the order
	Station  plan.Station
	To       plan.Station // of a send back
	Reason   string
	Picture  string
	Revision int                   // that a revision has made
	Changes  []TicketChange        // by a revision: the tickets and the names of their numbers
	More     int                   // tickets that it changed beside those
	New      plan.Code             // of a remake
	OutOf    []string              // entries that held the panel
	Apart    []stations.MatesApart // in which it differed from its mate
}

// PieceOfSpec shows a ticket that is not on the floor yet.
func PieceOfSpec(s *plan.Ticket, order string) Piece {
	p := Piece{Code: s.Code, Kind: s.Kind, Order: order, Window: s.Window, Room: s.Room, Panel: s.Panel, Fabric: s.Fabric, State: stations.Waiting}
	if s.Copies > 1 {
		p.Copy = s.Copy
	}
	return p
}
