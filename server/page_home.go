package server

import (
	"io"
	"net/url"
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/stations"
	"tablehand/views"
)

// homePage: GET /, the stations with what waits there, and for the office the shop's state.
func (s *Server) homePage(c *fiber.Ctx) error {
	floor, today := s.Store.Floor(), s.today()
	if actor, _ := actorOf(c); s.unset() && actor.Role == stations.Office {
		return goOn(c, "/setup")
	}
	p := views.HomePage{Frame: s.frame(c, floor), Billable: len(floor.Ready())}
	at := map[stations.Station]*views.StationCount{}
	for _, station := range stations.Stations() {
		p.Stations = append(p.Stations, views.StationCount{Station: station})
	}
	for i := range p.Stations {
		at[p.Stations[i].Station] = &p.Stations[i]
	}
	for _, o := range floor.Orders() {
		if !onTheBooks(o) {
			continue
		}
		p.Orders++
		if o.Late(today) {
			p.Late++
		}
		for _, t := range o.Tickets {
			here := at[t.Station()]
			switch t.State() {
			case stations.Ready:
				here.Ready++
			case stations.AtWork:
				here.AtWork++
			case stations.Held:
				here.Held++
				p.Held++
			}
		}
	}
	return sendPage(c, func(w io.Writer) error { return s.viewsFor(c).Home(w, p) })
}

// findTicket: GET /t?code=…, a code that somebody typed; without one, where to type or photograph it.
func (s *Server) findTicket(c *fiber.Ctx) error {
	typed := strings.TrimSpace(c.Query("code"))
	if typed == "" {
		return s.showFindPage(c, nil)
	}
	code, err := stations.ParseCode(typed)
	if err != nil {
		return err
	}
	return goOn(c, "/t/"+url.PathEscape(string(code)))
}

// onTheBooks reports whether an order still has work before it.
func onTheBooks(o *stations.Order) bool {
	return o.State == stations.OrderTaken || o.State == stations.OrderReleased
}
