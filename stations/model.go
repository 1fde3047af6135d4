// Package stations has the floor's words and laws: orders, tickets, routes, steps, what a scan does and when it is
// refused. It is pure: Decide says what a command does to the floor as it stands, Apply does it, and the same
// events give the same floor whenever they are folded. The server adds durability and order.
package stations

import (
	"encoding/json"
	"fmt"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
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

	Heading  Station = "heading"  // buckram and heading, of pleats set by hand
	Pleating Station = "pleating" // marked and pleated
	Tacking  Station = "tacking"
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
	Remake   Action = "remake"
	Scrap    Action = "scrap"

	// At the cutting table, of a cutting ticket at work.
	Cut   Action = "cut"   // one of its cuts is made
	Flaw  Action = "flaw"  // one is found on a bolt
	Spoil Action = "spoil" // a cut that is made is no good, and is made again
	Rest  Action = "rest"  // what is left of a bolt is measured

	Take      Action = "take"
	Release   Action = "release"
	Revise    Action = "revise"
	Cancel    Action = "cancel"
	SetPrices Action = "set_prices"
	Draft     Action = "draft"
	DropDraft Action = "drop_draft"
	Issue     Action = "issue"
	Credit    Action = "credit"
	Close     Action = "close"
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
	// Pair is what is compared with the panel's mate, once both are measured; none on a panel that hangs alone, and on
	// what was released before pairs were compared.
	Pair []PairLimit `json:"pair,omitempty"`
}

// Value is one computed measurement: its name is the work-up's key.
type Value struct {
	Name  string           `json:"name"`
	Value measure.Quantity `json:"value"`
}

// UnmarshalJSON reads a value. A fabric's name is a word, whatever it looks like.
func (v *Value) UnmarshalJSON(data []byte) error {
	var text struct{ Name, Value string }
	if err := json.Unmarshal(data, &text); err != nil {
		return err
	}
	v.Name, v.Value = text.Name, measure.Read(text.Value)
	if text.Name == "fabric" || text.Name == "interlining" {
		v.Value = measure.OfWord(text.Value)
	}
	return nil
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
	Name   string           `json:"name"`
	Kind   EntryKind        `json:"kind"`
	Target measure.Quantity `json:"target"`
	// Tolerance is how far the value may lie from the target; nil: it must equal it (a choice: be an option).
	Tolerance *Tolerance `json:"tolerance,omitempty"`
	Options   []string   `json:"options,omitempty"`
	// AtStart: it is measured before the work begins. A start may carry it, and outside its tolerance the work doesn't
	// begin until the office has decided; what no start carried is asked at the finish like any other.
	AtStart bool `json:"at_start,omitempty"`
}

// Tolerance is written like the target.
type Tolerance struct {
	Minus measure.Quantity `json:"minus"`
	Plus  measure.Quantity `json:"plus"`
}

