package edge

import (
	"slices"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/desk"
	"tablehand/server/stock"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
)

// Stock is the shop's cloth.
func (e *Edge) Stock() stock.Stock { return stock.Stock{Desk: e.Desk} }

// BoltOf returns the bolt of a code as typed or scanned, nil where it is none's: a code means one thing, a ticket or a bolt.
func (e *Edge) BoltOf(typed string) *shelf.Bolt {
	code, err := stations.ParseCode(typed)
	if err != nil {
		return nil
	}
	return e.Desk.Store.Floor().Shelf().Bolt(code)
}

// BoltAsked returns the bolt of a code as typed or scanned. A device that asks for many that aren't there has to wait, as for tickets.
func (e *Edge) BoltAsked(c *fiber.Ctx, typed string) (*shelf.Bolt, error) {
	code, err := stations.ParseCode(typed)
	if err != nil {
		return nil, err
	}
	if b := e.BoltOf(typed); b != nil {
		return b, nil
	}
	actor, _ := ActorOf(c)
	if seconds := e.Guesses.Fail("code " + actor.Device); seconds > 0 {
		return nil, desk.Refuse("too_many", "", "Seconds", seconds)
	}
	return nil, desk.Refuse("unknown_bolt", "bolt", "Bolt", string(code), "Fabric", "")
}

// MayName reports whether whoever asks may read whose cloth a customer's is: as tickets show a customer.
func (e *Edge) MayName(c *fiber.Ctx) bool {
	actor, _ := ActorOf(c)
	return slices.Contains(TheBooks, actor.Role) || e.Desk.Shop().PrintSidemark
}

// ShelfActions are what may be asked of a bolt.
var ShelfActions = []shelf.Action{shelf.Inspect, shelf.PlaceIt, shelf.Keep, shelf.Unkeep, shelf.HoldBolt, shelf.FreeBolt, shelf.Scrap, shelf.GiveBack,
	shelf.Lose, shelf.Find, shelf.ReleaseCloth, shelf.CountBolt, shelf.Part, shelf.Undo, shelf.Lay, shelf.Cut, shelf.TellFlaw, shelf.Spoil, shelf.Rest}

// TableActions are what is told of a bolt at the cutting table: they are its ticket's too.
var TableActions = []shelf.Action{shelf.Lay, shelf.Cut, shelf.TellFlaw, shelf.Spoil, shelf.Rest}

// ShelfBody is what a device sends of a bolt.
type ShelfBody struct {
	Bolt   string       `json:"bolt"`
	Action shelf.Action `json:"action"`
	Key    string       `json:"key"`
	At     *time.Time   `json:"at"`
	Person string       `json:"person"`
	Length string       `json:"length"`
	Widths []string     `json:"widths"`
	Repeat struct {
		Over   int    `json:"over"`
		Length string `json:"length"`
	} `json:"repeat"`
	FirstRepeat string     `json:"first_repeat"`
	Flaws       []FlawBody `json:"flaws"`
	Place       string     `json:"place"`
	Order       string     `json:"order"`
	Customer    string     `json:"customer"`
	Reason      string     `json:"reason"`
	Lot         bool       `json:"lot"`
	From        string     `json:"from"`
	To          string     `json:"to"`
	// At the table.
	Ticket string         `json:"ticket"` // "" the one that has the bolt there
	Cut    string         `json:"cut"`
	After  string         `json:"after"`
	Points int            `json:"points"`
	Kind   shelf.FlawKind `json:"kind"`
	Again  bool           `json:"again"`
	Keep   bool           `json:"keep"`
	Seen   bool           `json:"seen"`
	// Of a lay: the office has others' cuts planned anew that lie in front.
	Override bool     `json:"override"`
	Tickets  []string `json:"tickets"` // that are cut in one run: all that are joined where none is named
}

// FlawBody is a flaw that was found.
type FlawBody struct {
	From   string         `json:"from"`
	To     string         `json:"to"`
	Points int            `json:"points"`
	Kind   shelf.FlawKind `json:"kind"`
	Edge   bool           `json:"edge"`
}

// shelfKeys are the keys of a body that each action takes.
var shelfKeys = map[shelf.Action][]string{
	shelf.Inspect: {"length", "widths", "repeat", "first_repeat", "flaws"}, shelf.PlaceIt: {"place"}, shelf.Keep: {"order", "customer"},
	shelf.HoldBolt: {"reason", "lot"}, shelf.FreeBolt: {"reason", "lot"}, shelf.Scrap: {"reason", "from", "to"}, shelf.GiveBack: {"reason"},
	shelf.Lay: {"ticket", "tickets", "override", "reason"}, shelf.Cut: {"ticket", "cut", "from", "length", "seen"}, shelf.TellFlaw: {"ticket", "from", "to", "points", "kind", "after"},
	shelf.Spoil: {"ticket", "cut", "length", "reason", "keep", "place"}, shelf.Rest: {"ticket", "length", "place", "again"}, shelf.Part: {"from", "to", "place"},
	shelf.Lose: {"reason"}, shelf.Find: {"place"}, shelf.ReleaseCloth: {"reason"}, shelf.CountBolt: {"length", "place"},
}

