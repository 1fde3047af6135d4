package shelfroom

import (
	"cmp"
	"net/url"
	"slices"
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/engine/workup/relief"
	"tablehand/server/books"
	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/server/stock"
	"tablehand/server/web"
	"tablehand/stations"
	"tablehand/stations/shelf"
	"tablehand/views"
	page "tablehand/views/page/shelf"
)

// orderPage: GET /orders/{order}/cloth, what the order's fabrics are cut from.
func (r *Room) orderPage(c *fiber.Ctx) error { return r.showOrder(c, nil) }

func (r *Room) showOrder(c *fiber.Ctx, answer *views.Answer) error {
	o, err := r.OrderAsked(c)
	if err != nil {
		return err
	}
	ctx, cancel := desk.Waiting()
	defer cancel()
	w, err := r.Desk.Workup(ctx, o.ID)
	if err != nil {
		return err
	}
	p := page.OrderPage{Frame: r.Frame(c), Order: o.ID, Answer: answer, Typed: strings.TrimSpace(c.FormValue("fabric"))}
	if did := c.Query("did"); answer == nil && (did == "link" || did == "unlink" || did == "put") {
		p.Answer = &views.Answer{Text: r.Printer(c).T("shelf.order.did." + did)}
	}
	entries, _ := r.Desk.Books.Find(books.Cloths, books.Asked{Most: mostCloths})
	for _, e := range entries {
		p.Cloths = append(p.Cloths, page.Option{Key: e.ID, Name: e.Name()})
	}
	strips := r.BoltsOf(o, w)
	plans, err := r.Stock().CutPlans(o, nil)
	if err != nil {
		return err
	}
	for i := range w.Order.Fabrics {
		f := r.fabric(o, w, &w.Order.Fabrics[i])
		for _, s := range strips {
			if s.Fabric == f.ID {
				f.Strips = s.Strips
			}
		}
		if i := slices.IndexFunc(plans, func(p stock.CutPlan) bool { return p.Fabric == f.ID }); i >= 0 {
			planned(&f, o, &plans[i])
		}
		p.Fabrics = append(p.Fabrics, f)
	}
	return r.Send(c, p)
}

// fabric is what is to be said of one of an order's fabrics.
func (r *Room) fabric(o *stations.Order, w *workup.Workup, f *orderfile.Fabric) page.Fabric {
	row := page.Fabric{ID: f.ID, Use: f.Use, Cloth: o.ClothOf(f), ByOffice: o.Linked[f.ID] != "", Problems: desk.OfFabric(w.Problems, f.ID)}
	if e := r.Desk.Books.Entry(books.Cloths, row.Cloth); e != nil {
		row.Name = e.Name()
	} else if row.Cloth == "" { // one that is called so is proposed, not taken: two clients' "reed" may be two cloths
		if e := cmp.Or(r.Desk.Books.Entry(books.Cloths, strings.ToLower(f.ID)), r.Desk.Books.Named(books.Cloths, f.ID)); e != nil {
			row.Like = e.ID
		}
	}
	buys := w.Order.Units.Purchase()
	for _, b := range f.Bolts {
		if b.Shelf == "" {
			row.Own = append(row.Own, page.FileBolt{ID: b.ID, Lot: b.Lot, Length: measure.OfLength(b.Length-b.From, buys)})
		}
	}
	row.Cut = slices.ContainsFunc(o.Tickets, func(t *stations.Ticket) bool {
		return t.Spec.Fabric == f.ID && !t.Cancelled && (t.State() == stations.AtWork || t.State() == stations.Finished)
	})
	return row
}

// planned is what is to be said of how a fabric's cuts lie: what is proven, what is short, and what helps.
func planned(row *page.Fabric, o *stations.Order, p *stock.CutPlan) {
	row.Problems = slices.DeleteFunc(row.Problems, func(told engine.Problem) bool { // what is short is told with what there is
		return told.Code == "fabric_short" || workup.OfBolts(told) && o.State != stations.OrderTaken
	})
	bought := func(q measure.Quantity) measure.Quantity {
		return measure.OfLength(q.Length(), views.ClothUnit(p.Units))
	}
	row.Short, row.Least, row.Free, row.Held = stock.Long(p.Lacks, p.Units), p.Short.Least, bought(p.Short.Free), bought(p.Short.Held)
	if !row.Least.IsZero() {
		row.Least = stock.Long(row.Least.Length(), p.Units)
	}
	for _, to := range p.Short.Promised {
		to.Length = bought(to.Length)
		row.Promised = append(row.Promised, to)
	}
	if p.Lacks == 0 && len(p.Ways) == 0 {
		row.Proof = page.ProofOf(p.Plan)
	}
	for _, w := range p.Ways {
		way := page.Way{Way: w, Length: measure.OfLength(w.Length, views.ClothUnit(p.Units)), Name: strings.Join(w.Windows, "; ")}
		if w.Kind == relief.Hem {
			way.Length = measure.OfLength(w.Length, p.Units)
		}
		if w.Short > 0 {
			way.Short = stock.Long(w.Short, p.Units)
		}
		row.Ways = append(row.Ways, way)
	}
}

// orderByForm: POST /orders/{order}/cloth, what the page's buttons do: link (fabric, cloth, reason), unlink, put (fabric, bolt, cloth, owner,
// place).
func (r *Room) orderByForm(c *fiber.Ctx) error {
	o, err := r.OrderAsked(c)
	if err != nil {
		return err
	}
	text := func(field string) string { return strings.TrimSpace(c.FormValue(field)) }
	actor, _ := edge.ActorOf(c)
	ctx, cancel := desk.Waiting()
	defer cancel()
	did := c.FormValue("action")
	switch did {
	case "link", "unlink":
		cmd := stations.LinkCloth{Actor: actor, Person: edge.PersonOf(c), Order: o.ID, Fabric: text("fabric"), Cloth: text("cloth"), Reason: text("reason")}
		if did == "unlink" {
			cmd.Cloth = ""
		} else if cmd.Cloth == "" {
			err = desk.Refuse("missing_key", "cloth", "Name", "cloth")
		}
		if err == nil {
			err = edge.CheckTexts(edge.Text("reason", cmd.Reason, false, edge.MaxReason))
		}
		if err == nil {
			_, err = r.Desk.LinkCloth(ctx, cmd)
		}
	case "put":
		row := shelf.Receipt{From: &shelf.Origin{Order: o.ID, Fabric: text("fabric"), Bolt: text("bolt")}, Owner: o.Customer, Cloth: text("cloth"), Place: r.Stock().Place(text("place"))}
		if c.FormValue("owner") == "shop" {
			row.Owner = ""
		}
		_, err = r.Stock().Receive(ctx, stations.ReceiveBolts{Actor: actor, Person: edge.PersonOf(c), Rows: []shelf.Receipt{row}})
	default:
		err = desk.Refuse("bad_value", "action", "Value", did)
	}
	if err != nil {
		return r.RefusedOn(c, err, r.showOrder)
	}
	return web.GoOn(c, "/orders/"+url.PathEscape(o.ID)+"/cloth?did="+did+"#f-"+url.PathEscape(text("fabric")))
}
