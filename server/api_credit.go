package server

import (
	"github.com/gofiber/fiber/v2"

	"tablehand/stations"
)

// creditInvoice: POST /api/invoices/{number}/credit drafts a credit note of the whole invoice. Whether it frees the
// panels has to be said: either answer wrongly guessed costs money.
func (s *Server) creditInvoice(c *fiber.Ctx) error {
	var body struct {
		Whole  bool   `json:"whole"`
		Frees  *bool  `json:"frees"`
		Reason string `json:"reason"`
	}
	if err := decode(c, &body); err != nil {
		return err
	}
	if err := checkTexts(text("reason", body.Reason, true, maxReason)); err != nil {
		return err
	}
	switch {
	case !body.Whole:
		return refuse("bad_value", "whole", "Value", "false")
	case body.Frees == nil:
		return refuse("missing_key", "frees")
	}
	i, err := s.invoiceAsked(c)
	if err != nil {
		return err
	}
	actor, _ := actorOf(c)
	e, err := s.credit(actor, i.Draft, *body.Frees, body.Reason)
	if err != nil {
		return err
	}
	return c.Status(fiber.StatusCreated).JSON(s.docOfInvoice(c, e.Invoice)) // as drafted: somebody may have dropped it since
}

// credit drafts a credit note of a whole invoice.
func (s *Server) credit(actor stations.Actor, invoice string, frees bool, reason string) (stations.Event, error) {
	ctx, cancel := waiting()
	defer cancel()
	return s.Store.Do(ctx, stations.CreditInvoice{Actor: actor, Draft: newDraft(), Invoice: invoice, Frees: frees, Reason: reason})
}
