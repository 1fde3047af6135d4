package api

import (
	"bytes"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine/opendays"
	"tablehand/engine/orderfile"
	"tablehand/server/calendar"
	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/server/store"
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

// closedDaysDoc is when the shop is closed. What it says beside weekdays and dates is left out by who sets them.
type closedDaysDoc struct {
	opendays.Closed
	Default *opendays.Closed `json:"default,omitempty"`
	Source  orderfile.Source `json:"source,omitempty"` // of the shipped ones
	Changed *desk.Changed    `json:"changed,omitempty"`
}

// showClosedDays: GET /api/closed_days.
func (a *API) showClosedDays(c *fiber.Ctx) error {
	now, shipped := a.Desk.Shop().Closed, opendays.Shipped()
	return c.JSON(closedDaysDoc{Closed: now.Closed, Default: &shipped, Source: orderfile.FromMemory, Changed: now.Changed})
}

// setClosedDays: PUT /api/closed_days, the whole: dates that it doesn't name are open again. It may be as GET has it.
func (a *API) setClosedDays(c *fiber.Ctx) error {
	var body closedDaysDoc
	if err := edge.Decode(c, &body); err != nil {
		return err
	}
	if body.Weekdays == nil {
		return desk.Refuse("missing_key", "weekdays", "Name", "weekdays")
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	if err := a.Desk.SetClosedDays(ctx, a.Deed(c, store.SettingChanged, ""), body.Closed); err != nil {
		return err
	}
	return a.showClosedDays(c)
}
