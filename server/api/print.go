package api

import (
	"context"
	"io"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/views/paper"
)

// printTickets: GET /api/orders/{order}/tickets.pdf, on labels or on sheets.
func (a *API) printTickets(c *fiber.Ctx) error {
	return a.printOrder(c, "tickets", func(ctx context.Context, w io.Writer, order string, how desk.Printing) error {
		_, err := a.Desk.Tickets(ctx, w, order, how)
		return err
	}, paper.Labels, paper.Letter, paper.A4)
}

// printTags: GET /api/orders/{order}/tags.pdf, a tag for every cut piece, on labels, tag stock or sheets.
func (a *API) printTags(c *fiber.Ctx) error {
	return a.printOrder(c, "tags", a.Desk.Tags, paper.Labels, paper.Letter, paper.A4, paper.TagStock)
}

// printOwnTags: GET /api/orders/{order}/own.pdf, a tag for each of the customer's own pieces that came in; with ?ticket= that one's.
func (a *API) printOwnTags(c *fiber.Ctx) error {
	ticket := c.Query("ticket")
	return a.printOrder(c, "own", func(ctx context.Context, w io.Writer, order string, how desk.Printing) error {
		return a.Desk.OwnTags(ctx, w, order, ticket, how)
	}, paper.Labels, paper.Letter, paper.A4, paper.TagStock)
}

// printPacket: GET /api/orders/{order}/packet.pdf, all that the order needs to be made with nothing but paper.
func (a *API) printPacket(c *fiber.Ctx) error {
	return a.printOrder(c, "packet", a.Desk.Packet, paper.Letter, paper.A4)
}

// printRooms: GET /api/orders/{order}/rooms.pdf, how its windows will hang, for the client; with ?room=14 of one room.
func (a *API) printRooms(c *fiber.Ctx) error {
	return a.printOrder(c, "rooms", func(ctx context.Context, w io.Writer, order string, how desk.Printing) error {
		if name := c.Query("room"); c.Context().QueryArgs().Has("room") {
			return a.Desk.Rooms(ctx, w, order, how, name)
		}
		return a.Desk.Rooms(ctx, w, order, how)
	}, paper.Letter, paper.A4)
}

// printOrder prints paper of the order asked for.
func (a *API) printOrder(c *fiber.Ctx, kind string, write func(ctx context.Context, w io.Writer, order string, how desk.Printing) error, sheets ...paper.Sheet) error {
	o, err := a.OrderAsked(c)
	if err != nil {
		return err
	}
	how, err := a.Printing(c, sheets...)
	if err != nil {
		return err
	}
	return a.SendPaper(c, o.ID+"-"+kind, func(ctx context.Context, w io.Writer) error { return write(ctx, w, o.ID, how) })
}

// printTicket: GET /api/tickets/{code}/ticket.pdf, one ticket anew, at the bench too. The old one, where it turns up,
// is as good: both have the same code.
func (a *API) printTicket(c *fiber.Ctx) error {
	t, err := a.TicketAsked(c, edge.Param(c, "code"))
	if err != nil {
		return err
	}
	how, err := a.Printing(c, paper.Labels, paper.Letter, paper.A4)
	if err != nil {
		return err
	}
	return a.SendPaper(c, string(t.Spec.Code), func(ctx context.Context, w io.Writer) error { return a.Desk.Ticket(ctx, w, t, how) })
}
