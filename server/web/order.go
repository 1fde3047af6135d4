package web

import (
	"path"
	"slices"
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine"
	"tablehand/engine/workup"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views"
	"tablehand/views/page/order"
)

// orderPage: GET /orders/{order}. Of a long order it shows a part; see order.LookOf for how others are asked for.
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
	look := order.LookOf(c.Path(), func(key string) string { return c.Query(key) })
	today, problems := s.Desk.Today(), w.Problems
	if o.State == stations.OrderTaken || o.State == stations.OrderReleased {
		problems = slices.Concat(problems, s.Desk.SharedBolts(o.ID, w))
	}
	p := order.Page{
		Frame: s.frame(c, s.Desk.Store.Floor()), ID: o.ID, Customer: o.Customer, Sidemark: w.Order.Sidemark, Due: o.Due,
		Notes: w.Order.Notes, State: o.State, Late: o.Late(today), Revision: o.Revision, Cloth: views.ClothOf(w),
		Incomplete: w.Totals.Incomplete, Problems: bySeverity(workup.Noteworthy(problems)), AllProblems: look.All,
		Short: order.ShortagesOf(w), Answer: answer, Reason: c.FormValue("reason"), CutBegun: cutBegun(o), Outdated: s.Desk.Outdated(o, w), Lacking: s.lackingOf(c, o),
		NoCustomer: strings.TrimSpace(o.Customer) == "", Asked: path.Base(c.Path()),
	}
	for i := range w.Order.Fabrics {
		p.Parts = append(p.Parts, plan.BoltParts(&w.Order.Fabrics[i], w.Order.Units)...)
	}
	if p.History, err = s.historyOf(c, o.ID, ""); err != nil {
		return err
	}
	if look.Find != "" {
		if look.Finding(w) {
			return goOn(c, look.ToWindow())
		}
		p.Find = look.Find
	}
	tickets, pieces := look.Pieces(o.Tickets)
	p.Tickets, p.Pieces = views.PiecesOf(tickets, today), pieces
	return s.sendWindows(c, p, look, w)
}

// sendWindows puts the windows that are looked at on an order's page, with their drawings.
func (s *Site) sendWindows(c *fiber.Ctx, p order.Page, look order.Look, w *workup.Workup) error {
	groups, err := s.alike.Get(w, func() ([][]int, error) { return order.Alike(w), nil })
	if err != nil {
		return err
	}
	for _, g := range groups {
		p.AllWindows += len(g)
	}
	p.Windows, p.Kinds = look.Windows(w, groups)
	for i := range p.Windows {
		window := &p.Windows[i]
		if hang := w.Order.Treatments[window.Index].Hang; hang != nil {
			window.Sum = views.HangSumOf(*hang, w.Order.Units)
		}
		for _, panel := range window.Panels {
			d, err := drawing(w, window.Index, panel, s.Printer(c))
			if err != nil {
				return err
			}
			window.Drawings = append(window.Drawings, d)
		}
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
