package web

import (
	"io"
	"net/url"
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine"
	"tablehand/engine/workup"
	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/stations"
	"tablehand/views"
	"tablehand/views/page/orders"
	"tablehand/views/page/rules"
)

// A file longer than allLines is shown only where something is wrong, with a few lines around it; the box to mend
// it has it whole.
const (
	allLines    = 400
	linesAround = 3
)

// ordersPage: GET /orders.
func (s *Site) ordersPage(c *fiber.Ctx) error { return s.showOrdersPage(c, nil) }

func (s *Site) showOrdersPage(c *fiber.Ctx, uploaded *views.Uploaded) error {
	floor := s.Desk.Store.Floor()
	p := orders.Page{Frame: s.frame(c, floor), Uploaded: uploaded}
	if err := s.listOrders(c, floor, &p); err != nil {
		return err
	}
	return s.send(c, p)
}

// takeByForm: POST /orders, an order file as a file or as text. One that isn't taken comes back whole.
func (s *Site) takeByForm(c *fiber.Ctx) error {
	source, err := uploadedSource(c)
	if err != nil {
		return err
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	actor, _ := edge.ActorOf(c)
	order, _, err := s.Desk.Take(ctx, actor, "", source)
	if err == nil {
		return goOn(c, "/orders/"+url.PathEscape(order)+"?did=taken")
	}
	r, ok := edge.RefusalOf(err)
	if !ok {
		return err
	}
	uploaded := uploadedWith(string(source), r.Problems)
	if r.Code != "problems" {
		uploaded.Refused = s.Printer(c).Refusal(r)
	}
	c.Status(edge.StatusOf(r.Code))
	return s.showOrdersPage(c, uploaded)
}

// uploadedSource returns the order file of a form. The error is too_large, or missing_key when there is none.
func uploadedSource(c *fiber.Ctx) ([]byte, error) {
	header, err := c.FormFile("file")
	if err != nil {
		text := strings.ReplaceAll(c.FormValue("source"), "\r\n", "\n") // as browsers send a text box
		if strings.TrimSpace(text) == "" {
			return nil, desk.Refuse("missing_key", "file", "Name", "file")
		}
		return []byte(text), edge.CheckOrder(len(text), "file")
	}
	if err := edge.CheckOrder(int(header.Size), "file"); err != nil {
		return nil, err
	}
	file, err := header.Open()
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return io.ReadAll(file)
}

// uploadedWith puts problems to the lines of a file that they are about.
func uploadedWith(source string, problems []engine.Problem) *views.Uploaded {
	u := &views.Uploaded{Source: source}
	at := map[int][]engine.Problem{}
	texts := strings.Split(strings.TrimSuffix(source, "\n"), "\n")
	for _, p := range problems {
		if p.Severity == engine.Error {
			u.Errors++
		}
		if p.Line < 1 || p.Line > len(texts) {
			u.General = append(u.General, p)
			continue
		}
		at[p.Line] = append(at[p.Line], p)
	}
	for i, text := range texts {
		if n := i + 1; len(texts) <= allLines || near(at, n) {
			u.Lines = append(u.Lines, views.SourceLine{Number: n, Text: text, Problems: at[n]})
		}
	}
	return u
}

func near(at map[int][]engine.Problem, line int) bool {
	for n := line - linesAround; n <= line+linesAround; n++ {
		if len(at[n]) > 0 {
			return true
		}
	}
	return false
}

// releaseByForm: POST /orders/{order}/release.
func (s *Site) releaseByForm(c *fiber.Ctx) error {
	o, err := s.OrderAsked(c)
	if err != nil {
		return err
	}
	override, reason := c.FormValue("override") != "", c.FormValue("reason")
	again, done := s.showOrderPage, "/orders/"+url.PathEscape(o.ID)+"?did=released"
	if c.FormValue("back") == "today" {
		again, done = s.showHomePage, toToday("released", o.ID)
	}
	if err := edge.CheckTexts(edge.Text("reason", reason, override, edge.MaxReason)); err != nil {
		return s.refusedOn(c, err, again)
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	actor, _ := edge.ActorOf(c)
	if err := s.Desk.Release(ctx, actor, "", o.ID, override, reason); err != nil {
		return s.refusedOn(c, err, again)
	}
	return goOn(c, done)
}

// cancelByForm: POST /orders/{order}/cancel.
func (s *Site) cancelByForm(c *fiber.Ctx) error {
	return s.endOrder(c, "cancelled", func(by stations.Actor, order, reason string) stations.Command {
		return stations.CancelOrder{Actor: by, Order: order, Reason: reason}
	})
}

// closeByForm: POST /orders/{order}/close.
func (s *Site) closeByForm(c *fiber.Ctx) error {
	return s.endOrder(c, "closed", func(by stations.Actor, order, reason string) stations.Command {
		return stations.CloseOrder{Actor: by, Order: order, Reason: reason}
	})
}

// endOrder does what a form with a reason asks of the order; its page says that it is done, or why not. The floor refuses it
// without a reason.
func (s *Site) endOrder(c *fiber.Ctx, did string, command func(by stations.Actor, order, reason string) stations.Command) error {
	o, err := s.OrderAsked(c)
	if err != nil {
		return err
	}
	reason := c.FormValue("reason")
	if err := edge.CheckTexts(edge.Text("reason", reason, false, edge.MaxReason)); err != nil {
		return s.refusedOn(c, err, s.showOrderPage)
	}
	actor, _ := edge.ActorOf(c)
	if err := s.Desk.Do(command(actor, o.ID, reason)); err != nil {
		return s.refusedOn(c, err, s.showOrderPage)
	}
	return goOn(c, "/orders/"+url.PathEscape(o.ID)+"?did="+did)
}

// rulesPage: GET /orders/{order}/rules, what each other rule of the trade would have ordered.
func (s *Site) rulesPage(c *fiber.Ctx) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	w, err := s.Desk.Workup(ctx, edge.Param(c, "order"))
	if err != nil {
		return err
	}
	p := rules.Page{Frame: s.frame(c, s.Desk.Store.Floor()), ID: w.Order.ID}
	p.Fabrics, p.Conventions = rules.Compare(w, workup.Outcomes(w.Order))
	return s.send(c, p)
}
