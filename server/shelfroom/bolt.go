package shelfroom

import (
	"cmp"
	"html/template"
	"slices"
	"strconv"
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine/measure"
	"tablehand/server/books"
	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/server/web"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
	"tablehand/views"
	"tablehand/views/bolt"
	page "tablehand/views/page/shelf"
)

// boltPage: GET /b/{code}; a ticket's code leads to the ticket.
func (r *Room) boltPage(c *fiber.Ctx) error {
	var answer *views.Answer
	if did := shelf.Action(c.Query("did")); slices.Contains(edge.ShelfActions, did) {
		answer = &views.Answer{Text: r.Printer(c).T("bolt.did." + string(did))}
	}
	return r.showBolt(c, answer)
}

// showBolt shows a bolt with an answer; a form that was refused stands open with it and with what was typed.
func (r *Room) showBolt(c *fiber.Ctx, answer *views.Answer) error {
	floor := r.Desk.Store.Floor()
	if code, err := stations.ParseCode(edge.Param(c, "code")); err == nil && floor.Ticket(code) != nil {
		return web.GoOn(c, "/t/"+string(code))
	}
	b, err := r.BoltAsked(c, edge.Param(c, "code"))
	if err != nil {
		return err
	}
	in := func(l measure.Length) measure.Quantity { return measure.OfLength(l, b.Units) }
	p := page.BoltPage{Frame: r.Frame(c), Bolt: r.row(c, floor, b), Key: b.Cloth, Hold: b.Hold, Received: r.moment(b.Since).Date, Piece: b.SupplierPiece,
		Flaws: b.Flaws, Counting: floor.Shelf().Open() != nil, Answer: answer,
		Gone: b.Lies == shelf.UsedUp || b.Lies == shelf.GoneBack, CanBeInHands: b.Lies == shelf.Received || b.Lies == shelf.OnShelf || b.Lies == shelf.Missing,
		CanTakeBack: r.canTakeBack(c, floor, b)}
	if answer != nil && answer.Refused {
		p.Tried, p.Typed = shelf.Action(c.FormValue("action")), map[string]string{}
		for _, field := range []string{"place", "length", "reason", "order", "customer", "from"} {
			p.Typed[field] = strings.TrimSpace(c.FormValue(field))
		}
	}
	for _, code := range b.For {
		p.OnTable = append(p.OnTable, page.Promise{Ticket: code, Order: floor.Ticket(code).Order})
	}
	p.CutFor = cutFor(floor, b)
	if came := r.BoltOf(c.Query("new")); came != nil && came.IsRemnant() && came.From.Parent == b.Code {
		p.New = came.Code
	}
	if b.Width > 0 {
		p.Width = in(b.Width)
	}
	if b.Repeats > 0 {
		p.Repeat = in(b.Repeat())
	}
	if b.IsRemnant() {
		p.Parent = b.From.Parent
	}
	if s := b.Score(); s.Per100.Den != 0 {
		say := r.Printer(c)
		p.Points, p.Per100, p.Metric = s.Points, say.Decimal(s.Per100.String()), say.Decimal(s.Metric.String())
	}
	row := func(off shelf.Off) page.Off {
		return page.Off{As: off.As, From: off.From, To: off.To, Ticket: off.Ticket, Cut: off.Cut, Bolt: off.Bolt, Width: off.Width}
	}
	for _, off := range b.Off {
		p.Off = append(p.Off, row(off))
		for _, half := range b.Halves {
			if half.Span() == off.Span() {
				p.Off = append(p.Off, row(half))
			}
		}
	}
	for _, off := range b.Unlabelled() {
		came := row(off)
		came.Long = off.To.Length()-off.From.Length() > r.Stock().Ways(b.Units).ReasonToScrap
		p.CameOff = append(p.CameOff, came)
	}
	p.Account = accountOf(b)
	p.Picture = template.HTML(bolt.OfShelf(b, floor.Promised(b.Code)).SVG())
	if p.History, err = r.past(c, b); err != nil {
		return err
	}
	return r.Send(c, p)
}