// Check refuses what is missing, too long, or of another action.
func (b *ShelfBody) Check() error {
	err := CheckTexts(Text("bolt", b.Bolt, true, 300), Text("action", string(b.Action), true, MaxName), Text("key", b.Key, true, maxKey),
		Text("person", b.Person, false, MaxName), Text("length", b.Length, false, MaxName), Text("first_repeat", b.FirstRepeat, false, MaxName),
		Text("repeat", b.Repeat.Length, false, MaxName), Text("place", b.Place, false, MaxName), Text("order", b.Order, false, MaxName),
		Text("customer", b.Customer, false, MaxName), Text("reason", b.Reason, false, MaxReason), Text("from", b.From, false, MaxName), Text("to", b.To, false, MaxName),
		Text("ticket", b.Ticket, false, 300), Text("cut", b.Cut, false, MaxName), Text("after", b.After, false, MaxName), Text("kind", string(b.Kind), false, MaxName))
	if err != nil {
		return err
	}
	if !slices.Contains(ShelfActions, b.Action) {
		return desk.Refuse("bad_value", "action", "Value", string(b.Action))
	}
	told := map[string]bool{"length": b.Length != "", "widths": len(b.Widths) > 0, "repeat": b.Repeat.Over != 0 || b.Repeat.Length != "", "first_repeat": b.FirstRepeat != "",
		"flaws": len(b.Flaws) > 0, "place": b.Place != "", "order": b.Order != "", "customer": b.Customer != "", "reason": b.Reason != "", "lot": b.Lot,
		"from": b.From != "", "to": b.To != "", "ticket": b.Ticket != "", "cut": b.Cut != "", "after": b.After != "", "points": b.Points != 0, "kind": b.Kind != "",
		"again": b.Again, "keep": b.Keep, "seen": b.Seen, "override": b.Override, "tickets": len(b.Tickets) > 0}
	for key, is := range told {
		if is && !slices.Contains(shelfKeys[b.Action], key) {
			return desk.Refuse("bad_value", key)
		}
	}
	if len(b.Tickets) > MaxEntries {
		return desk.Refuse("bad_value", "tickets")
	}
	if len(b.Widths) > MaxEntries {
		return desk.Refuse("bad_value", "widths")
	}
	if len(b.Flaws) > mostFlaws {
		return desk.Refuse("bad_value", "flaws")
	}
	return nil
}

// mostFlaws is how many flaws one inspection may bring: several a yard of a long bolt. Our own choice.
const mostFlaws = 1000

// Command is what a body asks for.
func (b *ShelfBody) Command(actor stations.Actor, code plan.Code) stations.Handle {
	cmd := shelf.Command{Action: b.Action, Bolt: code, Length: b.Length, Widths: b.Widths, Repeats: b.Repeat.Over, Over: b.Repeat.Length, First: b.FirstRepeat,
		Place: b.Place, Order: b.Order, Customer: b.Customer, Reason: b.Reason, Lot: b.Lot, From: b.From, To: b.To}
	for _, f := range b.Flaws {
		cmd.Flaws = append(cmd.Flaws, shelf.FlawTold(f))
	}
	return stations.Handle{Actor: actor, Key: b.Key, At: b.At, Person: b.Person, Command: cmd}
}

// Scan is what a body of the table asks of the ticket, where the bolt is called so.
func (b *ShelfBody) Scan(actor stations.Actor, ticket plan.Code, called string) stations.Scan {
	s := stations.Scan{Actor: actor, Ticket: ticket, Station: plan.Cutting, Action: stations.Action(b.Action), Key: b.Key, At: b.At, Person: b.Person, Reason: b.Reason,
		Cut: b.Cut, Length: b.Length, Bolt: called, From: b.From, To: plan.Station(b.To), After: b.After, Place: b.Place, Again: b.Again, Keep: b.Keep, Seen: b.Seen, Override: b.Override, Points: b.Points, Kind: b.Kind}
	if b.Action == shelf.Spoil || b.Action == shelf.TellFlaw && b.After != "" {
		s.Bolt = ""
	}
	if b.Action == shelf.TellFlaw && b.To == "" { // a spot
		s.To = plan.Station(b.From)
	}
	return s
}
