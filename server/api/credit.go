package api

import (
	"github.com/gofiber/fiber/v2"

	"tablehand/server/desk"
	"tablehand/server/edge"
)

// creditInvoice: POST /api/invoices/{number}/credit drafts a credit note of the whole invoice. Whether it frees the
// panels has to be said: either answer wrongly guessed costs money.
func (a *API) creditInvoice(c *fiber.Ctx) error {
	var body struct {
		Whole  bool   `json:"whole"`
		Frees  *bool  `json:"frees"`
		Reason string `json:"reason"`
		Key    string `json:"key"`
	}
	if err := edge.Decode(c, &body); err != nil {
		return err
	}
	if err := edge.CheckTexts(edge.Text("reason", body.Reason, true, edge.MaxReason), edge.Key(body.Key)); err != nil {
		return err
	}
	switch {
	case !body.Whole:
		return desk.Refuse("bad_value", "whole", "Value", "false")
	case body.Frees == nil:
		return desk.Refuse("missing_key", "frees")
	}
	i, err := a.InvoiceAsked(c)
	if err != nil {
		return err
	}
	actor, _ := edge.ActorOf(c)
	e, err := a.Desk.Credit(actor, body.Key, i.Draft, *body.Frees, body.Reason)
	if err != nil {
		return err
	}
	return c.Status(fiber.StatusCreated).JSON(a.docOfInvoice(c, e.Invoice)) // as drafted: somebody may have dropped it since
}