// TicketSpec is a ticket as it was released.
type TicketSpec struct {
	Code      Code              `json:"ticket"`
	Kind      Kind              `json:"kind"`
	Revision  int               `json:"revision,omitempty"` // of the order, that these numbers were printed for first; 0 of old releases: the first
	Treatment int               `json:"treatment"`          // in the newest order file, from 0; panels
	Window    string            `json:"window,omitempty"`
	Room      string            `json:"room,omitempty"`
	Panel     string            `json:"panel,omitempty"`  // L, R, S
	Copy      int               `json:"copy,omitempty"`   // which of the windows, from 1
	Copies    int               `json:"copies,omitempty"` // how many such windows the treatment has
	Fabric    string            `json:"fabric,omitempty"`
	Fabrics   []string          `json:"fabrics,omitempty"` // that the panel uses
	Heading   orderfile.Heading `json:"heading,omitempty"`
	Widths    measure.Halves    `json:"widths,omitempty"` // of the face, for the price
	Units     measure.Unit      `json:"units"`
	Notes     []string          `json:"notes,omitempty"` // of order and treatment
	CordEnd   orderfile.CordEnd `json:"cord_end,omitempty"`
	Steps     []StepSpec        `json:"steps"` // panels: cutting first, which nobody scans
	Cuts      []CutLine         `json:"cuts,omitempty"`
	Remnants  []Remnant         `json:"remnants,omitempty"`
	Parts     []BoltPart        `json:"parts,omitempty"` // bolts that other orders are cut from too

	RemadeFrom Code   `json:"remade_from,omitempty"` // the panel that this one replaces
	Drawn      *Drawn `json:"drawn,omitempty"`       // where a panel's numbers are of an older file

	// Lining and Interlining are a panel's fabrics, "" for none, and on what was released before they were kept.
	Lining      string `json:"lining,omitempty"`
	Interlining string `json:"interlining,omitempty"`

	Edition int           `json:"edition,omitempty"` // of the numbers that it could have; 0 is the first
	Use     orderfile.Use `json:"use,omitempty"`     // what a cutting ticket's fabric is for
	Tape    string        `json:"tape,omitempty"`    // of a panel set by tape
	Under   string        `json:"under,omitempty"`   // a top treatment that hides the panel's heading
}

// Face returns the fabric that a panel shows.
func (s *TicketSpec) Face() string {
	if len(s.Fabrics) == 0 {
		return ""
	}
	return s.Fabrics[0]
}

// Drawn says in which file of the order, and at which of its treatments, a panel stands as it is being made.
type Drawn struct {
	Revision  int `json:"revision"`
	Treatment int `json:"treatment"`
}

// CutLine is one cut on a cutting ticket, in the order of cutting.
type CutLine struct {
	Cut        string           `json:"cut"`
	Bolt       string           `json:"bolt,omitempty"` // "" where no bolts are listed, or none has room
	Lot        string           `json:"lot,omitempty"`
	From       measure.Quantity `json:"from,omitzero"` // along the bolt
	Length     measure.Quantity `json:"length"`
	Class      string           `json:"class,omitempty"`      // A or B of a half-drop
	TrimTop    measure.Quantity `json:"trim_top,omitzero"`    // before the pattern's height, where a cut may start off it
	TrimBottom measure.Quantity `json:"trim_bottom,omitzero"` // the rest over the plain length
	For        []CutPart        `json:"for"`                  // one, or the two halves; an odd half is a remnant
	Done       bool             `json:"done,omitempty"`       // told as cut at the table
	DoneLength measure.Quantity `json:"done_length,omitzero"` // as it was cut
}

// CutPart says whose piece a cut, or half of one, is.
type CutPart struct {
	Ticket Code        `json:"ticket,omitempty"` // the panel's
	Window string      `json:"window"`
	Copy   int         `json:"copy"`
	Copies int         `json:"copies"` // how many such windows the treatment has
	Panel  string      `json:"panel"`
	Place  int         `json:"place"`          // from the return edge, from 1
	Half   workup.Half `json:"half,omitempty"` // left, right, "" for a whole width
}

// String tags a piece without words: "Bay, left 1 L/2" is the second piece from the return edge of panel L of the
// first such window. The half, where it is one, has its name in the catalogue: "half.left".
func (p CutPart) String() string {
	return fmt.Sprintf("%s %d %s/%d", p.Window, p.Copy, p.Panel, p.Place)
}

// BoltPart is the part of a bolt that is an order's: from a place on, measured from the bolt's first end, to its end.
type BoltPart struct {
	Bolt string           `json:"bolt"`
	Lot  string           `json:"lot,omitempty"`
	From measure.Quantity `json:"from"` // as cloth is bought: "12yd"
}

// Remnant is what is left at the end of a bolt after the order's cuts.
type Remnant struct {
	Bolt   string           `json:"bolt"`
	From   measure.Quantity `json:"from"`
	Length measure.Quantity `json:"length"`
}
