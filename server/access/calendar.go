package access

import (
	"github.com/gofiber/fiber/v2"

	"tablehand/server/desk"
	"tablehand/views/page/calendar"
)

// calendarPage: GET /settings/calendar.
func (g *Gate) calendarPage(c *fiber.Ctx) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	there, err := g.Auth.HasCalendar(ctx)
	if err != nil {
		return err
	}
	return g.Send(c, calendar.Page{Frame: g.Frame(c), There: there})
}

// makeCalendarByForm: POST /settings/calendar. The answer is the page itself: the new address is shown this once.
func (g *Gate) makeCalendarByForm(c *fiber.Ctx) error {
	address, err := g.NewCalendar(c)
	if err != nil {
		return err
	}
	return g.Send(c, calendar.Page{Frame: g.Frame(c), There: true, New: address})
}
