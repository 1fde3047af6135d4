package taking

import (
	"net/url"
	"slices"
	"strconv"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine/workup"
	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/server/web"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views"
	"tablehand/views/page/revision"
)

// onTheFloor reports whether an order is released and not finished yet.
func (k *Counter) onTheFloor(order string) bool {
	o := k.Desk.Store.Floor().Order(order)
	return o != nil && o.State == stations.OrderReleased
}

// reviseByForm: POST /orders/{order}/revise, the order's form or its file: it shows what would change; with do=confirm
// it makes the changes, unless the order was revised since it was shown.
func (k *Counter) reviseByForm(c *fiber.Ctx) error {
	if _, err := k.OrderAsked(c); err != nil {
		return err
	}
	d, err := k.readDraft(c)
	if err != nil {
		return err
	}
	if c.FormValue("do") != "confirm" {
		return k.review(c, d)
	}
	id, reason := edge.Param(c, "order"), c.FormValue("reason")
	how := desk.Revising{Override: c.FormValue("override") != "", Reason: reason}
	how.From, _ = strconv.Atoi(c.FormValue("revision"))
	again := func(c *fiber.Ctx, answer *views.Answer) error { return k.showReview(c, d, answer) }
	if err := edge.CheckTexts(edge.Text("reason", reason, how.Override, edge.MaxReason)); err != nil {
		return k.RefusedOn(c, err, again)
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	actor, _ := edge.ActorOf(c)
	if _, err := k.Desk.Revise(ctx, actor, id, d.source, how); err != nil {
		return k.RefusedOn(c, err, again)
	}
	return web.GoOn(c, "/orders/"+url.PathEscape(id)+"?did=revised")
}

// review shows what a draft would change; one that has errors is the form again.
func (k *Counter) review(c *fiber.Ctx, d *draft) error {
	if d.stuck {
		if err := k.workOut(d); err != nil {
			return err
		}
		return k.showTaking(c, d, "", true)
	}
	return k.showReview(c, d, nil)
}

func (k *Counter) showReview(c *fiber.Ctx, d *draft, answer *views.Answer) error {
	o, err := k.OrderAsked(c)
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
	got, err := k.Desk.Revise(ctx, actor, o.ID, d.source, how)
	if r, ok := edge.RefusalOf(err); ok {
		refused := ""
		if r.Code != "problems" {
			refused = k.Printer(c).Refusal(r)
		}
		c.Status(edge.StatusOf(r.Code))
		if err := k.workOut(d); err != nil {
			return err
		}
		return k.showTaking(c, d, refused, true)
	}
	if err != nil {
		return err
	}
	p := k.reviewed(c, o, got, answer)
	p.Source = string(d.source)
	return k.Send(c, p)
}

// reviewed is the page of what a revision would change.
func (k *Counter) reviewed(c *fiber.Ctx, o *stations.Order, got desk.Revised, answer *views.Answer) revision.Page {
	p := revision.Page{
		Frame: k.Frame(c), ID: o.ID, From: got.Revision - 1, Revision: got.Revision,
		Short: got.Short, Mixed: got.Mixed, Shared: got.Shared, Problems: web.BySeverity(workup.Noteworthy(got.Problems)), Answer: answer, Reason: c.FormValue("reason"),
	}
	for i := range got.Held {
		p.Held = append(p.Held, &got.Held[i])
	}
	for _, ch := range got.Changed {
		p.Changes = append(p.Changes, k.ticketChange(ch, got.Specs))
	}
	for i := range got.Specs {
		if n := &got.Specs[i]; n.Spec.Revision == got.Revision && !n.Removed {
			if t := k.Desk.Store.Floor().Ticket(n.Spec.Code); t != nil && t.Current() != nil {
				p.Reprints = append(p.Reprints, views.PieceOf(t, k.Desk.Today()))
			}
		}
	}
	for i := range got.Added {
		p.Added = append(p.Added, views.PieceOfSpec(&got.Added[i], o.ID))
	}
	for _, code := range got.Dropped {
		p.Dropped = append(p.Dropped, views.PieceOf(k.Desk.Store.Floor().Ticket(code), k.Desk.Today()))
	}
	return p
}

// ticketChange puts what is on a ticket beside what the new file wants on it.
func (k *Counter) ticketChange(ch stations.Changed, specs []stations.Renumbered) views.TicketChange {
	t := k.Desk.Store.Floor().Ticket(ch.Ticket)
	row := views.TicketChange{Piece: views.PieceOf(t, k.Desk.Today()), Protected: ch.Protected, Why: "worked"}
	row.Untold = k.Desk.Store.Floor().UntoldCut(t)
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
