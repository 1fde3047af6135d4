package web

import (
	"io"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine/workup"
	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/views"
)

// rulesPage: GET /orders/{order}/rules, what each other rule of the trade would have ordered.
func (s *Site) rulesPage(c *fiber.Ctx) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	w, err := s.Desk.Workup(ctx, edge.Param(c, "order"))
	if err != nil {
		return err
	}
	p := views.RulesPage{Frame: s.frame(c, s.Desk.Store.Floor()), ID: w.Order.ID}
	p.Fabrics, p.Conventions = views.RulesOf(w, workup.Outcomes(w.Order))
	return sendPage(c, func(w io.Writer) error { return s.viewsFor(c).Rules(w, p) })
}
