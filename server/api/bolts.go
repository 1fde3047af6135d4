package api

import (
	"cmp"
	"context"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine/measure"
	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/server/stock"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
	"tablehand/views/paper"
)

// boltRoutes are the addresses of the shop's cloth.
func (a *API) boltRoutes() []edge.Route {
	return []edge.Route{
		edge.Post("/api/bolts", edge.TheOffice, a.receiveBolts),
		edge.Post("/api/bolts.csv", edge.TheOffice, a.receiveTable),
		edge.Get("/api/bolts", edge.AtTheBench, a.listBolts),
		edge.Get("/api/bolts/labels.pdf", edge.AtTheBench, a.printLabels),
		edge.Get("/api/bolts/:code/label.pdf", edge.AtTheBench, a.printLabel),
		edge.Get("/api/bolts/:code", edge.AtTheBench, a.showBolt),
		edge.Post("/api/shelf", edge.AtTheBench, a.handleBolt),
		edge.Post("/api/counts", edge.TheOffice, a.beginShelfCount),
		edge.Get("/api/counts/:count", edge.AtTheBench, a.showShelfCount),
		edge.Post("/api/counts/:count/end", edge.AtTheBench, a.endShelfCount),
		edge.Post("/api/counts/:count/settle", edge.TheOffice, a.settleShelfCount),
		edge.Get("/b/:code/label.pdf", edge.AtTheBench, a.printLabel),
		edge.Get("/shelf/labels.pdf", edge.AtTheBench, a.printLabels),
	}
}

// receivedCloth is the answer to cloth that came in.
type receivedCloth struct {
	Seq      int64             `json:"seq"`
	Bolts    []plan.Code       `json:"bolts"`
	Problems []edge.ProblemDoc `json:"problems"`
}

func sendReceived(c *fiber.Ctx, e stations.Event) error {
	answer := receivedCloth{e.Seq, nil, []edge.ProblemDoc{}}
	for _, came := range e.Shelf.Came {
		answer.Bolts = append(answer.Bolts, came.Bolt)
	}
	return c.Status(fiber.StatusCreated).JSON(answer)
}

// receiveBolts: POST /api/bolts, one bolt or several alike.
func (a *API) receiveBolts(c *fiber.Ctx) error {
	var body struct {
		Cloth    string       `json:"cloth"`
		Lot      string       `json:"lot"`
		Piece    string       `json:"supplier_piece"`
		Owner    *string      `json:"owner"` // none said of a bolt of an order's file: its customer
		Length   string       `json:"length"`
		Invoiced string       `json:"invoiced"`
		Width    string       `json:"usable_width"`
		Place    string       `json:"place"`
		Units    measure.Unit `json:"units"`
		Count    int          `json:"count"`
		Again    bool         `json:"again"`
		From     *struct {
			Order  string `json:"order"`
			Fabric string `json:"fabric"`
			Bolt   string `json:"bolt"`
		} `json:"from"`
		edge.Told
	}
	if err := edge.Decode(c, &body); err != nil {
		return err
	}
	if err := cmp.Or(body.Check(), edge.CheckTexts(edge.Text("cloth", body.Cloth, body.From == nil, edge.MaxName))); err != nil {
		return err
	}
	actor, _ := edge.ActorOf(c)
	ctx, cancel := desk.Waiting()
	defer cancel()
	row := shelf.Receipt{Cloth: body.Cloth, Lot: body.Lot, SupplierPiece: body.Piece, Length: body.Length, Invoiced: body.Invoiced, Width: body.Width,
		Place: body.Place, Units: body.Units, Count: body.Count}
	if f := body.From; f != nil {
		row.From = &shelf.Origin{Order: f.Order, Fabric: f.Fabric, Bolt: f.Bolt}
		if o := a.Desk.Store.Floor().Order(f.Order); o != nil {
			row.Owner = o.Customer
		}
	}
	if body.Owner != nil {
		row.Owner = *body.Owner
	}
	e, err := a.Stock().Receive(ctx, stations.ReceiveBolts{Actor: actor, Key: body.Key, At: body.At, Person: body.Person, Again: body.Again, Rows: []shelf.Receipt{row}})
	if err != nil {
		return err
	}
	return sendReceived(c, e)
}

