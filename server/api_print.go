package server

import (
	"bytes"
	"fmt"

	"github.com/gofiber/fiber/v2"

	"tablehand/views/paper"
)

// printTickets: GET /api/orders/{order}/tickets.pdf, on labels or on sheets.
func (s *Server) printTickets(c *fiber.Ctx) error {
	o, err := s.orderAsked(c)
	if err != nil {
		return err
	}
	sheet := paper.Sheet(c.Query("paper", string(paper.Labels)))
	if !sheet.Known() {
		return refuse("bad_value", "paper", "Value", string(sheet))
	}
	ctx, cancel := waiting()
	defer cancel()
	var pdf bytes.Buffer
	if _, err := s.desk().Tickets(ctx, &pdf, o.ID, sheet, s.shop().Address, s.printer(c)); err != nil {
		return err
	}
	c.Set(fiber.HeaderContentType, "application/pdf")
	c.Set(fiber.HeaderContentDisposition, fmt.Sprintf("inline; filename=%q", o.ID+"-tickets.pdf"))
	return c.Send(pdf.Bytes())
}
