package api

import (
	"github.com/gofiber/fiber/v2"

	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/stations"
	"tablehand/stations/board"
	"tablehand/stations/plan"
)

// beginCount: POST /api/floor_counts begins to count what lies at a station.
func (a *API) beginCount(c *fiber.Ctx) error {
	var body struct {
		Station plan.Station `json:"station"`
		Key     string       `json:"key"`
	}
	if err := edge.Decode(c, &body); err != nil {
		return err
	}
	if err := edge.CheckTexts(edge.Text("station", string(body.Station), true, edge.MaxName), edge.Key(body.Key)); err != nil {
		return err
	}
	if err := edge.MayWork(c, stations.Start, body.Station); err != nil {
		return err
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	actor, _ := edge.ActorOf(c)
	begun, err := a.Desk.BeginCount(ctx, actor, body.Key, body.Station)
	if err != nil {
		return err
	}
	of, err := a.Desk.Count(ctx, begun.ID)
	if err != nil {
		return err
	}
	return c.Status(fiber.StatusCreated).JSON(a.countDoc(of))
}

// showCount: GET /api/floor_counts/{count}.
func (a *API) showCount(c *fiber.Ctx) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	of, err := a.Desk.Count(ctx, edge.Param(c, "count"))
	if err != nil {
		return err
	}
	return c.JSON(a.countDoc(of))
}

// countSeen: POST /api/floor_counts/{count}/seen.
func (a *API) countSeen(c *fiber.Ctx) error {
	var body struct {
		Ticket string `json:"ticket"`
		Key    string `json:"key"` // of no use: a ticket is seen once, however often it is sent
	}
	if err := edge.Decode(c, &body); err != nil {
		return err
	}
	if err := edge.CheckTexts(edge.Key(body.Key)); err != nil {
		return err
	}
	t, err := a.TicketAsked(c, body.Ticket)
	if err != nil {
		return err
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	of, err := a.Desk.CountSeen(ctx, edge.Param(c, "count"), t)
	if err != nil {
		return err
	}
	return c.JSON(a.countDoc(of))
}

// endCount: POST /api/floor_counts/{count}/end. Ended again it says the same.
func (a *API) endCount(c *fiber.Ctx) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	of, err := a.Desk.EndCount(ctx, edge.Param(c, "count"))
	if err != nil {
		return err
	}
	return c.JSON(a.countDoc(of))
}

// countDoc is a count as it stands; missing and astray are empty until it has ended.
type countDoc struct {
	Count    string       `json:"count"`
	Station  plan.Station `json:"station"`
	Ended    bool         `json:"ended"`
	Expected int          `json:"expected"` // that belong there
	There    int          `json:"there"`    // of those
	Seen     []board.Row  `json:"seen"`     // the last first
	Missing  []board.Row  `json:"missing"`
	Astray   []board.Row  `json:"astray"`
}

func (a *API) countDoc(of desk.CountOf) countDoc {
	rows := func(tickets []*stations.Ticket) []board.Row {
		list := make([]board.Row, len(tickets))
		for i, t := range tickets {
			list[i] = board.RowOf(a.Desk.Store.Floor(), t)
		}
		return list
	}
	return countDoc{of.ID, of.Station, !of.Ended.IsZero(), of.Expected, of.There, rows(of.Seen), rows(of.Missing), rows(of.Astray)}
}
