package web

import (
	"cmp"
	"net/url"
	"path"
	"slices"
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/engine"
	"tablehand/engine/workup"
	"tablehand/server/books"
	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views"
	"tablehand/views/bolt"
	"tablehand/views/i18n"
	"tablehand/views/page/elevation"
	"tablehand/views/page/order"
	"tablehand/views/paper"
	"tablehand/views/paper/room"
)

// orderPage: GET /orders/{order}. Of a long order it shows a part; see order.LookOf for how others are asked for.
func (s *Site) orderPage(c *fiber.Ctx) error { return s.showOrderPage(c, s.answerAfter(c)) }

func (s *Site) showOrderPage(c *fiber.Ctx, answer *views.Answer) error {
	o, err := s.OrderAsked(c)
	if err != nil {
		return err
	}
	w, err := s.Desk.WorkupOf(o)
	if err != nil {
		return err
	}
	look := order.LookOf(c.Path(), func(key string) string { return c.Query(key) })
	today, problems := s.Desk.Today(), w.Problems
	if o.State == stations.OrderTaken || o.State == stations.OrderReleased {
		problems = slices.Concat(problems, s.Desk.SharedBolts(o.ID, w))
	}
	if c.Query("did") == "taken" { // from the form of an order like another one, which asks nothing while it is typed
		problems = slices.Concat(problems, s.Desk.ClosedDue(w.Order))
	}
	p := order.Page{
		Frame: s.frame(c, s.Desk.Store.Floor()), ID: o.ID, Customer: o.Customer, Sidemark: w.Order.Sidemark, Due: o.Due,
		Notes: w.Order.Notes, State: o.State, Late: o.Late(today), Revision: o.Revision, Cloth: views.ClothOf(w),
		Incomplete: w.Totals.Incomplete, Problems: BySeverity(problems), AllProblems: look.All,
		Short: s.shortages(o, w), Answer: answer, Reason: c.FormValue("reason"), CutBegun: cutBegun(o), Outdated: s.Desk.Outdated(o, w), Lacking: s.lackingOf(c, o),
		NoCustomer: strings.TrimSpace(o.Customer) == "", Asked: path.Base(c.Path()),
	}
	p.Behind = len(s.Desk.Behind(o, w.Order.Units))
	p.Bolts = s.BoltsOf(o, w)
	for i := range w.Order.Fabrics {
		p.Parts = append(p.Parts, plan.BoltParts(&w.Order.Fabrics[i], w.Order.Units)...)
	}
	if p.Office() {
		p.Like, p.LikeDue = cmp.Or(c.FormValue("order"), s.Desk.NextLike(o.ID)), c.FormValue("due")
	}
	if p.History, err = s.historyOf(c, o.ID, ""); err != nil {
		return err
	}
	if look.Find != "" {
		if look.Finding(w) {
			return GoOn(c, look.ToWindow())
		}
		p.Find = look.Find
	}
	tickets, pieces := look.Pieces(o.Tickets)
	p.Tickets, p.Pieces = views.PiecesOf(tickets, today), pieces
	p.Rod = views.RodOf(views.PiecesOf(o.Tickets, today), s.Desk.Shop().Fittings.Layout.Stations(), !pieces.Whole())
	p.Reprints, p.Paper = views.PiecesOf(desk.Reprints(o), today), c.Cookies(paperCookie)
	p.ShowRooms(room.Names(w), func(name string) string { return elevation.Path(o.ID, name) })
	return s.sendWindows(c, p, look, w)
}

// BoltsOf lays out the bolts that an order is cut from: as its tickets have them, or as it would be cut before it has any.
func (s *Site) BoltsOf(o *stations.Order, w *workup.Workup) []order.FabricBolts {
	var list []order.FabricBolts
	for i := range w.Cloth {
		of := order.FabricBolts{Fabric: w.Cloth[i].Fabric.ID}
		if len(o.Tickets) > 0 {
			of.Strips = s.stripsOf(o, w, of.Fabric)
		} else {
			of.Strips = bolt.OfPlan(&w.Cloth[i], w.Order.Units)
		}
		of.Strips = slices.DeleteFunc(of.Strips, func(s bolt.Strip) bool { return s.Cuts == 0 })
		if len(of.Strips) > 0 {
			list = append(list, of)
		}
	}
	return list
}

