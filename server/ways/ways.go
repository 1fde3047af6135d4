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

// New returns them for a site, whose frame and languages they have.
func New(s *web.Site) *Ways { return &Ways{s} }

// Routes are the pages' addresses, and what their forms send.
func (w *Ways) Routes() []edge.Route {
	return []edge.Route{
		edge.Get("/settings/conventions", edge.OnlyOffice, w.conventionsPage),
		edge.Post("/settings/conventions", edge.OnlyOffice, w.setConventionsByForm),
		edge.Get("/settings/tolerances", edge.OnlyOffice, w.tolerancesPage),
		edge.Post("/settings/tolerances", edge.OnlyOffice, w.setTolerancesByForm),
		edge.Get("/settings/stations", edge.OnlyOffice, w.stationsPage),
		edge.Post("/settings/stations", edge.OnlyOffice, w.setStationsByForm),
		edge.Get("/settings/closed-days", edge.OnlyOffice, w.closedDaysPage),
		edge.Post("/settings/closed-days", edge.OnlyOffice, w.setClosedDaysByForm),
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
