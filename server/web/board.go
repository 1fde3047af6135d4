package web

import (
	"fmt"
	"html/template"
	"iter"
	"slices"
	"strings"

	"github.com/gofiber/fiber/v2"

	"tablehand/server/edge"
	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views"
	"tablehand/views/page/board"
)

// boardPage: GET /board, what of it the address asks for: ?find= any words, ?station=, ?state=. A browser that has the
// page already says so, and is sent only the rods that have changed since.
func (s *Site) boardPage(c *fiber.Ctx) error {
	floor := s.Desk.Store.Floor()
	p := board.Page{Frame: s.frame(c, floor), Filter: s.boardFilter(c), Layout: s.Desk.Shop().Fittings.Layout}
	unfinished := slices.DeleteFunc(slices.Clone(floor.Orders()), func(o *stations.Order) bool { return !onTheBooks(o) })
	for _, station := range inUse(s.Desk.Shop().Fittings.Layout, unfinished) {
		p.Columns = append(p.Columns, board.Column{Station: station, Label: board.Label(s.Views(c), station)})
	}
	p.Orders = len(unfinished)
	if err := s.hangRods(c, &p, unfinished); err != nil {
		return err
	}
	for _, o := range floor.Orders() {
		if o.State != stations.OrderFinished {
			continue
		}
		_, whole, err := s.asked(o, &p, wordsOf(p.Filter.Find))
		if err != nil {
			return err
		}
		if whole {
			p.Finished = append(p.Finished, orderRow(o, p.Today, p.Books()))
		}
	}
	return s.send(c, p)
}

// boardFilter reads what the address asks for; what isn't there to be asked for asks for nothing.
func (s *Site) boardFilter(c *fiber.Ctx) board.Filter {
	f := board.Filter{Find: strings.TrimSpace(c.Query("find")), Station: plan.Station(c.Query("station")), State: c.Query("state")}
	f.Find = firstBytes(f.Find, edge.MaxName)
	if !s.Desk.Shop().Fittings.Layout.Has(f.Station) {
		f.Station = ""
	}
	if !slices.Contains(board.States(), f.State) {
		f.State = ""
	}
	return f
}

// firstBytes returns the beginning of a text, at most so many bytes of it.
func firstBytes(text string, most int) string {
	if len(text) <= most {
		return text
	}
	return strings.ToValidUTF8(text[:most], "")
}

// hangRods puts the rods that are asked for on the page, and counts what is late, due soon and held of all.
func (s *Site) hangRods(c *fiber.Ctx, p *board.Page, orders []*stations.Order) error {
	rack := &s.pages.rack
	at := map[plan.Station]*board.Column{}
	look := fmt.Sprint(s.Printer(c).Language(), p.Books(), p.Reads(), p.Today, s.Desk.Shop().PrintSidemark, s.Desk.Shop().Words.Digest())
	for i := range p.Columns {
		column := &p.Columns[i]
		at[column.Station] = column
		look += " " + string(column.Station)
	}
	view := fmt.Sprint(look, p.Filter)
	seen := seenBefore(c.Get(seenHeader), view, p.Seq)
	p.Seen = seenNow(view, p.Seq)
	rack.keepOnly(orders)
	words, v := wordsOf(p.Filter.Find), s.Views(c)
	for _, o := range orders {
		late, risk, held := o.Late(p.Today), o.AtRisk(p.Today), heldOf(o)
		p.Late, p.AtRisk, p.Held = p.Late+count(late), p.AtRisk+count(risk), p.Held+held
		tickets, whole, err := s.asked(o, p, words)
		if err != nil {
			return err
		}
		if !whole && len(tickets) == 0 {
			continue
		}
		for _, t := range tickets {
			if now := t.Current(); now != nil && at[now.Spec.Station] != nil {
				at[now.Spec.Station].Count++
			}
		}
		if rack.unchanged(o, p.Seq) <= seen {
			p.Rods = append(p.Rods, board.HungRod{ID: o.ID})
			continue
		}
		render := func() (template.HTML, error) {
			rod := rodOf(o, tickets, p)
			if rod.Sidemark, err = s.sidemark(o); err != nil {
				return "", err
			}
			return rod.Render(v), nil
		}
		html, err := template.HTML(""), error(nil)
		if whole {
			html, err = rack.rod(o, look, render)
		} else {
			html, err = render()
		}
		if err != nil {
			return err
		}
		p.Rods = append(p.Rods, board.HungRod{ID: o.ID, HTML: html})
	}
	return nil
}

// asked returns the tickets of an order that the board is asked for; whole reports whether that is the order as it is.
func (s *Site) asked(o *stations.Order, p *board.Page, words []string) (tickets []*stations.Ticket, whole bool, err error) {
	f := p.Filter
	switch {
	case !f.Asks():
		return o.Tickets, true, nil
	case f.State == "late" && !o.Late(p.Today), f.State == "risk" && !o.AtRisk(p.Today), f.State == "taken" && o.State != stations.OrderTaken:
		return nil, false, nil
	}
	matches := func(int) bool { return true }
	whole = f.Station == "" && f.State != "held" && f.State != "at_work" && f.State != "ready"
	if len(words) > 0 {
		known, err := s.wordsOfOrder(o, p.Today)
		if err != nil {
			return nil, false, err
		}
		if !known.order(words, p.Books()) {
			whole = false
			matches = func(i int) bool { return known.ticket(i, words, p.Books()) }
		}
	}
	if whole {
		return o.Tickets, true, nil
	}
	for i, t := range o.Tickets {
		now := t.Current()
		if now == nil || !matches(i) || f.Station != "" && now.Spec.Station != f.Station {
			continue
		}
		if state := stations.State(f.State); (state == stations.Held || state == stations.AtWork || state == stations.Ready) && now.State != state {
			continue
		}
		tickets = append(tickets, t)
	}
	return tickets, false, nil
}

