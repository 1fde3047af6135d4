package stations

import (
	"errors"
	"time"

	"tablehand/engine"
	"tablehand/engine/billing"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/stations/invoice"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
)

// Actor is who sends a command: a token or a signed-in browser. Device is what undo and keys go by.
type Actor struct {
	Role   Role   `json:"role"`
	Name   string `json:"name,omitempty"`
	Device string `json:"device"`
}

// Role is what an actor may do.
type Role string

const (
	Office   Role = "office"
	Program  Role = "program"  // all of the office's but people and settings
	Accounts Role = "accounts" // customers, prices, invoices; orders and tickets to read
	Bench    Role = "station"  // scans, tickets, board
	Screen   Role = "screen"   // board and events
)

// Command is one wish about the floor. Its concrete types are Scan, TakeOrder, ReleaseOrder, ReviseOrder,
// CancelOrder, ReceivePiece, UnreceivePiece, SetPriceList, DraftInvoice, SetAmounts, DropInvoice, IssueInvoice, CreditInvoice, CloseOrder, Handle, ReceiveBolts, LinkCloth, MergeCloth and JoinCuts.
type Command interface {
	action() Action
	actor() Actor
}

// ActorOf returns who sends a command.
func ActorOf(cmd Command) Actor { return cmd.actor() }

// Scan is a command about one ticket.
type Scan struct {
	Actor    Actor
	Ticket   plan.Code
	Station  plan.Station // where it was scanned; for start, finish, scan
	Action   Action
	Key      string     // made on the device, at most 64 characters, unique for it
	At       *time.Time // the device's own time
	Person   string
	Measured map[string]string
	Checks   []string
	Reason   string
	To       plan.Station // of a send_back; of a flaw its end, a length
	// Picture is the id of one that a hold shows. Left out when empty, so that a scan sent before there were any
	// and sent again is still the same.
	Picture string `json:",omitempty"`

	Billable *bool  `json:",omitempty"` // of a scrap
	Override bool   `json:",omitempty"` // of a remake, a resume: the office passes over short or mixed cloth
	Lead     bool   `json:"-"`          // a lead is there, with badge and PIN: decides at a bench what else the office does
	Sheet    *Sheet `json:"-"`          // of a remake, and at the table: the order's newest file
	// Others are the newest files of other orders that are to be cut from the same bolt of the shelf, by order: what is told of it may
	// move their cuts.
	Others map[string]*Sheet `json:"-"`
	Ways   shelf.Ways        `json:"-"` // at the table: by which the shelf's bolts are cut

	// At the table. Lengths are as people write them; From and To are marks on the bolt, as it was listed.
	Cut    string `json:",omitempty"` // of a cut and a spoil: which
	Length string `json:",omitempty"` // as it was cut; of a rest: what is left
	Bolt   string `json:",omitempty"`
	// Tickets are those for which a bolt is laid, of several that are cut in one run.
	Tickets []plan.Code    `json:",omitempty"`
	From    string         `json:",omitempty"` // of a flaw, which ends at To; of a cut: where it was told to lie; of one from the shelf where it was made
	After   string         `json:",omitempty"` // of a flaw: From and To are measured from the end of this cut
	Place   string         `json:",omitempty"` // of a rest: where the bolt lies from now on
	Seen    bool           `json:",omitempty"` // of a cut: with the flaw that is in it, off the pattern as it is
	Again   bool           `json:",omitempty"` // of a rest of one of the shelf: measured twice
	Keep    bool           `json:",omitempty"` // of what is spoilt of one of the shelf: it is a remnant
	Points  int            `json:",omitempty"` // of a flaw of one of the shelf, 1 to 4; 0 by its kind and length
	Kind    shelf.FlawKind `json:",omitempty"`
}

// NeedsSheet reports whether the command plans from the order's newest file: a remake, and what is told at the cutting
// table but a cut that is as long as planned, where it was planned, and not the first.
func (c Scan) NeedsSheet(f *Floor) bool {
	switch c.Action {
	case Remake, Lay, Flaw, Spoil, Rest:
		return true
	case Finish, ScanIt:
		for name := range c.Measured {
			if _, _, told := plan.AtTable(name); told {
				return true
			}
		}
	case Cut:
		t := f.Ticket(c.Ticket)
		if t == nil || !t.told {
			return t != nil
		}
		l := t.Spec.Cut(c.Cut)
		return l != nil && (c.Length != "" && !t.same(c.Length, l.Length) || c.From != "" && !t.same(c.From, l.From))
	}
	return false
}