// stripsOf are the bolts of a fabric as an order's tickets have them now.
func (s *Site) stripsOf(o *stations.Order, w *workup.Workup, fabric string) []bolt.Strip {
	f := w.Order.Fabric(fabric)
	if f == nil { // the newest file has it no more
		return nil
	}
	return bolt.OfTickets(s.Desk.Store.Floor().Bolts(o, f, s.Desk.Ways(w.Order.Units)), o.Tickets, w.Order.Units)
}

// sendWindows puts the windows that are looked at on an order's page, with their drawings.
func (s *Site) sendWindows(c *fiber.Ctx, p order.Page, look order.Look, w *workup.Workup) error {
	groups, err := s.alike.Get(w, func() ([][]int, error) { return order.Alike(w), nil })
	if err != nil {
		return err
	}
	for _, g := range groups {
		p.AllWindows += len(g)
	}
	p.Windows, p.Kinds = look.Windows(w, groups)
	p.Others = views.PieceLinesOf(w)
	if o := s.Desk.Store.Floor().Order(p.ID); o != nil {
		if p.Own, err = s.ownPieces(o); err != nil {
			return err
		}
	}
	for i := range p.Windows {
		window := &p.Windows[i]
		if hang := w.Order.Treatments[window.Index].Hang; hang != nil {
			window.Sum = views.HangSumOf(*hang, w.Order.Units)
		}
		if window.Drawings, err = plansOf(w, window, s.Printer(c)); err != nil {
			return err
		}
	}
	return s.send(c, p)
}

// plansOf draws the panels of a window, those that are alike once.
func plansOf(w *workup.Workup, window *order.Window, say *i18n.Printer) ([]views.Drawing, error) {
	sides := map[string]string{} // by panel: the letters on the cloth
	var shown []string
	for _, id := range window.Panels {
		letter := ""
		if id != string(workup.Single) {
			letter = say.T("page.panel." + id)
		}
		if len(shown) > 0 && window.PanelsAlike() {
			sides[shown[0]] += " " + letter
			continue
		}
		shown, sides[id] = append(shown, id), letter
	}
	var drawings []views.Drawing
	for _, id := range shown {
		d, err := planned(paper.Plan{Panel: paper.PanelOf(w, window.Index, id), Letters: sides[id], Units: w.Order.Units}, say)
		if err != nil {
			return nil, err
		}
		drawings = append(drawings, d)
	}
	return drawings, nil
}

// paperCookie remembers, in a browser, the paper that it printed last.
const paperCookie = "tablehand_paper"

// printOrder: GET /orders/{order}/print?paper=tickets-label, the paper of the order's menu; the browser's next menu has it chosen.
func (s *Site) printOrder(c *fiber.Ctx) error {
	asked, known := order.PaperOf(c.Query("paper"))
	if !known {
		return desk.Refuse("bad_value", "paper", "Name", "paper", "Value", c.Query("paper"))
	}
	c.Cookie(&fiber.Cookie{Name: paperCookie, Value: asked.Key, Path: "/", Expires: s.Desk.Clock().AddDate(1, 0, 0), HTTPOnly: true, SameSite: fiber.CookieSameSiteLaxMode})
	return GoOn(c, "/orders/"+url.PathEscape(edge.Param(c, "order"))+"/"+asked.File)
}

// cutBegun reports whether any cloth of the order is cut or being cut.
func cutBegun(o *stations.Order) bool {
	return slices.ContainsFunc(o.Tickets, func(t *stations.Ticket) bool {
		return t.Spec.Kind == plan.CuttingTicket && !t.Steps[0].Started.IsZero()
	})
}

// BySeverity puts errors before warnings before notes.
func BySeverity(problems []engine.Problem) []engine.Problem {
	rank := map[engine.Severity]int{engine.Error: 0, engine.Warning: 1, engine.Note: 2}
	sorted := slices.Clone(problems)
	slices.SortStableFunc(sorted, func(a, b engine.Problem) int { return rank[a.Severity] - rank[b.Severity] })
	return sorted
}

// shortages are the fabrics of an order whose bolts don't do, each with the shop's cloth that it is.
func (s *Site) shortages(o *stations.Order, w *workup.Workup) []views.Shortage {
	list := views.ShortagesOf(w)
	for i := range list {
		if e := s.Desk.Books.Entry(books.Cloths, o.ClothOf(w.Order.Fabric(list[i].Fabric))); e != nil {
			list[i].Cloth, list[i].Order = e.ID, nil // how much to buy, and of which lot, the page of its cloth has planned
		}
	}
	return list
}
