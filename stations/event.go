// Package stations has the floor's words and laws: orders, tickets, routes, steps, what a scan does and when it is
// refused. It is pure: Decide says what a command does to the floor as it stands, Apply does it, and the same
// events give the same floor whenever they are folded. The server adds durability and order.
package stations

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"tablehand/engine/billing"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/stations/invoice"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
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
	Lay   Action = "lay"   // a bolt of the shelf comes onto it
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
	Amounts   Action = "amounts" // typed on a draft, of what no price list prices
	Issue     Action = "issue"
	Credit    Action = "credit"
	Close     Action = "close"
	Receive   Action = "receive"     // a customer's own piece has come in
	Unreceive Action = "unreceive"   // that was a mistake: it hasn't
	Merge     Action = "merge_cloth" // two of the shop's cloths are one
	Join      Action = "join"        // cutting tickets of one cloth are planned together, to be cut in one run
	Link      Action = "link_cloth"  // a fabric of an order is one of the shop's cloths, or none
)

// Event is what one accepted command did: one row of the ledger.
type Event struct {
	Seq      int64        `json:"seq"`
	At       time.Time    `json:"at"` // the server's, UTC, whole microseconds
	DeviceAt *time.Time   `json:"device_at,omitempty"`
	Actor    Actor        `json:"actor"`
	Person   string       `json:"person,omitempty"`
	Action   Action       `json:"action"`
	Order    string       `json:"order,omitempty"`
	Ticket   plan.Code    `json:"ticket,omitempty"`
	Station  plan.Station `json:"station,omitempty"` // of the step acted on
	State    State        `json:"state,omitempty"`   // of that step, afterwards
	Next     plan.Station `json:"next,omitempty"`    // now ready
	Also     []Moved      `json:"also,omitempty"`
	Reason   string       `json:"reason,omitempty"`
	To       plan.Station `json:"to,omitempty"`
	Picture  string       `json:"picture,omitempty"` // of a hold or of a piece that came in: SHA-256 of its bytes, hex

	Measured map[string]measure.Quantity `json:"measured,omitempty"` // all of the step's, lengths in the order's unit
	Checks   []string                    `json:"checks,omitempty"`
	OutOf    []string                    `json:"out_of_tolerance,omitempty"` // entries that held the panel
	Pair     *PairDiffers                `json:"pair,omitempty"`             // how it differs from its mate, which held it

	Taken    *TakenOrder        `json:"taken,omitempty"`
	Tickets  []plan.Ticket      `json:"tickets,omitempty"` // new ones: of a release, a revision, a remake
	Asked    plan.Measuring     `json:"asked,omitempty"`   // of a release: what its tickets ask otherwise than always
	Layout   plan.Layout        `json:"layout,omitempty"`  // of a release: which stations of the shop's its tickets pass, otherwise than shipped
	Revised  *Revised           `json:"revised,omitempty"`
	Respec   *Renumbered        `json:"respec,omitempty"`  // of a send_back that takes a revision's numbers
	New      plan.Code          `json:"new,omitempty"`     // of a remake: the panel's new ticket
	Cut      string             `json:"cut,omitempty"`     // at the table: which of the ticket's cuts
	Length   measure.Quantity   `json:"length,omitzero"`   // as it was cut; of a rest: what is left
	From     measure.Quantity   `json:"from,omitzero"`     // of a cut that was made elsewhere than planned: where,
	TrimTop  measure.Quantity   `json:"trim_top,omitzero"` // and how much of it lies before its pattern's height there
	Seen     bool               `json:"seen,omitempty"`    // of a cut: whoever made it saw the flaw in it, or that it is off the pattern
	Bolt     string             `json:"bolt,omitempty"`
	Off      *Off               `json:"off,omitempty"`      // what is off a bolt, or what its end is
	Joined   []plan.Code        `json:"joined,omitempty"`   // of a join: the tickets; of a lay those with which its ticket is cut in one run
	Told     []Event            `json:"told,omitempty"`     // of a cutting's finish: what was entered with it of its table, each as if it were told by itself
	Lines    []Laid             `json:"lines,omitempty"`    // cutting tickets whose cuts are laid out anew
	Holds    []ClothHold        `json:"holds,omitempty"`    // cutting tickets that their cloth holds from now on, or no more
	Received *ReceivedPiece     `json:"received,omitempty"` // or not, as the action says; its ticket is the event's, or would have had that code
	Ended    *Ended             `json:"ended,omitempty"`    // of a scrap or a close
	Override bool               `json:"override,omitempty"`
	Apart    []string           `json:"apart,omitempty"` // of a release or a revision: orders whose bolts of the same names are others, as the office says
	Prices   *billing.PriceList `json:"prices,omitempty"`
	Invoice  *invoice.Document  `json:"invoice,omitempty"` // drafted, or as issued
	Draft    string             `json:"draft,omitempty"`   // dropped or issued
	Number   string             `json:"number,omitempty"`  // issued
	Shelf    *shelf.Event       `json:"shelf,omitempty"`   // what it does to the shelf
	Fabric   string             `json:"fabric,omitempty"`  // of a link: of the order,
	Cloth    string             `json:"cloth,omitempty"`   // and which of the shop's cloths it is; "" as the file says
	Differs  []string           `json:"differs,omitempty"` // of a link: what the file has otherwise than the book of cloths; of a merge: what the two have
}