// cutFor are the tickets at work that were cut from a bolt which they no longer have on the table: what came off may still be owed to them.
func cutFor(floor *stations.Floor, b *shelf.Bolt) (list []page.Promise) {
	for _, off := range b.Off {
		t := floor.Ticket(off.Ticket)
		told := func(p page.Promise) bool { return p.Ticket == off.Ticket }
		if t != nil && t.State() == stations.AtWork && !slices.Contains(b.For, off.Ticket) && !slices.ContainsFunc(list, told) {
			list = append(list, page.Promise{Ticket: off.Ticket, Order: t.Order})
		}
	}
	return list
}

// canTakeBack reports whether the device that asks may take back what it has just done.
func (r *Room) canTakeBack(c *fiber.Ctx, floor *stations.Floor, b *shelf.Bolt) bool {
	actor, _ := edge.ActorOf(c)
	_, err := floor.Overlay().Decide(stations.Handle{Actor: actor, Command: shelf.Command{Action: shelf.Undo, Bolt: b.Code}}, r.Desk.Clock())
	return err == nil
}

// accountOf is where a bolt's cloth went: what is nothing is left out, but for what came and what is left.
func accountOf(b *shelf.Bolt) (rows []page.Row) {
	a, rest := b.Account(), "rest"
	if b.State() == shelf.GoneBack {
		rest = "gone_back"
	}
	for _, row := range []struct {
		name   string
		length measure.Length
	}{{"received", a.Received}, {"cut", a.Cut}, {"spoilt", a.Spoilt}, {"flaw", a.Flaw}, {"scrapped", a.Scrapped}, {"remnants", a.Remnants}, {"unexplained", a.Unexplained}, {rest, a.Rest}} {
		if row.length != 0 || row.name == "received" || row.name == rest {
			rows = append(rows, page.Row{Name: row.name, Length: measure.OfLength(row.length, b.Units)})
		}
	}
	return rows
}

// past is a bolt's history, newest first.
func (r *Room) past(c *fiber.Ctx, b *shelf.Bolt) (list []page.Event, err error) {
	ctx, cancel := desk.Waiting()
	defer cancel()
	events, err := r.Stock().Past(ctx, b)
	for _, e := range slices.Backward(events) {
		row := page.Event{At: r.moment(e.At), Who: cmp.Or(e.Person, e.Actor.Name)}
		if e.Shelf == nil { // its order was released or cancelled
			row.Action = shelf.Unkeep
			list = append(list, row)
			continue
		}
		of := ofBolt(e.Shelf, b.Code)
		row.Action, row.Place, row.Reason, row.Length, row.New = of.Action, of.Place, of.Reason, spoken(of.Rest, b.Units), of.New
		if row.New == b.Code {
			row.New = ""
		}
		if kept := of.Kept; kept != nil {
			row.Kept = kept.Order
			if row.Kept == "" && r.MayName(c) {
				row.Kept = kept.Customer
			}
		}
		list = append(list, row)
	}
	return list, err
}

// ofBolt is what an event says of one bolt: a cutting that is finished says something of each of its own.
func ofBolt(e *shelf.Event, code plan.Code) *shelf.Event {
	for i := range e.Each {
		if e.Each[i].Bolt == code {
			return &e.Each[i]
		}
	}
	return e
}

