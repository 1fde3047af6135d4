package web

import (
	"fmt"
	"net/url"
	"slices"
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/desk"
	"tablehand/server/edge"
	"tablehand/server/stock"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/stations/shelf"
	"tablehand/views"
	"tablehand/views/i18n"
	"tablehand/views/page/home"
)

// firstPages are where those begin who neither decide nor scan.
var firstPages = map[stations.Role]string{stations.Accounts: "/ready", stations.Screen: "/screen"}

// homePage: GET /, the stations with what waits there, and for the office what needs a decision today.
func (s *Site) homePage(c *fiber.Ctx) error {
	actor, _ := edge.ActorOf(c)
	switch {
	case s.Desk.Unset() && actor.Role == stations.Office:
		return GoOn(c, "/setup")
	case firstPages[actor.Role] != "":
		return GoOn(c, firstPages[actor.Role])
	}
	if own := ownStations(c); len(own) > 0 {
		return GoOn(c, benchAddress(own[0], ""))
	}
	return s.showHomePage(c, s.answerToday(c))
}

// showHomePage shows the page; what a refused form had typed comes back at its ticket or order.
func (s *Site) showHomePage(c *fiber.Ctx, answer *views.Answer) error {
	floor := s.Desk.Store.Floor()
	p := home.Page{Frame: s.frame(c, floor), Billable: len(floor.Ready()), Answer: answer}
	p.Stations = countStations(s.Desk.Shop().Fittings.Layout, floor.Orders())
	for _, station := range p.Stations {
		p.Fullest = max(p.Fullest, station.All())
	}
	for _, station := range p.Stations {
		p.Held += station.Held
	}
	for _, o := range floor.Orders() {
		if onTheBooks(o) {
			p.Orders++
		}
		if o.Late(p.Today) {
			p.Late++
		}
	}
	if p.Office() {
		if err := s.lookAtToday(c, floor, &p); err != nil {
			return err
		}
	}
	if p.Sets() {
		ctx, cancel := desk.Waiting()
		defer cancel()
		var err error
		if p.Copy, err = s.secondPlace(ctx); err != nil {
			return err
		}
	}
	return s.send(c, p)
}

// ownStations are those of the bench that asks, none for a device that isn't bound to any.
func ownStations(c *fiber.Ctx) []plan.Station {
	if d := edge.DeviceOf(c); d != nil {
		return d.Stations
	}
	return nil
}

// countStations counts what stands at each station of the shop; one that is off is there as long as something does.
func countStations(shop plan.Layout, orders []*stations.Order) []home.StationCount {
	var counts []home.StationCount
	at := map[plan.Station]int{}
	for i, station := range passedBy(shop, orders) {
		counts = append(counts, home.StationCount{Station: station})
		at[station] = i
	}
	for _, o := range orders {
		if !onTheBooks(o) {
			continue
		}
		for _, t := range o.Tickets {
			switch here := &counts[at[t.Station()]]; t.State() {
			case stations.Ready:
				here.Ready++
			case stations.AtWork:
				here.AtWork++
			case stations.Held:
				here.Held++
			}
		}
	}
	return slices.DeleteFunc(counts, func(n home.StationCount) bool { return shop.Off(n.Station) && n.All() == 0 })
}

// mostUnreleased is how many orders the page looks at the cloth of: each has to be worked out.
const mostUnreleased = 20

// lookAtToday gathers what waits for the office.
func (s *Site) lookAtToday(c *fiber.Ctx, floor *stations.Floor, p *home.Page) error {
	for _, o := range floor.Orders() {
		if !onTheBooks(o) {
			continue
		}
		if err := s.addHeld(c, o, p); err != nil {
			return err
		}
		if o.State == stations.OrderTaken && len(p.Release) == mostUnreleased {
			p.MoreRelease++
		} else if o.State == stations.OrderTaken {
			row, err := s.unreleased(c, o, p.Today)
			if err != nil {
				return err
			}
			p.Release = append(p.Release, row)
		}
		if changed := changedPieces(o, p.Today); len(changed) > 0 {
			p.Changed = append(p.Changed, home.Changed{ID: o.ID, Customer: o.Customer, Pieces: changed})
		}
		switch row := urgent(o, s.Desk.Shop().Fittings.Layout.Stations(), p.Today); {
		case row.Late || row.AtRisk:
			p.Urgent = append(p.Urgent, row)
		case p.Next == nil && o.Due != "":
			p.Next = &row
		}
	}
	shortFirst(p.Release)
	p.Bill = billable(floor, s.Desk.Ready())
	p.Left, p.Idle = s.left(), s.idle()
	return nil
}

// left is customers' cloth that no order is to be cut from any more.
func (s *Site) left() (list []home.Left) {
	cloth := s.Stock()
	for _, b := range cloth.Left() {
		if n := len(list); n == 0 || list[n-1].Customer != b.Owner {
			list = append(list, home.Left{Customer: b.Owner})
		}
		of := &list[len(list)-1]
		of.Bolts = append(of.Bolts, remnantOf(cloth, b))
	}
	return list
}

