package edge

import (
	"slices"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/desk"
	"tablehand/stations"
	"tablehand/stations/plan"
)

// Bounds of what a scan may bring, in runes and entries.
const (
	maxKey     = 64
	MaxName    = 100
	MaxReason  = 1000
	MaxEntries = 100
)

// TicketAsked returns the ticket of a code as typed or scanned. A device that asks for many that aren't there has
// to wait: codes are short.
func (e *Edge) TicketAsked(c *fiber.Ctx, typed string) (*stations.Ticket, error) {
	code, err := stations.ParseCode(typed)
	if err != nil {
		return nil, err
	}
	if t := e.Desk.Store.Floor().Ticket(code); t != nil {
		return t, nil
	}
	actor, _ := ActorOf(c)
	if seconds := e.Guesses.Fail("code " + actor.Device); seconds > 0 {
		return nil, desk.Refuse("too_many", "", "Seconds", seconds)
	}
	return nil, desk.Refuse("unknown_ticket", "ticket", "Ticket", string(code))
}

// ScanBody is what a device sends.
type ScanBody struct {
	Ticket   string            `json:"ticket"`
	Station  plan.Station      `json:"station"`
	Action   stations.Action   `json:"action"`
	Key      string            `json:"key"`
	At       *time.Time        `json:"at"`
	Person   string            `json:"person"`
	Measured map[string]string `json:"measured"`
	Checks   []string          `json:"checks"`
	Reason   string            `json:"reason"`
	To       plan.Station      `json:"to"`
	Picture  string            `json:"picture"` // of a hold
	Cut      string            `json:"cut"`     // at the table: which
	Length   string            `json:"length"`  // as it was cut; of a rest: what is left
	Bolt     string            `json:"bolt"`
	From     string            `json:"from"`     // of a flaw, which ends at to; of a cut where it was made
	Seen     bool              `json:"seen"`     // of a cut: with the flaw that is in it, off the pattern as it is
	Place    string            `json:"place"`    // of a rest, and of what is spoilt and kept: where it lies from now on
	Again    bool              `json:"again"`    // of a rest, also of one entered at the finish: measured twice
	Keep     bool              `json:"keep"`     // of what is spoilt: it is a remnant
	After    string            `json:"after"`    // of a flaw: from and to are measured from the end of this cut
	Billable *bool             `json:"billable"` // of a scrap
	PIN      string            `json:"pin"`      // of the lead who decides at a bench: person is their badge
	Lead     bool              `json:"-"`        // it was the right one
	Override bool              `json:"override"` // of a remake, of a resume of what its cloth holds, and of a lay
}

// ScanActions are what may be asked of a ticket.
var ScanActions = []stations.Action{stations.Start, stations.Finish, stations.ScanIt, stations.Undo, stations.Hold,
	stations.Resume, stations.SendBack, stations.Accept, stations.Remake, stations.Scrap, stations.Lay, stations.Cut, stations.Flaw, stations.Spoil, stations.Rest}

// tableKeys are the keys of a scan that each action at the cutting table takes.
var tableKeys = map[stations.Action][]string{
	stations.Lay: {"bolt"}, stations.Cut: {"cut", "length", "bolt", "from"}, stations.Spoil: {"cut", "length", "place"},
	stations.Flaw: {"bolt", "from", "after"}, stations.Rest: {"bolt", "length", "place"},
}

// checkTable refuses what only some actions at the table take.
func (b *ScanBody) checkTable() error {
	for _, f := range []TextField{Text("cut", b.Cut, false, MaxName), Text("length", b.Length, false, MaxName), Text("bolt", b.Bolt, false, MaxName),
		Text("from", b.From, false, MaxName), Text("after", b.After, false, MaxName), Text("place", b.Place, false, MaxName)} {
		if f.value != "" && !slices.Contains(tableKeys[b.Action], f.field) {
			return desk.Refuse("bad_value", f.field, "Name", f.field, "Value", f.value)
		}
		if err := CheckTexts(f); err != nil {
			return err
		}
	}
	if b.Again && !slices.Contains([]stations.Action{stations.Rest, stations.Finish, stations.ScanIt}, b.Action) {
		return desk.Refuse("bad_value", "again", "Name", "again", "Value", "true")
	}
	if b.Keep && b.Action != stations.Spoil {
		return desk.Refuse("bad_value", "keep", "Name", "keep", "Value", "true")
	}
	if b.Seen && b.Action != stations.Cut {
		return desk.Refuse("bad_value", "seen", "Name", "seen", "Value", "true")
	}
	return nil
}

// Command is the scan that a body asks for.
func (b *ScanBody) Command(actor stations.Actor, ticket plan.Code) stations.Scan {
	return stations.Scan{
		Actor: actor, Ticket: ticket, Station: b.Station, Action: b.Action, Key: b.Key, At: b.At, Person: b.Person,
		Measured: b.Measured, Checks: b.Checks, Reason: b.Reason, To: b.To, Picture: b.Picture, Billable: b.Billable, Override: b.Override,
		Cut: b.Cut, Length: b.Length, Bolt: b.Bolt, From: b.From, After: b.After, Lead: b.Lead, Place: b.Place, Again: b.Again, Keep: b.Keep, Seen: b.Seen,
	}
}

func (b *ScanBody) Check() error {
	err := CheckTexts(
		Text("ticket", b.Ticket, true, 300),
		Text("action", string(b.Action), true, MaxName),
		Text("key", b.Key, true, maxKey),
		Text("station", string(b.Station), false, MaxName),
		Text("person", b.Person, false, MaxName),
		Text("pin", b.PIN, false, maxPIN),
		Text("reason", b.Reason, false, MaxReason),
		Text("to", string(b.To), false, MaxName),
		Text("picture", b.Picture, false, maxKey))
	if err != nil {
		return err
	}
	if b.Billable != nil && b.Action != stations.Scrap {
		return desk.Refuse("bad_value", "billable")
	}
	if b.Picture != "" && b.Action != stations.Hold {
		return desk.Refuse("bad_value", "picture")
	}
	if b.Override && !slices.Contains([]stations.Action{stations.Remake, stations.Resume, stations.Lay}, b.Action) {
		return desk.Refuse("bad_value", "override")
	}
	if err := b.checkTable(); err != nil {
		return err
	}
	for name, value := range b.Measured {
		if err := CheckTexts(Text("measured", name, true, MaxName), Text("measured", value, false, MaxName)); err != nil {
			return err
		}
	}
	for _, name := range b.Checks {
		if err := CheckTexts(Text("checks", name, true, MaxName)); err != nil {
			return err
		}
	}
	if len(b.Measured) > MaxEntries {
		return desk.Refuse("bad_value", "measured")
	}
	if len(b.Checks) > MaxEntries {
		return desk.Refuse("bad_value", "checks")
	}
	return nil
}
