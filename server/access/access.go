// Package access answers people about who may come in: devices, and the code by which one enters.
package access

import (
	"github.com/gofiber/fiber/v2"

	"tablehand/server/edge"
	"tablehand/server/web"
)

// Gate is the pages about who may come in.
type Gate struct{ *web.Site }

// New returns the gate of a site, whose frame and languages its pages have.
func New(s *web.Site) *Gate { return &Gate{s} }

// Routes are the pages' addresses, and what their forms send.
func (g *Gate) Routes() []edge.Route {
	return []edge.Route{
		edge.Get("/enter", edge.Open, g.enterPage),
		edge.Post("/enter", edge.Open, g.enterByForm),
		edge.Get("/enter/:code", edge.Open, g.awaitedPage),
		edge.Get("/settings/devices", edge.OnlyOffice, g.devicesPage),
		edge.Post("/settings/devices", edge.OnlyOffice, g.letInByForm),
		edge.Get("/settings/devices/:device", edge.OnlyOffice, g.codePage),
		edge.Post("/settings/devices/:device/shut-out", edge.OnlyOffice, g.shutOutByForm),
		edge.Post("/settings/tokens/:token/revoke", edge.OnlyOffice, g.revokeByForm),
	}
}

// goOn answers a form that was done: the browser goes on to another page.
func goOn(c *fiber.Ctx, address string) error { return c.Redirect(address, fiber.StatusSeeOther) }
