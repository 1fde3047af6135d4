package api

import (
	"slices"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine"
	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/stations"
	"tablehand/stations/board"
	"tablehand/stations/plan"
)

// showTicket: GET /api/tickets/{code}.
func (a *API) showTicket(c *fiber.Ctx) error {
	t, err := a.TicketAsked(c, edge.Param(c, "code"))
	if err != nil {
		return err
	}
	floor, say := a.Desk.Store.Floor(), a.Printer(c)
	doc := board.TicketDocOf(floor, t, say)
	doc.Coming(floor.Coming(t, a.Desk.Ways(t.Spec.Units)), say)
	return c.JSON(doc)
}

// scanAnswer is the answer, of server/interface.md, to a scan that is durable.
type scanAnswer struct {
	Seq      int64             `json:"seq"`
	Ticket   plan.Code         `json:"ticket"`
	Station  plan.Station      `json:"station"`
	State    stations.State    `json:"state"`
	Next     plan.Station      `json:"next,omitempty"`
	Also     []stations.Moved  `json:"also,omitempty"`
	New      plan.Code         `json:"new,omitempty"`   // of a remake
	Lines    []stations.Laid   `json:"lines,omitempty"` // cuts that are laid out anew
	Problems []edge.ProblemDoc `json:"problems,omitempty"`
}

// scan: POST /api/scans.
func (a *API) scan(c *fiber.Ctx) error {
	var body edge.ScanBody
	if err := edge.Decode(c, &body); err != nil {
		return err
	}
	if err := body.Check(); err != nil {
		return err
	}
	t, err := a.TicketAsked(c, body.Ticket)
	if err != nil {
		return err
	}
	if !slices.Contains(edge.ScanActions, body.Action) {
		return desk.Refuse("bad_value", "action")
	}
	if err := edge.MayWork(c, body.Action, body.Station); err != nil {
		return err
	}
	if err := a.Persons(c, &body); err != nil {
		return err
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	actor, _ := edge.ActorOf(c)
	e, err := a.Desk.Scan(ctx, body.Command(actor, t.Spec.Code))
	if err != nil {
		return err
	}
	answer := scanAnswer{Seq: e.Seq, Ticket: e.Ticket, Station: e.Station, State: e.State, Next: e.Next, Also: e.Also, New: e.New, Lines: e.LinesAfter()}
	if _, lacks := desk.LacksOf(e, nil); len(lacks) > 0 {
		answer.Problems = a.ProblemDocs(c, lacks)
	}
	if e.Action == stations.Finish && e.Shelf != nil {
		answer.Problems = append(answer.Problems, a.ProblemDocs(c, []engine.Problem{desk.NotMeasured(e)})...)
	}
	if len(e.OutOf) > 0 {
		answer.Problems = a.ProblemDocs(c, a.outOfTolerance(c, t.Spec, e))
	}
	answer.Problems = append(answer.Problems, a.ProblemDocs(c, a.pairDiffers(c, t.Spec, e))...)
	return c.JSON(answer)
}

// joinCuts: POST /api/cutplan/join, cutting tickets of one cloth that are cut in one run.
func (a *API) joinCuts(c *fiber.Ctx) error {
	var body struct {
		Tickets []string `json:"tickets"`
		Key     string   `json:"key"`
		Person  string   `json:"person"`
	}
	if err := edge.Decode(c, &body); err != nil {
		return err
	}
	if err := edge.CheckTexts(edge.Key(body.Key), edge.Text("person", body.Person, false, edge.MaxName)); err != nil {
		return err
	}
	if len(body.Tickets) > edge.MaxEntries {
		return desk.Refuse("bad_value", "tickets")
	}
	actor, _ := edge.ActorOf(c)
	cmd := stations.JoinCuts{Actor: actor, Key: body.Key, Person: body.Person}
	for _, typed := range body.Tickets {
		t, err := a.TicketAsked(c, typed)
		if err != nil {
			return err
		}
		cmd.Tickets = append(cmd.Tickets, t.Spec.Code)
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	e, err := a.Desk.JoinCuts(ctx, cmd)
	if err != nil {
		return err
	}
	return c.JSON(fiber.Map{"seq": e.Seq, "tickets": e.Joined, "cloth": e.Cloth, "lines": e.Lines, "proof": e.Lines[0].Proof})
}

// outOfTolerance tells each value that holds a panel, with its target. It reads only the event and the ticket as
// released, so that a scan sent again is answered the same.
func (a *API) outOfTolerance(c *fiber.Ctx, spec *plan.Ticket, e stations.Event) []engine.Problem {
	say := a.Printer(c)
	var problems []engine.Problem
	for _, step := range spec.Steps {
		for _, entry := range step.Enter {
			if step.Station != e.Station || !slices.Contains(e.OutOf, entry.Name) {
				continue
			}
			problems = append(problems, engine.Problem{
				Severity: engine.Warning, Code: "out_of_tolerance", Where: "measured." + entry.Name,
				Args: map[string]any{"Name": say.T("entry." + entry.Name), "Value": e.Measured[entry.Name].String(), "Target": say.Quantity(entry.Target)},
			})
		}
	}
	return problems
}

// pairDiffers tells each measure in which a panel differs from its mate, and holds it; both measures stand in where. It
// reads what outOfTolerance reads.
func (a *API) pairDiffers(c *fiber.Ctx, spec *plan.Ticket, e stations.Event) []engine.Problem {
	if e.Pair == nil {
		return nil
	}
	say := a.Printer(c)
	mate := map[string]string{"L": "R", "R": "L"}[spec.Panel]
	var problems []engine.Problem
	for _, m := range e.Pair.Measures {
		problems = append(problems, engine.Problem{
			Severity: engine.Warning, Code: stations.ReasonPair,
			Where: "measured." + m.Entry + " " + spec.Panel + " " + m.Measured.String() + ", " + mate + " " + m.Mate.String(),
			Args: map[string]any{"Name": say.T("entry." + m.Entry), "Panel": say.T("page.panel." + spec.Panel), "Other": say.T("page.panel." + mate),
				"Value": say.Quantity(m.Measured), "Mate": say.Quantity(m.Mate), "By": say.Quantity(m.By), "Limit": say.Quantity(m.Limit)},
		})
	}
	return problems
}

// showBoard: GET /api/board.
func (a *API) showBoard(c *fiber.Ctx) error {
	return c.JSON(struct {
		Epoch string `json:"epoch"`
		board.Board
	}{a.Desk.Store.Epoch(), board.Of(a.Desk.Store.Floor(), a.Desk.Today())})
}
