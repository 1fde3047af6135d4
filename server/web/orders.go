package web

import (
	"io"
	"net/url"
	"path"
	"slices"
	"strconv"
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine"
	"tablehand/engine/workup"
	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views"
	"tablehand/views/page/order"
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
	floor, today := s.Desk.Store.Floor(), s.Desk.Today()
	p := orders.Page{Frame: s.frame(c, floor), Uploaded: uploaded}
	for _, o := range floor.Orders() {
		p.Orders = append(p.Orders, orderRow(o, today, true))
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

// windowsWithTrails is up to how many windows an order's page tells how each number came about. A longer one, which would be
// heavy for a phone, tells it of the window asked for: ?window=3.
const windowsWithTrails = 4

// orderPage: GET /orders/{order}.
func (s *Site) orderPage(c *fiber.Ctx) error { return s.showOrderPage(c, s.answerAfter(c)) }

func (s *Site) showOrderPage(c *fiber.Ctx, answer *views.Answer) error {
	o, err := s.OrderAsked(c)
	if err != nil {
		return err
	}
	w, err := s.Desk.WorkupOf(o)
	if err != nil {
		return err
	}
	today, problems := s.Desk.Today(), w.Problems
	if o.State == stations.OrderTaken || o.State == stations.OrderReleased {
		problems = slices.Concat(problems, s.Desk.SharedBolts(o.ID, w))
	}
	p := order.Page{
		Frame: s.frame(c, s.Desk.Store.Floor()), ID: o.ID, Customer: o.Customer, Sidemark: w.Order.Sidemark, Due: o.Due,
		Notes: w.Order.Notes, State: o.State, Late: o.Late(today), Revision: o.Revision, Cloth: views.ClothOf(w),
		Incomplete: w.Totals.Incomplete, Problems: bySeverity(workup.Noteworthy(problems)), Tickets: views.PiecesOf(o.Tickets, today),
		Short: order.ShortagesOf(w), Answer: answer, Reason: c.FormValue("reason"), CutBegun: cutBegun(o), Outdated: o.Outdated(w), Lacking: s.lackingOf(c, o),
		NoCustomer: strings.TrimSpace(o.Customer) == "", Asked: path.Base(c.Path()),
	}
	for i := range w.Order.Fabrics {
		p.Parts = append(p.Parts, plan.BoltParts(&w.Order.Fabrics[i], w.Order.Units)...)
	}
	if p.History, err = s.historyOf(c, o.ID, ""); err != nil {
		return err
	}
	for _, t := range w.Treatments {
		if len(t.Panels) == 0 {
			continue
		}
		window := order.WindowOf(t)
		if hang := w.Order.Treatments[t.Index].Hang; hang != nil {
			window.Sum = views.HangSumOf(*hang, w.Order.Units)
		}
		for i := range t.Panels {
			d, err := drawing(w, t.Index, string(t.Panels[i].ID), s.Printer(c))
			if err != nil {
				return err
			}
			window.Drawings = append(window.Drawings, d)
		}
		p.Windows = append(p.Windows, window)
	}
	for i := range p.Windows {
		p.Windows[i].Trails = len(p.Windows) <= windowsWithTrails || c.Query("window") == strconv.Itoa(p.Windows[i].Index)
	}
	return s.send(c, p)
}

// cutBegun reports whether any cloth of the order is cut or being cut.
func cutBegun(o *stations.Order) bool {
	return slices.ContainsFunc(o.Tickets, func(t *stations.Ticket) bool {
		return t.Spec.Kind == plan.CuttingTicket && !t.Steps[0].Started.IsZero()
	})
}

// bySeverity puts errors before warnings before notes.
func bySeverity(problems []engine.Problem) []engine.Problem {
	rank := map[engine.Severity]int{engine.Error: 0, engine.Warning: 1, engine.Note: 2}
	sorted := slices.Clone(problems)
	slices.SortStableFunc(sorted, func(a, b engine.Problem) int { return rank[a.Severity] - rank[b.Severity] })
	return sorted
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
