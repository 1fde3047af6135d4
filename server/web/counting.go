package web

import (
	"net/url"
	"strings"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views"
	"tablehand/views/page/counting"
)

// countsPage: GET /count, where a count is begun.
func (s *Site) countsPage(c *fiber.Ctx) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	open, err := s.Desk.Store.OpenCounts(ctx)
	if err != nil {
		return err
	}
	floor := s.Desk.Store.Floor()
	p := counting.StartPage{Frame: s.frame(c, floor), Stations: inUse(s.Desk.Shop().Fittings.Layout, floor.Orders())}
	if own := ownStations(c); len(own) > 0 {
		p.Stations = own
	}
	for _, o := range open {
		at := o.Began.In(s.Desk.Shop().Zone)
		p.Open = append(p.Open, counting.Open{ID: o.ID, Station: o.Station, Who: o.Who, Began: views.Moment{Date: at.Format(time.DateOnly), At: at}})
	}
	return s.send(c, p)
}

// countByForm: POST /count begins one.
func (s *Site) countByForm(c *fiber.Ctx) error {
	station := plan.Station(c.FormValue("station"))
	if err := edge.MayWork(c, stations.Start, station); err != nil {
		return err
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	actor, _ := edge.ActorOf(c)
	begun, err := s.Desk.BeginCount(ctx, actor, "", station)
	if err != nil {
		return err
	}
	return GoOn(c, "/count/"+begun.ID)
}

// countPage: GET /count/{count}; with ?saw=CODE it says of that ticket whether it belongs there.
func (s *Site) countPage(c *fiber.Ctx) error {
	var answer *views.Answer
	if code := c.Query("saw"); code != "" {
		t, err := s.TicketAsked(c, code)
		if err != nil {
			return err
		}
		answer = &views.Answer{Text: s.Printer(c).T("count.saw", "Piece", s.Views(c).PieceName(views.PieceOf(t, s.Desk.Today())), "Order", t.Order)}
	}
	return s.showCount(c, answer)
}

func (s *Site) showCount(c *fiber.Ctx, answer *views.Answer) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	of, err := s.Desk.Count(ctx, edge.Param(c, "count"))
	if err != nil {
		return err
	}
	p := counting.Page{Frame: s.frame(c, s.Desk.Store.Floor()), ID: of.ID, Station: of.Station, Ended: !of.Ended.IsZero(),
		Expected: of.Expected, There: of.There, Answer: answer}
	today := s.Desk.Today()
	for _, t := range of.Seen {
		p.Seen = append(p.Seen, counting.Seen{Piece: views.PieceOf(t, today), Here: t.LiesAt(of.Station)})
	}
	for _, t := range of.Missing {
		p.Missing = append(p.Missing, views.PieceOf(t, today))
	}
	for _, t := range of.Astray {
		p.Astray = append(p.Astray, views.PieceOf(t, today))
	}
	return s.send(c, p)
}

// countSeenByForm: POST /count/{count}/seen. What is no ticket is said on the page, so that counting goes on.
func (s *Site) countSeenByForm(c *fiber.Ctx) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	id := edge.Param(c, "count")
	t, err := s.TicketAsked(c, strings.TrimSpace(c.FormValue("code")))
	if err == nil {
		_, err = s.Desk.CountSeen(ctx, id, t)
	}
	if err == nil {
		return GoOn(c, "/count/"+url.PathEscape(id)+"?saw="+url.QueryEscape(string(t.Spec.Code)))
	}
	r, ok := edge.RefusalOf(err)
	if !ok || r.Code == "not_found" {
		return err
	}
	c.Status(edge.StatusOf(r.Code))
	return s.showCount(c, &views.Answer{Refused: true, Text: s.Printer(c).Refusal(r)})
}

// endCountByForm: POST /count/{count}/end.
func (s *Site) endCountByForm(c *fiber.Ctx) error {
	ctx, cancel := desk.Waiting()
	defer cancel()
	of, err := s.Desk.EndCount(ctx, edge.Param(c, "count"))
	if err != nil {
		return err
	}
	return GoOn(c, "/count/"+of.ID)
}