func remnantOf(cloth stock.Stock, b *shelf.Bolt) home.Remnant {
	return home.Remnant{Code: b.Code, Cloth: cloth.Names(b.Cloth), Lot: b.Lot, Place: b.Place, Half: b.IsHalf(), Length: stock.Long(b.Rest, b.Units)}
}

// leftByForm: POST /today/left, what a customer said of their cloth: bolt, several; action give_back, keep or release_cloth; reason.
func (s *Site) leftByForm(c *fiber.Ctx) error {
	actor, _ := edge.ActorOf(c)
	ctx, cancel := desk.Waiting()
	defer cancel()
	did, customer, reason := shelf.Action(c.FormValue("action")), c.FormValue("customer"), strings.TrimSpace(c.FormValue("reason"))
	if !slices.Contains([]shelf.Action{shelf.GiveBack, shelf.Keep, shelf.ReleaseCloth}, did) {
		return desk.Refuse("bad_value", "action", "Value", string(did))
	}
	for _, code := range c.Request().PostArgs().PeekMulti("bolt") {
		b, err := s.BoltAsked(c, string(code))
		if err == nil && b.Owner != customer {
			err = desk.Refuse("not_customers_cloth", "bolt", "Bolt", string(code))
		}
		if err == nil {
			cmd := shelf.Command{Bolt: b.Code, Action: did, Reason: reason}
			if did == shelf.Keep {
				cmd.Customer = customer
			}
			_, err = s.Stock().Handle(ctx, stations.Handle{Actor: actor, Person: edge.PersonOf(c), Command: cmd})
		}
		if err != nil {
			return s.RefusedOn(c, err, s.showHomePage)
		}
	}
	return GoOn(c, "/?did="+string(did)+"&about="+url.QueryEscape(customer))
}

// mostIdle is how many remnants the page names; the others are counted.
const mostIdle = 5

// idle are the remnants that have lain unused for long.
func (s *Site) idle() (r home.Remnants) {
	cloth := s.Stock()
	list := cloth.Idle()
	for _, b := range list[:min(len(list), mostIdle)] {
		r.List = append(r.List, remnantOf(cloth, b))
	}
	r.More = len(list) - len(r.List)
	return r
}

// shortFirst puts the orders whose cloth doesn't do before those that can be released as they are.
func shortFirst(list []home.Unreleased) {
	lacks := func(o home.Unreleased) int { return min(len(o.Short)+len(o.Shared), 1) }
	slices.SortStableFunc(list, func(a, b home.Unreleased) int { return lacks(b) - lacks(a) })
}

// addHeld adds an order's held tickets to those that the office decides, those that their cloth holds and those that
// are stopped.
func (s *Site) addHeld(c *fiber.Ctx, o *stations.Order, p *home.Page) (err error) {
	for _, t := range o.Tickets {
		if t.State() != stations.Held {
			continue
		}
		switch held := s.heldOn(c, t); {
		case held.Cloth != nil:
			p.Lacking = append(p.Lacking, held)
		case held.ForOffice:
			if held.WouldBe, err = s.wouldBe(t); err != nil {
				return err
			}
			p.Decide = append(p.Decide, held)
		default:
			p.Stopped = append(p.Stopped, held)
		}
	}
	return nil
}

// heldOn lays out a held ticket for a page on which it is decided; what a refused try had typed comes back.
func (s *Site) heldOn(c *fiber.Ctx, t *stations.Ticket) views.Held {
	held := views.HeldOf(t, s.Desk.Today())
	held.Key = pageKey(t)
	asked, _ := stations.ParseCode(c.FormValue("code"))
	if asked == t.Spec.Code {
		held.Typed = c.FormValue("reason")
	}
	if held.Apart = s.apartOf(t); held.Apart != nil && asked == held.Apart.Mate.Code {
		held.Apart.Typed = c.FormValue("reason")
	}
	return held
}

// lackingOf are an order's cutting tickets that their cloth holds.
func (s *Site) lackingOf(c *fiber.Ctx, o *stations.Order) []views.Held {
	var list []views.Held
	for _, t := range o.Tickets {
		if now := t.Current(); now != nil && now.Cloth != nil {
			list = append(list, s.heldOn(c, t))
		}
	}
	return list
}

// apartOf lays out how a held panel differs from its mate, nil where that isn't why.
func (s *Site) apartOf(t *stations.Ticket) *views.Apart {
	now := t.Current()
	if now == nil || now.State != stations.Held || now.Pair == nil {
		return nil
	}
	floor := s.Desk.Store.Floor()
	mate := floor.Ticket(now.Pair.Mate)
	apart := views.ApartOf(floor, t, mate, s.Desk.Today())
	apart.Key = pageKey(mate)
	return apart
}

// pageKey is the key of the next command that a page sends about a ticket: it changes with the ticket, so that a form
// sent twice is one command.
func pageKey(t *stations.Ticket) string {
	return fmt.Sprintf("page-%s-%d", t.Spec.Code, t.Changed.UnixMicro())
}