func count(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

// heldOf counts an order's tickets on hold.
func heldOf(o *stations.Order) int {
	n := 0
	for _, t := range o.Tickets {
		n += count(t.State() == stations.Held)
	}
	return n
}

// passedBy are the shop's stations, and behind them those that only tickets of the orders know: a ledger of another program may
// have a station that this one hasn't, and what stands there is shown there.
func passedBy(shop plan.Layout, orders []*stations.Order) []plan.Station {
	all := shop.Stations()
	for way := range ways(orders) {
		for i := range way.Steps {
			if !slices.Contains(all, way.Steps[i].Station) {
				all = append(all, way.Steps[i].Station)
			}
		}
	}
	return all
}

// inUse are the stations that the orders' tickets pass, in the order of the work; all where no ticket is out. A shop
// that sets no pleats by hand needn't look past the stations of those that do.
func inUse(shop plan.Layout, orders []*stations.Order) []plan.Station {
	passed := map[plan.Station]bool{}
	for way, cancelled := range ways(orders) {
		for i := range way.Steps {
			passed[way.Steps[i].Station] = passed[way.Steps[i].Station] || !cancelled
		}
	}
	used := slices.DeleteFunc(passedBy(shop, orders), func(s plan.Station) bool { return !passed[s] })
	if len(used) == 0 {
		return shop.Open()
	}
	return used
}

// ways goes through the orders' tickets and whether each is cancelled, past those that go the way of the one before: most of an
// order's panels do, and a floor of thousands is gone through at each look at the board.
func ways(orders []*stations.Order) iter.Seq2[*plan.Ticket, bool] {
	return func(yield func(*plan.Ticket, bool) bool) {
		var last *stations.Ticket
		for _, o := range orders {
			for _, t := range o.Tickets {
				if last != nil && last.Cancelled == t.Cancelled && sameWay(last.Spec.Steps, t.Spec.Steps) {
					continue
				}
				if last = t; !yield(t.Spec, t.Cancelled) {
					return
				}
			}
		}
	}
}

// sameWay reports whether two tickets' steps are at the same stations.
func sameWay(a, b []plan.Step) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i].Station != b[i].Station {
			return false
		}
	}
	return true
}

// rodOf hangs those of an order's tickets that are asked for at their stations. Finished panels are only counted, and
// cutting tickets are gone when their cloth is cut.
func rodOf(o *stations.Order, asked []*stations.Ticket, p *board.Page) board.Rod {
	row := orderRow(o, p.Today, p.Books())
	rod := board.Rod{
		ID: o.ID, Customer: row.Customer, Today: p.Today, Books: p.Books(), Reads: p.Reads(), Due: o.Due, State: o.State, Late: row.Late, AtRisk: o.AtRisk(p.Today),
		Held: row.Held, Panels: row.Panels, Finished: row.Finished,
	}
	at := map[plan.Station][]*views.Piece{}
	pieces := views.PiecesOf(asked, p.Today)
	for i := range pieces {
		piece := &pieces[i]
		if !piece.Finished() && piece.State != stations.Cancelled {
			at[piece.Station] = append(at[piece.Station], piece)
		}
	}
	for _, column := range p.Columns {
		hanging := board.Hang(column.Station, at[column.Station])
		hanging.Label = column.Label
		rod.Hanging = append(rod.Hanging, hanging)
	}
	return rod
}

// workplace is what is at the stations of one bench: at work, ready and held, in the order of the queue, which is that of the due
// dates, so late pieces stand first.
type workplace struct {
	atWork, ready, held []*stations.Ticket
	coming              int // still at an earlier station
}

// workplaceAt gathers what is at a bench's stations and on its way there.
func workplaceAt(floor *stations.Floor, bench []plan.Station) workplace {
	var b workplace
	for _, o := range floor.Orders() {
		if !onTheBooks(o) {
			continue
		}
		for _, t := range o.Tickets {
			switch {
			case t.Current() == nil:
			case !slices.Contains(bench, t.Station()):
				if comes(t, bench) {
					b.coming++
				}
			case t.State() == stations.AtWork:
				b.atWork = append(b.atWork, t)
			case t.State() == stations.Ready:
				b.ready = append(b.ready, t)
			case t.State() == stations.Held:
				b.held = append(b.held, t)
			}
		}
	}
	return b
}

// comes reports whether a ticket has one of a bench's stations still before it.
func comes(t *stations.Ticket, bench []plan.Station) bool {
	for i := t.At + 1; i < len(t.Steps); i++ {
		if slices.Contains(bench, t.Steps[i].Spec.Station) {
			return true
		}
	}
	return false
}

// orderRow counts an order's panels; the customer is for those alone who see the books.
func orderRow(o *stations.Order, today string, books bool) views.OrderRow {
	row := views.OrderRow{ID: o.ID, Due: o.Due, State: o.State, Late: o.Late(today), Held: heldOf(o)}
	if books {
		row.Customer = o.Customer
	}
	for _, t := range o.Tickets {
		if t.Spec.Kind != plan.CuttingTicket && !t.Cancelled {
			row.Panels++
			row.Finished += count(t.State() == stations.Finished)
		}
	}
	return row
}