// receiveTable: POST /api/bolts.csv, a delivery, ?again=true ?key= ?at= ?person=.
func (a *API) receiveTable(c *fiber.Ctx) error {
	told, err := edge.ToldAsked(c)
	if err != nil {
		return err
	}
	actor, _ := edge.ActorOf(c)
	ctx, cancel := desk.Waiting()
	defer cancel()
	e, err := a.Stock().ReceiveTable(ctx, stations.ReceiveBolts{Actor: actor, Key: told.Key, At: told.At, Person: told.Person, Again: c.Query("again") == "true"}, c.BodyRaw())
	if err != nil {
		return err
	}
	return sendReceived(c, e)
}

// boltRow is a bolt in a list.
type boltRow struct {
	Bolt      plan.Code        `json:"bolt"`
	Cloth     string           `json:"cloth"`
	Lot       string           `json:"lot,omitempty"`
	Owner     string           `json:"owner,omitempty"` // by name to who may read that, else the order
	Customers bool             `json:"customers"`       // it is a customer's
	State     shelf.State      `json:"state"`
	Reason    string           `json:"reason,omitempty"`
	Place     string           `json:"place,omitempty"`
	Rest      measure.Quantity `json:"rest"`
	Free      measure.Quantity `json:"free"`
	Longest   measure.Quantity `json:"longest_free"`
	Measured  bool             `json:"measured"`
	Opened    bool             `json:"opened"`
	Kind      string           `json:"kind"` // bolt, remnant
	Width     measure.Quantity `json:"width,omitzero"`
	Repeat    measure.Quantity `json:"repeat,omitzero"`
	Points    string           `json:"points_100yd2,omitempty"`
	Promised  []promisedDoc    `json:"promised"`
	KeptFor   string           `json:"kept_for,omitempty"` // an order, or a customer
}

type promisedDoc struct {
	Ticket plan.Code        `json:"ticket"`
	Order  string           `json:"order"`
	Length measure.Quantity `json:"length"`
}

func (a *API) boltRow(c *fiber.Ctx, f *stations.Floor, b *shelf.Bolt) boltRow {
	in := func(l measure.Length) measure.Quantity { return measure.OfLength(l, b.Units) }
	some := func(l measure.Length) measure.Quantity {
		if l == 0 {
			return measure.Quantity{}
		}
		return in(l)
	}
	all, longest := a.Stock().Free(f, b)
	row := boltRow{Bolt: b.Code, Cloth: b.Cloth, Lot: b.Lot, Customers: b.Owner != "", State: b.State(), Reason: b.Hold, Place: b.Place, Rest: in(b.Rest),
		Free: in(all), Longest: in(longest), Measured: b.Measured, Opened: b.Opened, Kind: "bolt", Width: some(b.Width), Repeat: some(b.Repeat()), Promised: []promisedDoc{}}
	if b.IsRemnant() {
		row.Kind = "remnant"
	}
	if s := b.Score(); s.Per100.Den != 0 {
		row.Points = s.Per100.String()
	}
	named := a.MayName(c)
	row.Owner = a.Stock().Whose(b, named)
	if b.Kept != nil && (named || b.Kept.Order != "") {
		row.KeptFor = cmp.Or(b.Kept.Order, b.Kept.Customer)
	}
	for _, p := range f.Promised(b.Code) {
		if n := len(row.Promised); n > 0 && row.Promised[n-1].Ticket == p.Ticket {
			row.Promised[n-1].Length = in(row.Promised[n-1].Length.Length() + p.Length())
			continue
		}
		row.Promised = append(row.Promised, promisedDoc{p.Ticket, p.Order, in(p.Length())})
	}
	return row
}

// listBolts: GET /api/bolts, ?cloth= ?state= ?owner= ?place= ?free=1.
func (a *API) listBolts(c *fiber.Ctx) error {
	asked := stock.Asked{Cloth: c.Query("cloth"), State: shelf.State(c.Query("state")), Owner: c.Query("owner"), Place: c.Query("place"), Free: c.Query("free") == "1"}
	if asked.Owner != "" && !a.MayName(c) {
		return desk.Refuse("forbidden", "owner")
	}
	floor := a.Desk.Store.Floor()
	rows := []boltRow{}
	for _, b := range a.Stock().Find(asked) {
		rows = append(rows, a.boltRow(c, floor, b))
	}
	return c.JSON(fiber.Map{"bolts": rows})
}

