package server

import (
	"bytes"
	"fmt"

	"github.com/gofiber/fiber/v2"
)

// printTickets: GET /api/orders/{order}/tickets.pdf, on 4 × 6 in labels.
func (s *Server) printTickets(c *fiber.Ctx) error {
	o, err := s.orderAsked(c)
	if err != nil {
		return err
	}
	if sheet := c.Query("paper", "label"); sheet != "label" {
		return refuse("not_supported", "paper", "What", s.printer(c).T("refusal.what.paper", "Paper", sheet))
	}
	ctx, cancel := waiting()
	defer cancel()
	var pdf bytes.Buffer
	if _, err := s.desk().Tickets(ctx, &pdf, o.ID, s.Address, s.printer(c)); err != nil {
		return err
	}
	c.Set(fiber.HeaderContentType, "application/pdf")
	c.Set(fiber.HeaderContentDisposition, fmt.Sprintf("inline; filename=%q", o.ID+"-tickets.pdf"))
	return c.Send(pdf.Bytes())
}