// Lays are the tickets whose cuts lie from the event on as they do there: new ones, and those that a revision changes.
func (e *Event) Lays() []plan.Ticket {
	list := slices.Clone(e.Tickets)
	for i := 0; e.Revised != nil && i < len(e.Revised.Specs); i++ {
		list = append(list, e.Revised.Specs[i].Spec)
	}
	return list
}

// Parts are what was told with the event, and then the event itself.
func (e Event) Parts() []Event { return append(slices.Clone(e.Told), e) }

// LinesAfter are how the cuts of tickets lie after the event; of what was told with it those of other tickets.
func (e Event) LinesAfter() []Laid {
	after := Event{}
	for _, part := range e.Parts() {
		for _, l := range part.Lines {
			if l.Ticket != e.Ticket || len(e.Told) == 0 {
				after.lays(l)
			}
		}
	}
	return after.Lines
}

// Moved is a ticket that an event moved beside its own.
type Moved struct {
	Ticket  plan.Code    `json:"ticket"`
	Station plan.Station `json:"station"`
	State   State        `json:"state"`
}

// ReceivedPiece is a customer's own piece that came in: what it is called, and which of those that are called so.
type ReceivedPiece struct {
	Text string `json:"text"`
	Copy int    `json:"copy"`
}

// TakenOrder is what the floor knows of an order before its release.
type TakenOrder struct {
	Customer string   `json:"customer"`
	Due      string   `json:"due,omitempty"`
	Digest   string   `json:"digest"`
	Fabrics  []string `json:"fabrics,omitempty"`
	// Practice is what the order is worked up with, until a revision brings it up to the shop's, as orderfile.ToKeep gives it.
	Practice orderfile.Practice `json:"practice,omitempty"`
	Bolts    []plan.NamedBolt   `json:"bolts,omitempty"`
}

// Revised is what a new file did to an order beside its new tickets and the panels that it moved.
type Revised struct {
	Revision int          `json:"revision"`
	Customer string       `json:"customer"`
	Due      string       `json:"due,omitempty"`
	Digest   string       `json:"digest"`
	Changed  []Changed    `json:"changed,omitempty"`
	Specs    []Renumbered `json:"specs,omitempty"`
	Dropped  []plan.Code  `json:"dropped,omitempty"` // cancelled: no longer in the file and not cut, or with nothing left to cut
	// Short and Mixed are fabrics that the office went on with though what is left is short, or of several lots.
	Short []string         `json:"short,omitempty"`
	Mixed []string         `json:"mixed,omitempty"`
	Bolts []plan.NamedBolt `json:"bolts,omitempty"`
	// Practice is what the order is worked up with from then on, in the form of TakenOrder's; nil: what it was before.
	Practice orderfile.Practice `json:"practice,omitzero"`
}

