// Package stations has the floor's words and laws: orders, tickets, routes, steps, what a scan does and when it is
// refused. It is pure: Decide says what a command does to the floor as it stands, Apply does it, and the same
// events give the same floor whenever they are folded. The server adds durability and order.
package stations

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
