package server

import (
	"io"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine/workup"
	"tablehand/views"
)

// rulesPage: GET /orders/{order}/rules, what each other rule of the trade would have ordered.
func (s *Server) rulesPage(c *fiber.Ctx) error {
	ctx, cancel := waiting()
	defer cancel()
	w, err := s.desk().Workup(ctx, param(c, "order"))
	if err != nil {
		return err
	}
	p := views.RulesPage{Frame: s.frame(c, s.Store.Floor()), ID: w.Order.ID}
	p.Fabrics, p.Conventions = views.RulesOf(w, workup.Outcomes(w.Order))
	return sendPage(c, func(w io.Writer) error { return s.viewsFor(c).Rules(w, p) })
}
