// Package stations has the floor's words and laws: orders, tickets, routes, steps, what a scan does and when it is
// refused. It is pure: Decide says what a command does to the floor as it stands, Apply does it, and the same
// events give the same floor whenever they are folded. The server adds durability and order.
package stations

import (
	"time"

	"tablehand/engine"
	"tablehand/engine/billing"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// Station is a station's key. Names on screen come from the catalogue.
type Station string

const (
	Cutting  Station = "cutting"
	Joining  Station = "joining"
	Fold     Station = "fold"
	Tape     Station = "tape"
	PullUp   Station = "pull_up"
	Inserts  Station = "inserts"
	Pressing Station = "pressing"
	Packing  Station = "packing"
)

// Kind tells the tickets of an order apart.
type Kind string

const (
	PanelTicket   Kind = "panel"   // one for each panel
	CuttingTicket Kind = "cutting" // one for each fabric
)

// State is a step's state, and with Cancelled a ticket's.
type State string

const (
	Waiting   State = "waiting"
	Ready     State = "ready"
	AtWork    State = "at_work"
	Held      State = "held"
	Finished  State = "finished"
	Cancelled State = "cancelled"
)

// OrderState is an order's state.
type OrderState string

const (
	OrderTaken     OrderState = "taken"
	OrderReleased  OrderState = "released"
	OrderFinished  OrderState = "finished"  // all panels finished or cancelled
	OrderInvoiced  OrderState = "invoiced"  // all finished ones on issued invoices
	OrderCancelled OrderState = "cancelled" // before any cut
)

// Action is what a command or an event does.
type Action string

const (
	Start    Action = "start"
	Finish   Action = "finish"
	ScanIt   Action = "scan" // start on a ready step, finish on one at work; events say which it was
	Undo     Action = "undo"
	Hold     Action = "hold"
	Resume   Action = "resume"
	SendBack Action = "send_back"
	Accept   Action = "accept"

	Take      Action = "take"
	Release   Action = "release"
	Cancel    Action = "cancel"
	SetPrices Action = "set_prices"
	Draft     Action = "draft"
	DropDraft Action = "drop_draft"
	Issue     Action = "issue"
)

// StepSpec is one station's work on one ticket as it was released: an order keeps the version of the route that
// it was released with. Lengths are written in the order's unit, as in the work-up's JSON.
type StepSpec struct {
	Station  Station  `json:"station"`
	Values   []Value  `json:"values,omitempty"`
	Enter    []Entry  `json:"enter,omitempty"`
	Checks   []string `json:"checks,omitempty"`   // catalogue keys "check.<name>"
	Cautions []string `json:"cautions,omitempty"` // catalogue keys "caution.<name>"
	Minutes  *int     `json:"minutes,omitempty"`  // standard minutes, nil where the shop has set none
}

// Value is one computed measurement: its name is the work-up's key.
type Value struct {
	Name  string `json:"name"`
	Value string `json:"value"` // "126.5in", "19", "2.5"
}

// EntryKind says what an entry takes.
type EntryKind string

const (
	LengthEntry EntryKind = "length"
	CountEntry  EntryKind = "count"
	ChoiceEntry EntryKind = "choice"
)

// Entry is one value that the station measures and enters.
type Entry struct {
	Name   string    `json:"name"`
	Kind   EntryKind `json:"kind"`
	Target string    `json:"target"` // in the form that a measured value takes: "12.5in", "19", "wound"
	// Tolerance is how far the value may lie from the target; nil: it must equal it (a choice: be an option).
	Tolerance *Tolerance `json:"tolerance,omitempty"`
	Options   []string   `json:"options,omitempty"`
}

// Tolerance is written like the target.
type Tolerance struct {
	Minus string `json:"minus"`
	Plus  string `json:"plus"`
}

// TicketSpec is a ticket as it was released.
type TicketSpec struct {
	Code      Code              `json:"ticket"`
	Kind      Kind              `json:"kind"`
	Treatment int               `json:"treatment"` // in the order file, from 0; panels
	Window    string            `json:"window,omitempty"`
	Room      string            `json:"room,omitempty"`
	Panel     string            `json:"panel,omitempty"` // L, R, S
	Copy      int               `json:"copy,omitempty"`  // which of the windows, from 1
	Fabric    string            `json:"fabric,omitempty"`
	Fabrics   []string          `json:"fabrics,omitempty"` // that the panel uses
	Heading   orderfile.Heading `json:"heading,omitempty"`
	Widths    measure.Halves    `json:"widths,omitempty"` // of the face, for the price
	Units     measure.Unit      `json:"units"`
	Notes     []string          `json:"notes,omitempty"` // of order and treatment
	CordEnd   orderfile.CordEnd `json:"cord_end,omitempty"`
	Steps     []StepSpec        `json:"steps"` // panels: cutting first, which nobody scans
	Cuts      []CutLine         `json:"cuts,omitempty"`
}

// CutLine is one cut on a cutting ticket, in the order of cutting.
type CutLine struct {
	Cut        string   `json:"cut"`
	Bolt       string   `json:"bolt,omitempty"` // "" where no bolts are listed
	Lot        string   `json:"lot,omitempty"`
	From       string   `json:"from,omitempty"`
	Length     string   `json:"length"`
	Class      string   `json:"class,omitempty"`       // A or B of a half-drop
	TrimBottom string   `json:"trim_bottom,omitempty"` // surplus of a whole-repeat cut
	For        []string `json:"for"`                   // "Bay, left 1 L/2", with the half where it is one
}

// Actor is who sends a command: a token or a signed-in browser. Device is what undo and keys go by.
type Actor struct {
	Role   Role   `json:"role"`
	Name   string `json:"name,omitempty"`
	Device string `json:"device"`
}

// Role is what an actor may do.
type Role string

const (
	Office  Role = "office"
	Program Role = "program" // all of the office's but people and settings
	Bench   Role = "station" // scans, tickets, board
	Screen  Role = "screen"  // board and events
)

// Command is one wish about the floor. Its concrete types are Scan, TakeOrder, ReleaseOrder, CancelOrder,
// SetPriceList, DraftInvoice, DropInvoice and IssueInvoice.
type Command interface{ action() Action }

// Scan is a command about one ticket.
type Scan struct {
	Actor    Actor
	Ticket   Code
	Station  Station // where it was scanned; for start, finish, scan
	Action   Action
	Key      string     // made on the device, at most 64 characters, unique for it
	At       *time.Time // the device's own time
	Person   string
	Measured map[string]string
	Checks   []string
	Reason   string
	To       Station // of a send_back
}

// TakeOrder stores an order whose file has no error.
type TakeOrder struct {
	Actor    Actor
	Order    string
	Customer string
	Due      string
	Digest   string // SHA-256 of the file, hex
	Fabrics  []string
}

// ReleaseOrder puts an order on the floor; Tickets are planned by Plan.
type ReleaseOrder struct {
	Actor       Actor
	Order       string
	Tickets     []TicketSpec
	FabricShort bool // the cloth on hand is short, LotsMixed: suffices only from several lots
	LotsMixed   bool
	Override    bool
	Reason      string
}

// CancelOrder takes an order off the floor before any cut.
type CancelOrder struct {
	Actor  Actor
	Order  string
	Reason string
}

// SetPriceList replaces the shop's prices.
type SetPriceList struct {
	Actor  Actor
	Prices billing.PriceList
}

// DraftInvoice gathers finished panels of one customer.
type DraftInvoice struct {
	Actor    Actor
	Draft    string // made by the caller, unique
	Customer string
	Panels   []Code
}

// DropInvoice deletes a draft and frees its panels.
type DropInvoice struct {
	Actor Actor
	Draft string
}

// IssueInvoice gives a draft its number.
type IssueInvoice struct {
	Actor Actor
	Draft string
}

func (Scan) action() Action         { return ScanIt }
func (TakeOrder) action() Action    { return Take }
func (ReleaseOrder) action() Action { return Release }
func (CancelOrder) action() Action  { return Cancel }
func (SetPriceList) action() Action { return SetPrices }
func (DraftInvoice) action() Action { return Draft }
func (DropInvoice) action() Action  { return DropDraft }
func (IssueInvoice) action() Action { return Issue }

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

	Measured map[string]string `json:"measured,omitempty"`
	Checks   []string          `json:"checks,omitempty"`
	OutOf    []string          `json:"out_of_tolerance,omitempty"` // entries that held the panel

	Taken    *TakenOrder        `json:"taken,omitempty"`
	Tickets  []TicketSpec       `json:"tickets,omitempty"` // of a release
	Override bool               `json:"override,omitempty"`
	Prices   *billing.PriceList `json:"prices,omitempty"`
	Invoice  *Invoice           `json:"invoice,omitempty"` // drafted
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

// Refusal is a command that the floor refuses; nothing changed.
type Refusal struct {
	Code     string // of the contract: "wrong_station", ...
	Field    string
	Where    *Place
	Missing  []string         // entries and checks of an unfinished step
	Args     map[string]any   // for the sentence "refusal.<code>"
	Problems []engine.Problem // where they say more than the code
}

// Place says where a ticket is, or which tickets do the work.
type Place struct {
	Station Station `json:"station,omitempty"`
	Tickets []Code  `json:"tickets,omitempty"`
}

func (r *Refusal) Error() string { return "stations: refused: " + r.Code }
