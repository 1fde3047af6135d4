// Package shelfroom is the pages of the shop's cloth: their handlers and forms.
package shelfroom

import (
	"crypto/rand"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine/measure"
	"tablehand/server/books"
	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/server/stock"
	"tablehand/server/web"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
	"tablehand/views"
	page "tablehand/views/page/shelf"
)

// Room is the pages of the shelf.
type Room struct{ *web.Site }

// Routes are the pages' addresses, and what their forms send.
func (r *Room) Routes() []edge.Route {
	return []edge.Route{
		edge.Get("/shelf", edge.AtTheBench, r.indexPage),
		edge.Form("/shelf/receive", edge.TheOffice, r.receivePage, r.receiveByForm),
		edge.Get("/shelf/count", edge.AtTheBench, r.countsPage),
		edge.Post("/shelf/count", edge.TheOffice, r.beginCountByForm),
		edge.Get("/shelf/count/:count", edge.AtTheBench, r.countPage),
		edge.Post("/shelf/count/:count/seen", edge.AtTheBench, r.countSeenByForm),
		edge.Post("/shelf/count/:count/end", edge.AtTheBench, r.endCountByForm),
		edge.Post("/shelf/count/:count/settle", edge.TheOffice, r.settleCountByForm),
		edge.Get("/shelf/:cloth", edge.AtTheBench, r.clothPage),
		edge.Post("/shelf/:cloth", edge.TheOffice, r.joinByForm),
		edge.Form("/orders/:order/cloth", edge.TheOffice, r.orderPage, r.orderByForm),
		edge.Form("/b/:code", edge.AtTheBench, r.boltPage, r.handleByForm),
		edge.Form("/b/:code/inspect", edge.AtTheBench, r.inspectPage, r.inspectByForm),
	}
}

// indexPage: GET /shelf, ?find= letters of a cloth's name, a lot, a place, an owner, a code.
func (r *Room) indexPage(c *fiber.Ctx) error {
	find := strings.TrimSpace(c.Query("find"))
	if err := edge.CheckTexts(edge.Text("find", find, false, edge.MaxName)); err != nil {
		return err
	}
	floor := r.Desk.Store.Floor()
	if b := r.BoltOf(find); b != nil {
		return web.GoOn(c, "/b/"+string(b.Code))
	}
	p := page.IndexPage{Frame: r.Frame(c), Find: find}
	if open := floor.Shelf().Open(); open != nil {
		row := r.countRow(open)
		p.Counting = &row
	}
	if find != "" {
		p.Found = r.rows(c, r.Stock().Find(stock.Asked{Find: find}))
		for i := range p.Found {
			p.Found[i].Named = true
		}
	} else {
		p.Cloths = r.cloths()
	}
	if p.Office() && find == "" {
		p.Strays = r.strays(c)
	}
	return r.Send(c, p)
}

// strays are the months in which cloth was measured otherwise than reckoned.
func (r *Room) strays(c *fiber.Ctx) (months []page.Month) {
	in := func(l measure.Length) measure.Quantity { return stock.Long(l, measure.Unit(r.Desk.Shop().Units)) }
	for _, m := range r.Stock().Unexplained() {
		months = append(months, page.Month{Name: r.Printer(c).MonthOf(m.Begin), Less: in(m.Less), More: in(m.More)})
	}
	return months
}

// cloths are those of which there is something, by name.
func (r *Room) cloths() []page.Cloth {
	var list []page.Cloth
	for _, s := range r.Stock().Sums() {
		in := func(l measure.Length) measure.Quantity { return measure.OfLength(l, s.Units.Purchase()) }
		list = append(list, page.Cloth{Key: s.Cloth, Name: r.Stock().Names(s.Cloth), Bolts: s.Bolts, Remnants: s.Remnants, Rest: in(s.Rest), Free: in(s.Free),
			Held: s.HeldBolts, Missing: s.Missing})
	}
	slices.SortFunc(list, func(a, b page.Cloth) int { return strings.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name)) })
	return list
}

