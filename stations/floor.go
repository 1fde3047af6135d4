package stations

import (
	"time"

	"tablehand/engine/billing"
)

// Floor is everything on the floor at one moment: an immutable value that many may read. New ones come from an
// Overlay.
type Floor struct{}

// NewFloor returns a floor with nothing on it.
func NewFloor() *Floor { return &Floor{} }

// Overlay is a floor being changed: it decides commands on what earlier ones of the same batch did, and is
// dropped when the batch is not kept. It is for one goroutine.
type Overlay struct{}

// Overlay begins a change of the floor.
func (f *Floor) Overlay() *Overlay { panic("to be written") }

// Decide says what cmd does to the floor as the overlay has it, at now, without doing it. The error is a *Refusal.
// The event has no Seq yet.
func (o *Overlay) Decide(cmd Command, now time.Time) (Event, error) { panic("to be written") }

// Apply does what an event says.
func (o *Overlay) Apply(e Event) { panic("to be written") }

// Floor returns the floor with the changes; the overlay must not be used afterwards.
func (o *Overlay) Floor() *Floor { panic("to be written") }

// Seq is the sequence of the last event applied.
func (f *Floor) Seq() int64 { panic("to be written") }

// Order returns an order, nil where there is none.
func (f *Floor) Order(id string) *Order { panic("to be written") }

// Orders returns all orders, by due date (those without one last) and id.
func (f *Floor) Orders() []*Order { panic("to be written") }

// Ticket returns a ticket, nil where there is none.
func (f *Floor) Ticket(code Code) *Ticket { panic("to be written") }

// Prices returns the price list in force.
func (f *Floor) Prices() billing.PriceList { panic("to be written") }

// Ready returns the finished panels that stand on no invoice, by customer, order and position.
func (f *Floor) Ready() []*Ticket { panic("to be written") }

// Invoice returns a draft or an issued invoice by draft id or number, nil where there is none.
func (f *Floor) Invoice(id string) *Invoice { panic("to be written") }

// Invoices returns all drafts and issued invoices, newest first.
func (f *Floor) Invoices() []*Invoice { panic("to be written") }

// Order is an order on the floor; read only.
type Order struct {
	ID       string
	Customer string
	Due      string // YYYY-MM-DD or ""
	State    OrderState
	Revision int // 1 as taken
	Digest   string
	Taken    time.Time
	Tickets  []*Ticket // cutting tickets first, then panels in file order
}

// Late reports whether the order is due before today (YYYY-MM-DD in the shop's zone) and not finished.
func (o *Order) Late(today string) bool {
	return o.Due != "" && o.Due < today && (o.State == OrderTaken || o.State == OrderReleased)
}

// Ticket is a ticket on the floor; read only.
type Ticket struct {
	Spec      *TicketSpec
	Order     string
	Customer  string
	Due       string
	Cancelled bool
	At        int // index of the current step in Steps; len(Steps) when finished
	Steps     []StepNow
	Invoice   string // draft or number that it stands on, "" for none
	Changed   time.Time
}

// StepNow is a step's present.
type StepNow struct {
	Spec      *StepSpec
	State     State
	Before    State // of a held step: what it was
	Reason    string
	ForOffice bool // held out of tolerance: the office decides
	OutOf     []string
	SentBack  *SentBack
	Measured  map[string]string // as entered, kept through undo
	Checks    []string
	Person    string
	Started   time.Time
	Ended     time.Time
}

// SentBack says from where and why a step is to be done again.
type SentBack struct {
	From   Station `json:"from"`
	Reason string  `json:"reason"`
}

// Station returns where the ticket is or waits: its current step's station; the last one's when finished.
func (t *Ticket) Station() Station { panic("to be written") }

// State returns the ticket's state: that of its current step, finished, or cancelled.
func (t *Ticket) State() State { panic("to be written") }

// Current returns the current step, nil when finished or cancelled.
func (t *Ticket) Current() *StepNow { panic("to be written") }

// Invoice is a draft or issued invoice.
type Invoice struct {
	Draft    string        `json:"draft"`
	Number   string        `json:"number,omitempty"` // "" while a draft
	Customer string        `json:"customer"`
	Lines    []InvoiceLine `json:"lines"`
	Currency string        `json:"currency"`
	Drafted  time.Time     `json:"drafted"`
	Issued   time.Time     `json:"issued"`
}

// InvoiceLine is one panel's line; Amount is nil while no price is set.
type InvoiceLine struct {
	Ticket  Code           `json:"ticket"`
	Order   string         `json:"order"`
	Window  string         `json:"window"`
	Room    string         `json:"room,omitempty"`
	Panel   string         `json:"panel"`
	Heading string         `json:"heading"`
	Widths  string         `json:"widths"`
	Amount  *billing.Money `json:"amount,omitempty"`
}
