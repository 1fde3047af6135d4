package server

import (
	"slices"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine"
	"tablehand/stations"
	"tablehand/stations/board"
)

// Bounds of what a scan may bring, in runes and entries.
const (
	maxKey     = 64
	maxName    = 100
	maxReason  = 1000
	maxEntries = 100
)

// ticketAsked returns the ticket of a code as typed or scanned. A device that asks for many that aren't there has
// to wait: codes are short.
func (s *Server) ticketAsked(c *fiber.Ctx, typed string) (*stations.Ticket, error) {
	code, err := stations.ParseCode(typed)
	if err != nil {
		return nil, err
	}
	if t := s.Store.Floor().Ticket(code); t != nil {
		return t, nil
	}
	actor, _ := actorOf(c)
	if seconds := s.guesses.fail("code " + actor.Device); seconds > 0 {
		return nil, refuse("too_many", "", "Seconds", seconds)
	}
	return nil, refuse("unknown_ticket", "ticket", "Ticket", string(code))
}

// showTicket: GET /api/tickets/{code}.
func (s *Server) showTicket(c *fiber.Ctx) error {
	t, err := s.ticketAsked(c, param(c, "code"))
	if err != nil {
		return err
	}
	return c.JSON(board.TicketDocOf(s.Store.Floor(), t, s.printer(c)))
}

// scanBody is what a device sends.
type scanBody struct {
	Ticket   string            `json:"ticket"`
	Station  stations.Station  `json:"station"`
	Action   stations.Action   `json:"action"`
	Key      string            `json:"key"`
	At       *time.Time        `json:"at"`
	Person   string            `json:"person"`
	Measured map[string]string `json:"measured"`
	Checks   []string          `json:"checks"`
	Reason   string            `json:"reason"`
	To       stations.Station  `json:"to"`
	Picture  string            `json:"picture"` // of a hold
	Cut      string            `json:"cut"`     // at the table: which
	Length   string            `json:"length"`  // as it was cut; of a rest: what is left
	Bolt     string            `json:"bolt"`
	From     string            `json:"from"`     // of a flaw, which ends at to
	After    string            `json:"after"`    // of a flaw: from and to are measured from the end of this cut
	Billable *bool             `json:"billable"` // of a scrap
	Override bool              `json:"override"` // of a remake, and of a resume of what its cloth holds
}

// scanActions are what may be asked of a ticket.
var scanActions = []stations.Action{stations.Start, stations.Finish, stations.ScanIt, stations.Undo, stations.Hold,
	stations.Resume, stations.SendBack, stations.Accept, stations.Remake, stations.Scrap, stations.Cut, stations.Flaw, stations.Spoil, stations.Rest}

// tableKeys are the keys of a scan that each action at the cutting table takes.
var tableKeys = map[stations.Action][]string{
	stations.Cut: {"cut", "length", "bolt", "from"}, stations.Spoil: {"cut", "length"},
	stations.Flaw: {"bolt", "from", "after"}, stations.Rest: {"bolt", "length"},
}

// checkTable refuses what only some actions at the table take.
func (b *scanBody) checkTable() error {
	for _, f := range []textField{text("cut", b.Cut, false, maxName), text("length", b.Length, false, maxName), text("bolt", b.Bolt, false, maxName),
		text("from", b.From, false, maxName), text("after", b.After, false, maxName)} {
		if f.value != "" && !slices.Contains(tableKeys[b.Action], f.field) {
			return refuse("bad_value", f.field, "Name", f.field, "Value", f.value)
		}
		if err := checkTexts(f); err != nil {
			return err
		}
	}
	return nil
}

// command is the scan that a body asks for.
func (b *scanBody) command(actor stations.Actor, ticket stations.Code) stations.Scan {
	return stations.Scan{
		Actor: actor, Ticket: ticket, Station: b.Station, Action: b.Action, Key: b.Key, At: b.At, Person: b.Person,
		Measured: b.Measured, Checks: b.Checks, Reason: b.Reason, To: b.To, Picture: b.Picture, Billable: b.Billable, Override: b.Override,
		Cut: b.Cut, Length: b.Length, Bolt: b.Bolt, From: b.From, After: b.After,
	}
}