// Sheet is an order's file worked out, and a source of codes that no ticket has yet: what a revision or a remake
// plans its tickets from. Nobody may change the work-up afterwards.
type Sheet struct {
	Work   *workup.Workup
	Digest string // of the file
	// Revision is the order's as it was worked out: its conventions can be others since. 0 where nobody can have changed them.
	Revision int
	Codes    func() plan.Code // a new one each call
	Ways     shelf.Ways       // by which the shelf's bolts are cut
}

// TakeOrder stores an order whose file has no error.
type TakeOrder struct {
	Actor    Actor
	Key      string // as of a scan; "" for none
	Order    string
	Customer string
	Due      string
	Digest   string // SHA-256 of the file, hex
	Fabrics  []string
	Practice orderfile.Practice // what it is worked up with, as orderfile.ToKeep gives it
	Bolts    []plan.NamedBolt
}

// ReleaseOrder puts an order on the floor; Tickets are planned by Plan.
type ReleaseOrder struct {
	Actor       Actor
	Key         string // as of a scan; "" for none
	Order       string
	Tickets     []plan.Ticket
	Digest      string // of the file that they were planned from; "" where nobody can have revised it meanwhile
	Revision    int    // as of Sheet
	FabricShort bool   // the cloth on hand is short, LotsMixed: suffices only from several lots
	LotsMixed   bool
	Lack        ClothLack // where one of them is so
	Bolts       []plan.NamedBolt
	Measuring   plan.Measuring // what the order's tickets ask otherwise than always, whenever they come
	Layout      plan.Layout    // by which they are planned
	Ways        shelf.Ways     // likewise, where they are cut from the shelf's bolts
	Override    bool
	Reason      string
}

// ReviseOrder replaces an order's file. Before the release that is all; after it the tickets follow as far as cloth
// and work allow (see decideRevise).
type ReviseOrder struct {
	Actor    Actor
	Key      string // as of a scan; "" for none
	Order    string
	Sheet    Sheet // of the new file, which has no error
	From     int   // the revision that the new file was made from; 0: whichever there is
	Override bool  // pass over cloth that is short or of mixed lots for what is still to be cut
	Reason   string
	Practice orderfile.Practice // what the order is worked up with from then on, and the sheet is; nil: what it was
	UpToDate bool               // that practice is what the order is worked up with already, and there is nothing to do
}

// CancelOrder takes an order off the floor before any cut.
type CancelOrder struct {
	Actor  Actor
	Key    string // as of a scan; "" for none
	Order  string
	Reason string
}

// ReceivePiece records that a customer's own piece has come in; sent again, it adds or replaces its picture.
type ReceivePiece struct {
	Actor   Actor
	Key     string // as of a scan; "" for none
	Order   string
	Digest  string    // of the file that the piece was found in, while the order isn't released; "" then
	Ticket  plan.Code // its ticket, or while it has none a code drawn for it
	Text    string    // what it is called,
	Copy    int       // and which of those that are called so, from 1
	Person  string
	Picture string // id of one that is kept, "" for none
}

// UnreceivePiece takes back that a customer's own piece has come in: it was another, or none.
type UnreceivePiece struct {
	Actor  Actor
	Key    string // as of a scan; "" for none
	Order  string
	Ticket plan.Code // its ticket; "" while the order isn't released
	Text   string    // what it is called,
	Copy   int       // and which of those that are called so, from 1
	Person string
	Reason string
}

// SetPriceList replaces the shop's prices.
type SetPriceList struct {
	Actor  Actor
	Key    string // as of a scan; "" for none
	Prices billing.PriceList
}

// DraftInvoice gathers finished panels of one customer.
type DraftInvoice struct {
	Actor    Actor
	Key      string // as of a scan; "" for none
	Draft    string // made by the caller, unique
	Customer string
	Names    []string // other names by which orders lead to the same customer
	Panels   []plan.Code
}

// SetAmounts types amounts of pieces on a draft: nobody has a price for each repair. They stay whatever the price list says; ""
// takes one back.
type SetAmounts struct {
	Actor   Actor
	Key     string // as of a scan; "" for none
	Draft   string
	Amounts map[plan.Code]string // decimal, in the currency of the price list
}

// DropInvoice deletes a draft and frees its panels.
type DropInvoice struct {
	Actor Actor
	Draft string
}

// IssueInvoice gives a draft its number.
type IssueInvoice struct {
	Actor Actor
	Key   string // as of a scan; "" for none
	Draft string
	Date  string             // the shop's civil date, YYYY-MM-DD
	From  invoice.Letterhead // as it is printed from now on
}

