package web

import (
	"cmp"
	"slices"
	"time"

	"github.com/gofiber/fiber/v2"

	"tablehand/stations"
	"tablehand/stations/plan"
	"tablehand/views"
	"tablehand/views/page/screen"
)

// screenPage: GET /screen, the wall's.
func (s *Site) screenPage(c *fiber.Ctx) error {
	floor, shop := s.Desk.Store.Floor(), s.Desk.Shop()
	p := wallOf(floor, s.Desk.Clock().In(shop.Zone))
	p.Frame, p.Zone = s.frame(c, floor), shop.ZoneName
	return s.send(c, p)
}

// wallOf gathers the shop's day as it is now, in the shop's zone. It looks at each ticket once.
func wallOf(floor *stations.Floor, now time.Time) screen.Page {
	today := now.Format(time.DateOnly)
	at, busy := map[plan.Station]*workplace{}, false
	orders := slices.DeleteFunc(slices.Clone(floor.Orders()), func(o *stations.Order) bool { return !onTheBooks(o) })
	for _, station := range passedBy(orders) {
		at[station] = &workplace{}
	}
	for _, o := range orders {
		for _, t := range o.Tickets {
			busy = busy || t.Current() != nil
			here := at[t.Station()]
			switch t.State() {
			case stations.AtWork:
				here.atWork = append(here.atWork, t)
			case stations.Ready:
				here.ready = append(here.ready, t)
			case stations.Held:
				here.held = append(here.held, t)
			}
		}
	}
	done := doneToday(floor, now)
	p := screen.Page{}
	for _, n := range done {
		p.Done += n
	}
	if !busy {
		return p
	}
	for _, station := range inUse(orders) {
		lane, held := laneOf(at[station], today)
		lane.Station, lane.Done = station, done[station]
		p.Held += held
		p.Late += lane.Late
		p.AtRisk += lane.AtRisk
		p.Lanes = append(p.Lanes, lane)
	}
	return p
}

// laneOf shows what is at a station, and how much of it is held. By due date, what is late stands first, then what is
// due soon; of one date the held ones come last. What is far from its turn is only counted.
func laneOf(b *workplace, today string) (lane screen.Lane, held int) {
	queue := slices.Concat(b.ready, b.held)
	slices.SortStableFunc(queue, func(a, b *stations.Ticket) int {
		return cmp.Compare(cmp.Or(a.Due, "9"), cmp.Or(b.Due, "9")) // without a date: last
	})
	lane.AtWork = views.PiecesOf(b.atWork, today)
	calm := 0
	for _, t := range queue {
		if presses := t.State() == stations.Held || stations.PastDue(t.Due, today) || stations.DueSoon(t.Due, today); !presses {
			calm++
			if calm > screen.WallQueue {
				lane.More++
				continue
			}
		}
		lane.Queue = append(lane.Queue, views.PieceOf(t, today))
	}
	for _, pieces := range [][]views.Piece{lane.AtWork, lane.Queue} {
		for i := range pieces {
			lane.Late += count(pieces[i].Late)
			lane.AtRisk += count(pieces[i].AtRisk)
			held += count(pieces[i].Held())
		}
	}
	return lane, held
}

// doneToday counts the steps that were finished since midnight, by station. Of a panel's cloth the cutting ticket
// counts, not the panel; what was sent back since is to be done again and doesn't count.
func doneToday(floor *stations.Floor, now time.Time) map[plan.Station]int {
	year, month, day := now.Date()
	midnight := time.Date(year, month, day, 0, 0, 0, 0, now.Location())
	done := map[plan.Station]int{}
	for _, o := range floor.Orders() {
		for _, t := range o.Tickets {
			if t.Changed.Before(midnight) { // nothing of it was done today
				continue
			}
			for i := range t.Steps {
				step := &t.Steps[i]
				byOthers := step.Spec.Station == plan.Cutting && t.Spec.Kind == plan.PanelTicket
				if step.State == stations.Finished && !step.Ended.Before(midnight) && !byOthers {
					done[step.Spec.Station]++
				}
			}
		}
	}
	return done
}
