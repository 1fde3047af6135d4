package api

import (
	"bytes"
	"cmp"
	"strconv"
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine"
	"tablehand/engine/cutfile"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/engine/workup/relief"
	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/server/stock"
	"tablehand/stations"
	"tablehand/stations/board"
	"tablehand/views/bolt"
)

// takeOrder: POST /api/orders, an order file.
func (a *API) takeOrder(c *fiber.Ctx) error {
	source := c.BodyRaw()
	if err := edge.CheckOrder(len(source), "body"); err != nil {
		return err
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	actor, _ := edge.ActorOf(c)
	key, err := edge.KeyAsked(c)
	if err != nil {
		return err
	}
	order, problems, err := a.Desk.Take(ctx, actor, key, source)
	if err != nil {
		return err
	}
	return a.sendTaken(c, order, problems)
}

func (a *API) sendTaken(c *fiber.Ctx, order string, problems []engine.Problem) error {
	return c.Status(fiber.StatusCreated).JSON(struct {
		Order    string            `json:"order"`
		Problems []edge.ProblemDoc `json:"problems"`
	}{order, a.ProblemDocs(c, problems)})
}

// nextOrder: GET /api/orders/next, ?customer= as orders of that one are named.
func (a *API) nextOrder(c *fiber.Ctx) error {
	return c.JSON(struct {
		Order string `json:"order"`
	}{a.Desk.NextOrder(c.Query("customer"))})
}

// takeLike: POST /api/orders/{order}/like.
func (a *API) takeLike(c *fiber.Ctx) error {
	var body struct {
		Order string `json:"order"`
		Due   string `json:"due"`
		Key   string `json:"key"`
	}
	if err := edge.Decode(c, &body); err != nil {
		return err
	}
	if body.Order == "" {
		return desk.Refuse("missing_key", "order", "Name", "order")
	}
	if err := edge.CheckTexts(edge.Key(body.Key)); err != nil {
		return err
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	actor, _ := edge.ActorOf(c)
	order, problems, err := a.Desk.TakeLike(ctx, actor, body.Key, edge.Param(c, "order"), body.Order, body.Due)
	if err != nil {
		return err
	}
	return a.sendTaken(c, order, problems)
}

// orderLine is an order in a list.
type orderLine struct {
	Order    string              `json:"order"`
	Customer string              `json:"customer"`
	Due      string              `json:"due"`
	State    stations.OrderState `json:"state"`
}

// listOrders: GET /api/orders.
func (a *API) listOrders(c *fiber.Ctx) error {
	lines := []orderLine{}
	for _, o := range a.Desk.Store.Floor().Orders() {
		lines = append(lines, orderLine{o.ID, o.Customer, o.Due, o.State})
	}
	return c.JSON(struct {
		Orders []orderLine `json:"orders"`
	}{lines})
}

// orderDoc is an order with its tickets.
type orderDoc struct {
	Order    string              `json:"order"`
	Customer string              `json:"customer"`
	State    stations.OrderState `json:"state"`
	Revision int                 `json:"revision"`
	Due      string              `json:"due"`
	Tickets  []board.Row         `json:"tickets"`
}

func docOfOrder(f *stations.Floor, o *stations.Order) orderDoc {
	doc := orderDoc{o.ID, o.Customer, o.State, o.Revision, o.Due, []board.Row{}}
	for _, t := range o.Tickets {
		doc.Tickets = append(doc.Tickets, board.RowOf(f, t))
	}
	return doc
}

// showOrder: GET /api/orders/{order}.
func (a *API) showOrder(c *fiber.Ctx) error {
	o, err := a.OrderAsked(c)
	if err != nil {
		return err
	}
	return c.JSON(docOfOrder(a.Desk.Store.Floor(), o))
}

// showWorkup: GET /api/orders/{order}/workup, with ?explain=true the trail of every number, with ?rules=true what each
// named rule would order.
func (a *API) showWorkup(c *fiber.Ctx) error {
	explain, err := strconv.ParseBool(c.Query("explain", "false"))
	if err != nil {
		return desk.Refuse("bad_value", "explain")
	}
	rules, err := strconv.ParseBool(c.Query("rules", "false"))
	if err != nil {
		return desk.Refuse("bad_value", "rules")
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	w, err := a.Desk.Workup(ctx, edge.Param(c, "order"))
	if err != nil {
		return err
	}
	say := a.Printer(c)
	doc := w.Document(explain, say.Problem, func(key string) string { return say.T(key) })
	shipped := orderfile.DefaultConventions(w.Order.Units)
	kept := a.Desk.PracticeOf(w.Order.ID)(w.Order.Units)
	doc.Practice = kept.Differing(shipped, w.Order.Units)
	if rules {
		doc.Rules = workup.OutcomeDocuments(workup.Outcomes(w.Order), w.Order.Units)
	}
	return c.JSON(doc)
}

// releaseOrder: POST /api/orders/{order}/release.
func (a *API) releaseOrder(c *fiber.Ctx) error {
	var body struct {
		Override bool   `json:"override"`
		Reason   string `json:"reason"`
		Key      string `json:"key"`
	}
	if err := edge.DecodeOptional(c, &body); err != nil {
		return err
	}
	if err := edge.CheckTexts(edge.Text("reason", body.Reason, body.Override, edge.MaxReason), edge.Key(body.Key)); err != nil {
		return err
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	actor, _ := edge.ActorOf(c)
	if err := a.Desk.Release(ctx, actor, body.Key, edge.Param(c, "order"), body.Override, body.Reason); err != nil {
		return err
	}
	return a.showOrder(c)
}

// cancelOrder: POST /api/orders/{order}/cancel.
func (a *API) cancelOrder(c *fiber.Ctx) error {
	return a.endOrder(c, func(by stations.Actor, key, order, reason string) stations.Command {
		return stations.CancelOrder{Actor: by, Key: key, Order: order, Reason: reason}
	})
}

// closeOrder: POST /api/orders/{order}/close ends an order that is cut into.
func (a *API) closeOrder(c *fiber.Ctx) error {
	return a.endOrder(c, func(by stations.Actor, key, order, reason string) stations.Command {
		return stations.CloseOrder{Actor: by, Key: key, Order: order, Reason: reason}
	})
}

// endOrder does what a body with a reason asks of the order, and shows it.
func (a *API) endOrder(c *fiber.Ctx, command func(by stations.Actor, key, order, reason string) stations.Command) error {
	var body struct {
		Reason string `json:"reason"`
		Key    string `json:"key"`
	}
	if err := edge.Decode(c, &body); err != nil {
		return err
	}
	if err := edge.CheckTexts(edge.Text("reason", body.Reason, true, edge.MaxReason), edge.Key(body.Key)); err != nil {
		return err
	}
	o, err := a.OrderAsked(c)
	if err != nil {
		return err
	}
	actor, _ := edge.ActorOf(c)
	if err := a.Desk.Do(command(actor, body.Key, o.ID, body.Reason)); err != nil {
		return err
	}
	return a.showOrder(c)
}

// linkedDoc is the answer to a link of a fabric with one of the shop's cloths.
type linkedDoc struct {
	Seq      int64             `json:"seq"`
	Order    string            `json:"order"`
	Fabric   string            `json:"fabric"`
	Cloth    string            `json:"cloth"` // "" where none is, or as the file says
	Problems []edge.ProblemDoc `json:"problems"`
}

// linkCloth: POST /api/orders/{order}/cloth.
func (a *API) linkCloth(c *fiber.Ctx) error {
	var body struct {
		Fabric string `json:"fabric"`
		Cloth  string `json:"cloth"`
		Reason string `json:"reason"`
		edge.Told
	}
	if err := edge.Decode(c, &body); err != nil {
		return err
	}
	err := cmp.Or(body.Check(), edge.CheckTexts(edge.Text("fabric", body.Fabric, true, edge.MaxName), edge.Text("cloth", body.Cloth, true, edge.MaxName),
		edge.Text("reason", body.Reason, false, edge.MaxReason)))
	if err != nil {
		return err
	}
	return a.link(c, stations.LinkCloth{Key: body.Key, At: body.At, Fabric: body.Fabric, Cloth: body.Cloth, Reason: body.Reason, Person: body.Person})
}

// unlinkCloth: DELETE /api/orders/{order}/cloth/{fabric}, ?key= ?at= ?person=.
func (a *API) unlinkCloth(c *fiber.Ctx) error {
	told, err := edge.ToldAsked(c)
	if err != nil {
		return err
	}
	return a.link(c, stations.LinkCloth{Key: told.Key, At: told.At, Person: told.Person, Fabric: edge.Param(c, "fabric")})
}

func (a *API) link(c *fiber.Ctx, cmd stations.LinkCloth) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	cmd.Actor, _ = edge.ActorOf(c)
	cmd.Order = edge.Param(c, "order")
	e, err := a.Desk.LinkCloth(ctx, cmd)
	if err != nil {
		return err
	}
	w, err := a.Desk.Workup(ctx, cmd.Order)
	if err != nil {
		return err
	}
	_, lacks := desk.LacksOf(e, w)
	return c.JSON(linkedDoc{e.Seq, e.Order, e.Fabric, e.Cloth, a.ProblemDocs(c, append(lacks, desk.OfFabric(w.Problems, cmd.Fabric)...))})
}

// cutPlanDoc is a fabric's cuts as they lie, with what is proven of it.
type cutPlanDoc struct {
	Fabric string            `json:"fabric"`
	Cloth  string            `json:"cloth,omitempty"`
	Plan   *cutfile.Document `json:"plan"` // null where no bolts are known
	Bolts  []plannedBoltDoc  `json:"bolts"`
	Ways   []reliefDoc       `json:"ways"`
	workup.ShortDocument
}

type plannedBoltDoc struct {
	Bolt   string           `json:"bolt"`
	Lot    string           `json:"lot,omitempty"`
	Place  string           `json:"place,omitempty"`
	Length measure.Quantity `json:"length"`
}

// reliefDoc is what helps where cloth is short.
type reliefDoc struct {
	Way     relief.Kind      `json:"way"`
	Value   string           `json:"value,omitempty"`
	Short   measure.Quantity `json:"short"` // what is short still
	Windows []string         `json:"windows,omitempty"`
	Order   string           `json:"order,omitempty"`
	Due     string           `json:"due,omitempty"`
	Length  measure.Quantity `json:"length,omitzero"`
	Lot     string           `json:"lot,omitempty"`
	Less    bool             `json:"less,omitempty"` // of what is bought may do
}

func sendCutPlans(c *fiber.Ctx, plans []stock.CutPlan) error {
	docs := make([]cutPlanDoc, 0, len(plans))
	for i := range plans {
		docs = append(docs, cutPlanDocOf(&plans[i]))
	}
	return c.JSON(fiber.Map{"fabrics": docs})
}

func cutPlanDocOf(p *stock.CutPlan) cutPlanDoc {
	doc := cutPlanDoc{Fabric: p.Fabric, Cloth: p.Cloth, Bolts: []plannedBoltDoc{}, Ways: []reliefDoc{}, ShortDocument: p.Short}
	if p.Plan != nil {
		doc.Plan = p.File.Document(p.Plan)
	}
	for _, b := range p.Bolts {
		doc.Bolts = append(doc.Bolts, plannedBoltDoc{b.Bolt, b.Lot, b.Place, b.Length})
	}
	for _, w := range p.Ways {
		way := reliefDoc{Way: w.Kind, Value: w.Value, Short: measure.OfLength(w.Short, p.Units), Windows: w.Windows, Order: w.Order, Due: w.Due, Lot: w.Lot, Less: w.Less}
		if w.Kind == relief.MixedLots {
			way.Value = strings.Join(w.Windows, "; ")
		}
		if w.Length > 0 {
			way.Length = measure.OfLength(w.Length, p.Units)
		}
		doc.Ways = append(doc.Ways, way)
	}
	return doc
}

// showCutPlan: GET /api/orders/{order}/cutplan.
func (a *API) showCutPlan(c *fiber.Ctx) error {
	o, err := a.OrderAsked(c)
	if err != nil {
		return err
	}
	plans, err := a.Stock().CutPlans(o, nil)
	if err != nil {
		return err
	}
	return sendCutPlans(c, plans)
}

// tryCutPlan: POST /api/orders/{order}/cutplan, the plans with or without some bolts. Nothing changes.
func (a *API) tryCutPlan(c *fiber.Ctx) error {
	var body struct {
		DryRun bool     `json:"dry_run"`
		Keep   []string `json:"keep"`
		Leave  []string `json:"leave"`
	}
	if err := edge.Decode(c, &body); err != nil {
		return err
	}
	o, err := a.OrderAsked(c)
	if err != nil {
		return err
	}
	only := &stock.Only{Keep: body.Keep, Leave: body.Leave}
	problems, err := a.Stock().Check(o, only)
	if err != nil {
		return err
	}
	if !body.DryRun {
		problems = append(problems, engine.Problem{Severity: engine.Error, Code: "bad_value", Key: "problem.bad_value.none_of", Where: "dry_run",
			Args: map[string]any{"Key": "dry_run", "Text": "false", "Known": []string{"true"}}})
	}
	if len(problems) > 0 {
		return desk.RefuseProblems(problems)
	}
	plans, err := a.Stock().CutPlans(o, only)
	if err != nil {
		return err
	}
	return sendCutPlans(c, plans)
}

// drawCutPlan: GET /api/orders/{order}/cutplan.svg?fabric=, a fabric's bolts to scale; without it the order's first.
func (a *API) drawCutPlan(c *fiber.Ctx) error {
	o, err := a.OrderAsked(c)
	if err != nil {
		return err
	}
	p, err := a.Stock().CutPlan(o, c.Query("fabric"))
	switch {
	case err != nil:
		return err
	case p.Plan == nil:
		return desk.Refuse("not_found", "fabric")
	}
	var drawn bytes.Buffer
	if err := bolt.PlanSVG(&drawn, p.File, p.Plan); err != nil {
		return err
	}
	c.Set(fiber.HeaderContentType, "image/svg+xml")
	return c.Send(drawn.Bytes())
}
