package server

import (
	"io"
	"slices"

	"github.com/gofiber/fiber/v2"

	"tablehand/stations"
	"tablehand/views"
)

// mostHanging is how many pieces of an order hang at one station before the rest is only counted.
const mostHanging = 24

// boardPage: GET /board.
func (s *Server) boardPage(c *fiber.Ctx) error {
	floor, today := s.Store.Floor(), s.today()
	orders := slices.DeleteFunc(slices.Clone(floor.Orders()), func(o *stations.Order) bool {
		return !onTheBooks(o) && o.State != stations.OrderFinished
	})
	p := views.BoardPage{Frame: s.frame(c, floor), Stations: inUse(orders)}
	for _, o := range orders {
		rod := rodOf(o, p.Stations, today)
		if rod.Late {
			p.Late++
		}
		p.Held += rod.Held
		p.Rods = append(p.Rods, rod)
	}
	return sendPage(c, func(w io.Writer) error { return s.viewsFor(c).Board(w, p) })
}

// inUse are the stations that the orders' tickets pass, in the order of the work; all where no ticket is out. A shop
// that sets no pleats by hand needn't look past the stations of those that do.
func inUse(orders []*stations.Order) []stations.Station {
	passed := map[stations.Station]bool{}
	for _, o := range orders {
		for _, t := range o.Tickets {
			for i := range t.Spec.Steps {
				passed[t.Spec.Steps[i].Station] = passed[t.Spec.Steps[i].Station] || !t.Cancelled
			}
		}
	}
	used := slices.DeleteFunc(stations.Stations(), func(s stations.Station) bool { return !passed[s] })
	if len(used) == 0 {
		return stations.Stations()
	}
	return used
}

// rodOf hangs an order's tickets at their stations. Finished panels hang at the last, cutting tickets are gone when
// their cloth is cut.
func rodOf(o *stations.Order, shown []stations.Station, today string) views.Rod {
	rod := views.Rod{ID: o.ID, Customer: o.Customer, Due: o.Due, State: o.State, Late: o.Late(today)}
	at := map[stations.Station]int{}
	for i, station := range shown {
		rod.Hanging = append(rod.Hanging, views.Hanging{Station: station})
		at[station] = i
	}
	for _, piece := range views.PiecesOf(o.Tickets, today) {
		if piece.State == stations.Cancelled || piece.IsCutting() && piece.Finished() {
			continue
		}
		if !piece.IsCutting() {
			rod.Panels++
			if piece.Finished() {
				rod.Finished++
			}
		}
		if piece.Held() {
			rod.Held++
		}
		here := &rod.Hanging[at[piece.Station]]
		if len(here.Pieces) == mostHanging {
			here.More++
			continue
		}
		here.Pieces = append(here.Pieces, piece)
	}
	return rod
}

// bench is what is at one station: at work, ready and held, in the order of the queue, which is that of the due
// dates, so late pieces stand first.
type bench struct {
	atWork, ready, held []*stations.Ticket
	coming              int // still at an earlier station
}

// benchAt gathers what is at a station and on its way there.
func benchAt(floor *stations.Floor, station stations.Station) bench {
	var b bench
	for _, o := range floor.Orders() {
		if !onTheBooks(o) {
			continue
		}
		for _, t := range o.Tickets {
			switch {
			case t.Current() == nil:
			case t.Station() != station:
				if comes(t, station) {
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

// comes reports whether a ticket has a station still before it.
func comes(t *stations.Ticket, station stations.Station) bool {
	for i := t.At + 1; i < len(t.Steps); i++ {
		if t.Steps[i].Spec.Station == station {
			return true
		}
	}
	return false
}
