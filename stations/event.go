package stations

import (
	"time"

	"tablehand/engine/billing"
)

// Event is what one accepted command did: one row of the ledger.
type Event struct {
	Seq      int64      `json:"seq"`
	At       time.Time  `json:"at"` // the server's, UTC, whole microseconds
	DeviceAt *time.Time `json:"device_at,omitempty"`
	Actor    Actor      `json:"actor"`
	Person   string     `json:"person,omitempty"`
	Action   Action     `json:"action"`
	Order    string     `json:"order,omitempty"`
	Ticket   Code       `json:"ticket,omitempty"`
	Station  Station    `json:"station,omitempty"` // of the step acted on
	State    State      `json:"state,omitempty"`   // of that step, afterwards
	Next     Station    `json:"next,omitempty"`    // now ready
	Also     []Moved    `json:"also,omitempty"`
	Reason   string     `json:"reason,omitempty"`
	To       Station    `json:"to,omitempty"`
	Picture  string     `json:"picture,omitempty"` // of a hold: SHA-256 of its bytes, hex

	Measured map[string]string `json:"measured,omitempty"` // all of the step's, lengths in the order's unit
	Checks   []string          `json:"checks,omitempty"`
	OutOf    []string          `json:"out_of_tolerance,omitempty"` // entries that held the panel

	Taken    *TakenOrder        `json:"taken,omitempty"`
	Tickets  []TicketSpec       `json:"tickets,omitempty"` // of a release
	Override bool               `json:"override,omitempty"`
	Prices   *billing.PriceList `json:"prices,omitempty"`
	Invoice  *Invoice           `json:"invoice,omitempty"` // drafted, or as issued
	Draft    string             `json:"draft,omitempty"`   // dropped or issued
	Number   string             `json:"number,omitempty"`  // issued
}

// Moved is a ticket that an event moved beside its own.
type Moved struct {
	Ticket  Code    `json:"ticket"`
	Station Station `json:"station"`
	State   State   `json:"state"`
}

// TakenOrder is what the floor knows of an order before its release.
type TakenOrder struct {
	Customer string   `json:"customer"`
	Due      string   `json:"due,omitempty"`
	Digest   string   `json:"digest"`
	Fabrics  []string `json:"fabrics,omitempty"`
}
