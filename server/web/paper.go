package web

import (
	"bytes"
	"context"
	"io"
	"slices"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/server/desk"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views"
	"tablehand/views/i18n"
	"tablehand/views/page/elevation"
	"tablehand/views/paper"
	"tablehand/views/paper/room"
)

// printPlacards: GET /placards.pdf, a sheet for every station.
func (s *Site) printPlacards(c *fiber.Ctx) error {
	how, err := s.Printing(c, paper.Letter, paper.A4)
	if err != nil {
		return err
	}
	return s.SendPaper(c, "placards", func(_ context.Context, w io.Writer) error {
		return paper.Placards(w, how.OfShop(s.Desk.Shop().Fittings.Layout, s.Desk.Clock()))
	})
}

// printCards: GET /cards.pdf, the commands that a scanner can give.
func (s *Site) printCards(c *fiber.Ctx) error {
	how, err := s.Printing(c, paper.Letter, paper.A4, paper.Labels)
	if err != nil {
		return err
	}
	return s.SendPaper(c, "cards", func(_ context.Context, w io.Writer) error {
		return paper.Cards(w, how.OfShop(s.Desk.Shop().Fittings.Layout, s.Desk.Clock()))
	})
}

// roomPage: GET /orders/{order}/room?name=14, a room as it will hang; the first one where none is named. A part of very many
// windows is ?page=2.
func (s *Site) roomPage(c *fiber.Ctx) error {
	o, err := s.OrderAsked(c)
	if err != nil {
		return err
	}
	w, err := s.Desk.WorkupOf(o)
	if err != nil {
		return err
	}
	names := room.Names(w)
	name := c.Query("name")
	if len(names) > 0 && !c.Context().QueryArgs().Has("name") {
		name = names[0]
	}
	if !slices.Contains(names, name) {
		return desk.Refuse("not_found", "room")
	}
	say := s.Printer(c)
	r := room.Of(w, name)
	p := elevation.Page{Frame: s.frame(c, s.Desk.Store.Floor()), ID: o.ID, Room: name, Part: elevation.PartOf(c.QueryInt("page"), len(r.Windows)),
		Others: slices.DeleteFunc(names, func(other string) bool { return other == name })}
	r.Windows = r.Windows[p.Part.First-1 : p.Part.Last]
	for _, said := range r.Words(say) {
		p.Said = append(p.Said, elevation.Said(said))
	}
	var b bytes.Buffer
	if err := paper.RoomHTML(&b, r, say); err != nil {
		return err
	}
	p.Drawing = views.Drawing{SVG: b.String()}
	return s.send(c, p)
}

// drawingOf draws a ticket's panel as it is being made.
func (s *Site) drawingOf(o *stations.Order, t *plan.Ticket, say *i18n.Printer) (views.Drawing, error) {
	w, treatment, err := s.Desk.DrawnAs(o, t)
	if err != nil {
		return views.Drawing{}, err
	}
	return single(desk.PanelOf(w, treatment, t), w.Order.Units, say)
}

// spotsOf draws where each number and entry of a ticket's present step is on its panel.
func (s *Site) spotsOf(o *stations.Order, t *stations.Ticket, say *i18n.Printer) (map[string]views.Drawing, error) {
	w, treatment, err := s.Desk.DrawnAs(o, t.Spec)
	if err != nil {
		return nil, err
	}
	p := desk.PanelOf(w, treatment, t.Spec)
	now := t.Current()
	if p == nil || now == nil {
		return nil, nil
	}
	var names []string
	for _, v := range now.Spec.Values {
		names = append(names, v.Name)
	}
	for _, e := range now.Spec.Enter {
		names = append(names, e.Name)
	}
	spots := map[string]views.Drawing{}
	for _, name := range names {
		var b bytes.Buffer
		if ok, err := paper.SpotSVG(&b, p, name, w.Order.Units, say); err != nil {
			return nil, err
		} else if ok {
			spots[name] = views.Drawing{SVG: b.String()}
		}
	}
	return spots, nil
}

// Drawing draws a panel of a treatment, flat and to scale; none where the work-up has no such panel.
func Drawing(w *workup.Workup, treatment int, panel string, say *i18n.Printer) (views.Drawing, error) {
	return single(paper.PanelOf(w, treatment, panel), w.Order.Units, say)
}

// SmallDrawing draws the first panel of a window by itself, flat and to scale, with its seams and pleats and without a letter.
func SmallDrawing(w *workup.Workup) (views.Drawing, error) {
	var b bytes.Buffer
	first := &w.Treatments[0]
	err := paper.ClothHTML(&b, paper.Plan{Panel: paper.PanelOf(w, first.Index, string(first.Panels[0].ID)), Units: w.Order.Units})
	return views.Drawing{SVG: b.String()}, err
}

// single draws a panel by itself, with its letter where it is one of two.
func single(p *paper.Panel, units measure.Unit, say *i18n.Printer) (views.Drawing, error) {
	plan := paper.Plan{Panel: p, Units: units}
	if p != nil && p.ID != workup.Single {
		plan.Letters = say.T("page.panel." + string(p.ID))
	}
	return planned(plan, say)
}

// planned draws a panel lying flat, to scale, with its places lettered; none where there is no panel.
func planned(p paper.Plan, say *i18n.Printer) (views.Drawing, error) {
	if p.Panel == nil {
		return views.Drawing{}, nil
	}
	var b bytes.Buffer
	err := paper.PlanHTML(&b, p, say)
	return views.Drawing{SVG: b.String()}, err
}