// handleByForm: POST /b/{code}, what the page's buttons do.
func (r *Room) handleByForm(c *fiber.Ctx) error {
	b, err := r.BoltAsked(c, edge.Param(c, "code"))
	if err != nil {
		return err
	}
	cmd := shelf.Command{Action: shelf.Action(c.FormValue("action")), Bolt: b.Code}
	if !slices.Contains(edge.ShelfActions, cmd.Action) || slices.Contains(edge.TableActions, cmd.Action) { // those are told of a ticket
		return desk.Refuse("bad_value", "action", "Value", string(cmd.Action))
	}
	text := func(field string) string { return strings.TrimSpace(c.FormValue(field)) }
	switch cmd.Action {
	case shelf.PlaceIt, shelf.Find:
		cmd.Place = r.Stock().Place(text("place"))
	case shelf.Keep:
		cmd.Order, cmd.Customer = text("order"), text("customer")
	case shelf.HoldBolt, shelf.FreeBolt:
		cmd.Reason, cmd.Lot = text("reason"), c.FormValue("lot") == "yes"
	case shelf.CountBolt:
		cmd.Length, cmd.Place = r.typed(c, text("length")), r.Stock().Place(text("place"))
	case shelf.Part:
		cmd.From, cmd.To, cmd.Place = text("from"), text("to"), text("place")
	case shelf.Scrap:
		cmd.From, cmd.To, cmd.Reason = text("from"), text("to"), text("reason")
	default:
		cmd.Reason = text("reason")
	}
	e, err := r.handle(c, cmd)
	if err != nil {
		return r.RefusedOn(c, err, r.showBolt)
	}
	onward := "/b/" + string(b.Code) + "?did=" + string(cmd.Action)
	if cmd.Action == shelf.Part {
		onward += "&new=" + string(e.Shelf.New)
	}
	return web.GoOn(c, onward)
}

// handle sends a command about a bolt.
func (r *Room) handle(c *fiber.Ctx, cmd shelf.Command) (stations.Event, error) {
	actor, _ := edge.ActorOf(c)
	ctx, cancel := desk.Waiting()
	defer cancel()
	return r.Stock().Handle(ctx, stations.Handle{Actor: actor, Person: edge.PersonOf(c), Command: cmd})
}

// Rows of flaws that a form has, and that it gains when more are asked for.
const (
	flawRows = 3
	moreRows = 5
	mostRows = 200
)

// inspectPage: GET /b/{code}/inspect, with what an inspection found that this one replaces.
func (r *Room) inspectPage(c *fiber.Ctx) error {
	b, err := r.BoltAsked(c, edge.Param(c, "code"))
	if err != nil {
		return err
	}
	say, typed := r.Printer(c), map[string]string{}
	if b.Repeats > 0 {
		typed["over"], typed["repeat"] = strconv.Itoa(b.Repeats), say.Length(b.OverRepeats, b.Units)
		typed["first_repeat"] = say.Length(b.FirstRepeat, b.Units)
	}
	var rows []page.FlawRow
	for _, f := range b.Flaws {
		if len(b.Off) == 0 && f.Found == shelf.AtInspection {
			row := page.FlawRow{From: say.Quantity(f.From), To: say.Quantity(f.To), Kind: f.Kind, Edge: f.Edge}
			if !f.Edge {
				row.Points = strconv.Itoa(f.Points)
			}
			rows = append(rows, row)
		}
	}
	return r.showInspect(c, b, typed, slices.Concat(rows, make([]page.FlawRow, flawRows)), nil)
}

func (r *Room) showInspect(c *fiber.Ctx, b *shelf.Bolt, typed map[string]string, rows []page.FlawRow, answer *views.Answer) error {
	for _, key := range inspected {
		if _, there := typed[key]; !there {
			typed[key] = ""
		}
	}
	p := page.InspectPage{Frame: r.Frame(c), Bolt: r.row(c, r.Desk.Store.Floor(), b), Metric: b.Units.Metric(), Holes: r.Stock().Ways(b.Units).Holes, Repeats: r.patterned(b.Cloth), Typed: typed, Rows: rows, Answer: answer}
	if b.Begin > 0 {
		p.Begin = measure.OfLength(b.Begin, b.Units)
	}
	return r.Send(c, p)
}

// patterned reports whether the book has a repeat of a cloth.
func (r *Room) patterned(cloth string) bool {
	e := r.Desk.Books.Entry(books.Cloths, cloth)
	if e == nil {
		return false
	}
	repeat, err := measure.Parse(e.Fields["vertical_repeat"], measure.In)
	return err == nil && repeat > 0
}