// boltDoc is a bolt with all that is known of it.
type boltDoc struct {
	boltRow
	Begin       measure.Quantity `json:"begin"`
	Received    measure.Quantity `json:"received,omitzero"`
	Invoiced    measure.Quantity `json:"invoiced,omitzero"`
	Piece       string           `json:"supplier_piece,omitempty"`
	FirstRepeat measure.Quantity `json:"first_repeat,omitzero"`
	RepeatOver  int              `json:"repeat_over,omitempty"`
	Flaws       []shelf.Flaw     `json:"flaws"`
	Points      int              `json:"points"`
	Metric      string           `json:"points_100m2,omitempty"`
	Off         []shelf.Off      `json:"off"`
	Halves      []shelf.Off      `json:"halves,omitempty"` // of the width, that cuts left beside them
	Unexplained measure.Quantity `json:"unexplained"`
	From        *shelf.Origin    `json:"from,omitempty"`
	Tickets     []plan.Code      `json:"tickets,omitempty"` // that have it on the table
	History     []boltPast       `json:"history"`
}

// boltPast is one event of a bolt.
type boltPast struct {
	Seq    int64           `json:"seq"`
	At     time.Time       `json:"at"`
	Action stations.Action `json:"action"`
	Person string          `json:"person,omitempty"`
	Shelf  *shelf.Event    `json:"shelf,omitempty"`
}

