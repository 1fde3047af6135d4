// Package access answers people about who may come in: devices and the code by which one enters, people and their badges, and
// the record of who did what.
package access

import (
	"tablehand/server/edge"
	"tablehand/server/web"
)

// Gate is the pages about who may come in.
type Gate struct{ *web.Site }

// Routes are the pages' addresses, and what their forms send.
func (g *Gate) Routes() []edge.Route {
	return []edge.Route{
		edge.Form("/enter", edge.Open, g.enterPage, g.enterByForm),
		edge.Get("/enter/:code", edge.Open, g.awaitedPage),
		edge.Form("/settings/devices", edge.OnlyOffice, g.devicesPage, g.letInByForm),
		edge.Get("/settings/devices/:device", edge.OnlyOffice, g.codePage),
		edge.Post("/settings/devices/:device/shut-out", edge.OnlyOffice, g.shutOutByForm),
		edge.Post("/settings/tokens/:token/revoke", edge.OnlyOffice, g.revokeByForm),
		edge.Form("/settings/people", edge.OnlyOffice, g.peoplePage, g.addByForm),
		edge.Form("/settings/people/:person", edge.OnlyOffice, g.personPage, g.changeByForm),
		edge.Post("/settings/people/:person/pin", edge.OnlyOffice, g.setPINByForm),
		edge.Post("/settings/people/:person/passphrase", edge.OnlyOffice, g.setPassphraseByForm),
		edge.Post("/settings/people/:person/set-aside", edge.OnlyOffice, g.setAsideByForm),
		edge.Post("/settings/people/:person/back", edge.OnlyOffice, g.backByForm),
		edge.Post("/settings/people/:person/sign-out", edge.OnlyOffice, g.endSignInByForm),
		edge.Form("/settings/calendar", edge.OnlyOffice, g.calendarPage, g.makeCalendarByForm),
		edge.Get("/settings/record", edge.OnlyOffice, g.recordPage),
		edge.Get("/p/:code", edge.AtTheBench, g.badgePage),
		edge.Post("/person", edge.AtTheBench, g.chooseByForm),
	}
}
