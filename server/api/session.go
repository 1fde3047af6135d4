package api

import (
	"github.com/gofiber/fiber/v2"

	"tablehand/server/edge"
)

// signIn: POST /api/session.
func (a *API) signIn(c *fiber.Ctx) error {
	var body struct {
		Person     string `json:"person"`
		Passphrase string `json:"passphrase"`
		Keep       bool   `json:"keep"`
	}
	if err := edge.Decode(c, &body); err != nil {
		return err
	}
	if err := edge.CheckTexts(edge.Text("person", body.Person, false, edge.MaxName), edge.Text("passphrase", body.Passphrase, true, edge.MaxReason)); err != nil {
		return err
	}
	if err := a.OpenSession(c, edge.SignIn{Person: body.Person, Passphrase: body.Passphrase, Keep: body.Keep}); err != nil {
		return err
	}
	return c.SendStatus(fiber.StatusNoContent)
}

// signOut: DELETE /api/session.
func (a *API) signOut(c *fiber.Ctx) error {
	if err := a.CloseSession(c); err != nil {
		return err
	}
	return c.SendStatus(fiber.StatusNoContent)
}
