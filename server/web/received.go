package web

import (
	"net/url"
	"strconv"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views"
)

// receiveByForm: POST /orders/{order}/received, a customer's own piece that came in (text, copy), with a photograph of it or without.
func (s *Site) receiveByForm(c *fiber.Ctx) error {
	o, err := s.OrderAsked(c)
	if err != nil {
		return err
	}
	cmd := stations.ReceivePiece{Order: o.ID, Text: c.FormValue("text"), Person: edge.PersonOf(c)}
	cmd.Actor, _ = edge.ActorOf(c)
	cmd.Copy, _ = strconv.Atoi(c.FormValue("copy")) // what is no number is no copy
	if header, err := c.FormFile("photo"); err == nil && header.Size > 0 {
		data, err := edge.PhotoOf(c)
		if err == nil {
			cmd.Picture, err = s.Desk.KeepPhoto(data)
		}
		if err != nil {
			return s.RefusedOn(c, err, s.showOrderPage)
		}
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	if _, err := s.Desk.Receive(ctx, cmd); err != nil {
		return s.RefusedOn(c, err, s.showOrderPage)
	}
	return GoOn(c, "/orders/"+url.PathEscape(o.ID)+"?did=received#own")
}

// unreceiveByForm: POST /orders/{order}/received/back, it hasn't come in after all (text, copy, reason).
func (s *Site) unreceiveByForm(c *fiber.Ctx) error {
	o, err := s.OrderAsked(c)
	if err != nil {
		return err
	}
	cmd := stations.UnreceivePiece{Order: o.ID, Text: c.FormValue("text"), Person: edge.PersonOf(c), Reason: c.FormValue("reason")}
	cmd.Actor, _ = edge.ActorOf(c)
	cmd.Copy, _ = strconv.Atoi(c.FormValue("copy")) // what is no number is no copy
	ctx, cancel := desk.Waiting()
	defer cancel()
	err = edge.CheckTexts(edge.Text("reason", cmd.Reason, false, edge.MaxReason))
	if err == nil {
		_, err = s.Desk.Unreceive(ctx, cmd)
	}
	if err != nil {
		return s.RefusedOn(c, err, s.showOrderPage)
	}
	return GoOn(c, "/orders/"+url.PathEscape(o.ID)+"?did=unreceived#own")
}

// ownPieces are an order's own pieces as its page shows them.
func (s *Site) ownPieces(o *stations.Order) ([]views.OwnPiece, error) {
	pieces, err := s.Desk.OwnPieces(o)
	var list []views.OwnPiece
	for _, p := range pieces {
		row := views.OwnPiece{Text: p.Text, Kind: p.Kind, Copy: p.Copy, Of: p.Of, Ticket: p.Ticket, Released: o.State != stations.OrderTaken}
		if row.Receipt = p.Receipt; p.Receipt != nil {
			row.On = p.Receipt.At.In(s.Desk.Shop().Zone).Format("2006-01-02")
		}
		row.CanTakeBack = p.Receipt != nil && !o.Worked(p.Ticket)
		list = append(list, row)
	}
	return list, err
}

// ownPieceOf is the own piece of a ticket, nil where it is none.
func (s *Site) ownPieceOf(o *stations.Order, t *stations.Ticket) (*views.OwnPiece, error) {
	if t.Spec.Kind != plan.PieceTicket || !t.Spec.Piece.Own() {
		return nil, nil
	}
	pieces, err := s.ownPieces(o)
	for i := range pieces {
		if pieces[i].Ticket == t.Spec.Code {
			return &pieces[i], err
		}
	}
	return nil, err
}