// row is a bolt as a list shows it.
func (r *Room) row(c *fiber.Ctx, floor *stations.Floor, b *shelf.Bolt) page.Bolt {
	all, longest := r.Stock().Free(floor, b)
	in := func(l measure.Length) measure.Quantity { return stock.Long(l, b.Units) }
	row := page.Bolt{Code: b.Code, Cloth: r.Stock().Names(b.Cloth), Lot: b.Lot, Customers: b.Owner != "", State: b.State(), Place: b.Place, Units: b.Units, Rest: in(b.Rest),
		Exact: measure.OfLength(b.Rest, b.Units), Free: in(all), Longest: in(longest), Measured: b.Measured, Remnant: b.IsRemnant(), Half: b.IsHalf()}
	row.Owner = r.Stock().Whose(b, r.MayName(c))
	if b.Kept != nil {
		row.KeptFor = b.Kept.Order
		if row.KeptFor == "" && r.MayName(c) {
			row.KeptFor = b.Kept.Customer
		}
	}
	sums := map[plan.Code]measure.Length{}
	for _, p := range floor.Promised(b.Code) {
		if sums[p.Ticket] == 0 {
			row.Promised = append(row.Promised, page.Promise{Ticket: p.Ticket, Order: p.Order})
		}
		sums[p.Ticket] += p.Length()
	}
	for i := range row.Promised {
		row.Promised[i].Length = in(sums[row.Promised[i].Ticket])
	}
	return row
}

func (r *Room) rows(c *fiber.Ctx, bolts []*shelf.Bolt) (list []page.Bolt) {
	floor := r.Desk.Store.Floor()
	for _, b := range bolts {
		list = append(list, r.row(c, floor, b))
	}
	return list
}

// waiting are the cutting tickets of a cloth that can be planned together, or by themselves again.
func (r *Room) waiting(c *fiber.Ctx, cloth string, ticked []string) (list []page.Waiting) {
	if !r.Frame(c).Office() {
		return nil
	}
	floor := r.Desk.Store.Floor()
	for _, t := range floor.Joinable(cloth) {
		row := page.Waiting{Ticket: t.Spec.Code, Order: t.Order, Due: t.Due, Ticked: slices.Contains(ticked, string(t.Spec.Code))}
		for i := range t.Spec.Cuts {
			if !t.Spec.Cuts[i].Done {
				row.Cuts++
			}
		}
		for _, other := range floor.JoinedWith(t) {
			row.With = append(row.With, other.Order)
		}
		list = append(list, row)
	}
	if len(list) == 1 && len(list[0].With) == 0 {
		return nil
	}
	return list
}

// joinByForm: POST /shelf/{cloth}, the tickets that are ticked are cut in one run, or the one that is apart is cut by itself again.
func (r *Room) joinByForm(c *fiber.Ctx) error {
	var codes []plan.Code
	var typed []string
	for name, value := range c.Request().PostArgs().All() {
		if string(name) != "ticket" && string(name) != "apart" || len(codes) == edge.MaxEntries {
			continue
		}
		t, err := r.TicketAsked(c, string(value))
		if err != nil {
			return err
		}
		codes, typed = append(codes, t.Spec.Code), append(typed, string(t.Spec.Code))
	}
	actor, _ := edge.ActorOf(c)
	ctx, cancel := desk.Waiting()
	defer cancel()
	_, err := r.Desk.JoinCuts(ctx, stations.JoinCuts{Actor: actor, Key: c.FormValue("key"), Person: edge.PersonOf(c), Tickets: codes})
	if refused, is := edge.RefusalOf(err); is {
		c.Status(edge.StatusOf(refused.Code))
		text := r.Printer(c).Refusal(refused)
		if refused.Code == "missing_key" {
			text = r.Printer(c).T("shelf.join.two")
		}
		return r.showCloth(c, &views.Answer{Refused: true, Text: text}, typed)
	}
	if err != nil {
		return err
	}
	text := r.Printer(c).T("shelf.join.done")
	if len(codes) == 1 {
		text = r.Printer(c).T("shelf.join.parted", "Order", r.Desk.Store.Floor().Ticket(codes[0]).Order)
	}
	return r.showCloth(c, &views.Answer{Text: text}, nil)
}

// clothPage: GET /shelf/{cloth}, ?gone=true those that are used up or gone back; ?new=CODE,CODE after a delivery.
func (r *Room) clothPage(c *fiber.Ctx) error { return r.showCloth(c, nil, nil) }

