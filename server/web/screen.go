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
	p := wallOf(shop.Fittings.Layout, floor, s.Desk.Clock().In(shop.Zone))
	p.Frame, p.Zone = s.frame(c, floor), shop.ZoneName
	p.Sidemarks = map[string]string{}
	for _, id := range p.Named() {
		mark, err := s.sidemark(floor.Order(id))
		if err != nil {
			return err
		}
		p.Sidemarks[id] = mark
	}
	return s.send(c, p)
}

// sidemark returns an order's sidemark where the shop's settings say that it may be shown, else "". The error is of reading
// the order's file.
func (s *Site) sidemark(o *stations.Order) (string, error) {
	if !s.Desk.Shop().PrintSidemark {
		return "", nil
	}
	mark, err := s.Desk.SidemarkOf(o)
	return mark.Name, err
}

// wallOf gathers the shop's day as it is now, in the shop's zone. It looks at each ticket once.
func wallOf(shop plan.Layout, floor *stations.Floor, now time.Time) screen.Page {
	today := now.Format(time.DateOnly)
	at, busy := map[plan.Station]*workplace{}, false
	orders := slices.DeleteFunc(slices.Clone(floor.Orders()), func(o *stations.Order) bool { return !onTheBooks(o) })
	for _, station := range passedBy(shop, orders) {
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
	p := screen.Page{Done: doneToday(floor, now)}
	if !busy {
		return p
	}
	for _, station := range inUse(shop, orders) {
		lane := laneOf(at[station], today)
		lane.Station = station
		counts := lane.Counts()
		p.Held += counts.Held
		p.Late += counts.Late
		p.AtRisk += counts.AtRisk
		p.Lanes = append(p.Lanes, lane)
	}
	return p
}

// laneOf shows what is at a station: all that hangs there, and of what is at work, held and next what the wall names.
func laneOf(b *workplace, today string) (lane screen.Lane) {
	for _, tickets := range [][]*stations.Ticket{b.atWork, b.ready, b.held} {
		for _, t := range tickets {
			lane.Here = append(lane.Here, screen.Look{
				AtWork: t.State() == stations.AtWork, Held: t.State() == stations.Held, Bolt: t.Spec.Kind == plan.CuttingTicket,
				Late: stations.PastDue(t.Due, today), AtRisk: stations.DueSoon(t.Due, today),
			})
		}
	}
	lane.AtWork = views.PiecesOf(b.atWork, today)
	lane.Held = views.PiecesOf(firstDue(b.held, screen.MostHeld), today)
	lane.Next = views.PiecesOf(firstDue(b.ready, 2), today) // both of a window
	return lane
}

// firstDue returns the tickets that are due first, at most so many; those without a date come last.
func firstDue(tickets []*stations.Ticket, most int) []*stations.Ticket {
	byDue := slices.Clone(tickets)
	slices.SortStableFunc(byDue, func(a, b *stations.Ticket) int { return cmp.Compare(cmp.Or(a.Due, "9"), cmp.Or(b.Due, "9")) })
	return byDue[:min(most, len(byDue))]
}

// doneToday counts the steps that were finished since midnight. Of a panel's cloth the cutting ticket counts, not the panel; what was
// sent back since is to be done again and doesn't count.
func doneToday(floor *stations.Floor, now time.Time) (done int) {
	year, month, day := now.Date()
	midnight := time.Date(year, month, day, 0, 0, 0, 0, now.Location())
	for _, o := range floor.Orders() {
		for _, t := range o.Tickets {
			if t.Changed.Before(midnight) { // nothing of it was done today
				continue
			}
			for i := range t.Steps {
				step := &t.Steps[i]
				byOthers := step.Spec.Station == plan.Cutting && t.Spec.IsCut()
				done += count(step.State == stations.Finished && !step.Ended.Before(midnight) && !byOthers)
			}
		}
	}
	return done
}
