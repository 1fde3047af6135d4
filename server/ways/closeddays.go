package ways

import (
	"slices"
	"strconv"
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine/opendays"
	"tablehand/server/desk"
	"tablehand/server/store"
	"tablehand/views/page/ways"
)

// moreDates is how many empty rows the page has, to type dates into.
const moreDates = 3

// closedDaysPage: GET /settings/closed-days.
func (w *Ways) closedDaysPage(c *fiber.Ctx) error {
	p := w.closedDaysOf(c, w.Desk.Shop().Closed.Closed, nil)
	p.Answer = w.answerAfter(c)
	return w.Send(c, p)
}

// setClosedDaysByForm: POST /settings/closed-days, the whole. A row whose fields are empty is no more.
func (w *Ways) setClosedDaysByForm(c *fiber.Ctx) error {
	typed := typedClosedDays(c)
	ctx, cancel := desk.Waiting()
	defer cancel()
	err := w.Desk.SetClosedDays(ctx, w.Deed(c, store.SettingChanged, ""), typed)
	if err == nil {
		return c.Redirect("/settings/closed-days?did=settings", fiber.StatusSeeOther)
	}
	wrong, refused := w.wrong(c, err)
	if !refused {
		return err
	}
	c.Status(fiber.StatusUnprocessableEntity)
	return w.Send(c, w.closedDaysOf(c, typed, wrong))
}

// typedClosedDays reads the form.
func typedClosedDays(c *fiber.Ctx) (typed opendays.Closed) {
	for _, day := range c.Context().PostArgs().PeekMulti("weekday") {
		typed.Weekdays = append(typed.Weekdays, string(day))
	}
	for n := 1; c.Context().PostArgs().Has("from-" + strconv.Itoa(n)); n++ {
		field := func(name string) string { return strings.TrimSpace(c.FormValue(name + "-" + strconv.Itoa(n))) }
		if s := (opendays.Stretch{From: field("from"), To: field("to"), Name: field("name")}); s != (opendays.Stretch{}) {
			typed.Dates = append(typed.Dates, s)
		}
	}
	return typed
}

// closedDaysOf lays out when the shop is closed, or what is typed and doesn't do.
func (w *Ways) closedDaysOf(c *fiber.Ctx, closed opendays.Closed, wrong map[string]string) ways.ClosedDays {
	p := ways.ClosedDays{Frame: w.Frame(c), Shipped: opendays.Shipped().Weekdays, Wrong: wrong["weekdays"], TooMany: wrong["closed"]}
	for _, day := range opendays.Weekdays() {
		p.Weekdays = append(p.Weekdays, ways.Weekday{Day: day, Closed: slices.Contains(closed.Weekdays, day)})
	}
	for i, s := range append(slices.Clone(closed.Dates), make([]opendays.Stretch, moreDates)...) {
		at := "closed[" + strconv.Itoa(i) + "]."
		row := ways.ClosedDates{Number: i + 1, From: ways.DateField{Typed: s.From, Wrong: wrong[at+"from"]},
			To: ways.DateField{Typed: s.To, Wrong: wrong[at+"to"]}, Name: ways.DateField{Typed: s.Name, Wrong: wrong[at+"name"]}}
		if s.To == s.From {
			row.To.Typed = ""
		}
		p.Dates = append(p.Dates, row)
	}
	if changed := w.Desk.Shop().Closed.Changed; changed != nil {
		p.By, p.At = w.who(c, changed.By), w.moment(changed.At)
	}
	return p
}