func (r *Room) showCloth(c *fiber.Ctx, answer *views.Answer, ticked []string) error {
	key := edge.Param(c, "cloth")
	gone := c.Query("gone") == "true"
	asked := stock.Asked{Cloth: key}
	bolts := r.Stock().Find(asked)
	if gone {
		bolts = nil
		for _, state := range []shelf.State{shelf.UsedUp, shelf.GoneBack} {
			asked.State = state
			bolts = append(bolts, r.Stock().Find(asked)...)
		}
	}
	if len(bolts) == 0 && r.Desk.Books.Entry(books.Cloths, key) == nil {
		return desk.Refuse("not_found", "cloth")
	}
	p := page.ClothPage{Frame: r.Frame(c), Key: key, Name: r.Stock().Names(key), Gone: gone, Bolts: r.rows(c, bolts), Answer: answer,
		Waiting: r.waiting(c, key, ticked), JoinKey: rand.Text()}
	if came := c.Query("new"); came != "" {
		codes := strings.Split(came, ",")
		p.Labels = "/shelf/labels.pdf?bolts=" + url.QueryEscape(came)
		p.Answer = &views.Answer{Text: r.Printer(c).N("shelf.came", len(codes))}
	}
	return r.Send(c, p)
}

// mostCloths is how many cloths one may choose from; our own choice.
const mostCloths = 2000

// receivePage: GET /shelf/receive, ?cloth= which.
func (r *Room) receivePage(c *fiber.Ctx) error {
	return r.showReceive(c, map[string]string{"cloth": c.Query("cloth")}, nil)
}

func (r *Room) showReceive(c *fiber.Ctx, typed map[string]string, refused *stations.Refusal) error {
	p := page.ReceivePage{Frame: r.Frame(c), Typed: typed}
	for _, key := range append([]string{"cloth"}, p.Texts()...) {
		if _, there := typed[key]; !there {
			typed[key] = ""
		}
	}
	entries, _ := r.Desk.Books.Find(books.Cloths, books.Asked{Most: mostCloths})
	for _, e := range entries {
		p.Cloths = append(p.Cloths, page.Option{Key: e.ID, Name: e.Name()})
	}
	if refused != nil {
		c.Status(edge.StatusOf(refused.Code))
		p.Wrong, p.Before = refused.Field, refused.Code == "received_before"
		p.Answer = &views.Answer{Refused: true, Text: r.Printer(c).Refusal(refused)}
	}
	return r.Send(c, p)
}

// receiveByForm: POST /shelf/receive.
func (r *Room) receiveByForm(c *fiber.Ctx) error {
	typed := map[string]string{}
	for _, key := range append([]string{"cloth"}, page.ReceivePage{}.Texts()...) {
		typed[key] = strings.TrimSpace(c.FormValue(key))
		if err := edge.CheckTexts(edge.Text(key, typed[key], false, edge.MaxName)); err != nil {
			return err
		}
	}
	row := shelf.Receipt{Cloth: typed["cloth"], Lot: typed["lot"], SupplierPiece: typed["supplier_piece"], Owner: typed["owner"], Length: r.typed(c, typed["length"]),
		Invoiced: r.typed(c, typed["invoiced"]), Width: r.typed(c, typed["usable_width"]), Place: r.Stock().Place(typed["place"])}
	var err error
	if typed["count"] != "" {
		if row.Count, err = strconv.Atoi(typed["count"]); err != nil {
			return r.showReceive(c, typed, desk.Refuse("bad_value", "count", "Value", typed["count"]))
		}
	}
	actor, _ := edge.ActorOf(c)
	ctx, cancel := desk.Waiting()
	defer cancel()
	e, err := r.Stock().Receive(ctx, stations.ReceiveBolts{Actor: actor, Person: edge.PersonOf(c), Again: c.FormValue("again") == "yes", Rows: []shelf.Receipt{row}})
	if err != nil {
		if refused, ok := edge.RefusalOf(err); ok {
			return r.showReceive(c, typed, refused)
		}
		return err
	}
	var codes []string
	for _, came := range e.Shelf.Came {
		codes = append(codes, string(came.Bolt))
	}
	return web.GoOn(c, "/shelf/"+url.PathEscape(e.Shelf.Came[0].Cloth)+"?new="+strings.Join(codes, ","))
}

// typed is a length as people of the page's language type it.
func (r *Room) typed(c *fiber.Ctx, text string) string { return r.Printer(c).Typed(text) }

func (r *Room) moment(at time.Time) views.Moment {
	at = at.In(r.Desk.Shop().Zone)
	return views.Moment{Date: at.Format(time.DateOnly), At: at}
}