// inspected are the fields of an inspection beside its flaws.
var inspected = []string{"length", "width_1", "width_2", "width_3", "over", "repeat", "first_repeat"}

// inspectByForm: POST /b/{code}/inspect; with more= it asks for more rows of flaws.
func (r *Room) inspectByForm(c *fiber.Ctx) error {
	b, err := r.BoltAsked(c, edge.Param(c, "code"))
	if err != nil {
		return err
	}
	typed := map[string]string{}
	for _, key := range inspected {
		typed[key] = strings.TrimSpace(c.FormValue(key))
		if err := edge.CheckTexts(edge.Text(key, typed[key], false, edge.MaxName)); err != nil {
			return err
		}
	}
	rows := flawsSent(c)
	if c.FormValue("more") != "" {
		return r.showInspect(c, b, typed, slices.Concat(rows, make([]page.FlawRow, moreRows)), nil)
	}
	cmd, err := r.inspection(c, typed, rows)
	if err == nil {
		cmd.Bolt = b.Code
		_, err = r.handle(c, cmd)
	}
	if err != nil {
		return r.RefusedOn(c, err, func(c *fiber.Ctx, answer *views.Answer) error {
			return r.showInspect(c, b, typed, slices.Concat(rows, make([]page.FlawRow, 1)), answer)
		})
	}
	return r.showInspected(c, b)
}

// showInspected shows the bolt with what its inspection has to tell.
func (r *Room) showInspected(c *fiber.Ctx, was *shelf.Bolt) error {
	b := r.Desk.Store.Floor().Shelf().Bolt(was.Code)
	say := r.Printer(c)
	told := []string{say.T("bolt.did.inspect")}
	for _, p := range r.Stock().Told(stations.Event{Shelf: &shelf.Event{Action: shelf.Inspect, Held: b.Hold == shelf.InspectionFailed && was.Hold == ""}}, b) {
		told = append(told, say.Problem(p))
	}
	return r.showBolt(c, &views.Answer{Text: strings.Join(told, ". ")})
}

// flawsSent are the rows of a form in which something stands.
func flawsSent(c *fiber.Ctx) (rows []page.FlawRow) {
	form := c.Request().PostArgs()
	from, to, kind, points := form.PeekMulti("from"), form.PeekMulti("to"), form.PeekMulti("kind"), form.PeekMulti("points")
	for i := range min(mostRows, len(from), len(to), len(kind), len(points)) {
		row := page.FlawRow{From: strings.TrimSpace(string(from[i])), To: strings.TrimSpace(string(to[i])), Kind: shelf.FlawKind(kind[i]), Points: string(points[i])}
		if row.Edge = row.Points == "edge"; row.Edge {
			row.Points = ""
		}
		if row != (page.FlawRow{}) {
			rows = append(rows, row)
		}
	}
	return rows
}

// inspection is what a form says was measured and found.
func (r *Room) inspection(c *fiber.Ctx, typed map[string]string, rows []page.FlawRow) (cmd shelf.Command, err error) {
	length := func(key string) string { return r.typed(c, typed[key]) }
	cmd = shelf.Command{Action: shelf.Inspect, Length: length("length"), Over: length("repeat"), First: length("first_repeat")}
	for _, key := range []string{"width_1", "width_2", "width_3"} {
		if typed[key] != "" {
			cmd.Widths = append(cmd.Widths, length(key))
		}
	}
	if typed["over"] != "" {
		if cmd.Repeats, err = strconv.Atoi(typed["over"]); err != nil {
			return cmd, desk.Refuse("bad_value", "repeat.over", "Value", typed["over"])
		}
	}
	for _, row := range rows {
		points, _ := strconv.Atoi(row.Points) // what is no number is by length
		cmd.Flaws = append(cmd.Flaws, shelf.FlawTold{From: r.typed(c, row.From), To: r.typed(c, row.To), Points: points, Kind: row.Kind, Edge: row.Edge})
	}
	return cmd, nil
}
