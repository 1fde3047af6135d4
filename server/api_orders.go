package server

import (
	"strconv"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/stations"
	"tablehand/stations/board"
)

// takeOrder: POST /api/orders, an order file.
func (s *Server) takeOrder(c *fiber.Ctx) error {
	source := c.BodyRaw()
	if len(source) > maxOrder {
		return refuse("too_large", "body")
	}
	ctx, cancel := waiting()
	defer cancel()
	actor, _ := actorOf(c)
	order, problems, err := s.desk().Take(ctx, actor, source)
	if err != nil {
		return err
	}
	return c.Status(fiber.StatusCreated).JSON(struct {
		Order    string       `json:"order"`
		Problems []problemDoc `json:"problems"`
	}{order, s.problemDocs(c, problems)})
}

// orderLine is an order in a list.
type orderLine struct {
	Order    string              `json:"order"`
	Customer string              `json:"customer"`
	Due      string              `json:"due"`
	State    stations.OrderState `json:"state"`
}

// listOrders: GET /api/orders.
func (s *Server) listOrders(c *fiber.Ctx) error {
	lines := []orderLine{}
	for _, o := range s.Store.Floor().Orders() {
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

// orderAsked returns the order that the address names.
func (s *Server) orderAsked(c *fiber.Ctx) (*stations.Order, error) {
	if o := s.Store.Floor().Order(param(c, "order")); o != nil {
		return o, nil
	}
	return nil, refuse("not_found", "order")
}

func docOfOrder(f *stations.Floor, o *stations.Order) orderDoc {
	doc := orderDoc{o.ID, o.Customer, o.State, o.Revision, o.Due, []board.Row{}}
	for _, t := range o.Tickets {
		doc.Tickets = append(doc.Tickets, board.RowOf(f, t))
	}
	return doc
}

// showOrder: GET /api/orders/{order}.
func (s *Server) showOrder(c *fiber.Ctx) error {
	o, err := s.orderAsked(c)
	if err != nil {
		return err
	}
	return c.JSON(docOfOrder(s.Store.Floor(), o))
}

// showWorkup: GET /api/orders/{order}/workup, with ?explain=true the trail of every number, with ?rules=true what each
// named rule would order.
func (s *Server) showWorkup(c *fiber.Ctx) error {
	explain, err := strconv.ParseBool(c.Query("explain", "false"))
	if err != nil {
		return refuse("bad_value", "explain")
	}
	rules, err := strconv.ParseBool(c.Query("rules", "false"))
	if err != nil {
		return refuse("bad_value", "rules")
	}
	ctx, cancel := waiting()
	defer cancel()
	w, err := s.desk().Workup(ctx, param(c, "order"))
	if err != nil {
		return err
	}
	say := s.printer(c)
	doc := w.Document(explain, say.Problem, func(key string) string { return say.T(key) })
	shipped := orderfile.DefaultConventions(w.Order.Units)
	kept := s.desk().practiceOf(w.Order.ID)(w.Order.Units)
	doc.Practice = kept.Differing(shipped, w.Order.Units)
	if rules {
		doc.Rules = workup.OutcomeDocuments(workup.Outcomes(w.Order), w.Order.Units)
	}
	return c.JSON(doc)
}

// releaseOrder: POST /api/orders/{order}/release.
func (s *Server) releaseOrder(c *fiber.Ctx) error {
	var body struct {
		Override bool   `json:"override"`
		Reason   string `json:"reason"`
	}
	if err := decodeOptional(c, &body); err != nil {
		return err
	}
	if err := checkTexts(text("reason", body.Reason, body.Override, maxReason)); err != nil {
		return err
	}
	ctx, cancel := waiting()
	defer cancel()
	actor, _ := actorOf(c)
	if err := s.desk().Release(ctx, actor, param(c, "order"), body.Override, body.Reason); err != nil {
		return err
	}
	return s.showOrder(c)
}

// cancelOrder: POST /api/orders/{order}/cancel.
func (s *Server) cancelOrder(c *fiber.Ctx) error {
	var body struct {
		Reason string `json:"reason"`
	}
	if err := decode(c, &body); err != nil {
		return err
	}
	if err := checkTexts(text("reason", body.Reason, true, maxReason)); err != nil {
		return err
	}
	o, err := s.orderAsked(c)
	if err != nil {
		return err
	}
	actor, _ := actorOf(c)
	if err := s.do(stations.CancelOrder{Actor: actor, Order: o.ID, Reason: body.Reason}); err != nil {
		return err
	}
	return s.showOrder(c)
}

// closeOrder: POST /api/orders/{order}/close ends an order that is cut into.
func (s *Server) closeOrder(c *fiber.Ctx) error {
	var body struct {
		Reason string `json:"reason"`
	}
	if err := decode(c, &body); err != nil {
		return err
	}
	if err := checkTexts(text("reason", body.Reason, true, maxReason)); err != nil {
		return err
	}
	o, err := s.orderAsked(c)
	if err != nil {
		return err
	}
	actor, _ := actorOf(c)
	if err := s.do(stations.CloseOrder{Actor: actor, Order: o.ID, Reason: body.Reason}); err != nil {
		return err
	}
	return s.showOrder(c)
}