func (Scan) action() Action           { return ScanIt }
func (TakeOrder) action() Action      { return Take }
func (ReleaseOrder) action() Action   { return Release }
func (ReviseOrder) action() Action    { return Revise }
func (CancelOrder) action() Action    { return Cancel }
func (ReceivePiece) action() Action   { return Receive }
func (UnreceivePiece) action() Action { return Unreceive }
func (SetPriceList) action() Action   { return SetPrices }
func (DraftInvoice) action() Action   { return Draft }
func (SetAmounts) action() Action     { return Amounts }
func (DropInvoice) action() Action    { return DropDraft }
func (IssueInvoice) action() Action   { return Issue }

func (c Scan) actor() Actor           { return c.Actor }
func (c TakeOrder) actor() Actor      { return c.Actor }
func (c ReleaseOrder) actor() Actor   { return c.Actor }
func (c ReviseOrder) actor() Actor    { return c.Actor }
func (c CancelOrder) actor() Actor    { return c.Actor }
func (c ReceivePiece) actor() Actor   { return c.Actor }
func (c UnreceivePiece) actor() Actor { return c.Actor }
func (c SetPriceList) actor() Actor   { return c.Actor }
func (c DraftInvoice) actor() Actor   { return c.Actor }
func (c SetAmounts) actor() Actor     { return c.Actor }
func (c DropInvoice) actor() Actor    { return c.Actor }
func (c IssueInvoice) actor() Actor   { return c.Actor }

// Wish is what was asked with a command that isn't a scan, without what the server adds: drawn codes, drafts, dates and
// plans. Two commands of one key are the same when their wishes are.
type Wish struct {
	Action   Action
	Order    string      `json:",omitempty"`
	Digest   string      `json:",omitempty"` // of a file
	From     int         `json:",omitempty"`
	Invoice  string      `json:",omitempty"` // or draft
	Customer string      `json:",omitempty"`
	Panels   []plan.Code `json:",omitempty"`

	Amounts map[plan.Code]string `json:",omitempty"`

	Fabric   string             `json:",omitempty"`
	Cloth    string             `json:",omitempty"`
	Into     string             `json:",omitempty"`
	Piece    string             `json:",omitempty"`
	Copy     int                `json:",omitempty"`
	Picture  string             `json:",omitempty"`
	Frees    bool               `json:",omitempty"`
	Prices   *billing.PriceList `json:",omitempty"`
	Override bool               `json:",omitempty"`
	Reason   string             `json:",omitempty"`
	Practice bool               `json:",omitempty"` // the order is brought up to the shop's
}

// KeyOf returns the device that sent a command, the key that it gave it, "" for none, and what was asked with it.
func KeyOf(cmd Command) (device, key string, asked any) {
	switch c := cmd.(type) {
	case Scan:
		device, key = c.Actor.Device, c.Key
		c.Actor = Actor{} // a token's name and role may have changed since
		return device, key, c
	case TakeOrder:
		return c.Actor.Device, c.Key, Wish{Action: Take, Digest: c.Digest}
	case ReleaseOrder:
		return c.Actor.Device, c.Key, Wish{Action: Release, Order: c.Order, Override: c.Override, Reason: c.Reason}
	case ReviseOrder:
		wish := Wish{Action: Revise, Order: c.Order, Digest: c.Sheet.Digest, From: c.From, Override: c.Override, Reason: c.Reason}
		if c.Practice != nil { // of the order's own file, which nobody sent
			wish.Digest, wish.Practice = "", true
		}
		return c.Actor.Device, c.Key, wish
	case CancelOrder:
		return c.Actor.Device, c.Key, Wish{Action: Cancel, Order: c.Order, Reason: c.Reason}
	case CloseOrder:
		return c.Actor.Device, c.Key, Wish{Action: Close, Order: c.Order, Reason: c.Reason}
	case ReceivePiece:
		return c.Actor.Device, c.Key, Wish{Action: Receive, Order: c.Order, Piece: c.Text, Copy: c.Copy, Picture: c.Picture}
	case UnreceivePiece:
		return c.Actor.Device, c.Key, Wish{Action: Unreceive, Order: c.Order, Piece: c.Text, Copy: c.Copy, Reason: c.Reason}
	case SetPriceList:
		return c.Actor.Device, c.Key, Wish{Action: SetPrices, Prices: &c.Prices}
	case DraftInvoice:
		return c.Actor.Device, c.Key, Wish{Action: Draft, Customer: c.Customer, Panels: c.Panels}
	case SetAmounts:
		return c.Actor.Device, c.Key, Wish{Action: Amounts, Invoice: c.Draft, Amounts: c.Amounts}
	case IssueInvoice:
		return c.Actor.Device, c.Key, Wish{Action: Issue, Invoice: c.Draft}
	case Handle:
		device, key = c.Actor.Device, c.Key
		c.Actor = Actor{}
		if c.Command.Action == shelf.BeginCount {
			c.Count = "" // drawn
		}
		return device, key, c
	case LinkCloth:
		return c.Actor.Device, c.Key, Wish{Action: Link, Order: c.Order, Fabric: c.Fabric, Cloth: c.Cloth, Reason: c.Reason}
	case MergeCloth:
		return c.Actor.Device, c.Key, Wish{Action: Merge, Cloth: c.Cloth, Into: c.Into, Reason: c.Reason}
	case JoinCuts:
		return c.Actor.Device, c.Key, Wish{Action: Join, Panels: c.Tickets}
	case ReceiveBolts:
		device, key = c.Actor.Device, c.Key
		c.Actor = Actor{}
		if c.Asked != nil {
			c.Rows = c.Asked
		}
		return device, key, c
	case CreditInvoice:
		return c.Actor.Device, c.Key, Wish{Action: Credit, Invoice: c.Invoice, Frees: c.Frees, Reason: c.Reason}
	}
	return "", "", nil
}