// unreleased lays out an order that isn't on the floor yet, with what its cloth lacks.
func (s *Site) unreleased(c *fiber.Ctx, o *stations.Order, today string) (home.Unreleased, error) {
	row := home.Unreleased{ID: o.ID, Customer: o.Customer, Due: o.Due, Late: o.Late(today), AtRisk: o.AtRisk(today), NoCustomer: strings.TrimSpace(o.Customer) == ""}
	w, err := s.Desk.WorkupOf(o)
	if err != nil {
		return row, err
	}
	own, err := s.Desk.OwnPieces(o)
	if err != nil {
		return row, err
	}
	row.ToCome = desk.ToCome(own)
	row.Short, row.Shared = s.shortages(o, w), s.Desk.SharedBolts(o.ID, w)
	if edge.Param(c, "order") == o.ID {
		row.Typed = c.FormValue("reason")
	}
	return row, nil
}

// changedPieces are an order's panels that stay otherwise than its newest file has them.
func changedPieces(o *stations.Order, today string) []views.Piece {
	var pieces []views.Piece
	for _, t := range o.Tickets {
		if piece := views.PieceOf(t, today); len(piece.Kept) > 0 && !piece.Finished() {
			pieces = append(pieces, piece)
		}
	}
	return pieces
}

// mostHung is how many tickets of an order hang on its rod by name; with more it counts them.
const mostHung = 24

// urgent shows where an order's panels are.
func urgent(o *stations.Order, way []plan.Station, today string) home.UrgentOrder {
	order := orderRow(o, today, true)
	row := home.UrgentOrder{ID: o.ID, Customer: o.Customer, Due: o.Due, Late: order.Late, AtRisk: o.AtRisk(today), Taken: o.State == stations.OrderTaken,
		Held: order.Held, Panels: order.Panels, Finished: order.Finished}
	row.Rod = views.RodOf(views.PiecesOf(o.Tickets, today), way, len(o.Tickets) > mostHung)
	return row
}

// billable gathers the finished panels that stand on no invoice.
func billable(floor *stations.Floor, ready []desk.Ready) []home.Billable {
	var rows []home.Billable
	prices := floor.Prices()
	unpriced := map[string]bool{}
	awaiting := floor.AwaitingMates()
	for _, t := range ready {
		if awaiting[t.Spec.Code] {
			continue
		}
		if last := len(rows) - 1; last < 0 || rows[last].Customer != t.To {
			rows = append(rows, home.Billable{Customer: t.To})
		}
		row := &rows[len(rows)-1]
		row.Panels = append(row.Panels, t.Spec.Code)
		if !slices.Contains(row.Orders, t.Order) {
			row.Orders = append(row.Orders, t.Order)
		}
		price, ok := prices.Price(string(t.Spec.Heading), string(t.Spec.HeadingLike), t.Spec.Widths)
		switch {
		case !ok:
			row.Total, unpriced[t.To] = nil, true
		case unpriced[t.To]:
		case row.Total == nil:
			row.Total = &price
		default:
			row.Total.Minor += price.Minor
		}
	}
	return rows
}

// todayDid are what a decision of the page says when it is done, by what was done to a ticket.
var todayDid = map[stations.Action]bool{stations.Accept: true, stations.SendBack: true, stations.Remake: true, stations.Resume: true}

// toToday is the address of the page that says what was done to a ticket or an order.
func toToday(did, about string) string {
	return "/?" + url.Values{"did": {did}, "about": {about}}.Encode()
}

// answerToday says what was decided, by the page's address.
func (s *Site) answerToday(c *fiber.Ctx) *views.Answer {
	say, did, about := s.Printer(c), c.Query("did"), c.Query("about")
	if !s.frame(c, s.Desk.Store.Floor()).Office() || about == "" {
		return s.answerAfter(c)
	}
	if did == "released" && s.Desk.Store.Floor().Order(about) != nil {
		return &views.Answer{Text: say.T("today.did.released", "Order", about)}
	}
	if i18n.Has("today.left.did." + did) {
		return &views.Answer{Text: say.T("today.left.did."+did, "Customer", about)}
	}
	t := s.Desk.Store.Floor().Ticket(plan.Code(about))
	if t == nil || !todayDid[stations.Action(did)] {
		return nil
	}
	return &views.Answer{Text: say.T("today.did."+did, "Piece", s.Views(c).PieceName(views.PieceOf(t, s.Desk.Today())), "Order", t.Order,
		"Station", say.Station(t.Station()), "New", string(t.RemadeAs))}
}

// findTicket: GET /t?code=…, a code that somebody typed; without one, where to type or photograph it.
func (s *Site) findTicket(c *fiber.Ctx) error {
	typed := strings.TrimSpace(c.Query("code"))
	if typed == "" {
		return s.showFindPage(c, nil)
	}
	code, err := stations.ParseCode(typed)
	if err != nil {
		return err
	}
	return GoOn(c, "/t/"+url.PathEscape(string(code)))
}

// onTheBooks reports whether an order still has work before it.
func onTheBooks(o *stations.Order) bool {
	return o.State == stations.OrderTaken || o.State == stations.OrderReleased
}
