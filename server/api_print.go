package server

import "github.com/gofiber/fiber/v2"

// printTickets: GET /api/orders/{order}/tickets.pdf.
func (s *Server) printTickets(c *fiber.Ctx) error {
	o, err := s.orderAsked(c)
	if err != nil {
		return err
	}
	return refuse("not_supported", "", "Order", o.ID)
}
