package web

import (
	"net/url"
	"slices"
	"strconv"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine/workup"
	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views"
	"tablehand/views/page/revision"
)

// onTheFloor reports whether an order is released and not finished yet.
func (s *Site) onTheFloor(order string) bool {
	o := s.Desk.Store.Floor().Order(order)
	return o != nil && o.State == stations.OrderReleased
}

// reviseByForm: POST /orders/{order}/revise, the order's form or its file: it shows what would change; with do=confirm
// it makes the changes, unless the order was revised since it was shown.
func (s *Site) reviseByForm(c *fiber.Ctx) error {
	if _, err := s.OrderAsked(c); err != nil {
		return err
	}
	d, err := s.readDraft(c)
	if err != nil {
		return err
	}
	if c.FormValue("do") != "confirm" {
		return s.review(c, d)
	}
	id, reason := edge.Param(c, "order"), c.FormValue("reason")
	how := desk.Revising{Override: c.FormValue("override") != "", Reason: reason}
	how.From, _ = strconv.Atoi(c.FormValue("revision"))
	again := func(c *fiber.Ctx, answer *views.Answer) error { return s.showReview(c, d, answer) }
	if err := edge.CheckTexts(edge.Text("reason", reason, how.Override, edge.MaxReason)); err != nil {
		return s.refusedOn(c, err, again)
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	actor, _ := edge.ActorOf(c)
	if _, err := s.Desk.Revise(ctx, actor, id, d.source, how); err != nil {
		return s.refusedOn(c, err, again)
	}
	return goOn(c, "/orders/"+url.PathEscape(id)+"?did=revised")
}

// review shows what a draft would change; one that has errors is the form again.
func (s *Site) review(c *fiber.Ctx, d *draft) error {
	if d.stuck {
		if err := s.workOut(d); err != nil {
			return err
		}
		return s.showTaking(c, d, "", true)
	}
	return s.showReview(c, d, nil)
}

func (s *Site) showReview(c *fiber.Ctx, d *draft, answer *views.Answer) error {
	o, err := s.OrderAsked(c)
	if err != nil {
		return err
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	actor, _ := edge.ActorOf(c)
	from, _ := strconv.Atoi(c.FormValue("revision"))
	how := desk.Revising{DryRun: true, From: from}
	if answer != nil {
		how.From = 0 // it is shown against what there is now
	}
	got, err := s.Desk.Revise(ctx, actor, o.ID, d.source, how)
	if r, ok := edge.RefusalOf(err); ok {
		refused := ""
		if r.Code != "problems" {
			refused = s.Printer(c).Refusal(r)
		}
		c.Status(edge.StatusOf(r.Code))
		if err := s.workOut(d); err != nil {
			return err
		}
		return s.showTaking(c, d, refused, true)
	}
	if err != nil {
		return err
	}
	p := revision.Page{
		Frame: s.frame(c, s.Desk.Store.Floor()), ID: o.ID, From: got.Revision - 1, Revision: got.Revision, Source: string(d.source),
		Short: got.Short, Mixed: got.Mixed, Shared: got.Shared, Problems: bySeverity(workup.Noteworthy(got.Problems)), Answer: answer, Reason: c.FormValue("reason"),
	}
	for i := range got.Held {
		p.Held = append(p.Held, &got.Held[i])
	}
	for _, ch := range got.Changed {
		p.Changes = append(p.Changes, s.ticketChange(ch, got.Specs))
	}
	for i := range got.Specs {
		if n := &got.Specs[i]; n.Spec.Revision == got.Revision && !n.Removed {
			if t := s.Desk.Store.Floor().Ticket(n.Spec.Code); t != nil && t.Current() != nil {
				p.Reprints = append(p.Reprints, views.PieceOf(t, s.Desk.Today()))
			}
		}
	}
	for i := range got.Added {
		p.Added = append(p.Added, views.PieceOfSpec(&got.Added[i], o.ID))
	}
	for _, code := range got.Dropped {
		p.Dropped = append(p.Dropped, views.PieceOf(s.Desk.Store.Floor().Ticket(code), s.Desk.Today()))
	}
	return s.send(c, p)
}

// ticketChange puts what is on a ticket beside what the new file wants on it.
func (s *Site) ticketChange(ch stations.Changed, specs []stations.Renumbered) views.TicketChange {
	t := s.Desk.Store.Floor().Ticket(ch.Ticket)
	row := views.TicketChange{Piece: views.PieceOf(t, s.Desk.Today()), Protected: ch.Protected, Why: "worked"}
	row.Untold = s.Desk.Store.Floor().UntoldCut(t)
	if t.Spec.Kind == plan.CuttingTicket {
		row.Why = "cutting"
	}
	i := slices.IndexFunc(specs, func(n stations.Renumbered) bool { return n.Spec.Code == ch.Ticket })
	if i < 0 {
		return row
	}
	n := &specs[i]
	wanted := &n.Spec
	if n.Wanted != nil {
		wanted = n.Wanted
	}
	switch {
	case n.Removed:
		row.Why = "removed"
		return row
	case t.Spec.Kind == plan.CuttingTicket:
	case n.ClothStays:
		row.Why = "cloth"
	case !t.Begun():
		row.Why = "cut"
	}
	if t.Spec.Kind == plan.PanelTicket {
		row.Outlines = views.OutlinesOf(t.Spec, wanted)
	}
	for _, name := range ch.Values {
		if t.Spec.Kind == plan.CuttingTicket && ch.Protected {
			continue // what is wanted instead stands on another ticket
		}
		row.Numbers = append(row.Numbers, views.NumberChange{
			Name: name, Was: t.Spec.Number(name), Wants: wanted.Number(name), Stays: slices.Contains(n.Kept, name),
		})
	}
	return row
}
