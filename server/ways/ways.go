// Package ways answers people about the shop's own ways: the conventions that its orders are worked out by, how far measures may lie off, its
// stations, and the days on which it is closed.
package ways

import (
	"github.com/gofiber/fiber/v2"

	"tablehand/server/edge"
	"tablehand/server/web"
	"tablehand/views"
)

// Ways is the pages of the shop's own ways.
type Ways struct{ *web.Site }

// Routes are the pages' addresses, and what their forms send.
func (w *Ways) Routes() []edge.Route {
	return []edge.Route{
		edge.Form("/settings/conventions", edge.OnlyOffice, w.conventionsPage, w.setConventionsByForm),
		edge.Form("/settings/tolerances", edge.OnlyOffice, w.tolerancesPage, w.setTolerancesByForm),
		edge.Form("/settings/stations", edge.OnlyOffice, w.stationsPage, w.setStationsByForm),
		edge.Form("/settings/closed-days", edge.OnlyOffice, w.closedDaysPage, w.setClosedDaysByForm),
	}
}

// answerAfter is what a page says after something was saved.
func (w *Ways) answerAfter(c *fiber.Ctx) *views.Answer {
	if c.Query("did") == "" {
		return nil
	}
	return &views.Answer{Text: w.Printer(c).T("page.did.settings")}
}

// wrong are the sentences of the problems of a refusal, by where each is; ok is false of any other error.
func (w *Ways) wrong(c *fiber.Ctx, err error) (sentences map[string]string, ok bool) {
	r, refused := edge.RefusalOf(err)
	if !refused || r.Code != "problems" {
		return nil, false
	}
	sentences = map[string]string{}
	for _, p := range r.Problems {
		sentences[p.Where] = w.Printer(c).Problem(p)
	}
	return sentences, true
}

// asShipped are the rows of a form that are asked back.
func asShipped(c *fiber.Ctx) (names []string) {
	for _, name := range c.Context().PostArgs().PeekMulti("as_shipped") {
		names = append(names, string(name))
	}
	return names
}
