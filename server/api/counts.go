package api

import (
	"slices"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine/measure"
	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/stations"
	"tablehand/stations/board"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
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

// beginShelfCount: POST /api/counts, of the whole shelf or of one place.
func (a *API) beginShelfCount(c *fiber.Ctx) error {
	var body struct {
		Place string `json:"place"`
		edge.Told
	}
	if err := edge.DecodeOptional(c, &body); err != nil {
		return err
	}
	e, err := a.counting(c, body.Told, shelf.Command{Action: shelf.BeginCount, Place: body.Place})
	if err != nil {
		return err
	}
	return c.Status(fiber.StatusCreated).JSON(fiber.Map{"count": e.Shelf.Count, "seq": e.Seq})
}

// counting sends a command about a count.
func (a *API) counting(c *fiber.Ctx, told edge.Told, cmd shelf.Command) (stations.Event, error) {
	if err := told.Check(); err != nil {
		return stations.Event{}, err
	}
	actor, _ := edge.ActorOf(c)
	ctx, cancel := desk.Waiting()
	defer cancel()
	return a.Stock().Handle(ctx, stations.Handle{Actor: actor, Key: told.Key, At: told.At, Person: told.Person, Command: cmd})
}

// shelfCountDoc is a count of the shelf; the three lists are empty until it has ended.
type shelfCountDoc struct {
	Count     string         `json:"count"`
	Place     string         `json:"place,omitempty"`
	Begun     time.Time      `json:"begun"`
	Ended     time.Time      `json:"ended,omitzero"`
	Seen      int            `json:"seen"`
	Unseen    []unseenDoc    `json:"unseen"`
	Elsewhere []countLineDoc `json:"elsewhere"`
	Differs   []countLineDoc `json:"differs"`
}

// unseenDoc is the row of a bolt that nobody has scanned.
type unseenDoc struct {
	boltRow
	Reckoned measure.Quantity `json:"reckoned"`
	Settled  shelf.Settlement `json:"settled,omitempty"`
	Since    bool             `json:"since"`
}

// countLineDoc is a bolt that was seen otherwise than the shelf has it.
type countLineDoc struct {
	Bolt     plan.Code        `json:"bolt"`
	Place    string           `json:"place,omitempty"` // where it was seen
	Reckoned measure.Quantity `json:"reckoned,omitzero"`
	Measured measure.Quantity `json:"measured,omitzero"`
	Settled  shelf.Settlement `json:"settled,omitempty"`
	Since    bool             `json:"since"` // something has happened to the bolt since it was scanned
}

// sendCount sends a count as it stands.
func (a *API) sendCount(c *fiber.Ctx, id string) error {
	floor := a.Desk.Store.Floor()
	count := floor.Shelf().Count(id)
	if count == nil {
		return desk.Refuse("not_found", "count")
	}
	doc := shelfCountDoc{Count: count.ID, Place: count.Place, Begun: count.Begun, Ended: count.Ended, Seen: len(count.Seen),
		Unseen: []unseenDoc{}, Elsewhere: []countLineDoc{}, Differs: []countLineDoc{}}
	for _, l := range count.Lines {
		b := floor.Shelf().Bolt(l.Bolt)
		line := countLineDoc{l.Bolt, l.Place, l.Reckoned, l.Measured, l.Settled, l.Since(b)}
		switch l.What {
		case shelf.Unseen:
			doc.Unseen = append(doc.Unseen, unseenDoc{a.boltRow(c, floor, b), l.Reckoned, l.Settled, l.Since(b)})
		case shelf.Elsewhere:
			doc.Elsewhere = append(doc.Elsewhere, line)
		case shelf.Otherwise:
			doc.Differs = append(doc.Differs, line)
		}
	}
	return c.JSON(doc)
}

// showShelfCount: GET /api/counts/{count}.
func (a *API) showShelfCount(c *fiber.Ctx) error { return a.sendCount(c, edge.Param(c, "count")) }

// endShelfCount: POST /api/counts/{count}/end.
func (a *API) endShelfCount(c *fiber.Ctx) error {
	var told edge.Told
	if err := edge.DecodeOptional(c, &told); err != nil {
		return err
	}
	id := edge.Param(c, "count")
	if _, err := a.counting(c, told, shelf.Command{Action: shelf.EndCount, Count: id}); err != nil {
		return err
	}
	return a.sendCount(c, id)
}

// settleShelfCount: POST /api/counts/{count}/settle, what the office makes of a line.
func (a *API) settleShelfCount(c *fiber.Ctx) error {
	var body struct {
		Bolt string           `json:"bolt"`
		As   shelf.Settlement `json:"as"`
		edge.Told
	}
	if err := edge.Decode(c, &body); err != nil {
		return err
	}
	if !slices.Contains([]shelf.Settlement{shelf.AsMoved, shelf.AsMeasured, shelf.AsMissing, shelf.AsFound}, body.As) {
		return desk.Refuse("bad_value", "as", "Value", string(body.As))
	}
	b, err := a.BoltAsked(c, body.Bolt)
	if err != nil {
		return err
	}
	id := edge.Param(c, "count")
	if _, err := a.counting(c, body.Told, shelf.Command{Action: shelf.Settle, Bolt: b.Code, Count: id, As: body.As}); err != nil {
		return err
	}
	return a.sendCount(c, id)
}