// Refusal is a command that the floor refuses; nothing changed.
type Refusal struct {
	Code     string // a promise: "wrong_station", ...
	Field    string
	Where    *Place
	Missing  []string         // entries and checks of an unfinished step
	Args     map[string]any   // for the sentence "refusal.<code>"
	Problems []engine.Problem // where they say more than the code
	Row      int              // of a receipt of bolts, from 0
}

// Place says where a ticket is, which tickets do the work, or which key of the order's file has to be mended.
type Place struct {
	Station plan.Station `json:"station,omitempty"`
	Tickets []plan.Code  `json:"tickets,omitempty"`
	Key     string       `json:"key,omitempty"`
	Orders  []string     `json:"orders,omitempty"` // others that name the same bolt
	Bolts   []plan.Code  `json:"bolts,omitempty"`
	Place   string       `json:"place,omitempty"` // where the bolt lies

	Least measure.Quantity `json:"least,omitzero"` // of cloth that is short: how much is so however it is cut
}

func (r *Refusal) Error() string { return "stations: refused: " + r.Code }

// NewRefusal refuses what somebody sent, at a field; args are by turns a name and its value for the sentence. What every sentence
// about a field may ask for is there.
func NewRefusal(code, field string, args ...any) *Refusal {
	r := refuse(code, field, "Name", field, "Value", "", "Reason", "", "Part", "")
	for i := 0; i+1 < len(args); i += 2 {
		r.Args[args[i].(string)] = args[i+1]
	}
	return r
}

// refuse makes a refusal; args are by turns a name and its value for the sentence.
func refuse(code, field string, args ...any) *Refusal {
	r := &Refusal{Code: code, Field: field, Args: make(map[string]any, len(args)/2)}
	for i := 0; i+1 < len(args); i += 2 {
		r.Args[args[i].(string)] = args[i+1]
	}
	return r
}

// refuse makes a refusal that says where the ticket is: the station as Where, and how the sentences name it.
func (t *Ticket) refuse(code, field string) *Refusal {
	r := refuse(code, field, "Ticket", string(t.Spec.Code), "Order", t.Order, "State", t.State(), "Done", t.State() == Finished,
		"Window", t.Spec.Window, "Panel", t.Spec.Panel, "Fabric", t.Spec.Fabric, "Reason", "", "ForOffice", false, "Cloth", false)
	r.Where = &Place{Station: t.Station()}
	if now := t.Current(); now != nil {
		r.Args["Reason"], r.Args["ForOffice"], r.Args["Cloth"] = now.Reason, now.ForOffice, now.Cloth != nil
	}
	return r
}

// ParseCode reads a ticket's code as plan.ParseCode does. The error is a *Refusal "bad_code" that has the Text and the Reason:
// length, symbol or check.
func ParseCode(text string) (plan.Code, error) {
	code, err := plan.ParseCode(text)
	var bad *plan.CodeError
	if errors.As(err, &bad) {
		return "", badCode(bad.Text, bad.Reason)
	}
	return code, err
}

func badCode(text, reason string) *Refusal {
	return &Refusal{Code: "bad_code", Field: "ticket", Args: map[string]any{"Text": text, "Reason": reason}}
}