func (b *scanBody) check() error {
	err := checkTexts(
		text("ticket", b.Ticket, true, 300),
		text("action", string(b.Action), true, maxName),
		text("key", b.Key, true, maxKey),
		text("station", string(b.Station), false, maxName),
		text("person", b.Person, false, maxName),
		text("reason", b.Reason, false, maxReason),
		text("to", string(b.To), false, maxName),
		text("picture", b.Picture, false, maxKey))
	if err != nil {
		return err
	}
	if b.Billable != nil && b.Action != stations.Scrap {
		return refuse("bad_value", "billable")
	}
	if b.Picture != "" && b.Action != stations.Hold {
		return refuse("bad_value", "picture")
	}
	if b.Override && b.Action != stations.Remake && b.Action != stations.Resume {
		return refuse("bad_value", "override")
	}
	if err := b.checkTable(); err != nil {
		return err
	}
	for name, value := range b.Measured {
		if err := checkTexts(text("measured", name, true, maxName), text("measured", value, false, maxName)); err != nil {
			return err
		}
	}
	for _, name := range b.Checks {
		if err := checkTexts(text("checks", name, true, maxName)); err != nil {
			return err
		}
	}
	if len(b.Measured) > maxEntries {
		return refuse("bad_value", "measured")
	}
	if len(b.Checks) > maxEntries {
		return refuse("bad_value", "checks")
	}
	return nil
}

// scanAnswer is the answer, of server/interface.md, to a scan that is durable.
type scanAnswer struct {
	Seq      int64            `json:"seq"`
	Ticket   stations.Code    `json:"ticket"`
	Station  stations.Station `json:"station"`
	State    stations.State   `json:"state"`
	Next     stations.Station `json:"next,omitempty"`
	Also     []stations.Moved `json:"also,omitempty"`
	New      stations.Code    `json:"new,omitempty"`   // of a remake
	Lines    []stations.Laid  `json:"lines,omitempty"` // cuts that are laid out anew
	Problems []problemDoc     `json:"problems,omitempty"`
}

// scan: POST /api/scans.
func (s *Server) scan(c *fiber.Ctx) error {
	var body scanBody
	if err := decode(c, &body); err != nil {
		return err
	}
	if err := body.check(); err != nil {
		return err
	}
	t, err := s.ticketAsked(c, body.Ticket)
	if err != nil {
		return err
	}
	if !slices.Contains(scanActions, body.Action) {
		return refuse("bad_value", "action")
	}
	ctx, cancel := waiting()
	defer cancel()
	actor, _ := actorOf(c)
	e, err := s.desk().Scan(ctx, body.command(actor, t.Spec.Code))
	if err != nil {
		return err
	}
	answer := scanAnswer{Seq: e.Seq, Ticket: e.Ticket, Station: e.Station, State: e.State, Next: e.Next, Also: e.Also, New: e.New, Lines: e.Lines}
	if _, lacks := lacksOf(e, nil); len(lacks) > 0 {
		answer.Problems = s.problemDocs(c, lacks)
	}
	if len(e.OutOf) > 0 {
		answer.Problems = s.problemDocs(c, s.outOfTolerance(c, t.Spec, e))
	}
	answer.Problems = append(answer.Problems, s.problemDocs(c, s.pairDiffers(c, t.Spec, e))...)
	return c.JSON(answer)
}

// outOfTolerance tells each value that holds a panel, with its target. It reads only the event and the ticket as
// released, so that a scan sent again is answered the same.
func (s *Server) outOfTolerance(c *fiber.Ctx, spec *stations.TicketSpec, e stations.Event) []engine.Problem {
	say := s.printer(c)
	var problems []engine.Problem
	for _, step := range spec.Steps {
		for _, entry := range step.Enter {
			if step.Station != e.Station || !slices.Contains(e.OutOf, entry.Name) {
				continue
			}
			problems = append(problems, engine.Problem{
				Severity: engine.Warning, Code: "out_of_tolerance", Where: "measured." + entry.Name,
				Args: map[string]any{"Name": say.T("entry." + entry.Name), "Value": e.Measured[entry.Name], "Target": say.Value(entry.Target)},
			})
		}
	}
	return problems
}

// pairDiffers tells each measure in which a panel differs from its mate, and holds it; both measures stand in where. It
// reads what outOfTolerance reads.
func (s *Server) pairDiffers(c *fiber.Ctx, spec *stations.TicketSpec, e stations.Event) []engine.Problem {
	if e.Pair == nil {
		return nil
	}
	say := s.printer(c)
	mate := map[string]string{"L": "R", "R": "L"}[spec.Panel]
	var problems []engine.Problem
	for _, m := range e.Pair.Measures {
		problems = append(problems, engine.Problem{
			Severity: engine.Warning, Code: stations.ReasonPair,
			Where: "measured." + m.Entry + " " + spec.Panel + " " + m.Measured + ", " + mate + " " + m.Mate,
			Args: map[string]any{"Name": say.T("entry." + m.Entry), "Panel": say.T("page.panel." + spec.Panel), "Other": say.T("page.panel." + mate),
				"Value": say.Value(m.Measured), "Mate": say.Value(m.Mate), "By": say.Value(m.By), "Limit": say.Value(m.Limit)},
		})
	}
	return problems
}

// showBoard: GET /api/board.
func (s *Server) showBoard(c *fiber.Ctx) error {
	return c.JSON(board.Of(s.Store.Floor(), s.today()))
}
