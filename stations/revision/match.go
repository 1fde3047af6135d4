package revision

import (
	"slices"

	"tablehand/stations/plan"
)

// Panel is a panel of the order as it stands: its ticket, and that ticket as the order's newest file has it.
type Panel struct{ Ticket, Newest *plan.Ticket }

// SameWindows says which treatment of the order, as it stands, each of a new file's is: that of the same window and room, else one that
// is the same under another name. Both lists are in file order.
func SameWindows(order []Panel, planned []plan.Ticket) map[int]int {
	var were []*Panel // one panel of each window
	var are []*plan.Ticket
	seen := map[int]bool{}
	for i := range order {
		if treatment := order[i].Ticket.Treatment; !seen[treatment] {
			seen[treatment] = true
			were = append(were, &order[i])
		}
	}
	slices.SortStableFunc(were, func(x, y *Panel) int {
		a, b := x.Ticket.Treatment, y.Ticket.Treatment
		if (a < 0) != (b < 0) { // a window removed before comes back only as the last choice
			return b - a
		}
		return a - b
	})
	for i := range planned {
		if i == 0 || planned[i].Treatment != planned[i-1].Treatment {
			are = append(are, &planned[i])
		}
	}
	same := map[int]int{}
	match := func(alike func(was *Panel, is *plan.Ticket) bool) {
		for i, is := range are {
			k := slices.IndexFunc(were, func(was *Panel) bool { return is != nil && was != nil && alike(was, is) })
			if k >= 0 {
				same[is.Treatment], are[i], were[k] = were[k].Ticket.Treatment, nil, nil
			}
		}
	}
	match(func(was *Panel, is *plan.Ticket) bool {
		return was.Ticket.Window == is.Window && was.Ticket.Room == is.Room
	})
	match(func(was *Panel, is *plan.Ticket) bool {
		return is.Panel == was.Ticket.Panel && onlyRenamed(was.Newest, is)
	})
	return same
}