// Changed is a ticket whose numbers a revision changes. Values are names of the work-up or of the order file:
// "window", "room", "notes" where its words change, "quantity" where the file has such a window no more.
type Changed struct {
	Ticket plan.Code `json:"ticket"`
	Values []string  `json:"values"`
	// Protected: what is cut or sewn keeps some or all of them as they were, and the office decides.
	Protected bool `json:"protected,omitempty"`
}

// Renumbered is what stands on a ticket from an event on.
type Renumbered struct {
	Spec plan.Ticket `json:"spec"`
	// Kept are the numbers that the newest file has otherwise, and that cloth or work keeps as they were.
	Kept []string `json:"kept,omitempty"`
	// Wanted is a panel's ticket as the newest file has it, where Kept is not empty.
	Wanted *plan.Ticket `json:"wanted,omitempty"`
	// ClothStays: what is cut for the panel doesn't suffice for Wanted.
	ClothStays bool `json:"cloth_stays,omitempty"`
	// Removed: the newest file has no such window any more, but its cloth is cut. Its treatment is below 0.
	Removed bool `json:"removed,omitempty"`
}

// Card is a command on a card: a scanner at a bench reads it like a ticket, and it acts on the ticket that lies open
// there.
type Card struct {
	Action Action
	// Reason names why a ticket is held, "" for another action: a card has no room for typing. Its sentence is the
	// catalogue's "card.reason.<name>".
	Reason string
	// Press is a key of the open page, for a bench whose hands never reach the glass: a digit of a measure, what goes on
	// to the next number, a check. The page acts on it by itself; no ticket changes. "" for a command.
	Press string
	// Eighths of an inch are what a key of a measure enters, 0 for another.
	Eighths int
}

// cards are all there are, in the order in which a bench uses them.
var cards = []Card{
	{Action: Start}, {Action: Finish}, {Action: Undo}, {Action: Resume}, {Action: Lay}, {Action: Cut}, {Action: Flaw}, {Action: Rest},
	{Action: Hold, Reason: "cloth"}, {Action: Hold, Reason: "size"}, {Action: Hold, Reason: "pattern"}, {Action: Hold, Reason: "lacking"},
	{Action: Hold, Reason: "machine"}, {Action: Hold, Reason: "question"},
}

// presses are the keys that there are cards of: those of a measure as on the page's keypad, then those that go on.
var presses = func() (all []Card) {
	for n := range 10 {
		all = append(all, Card{Press: "key " + strconv.Itoa(n)})
	}
	for n := 1; n < 8; n++ {
		all = append(all, Card{Press: "eighths " + strconv.Itoa(n), Eighths: n})
	}
	for _, name := range []string{"sixteenth", "mark", "rub out", "next", "check", "number", "all"} {
		all = append(all, Card{Press: name})
	}
	return all
}()

// Presses returns the keys of the open page that there are cards of.
func Presses() []Card { return slices.Clone(presses) }

// cardLead begins what a card says. No card has nine symbols, as a ticket's code has.
const cardLead = "DO"

// Cards returns the commands that there are cards of.
func Cards() []Card { return slices.Clone(cards) }

// String returns what a card says, upper case, in the letters of a QR's alphanumeric mode, short enough to type:
// "DO HOLD CLOTH". It means the same in every language.
func (c Card) String() string {
	said := []string{cardLead}
	for _, word := range []string{string(c.Action), c.Reason, c.Press} {
		if word != "" {
			said = append(said, strings.ToUpper(word))
		}
	}
	return strings.Join(said, " ")
}

// ParseCard reads a card as people type it and scanners send it: case, spaces and hyphens don't count. ok is false
// where the text is none, as every ticket's code is.
func ParseCard(text string) (c Card, ok bool) {
	typed := letters(text)
	for _, c := range slices.Concat(cards, presses) {
		if letters(c.String()) == typed {
			return c, true
		}
	}
	return Card{}, false
}

func letters(text string) string {
	return strings.NewReplacer(" ", "", "-", "").Replace(strings.ToUpper(strings.TrimSpace(text)))
}