// showBolt: GET /api/bolts/{code}.
func (a *API) showBolt(c *fiber.Ctx) error {
	b, err := a.BoltAsked(c, edge.Param(c, "code"))
	if err != nil {
		return err
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	past, err := a.Stock().Past(ctx, b)
	if err != nil {
		return err
	}
	in := func(l measure.Length) measure.Quantity { return measure.OfLength(l, b.Units) }
	doc := boltDoc{boltRow: a.boltRow(c, a.Desk.Store.Floor(), b), Begin: in(b.Begin), Piece: b.SupplierPiece, RepeatOver: b.Repeats,
		Flaws: append([]shelf.Flaw{}, b.Flaws...), Points: b.Score().Points, Off: append([]shelf.Off{}, b.Off...), Halves: b.Halves, Unexplained: in(b.Unexplained()), From: b.From,
		Tickets: b.For, History: []boltPast{}}
	if b.Received > 0 {
		doc.Received = in(b.Received)
	}
	if b.Invoiced > 0 {
		doc.Invoiced = in(b.Invoiced)
	}
	if b.Repeats > 0 {
		doc.FirstRepeat = in(b.FirstRepeat)
	}
	if s := b.Score(); s.Metric.Den != 0 {
		doc.Metric = s.Metric.String()
	}
	for _, e := range past {
		doc.History = append(doc.History, boltPast{e.Seq, e.At, e.Action, cmp.Or(e.Person, e.Actor.Name), toldOf(e.Shelf, b.Code, a.MayName(c))})
	}
	return c.JSON(doc)
}

// toldOf is an event as a bolt's history tells it: of a delivery its own line, and whose it is to those who may read that.
func toldOf(e *shelf.Event, code plan.Code, named bool) *shelf.Event {
	if e == nil {
		return nil
	}
	told := *e
	told.Came = nil
	for _, came := range e.Came {
		if came.Bolt == code {
			if !named {
				came.Owner = ""
			}
			told.Came = []shelf.Came{came}
		}
	}
	if told.Kept != nil && told.Kept.Customer != "" && !named {
		told.Kept = nil
	}
	return &told
}

// printLabel: GET /api/bolts/{code}/label.pdf, on a label of its own size or on sheets.
func (a *API) printLabel(c *fiber.Ctx) error {
	b, err := a.BoltAsked(c, edge.Param(c, "code"))
	if err != nil {
		return err
	}
	return a.sendLabels(c, string(b.Code), []*shelf.Bolt{b})
}

// mostLabels is how many labels one paper may have; our own choice.
const mostLabels = 500

// printLabels: GET /api/bolts/labels.pdf?bolts=CODE,CODE.
func (a *API) printLabels(c *fiber.Ctx) error {
	asked := strings.Split(c.Query("bolts"), ",")
	if len(asked) > mostLabels {
		return desk.Refuse("bad_value", "bolts")
	}
	var bolts []*shelf.Bolt
	for _, code := range asked {
		b, err := a.BoltAsked(c, code)
		if err != nil {
			return err
		}
		bolts = append(bolts, b)
	}
	return a.sendLabels(c, "bolts", bolts)
}

func (a *API) sendLabels(c *fiber.Ctx, name string, bolts []*shelf.Bolt) error {
	how, err := a.Printing(c, paper.BoltStock, paper.Labels, paper.Letter, paper.A4)
	if err != nil {
		return err
	}
	return a.SendPaper(c, name+"-label", func(_ context.Context, w io.Writer) error { return a.Stock().Labels(w, bolts, how) })
}

// handled is the answer to what was done with a bolt.
type handled struct {
	Seq      int64             `json:"seq"`
	Bolt     plan.Code         `json:"bolt"`
	State    shelf.State       `json:"state"`
	Rest     measure.Quantity  `json:"rest"`
	Place    string            `json:"place,omitempty"`
	New      plan.Code         `json:"new,omitempty"`
	Joined   []plan.Code       `json:"joined,omitempty"` // of a lay: the tickets that are cut with it in one run
	Lines    []stations.Laid   `json:"lines,omitempty"`  // of a word at the table: tickets whose cuts lie otherwise now
	Problems []edge.ProblemDoc `json:"problems"`
}

// handleBolt: POST /api/shelf.
func (a *API) handleBolt(c *fiber.Ctx) error {
	var body edge.ShelfBody
	if err := edge.Decode(c, &body); err != nil {
		return err
	}
	if err := body.Check(); err != nil {
		return err
	}
	b, err := a.BoltAsked(c, body.Bolt)
	if err != nil {
		return err
	}
	actor, _ := edge.ActorOf(c)
	ctx, cancel := desk.Waiting()
	defer cancel()
	var e stations.Event
	if slices.Contains(edge.TableActions, body.Action) {
		e, err = a.atTheTable(ctx, c, &body, actor, b)
	} else {
		e, err = a.Stock().Handle(ctx, body.Command(actor, b.Code))
	}
	if err != nil {
		return err
	}
	b = a.Desk.Store.Floor().Shelf().Bolt(b.Code)
	_, lacks := desk.LacksOf(e, nil)
	return c.JSON(handled{e.Seq, b.Code, b.State(), measure.OfLength(b.Rest, b.Units), b.Place, e.Shelf.New, e.Joined, e.Lines, a.ProblemDocs(c, append(a.Stock().Told(e, b), lacks...))})
}

// atTheTable tells a ticket what is told of a bolt at the table: where no ticket is named, the one that has it there.
func (a *API) atTheTable(ctx context.Context, c *fiber.Ctx, body *edge.ShelfBody, actor stations.Actor, b *shelf.Bolt) (stations.Event, error) {
	typed, codes := slices.Clone(body.Tickets), []plan.Code{}
	switch {
	case body.Ticket != "":
		typed = append([]string{body.Ticket}, typed...)
	case len(typed) > 0:
	case len(b.For) > 1 && (body.Action == shelf.Cut || body.Action == shelf.Spoil):
		return stations.Event{}, desk.Refuse("missing_key", "ticket", "Name", "ticket") // each of several has such a cut
	case len(b.For) > 0:
		typed = []string{string(b.For[0])}
	case body.Action == shelf.Rest && a.restTold(b) != "": // sent again it is answered again
		typed = []string{a.restTold(b)}
	default:
		return stations.Event{}, desk.Refuse("not_on_table", "bolt", "Bolt", string(b.Code), "Place", b.Place)
	}
	for _, code := range typed {
		t, err := a.TicketAsked(c, code)
		if err != nil {
			return stations.Event{}, err
		}
		codes = append(codes, t.Spec.Code)
	}
	if err := edge.MayWork(c, stations.Action(body.Action), plan.Cutting); err != nil {
		return stations.Event{}, err
	}
	t, called := a.Desk.Store.Floor().Ticket(codes[0]), string(b.Code)
	if body.Action != shelf.Lay {
		called = a.Desk.Store.Floor().Names(t, b)
	}
	scan := body.Scan(actor, t.Spec.Code, called)
	if len(body.Tickets) > 0 {
		scan.Tickets = codes
	}
	return a.Desk.Scan(ctx, scan)
}

// restTold is the ticket at work that the bolt has just left the table of, "" where there is none.
func (a *API) restTold(b *shelf.Bolt) string {
	for _, code := range b.Told() {
		if t := a.Desk.Store.Floor().Ticket(code); t != nil && t.State() == stations.AtWork {
			return string(code)
		}
	}
	return ""
}
