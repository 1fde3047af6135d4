package taking

import (
	"net/url"
	"strconv"
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/server/web"
	"tablehand/views"
	"tablehand/views/page/revision"
)

// bringUpByForm: POST /orders/{order}/bring-up: it shows what the shop's conventions of today would change on an order that was taken with
// others; with do=confirm it makes the changes, unless the order was revised since it was shown.
func (k *Counter) bringUpByForm(c *fiber.Ctx) error {
	o, err := k.OrderAsked(c)
	if err != nil {
		return err
	}
	if c.FormValue("do") != "confirm" {
		return k.showBringUp(c, nil)
	}
	reason := c.FormValue("reason")
	how := desk.Revising{Override: c.FormValue("override") != "", Reason: reason}
	how.From, _ = strconv.Atoi(c.FormValue("revision"))
	if err := edge.CheckTexts(edge.Text("reason", reason, how.Override, edge.MaxReason)); err != nil {
		return k.RefusedOn(c, err, k.showBringUp)
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	actor, _ := edge.ActorOf(c)
	if _, _, err := k.Desk.BringUp(ctx, actor, o, how); err != nil {
		return k.RefusedOn(c, err, k.showBringUp)
	}
	return web.GoOn(c, "/orders/"+url.PathEscape(o.ID)+"?did=revised")
}

func (k *Counter) showBringUp(c *fiber.Ctx, answer *views.Answer) error {
	o, err := k.OrderAsked(c)
	if err != nil {
		return err
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	actor, _ := edge.ActorOf(c)
	got, behind, err := k.Desk.BringUp(ctx, actor, o, desk.Revising{DryRun: true})
	if err != nil {
		return err
	}
	p := k.reviewed(c, o, got, answer)
	p.BringUp = true
	under := orderfile.Kept(o.Practice)(measure.In)
	for _, b := range behind {
		p.Ways = append(p.Ways, wayOf(under, b))
	}
	return k.Send(c, p)
}

// wayOf is a convention or tolerance that is brought up, as the page shows it.
func wayOf(under orderfile.Conventions, b desk.WayChange) revision.Way {
	if name, tolerance := strings.CutPrefix(b.Name, "tolerances."); tolerance {
		return revision.Way{Kind: "entry", Name: name[strings.LastIndex(name, ".")+1:], From: b.From, To: b.To}
	}
	way := revision.Way{Kind: "convention", Name: b.Name, From: b.From, To: b.To}
	for _, r := range under.Rows() {
		if r.Key == b.Name {
			way.Name, way.Heading, way.Own = r.Name(), string(r.Heading), r.Makes()
			if r.Words() != nil {
				way.Words = r.WordKind()
			}
		}
	}
	return way
}
