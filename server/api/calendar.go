package api

import (
	"bytes"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/calendar"
	"tablehand/server/desk"
	"tablehand/server/edge"
)

// sendCalendar: GET /calendar/{secret}.ics, for whoever has the address.
func (a *API) sendCalendar(c *fiber.Ctx) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	switch known, err := a.Auth.IsCalendar(ctx, edge.Param(c, "secret")); {
	case err != nil:
		return err
	case !known:
		return desk.Refuse("not_found", "")
	}
	var feed bytes.Buffer
	if err := a.Desk.Calendar(&feed); err != nil {
		return err
	}
	c.Set(fiber.HeaderContentType, calendar.ContentType)
	return c.Send(feed.Bytes())
}

// makeCalendar: POST /api/calendar makes a new address and ends the one before.
func (a *API) makeCalendar(c *fiber.Ctx) error {
	address, err := a.NewCalendar(c)
	if err != nil {
		return err
	}
	return c.Status(fiber.StatusCreated).JSON(fiber.Map{"url": address})
}
