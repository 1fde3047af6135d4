package server

import (
	"cmp"
	"io"
	"slices"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/stations"
	"tablehand/views"
)

// screenPage: GET /screen, the wall's.
func (s *Server) screenPage(c *fiber.Ctx) error {
	floor, shop := s.Store.Floor(), s.shop()
	p := wallOf(floor, s.Clock().In(shop.Zone))
	p.Frame, p.Zone = s.frame(c, floor), shop.ZoneName
	return sendPage(c, func(w io.Writer) error { return s.viewsFor(c).Screen(w, p) })
}

// wallOf gathers the shop's day as it is now, in the shop's zone. It looks at each ticket once.
func wallOf(floor *stations.Floor, now time.Time) views.ScreenPage {
	today := now.Format(time.DateOnly)
	at, busy := map[stations.Station]*views.Lane{}, false
	for _, station := range stations.Stations() {
		at[station] = &views.Lane{Station: station}
	}
	orders := slices.DeleteFunc(slices.Clone(floor.Orders()), func(o *stations.Order) bool { return !onTheBooks(o) })
	for _, o := range orders {
		for _, t := range o.Tickets {
			busy = busy || t.Current() != nil
			lane := at[t.Station()]
			switch t.State() {
			case stations.AtWork:
				lane.AtWork = append(lane.AtWork, views.PieceOf(t, today))
			case stations.Ready, stations.Held:
				lane.Queue = append(lane.Queue, views.PieceOf(t, today))
			}
		}
	}
	p := views.ScreenPage{Done: doneToday(floor, now, at)}
	if !busy {
		return p
	}
	for _, station := range inUse(orders) {
		lane := at[station]
		p.Held += settle(lane)
		p.Late += lane.Late
		p.AtRisk += lane.AtRisk
		p.Lanes = append(p.Lanes, *lane)
	}
	return p
}

// settle puts a lane into its order, counts it, and leaves out what is far from its turn. It returns how many of the
// lane's pieces are held.
func settle(lane *views.Lane) (held int) {
	for _, pieces := range [][]views.Piece{lane.AtWork, lane.Queue} {
		slices.SortStableFunc(pieces, byUrgency)
		for _, p := range pieces {
			lane.Late += one(p.Late)
			lane.AtRisk += one(p.AtRisk)
			held += one(p.Held())
		}
	}
	calm := 0
	lane.Queue = slices.DeleteFunc(lane.Queue, func(p views.Piece) bool {
		calm += one(!p.Late && !p.AtRisk && !p.Held())
		leaveOut := calm > views.WallQueue && !p.Late && !p.AtRisk && !p.Held()
		lane.More += one(leaveOut)
		return leaveOut
	})
	return held
}

// byUrgency puts late pieces before those at risk and both before others, then goes by the due date, then puts ready
// before held.
func byUrgency(a, b views.Piece) int {
	urgency := func(p views.Piece) int { return one(!p.Late) + one(!p.Late && !p.AtRisk) }
	due := func(p views.Piece) string { return cmp.Or(p.Due, "9") } // without a date: last
	return cmp.Or(cmp.Compare(urgency(a), urgency(b)), cmp.Compare(due(a), due(b)), cmp.Compare(one(a.Held()), one(b.Held())))
}

func one(is bool) int {
	if is {
		return 1
	}
	return 0
}

// doneToday counts the steps that were finished since midnight, by station and in all. Of a panel's cloth the cutting
// ticket counts, not the panel; what was sent back since is to be done again and doesn't count.
func doneToday(floor *stations.Floor, now time.Time, at map[stations.Station]*views.Lane) (all int) {
	year, month, day := now.Date()
	midnight := time.Date(year, month, day, 0, 0, 0, 0, now.Location())
	for _, o := range floor.Orders() {
		for _, t := range o.Tickets {
			if t.Changed.Before(midnight) { // nothing of it was done today
				continue
			}
			for i := range t.Steps {
				step := &t.Steps[i]
				byOthers := step.Spec.Station == stations.Cutting && t.Spec.Kind == stations.PanelTicket
				if step.State == stations.Finished && !step.Ended.Before(midnight) && !byOthers {
					at[step.Spec.Station].Done++
					all++
				}
			}
		}
	}
	return all
}
