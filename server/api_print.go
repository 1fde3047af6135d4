package server

import (
	"context"
	"io"

	"github.com/gofiber/fiber/v2"

	"tablehand/views/paper"
)

// printTickets: GET /api/orders/{order}/tickets.pdf, on labels or on sheets.
func (s *Server) printTickets(c *fiber.Ctx) error {
	return s.printOrder(c, "tickets", func(ctx context.Context, w io.Writer, order string, how Printing) error {
		_, err := s.desk().Tickets(ctx, w, order, how)
		return err
	}, paper.Labels, paper.Letter, paper.A4)
}

// printTags: GET /api/orders/{order}/tags.pdf, a tag for every cut piece, on labels or on sheets.
func (s *Server) printTags(c *fiber.Ctx) error {
	return s.printOrder(c, "tags", s.desk().Tags, paper.Labels, paper.Letter, paper.A4)
}

// printPacket: GET /api/orders/{order}/packet.pdf, all that the order needs to be made with nothing but paper.
func (s *Server) printPacket(c *fiber.Ctx) error {
	return s.printOrder(c, "packet", s.desk().Packet, paper.Letter, paper.A4)
}

// printOrder prints paper of the order asked for.
func (s *Server) printOrder(c *fiber.Ctx, kind string, write func(ctx context.Context, w io.Writer, order string, how Printing) error, sheets ...paper.Sheet) error {
	o, err := s.orderAsked(c)
	if err != nil {
		return err
	}
	how, err := s.printing(c, sheets...)
	if err != nil {
		return err
	}
	return sendPaper(c, o.ID+"-"+kind, func(ctx context.Context, w io.Writer) error { return write(ctx, w, o.ID, how) })
}

// printTicket: GET /api/tickets/{code}/ticket.pdf, one ticket anew, at the bench too. The old one, where it turns up,
// is as good: both have the same code.
func (s *Server) printTicket(c *fiber.Ctx) error {
	t, err := s.ticketAsked(c, param(c, "code"))
	if err != nil {
		return err
	}
	how, err := s.printing(c, paper.Labels, paper.Letter, paper.A4)
	if err != nil {
		return err
	}
	return sendPaper(c, string(t.Spec.Code), func(ctx context.Context, w io.Writer) error { return s.desk().Ticket(ctx, w, t, how) })
}
