package revision

import (
	"slices"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/stations/plan"
)

// Panel is a panel of the order as it stands: its ticket, and that ticket as the order's newest file has it.
type Panel struct{ Ticket, Newest *plan.Ticket }

// SameWindows says which treatment of the order, as it stands, each of a new file's is: that of the same window and room, or kind of piece and text, else one that
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
	// match pairs windows of one key: each with the first that is left and alike. Only within a key are they compared,
	// since an order may have thousands.
	match := func(key func(s *plan.Ticket) any, ofWas func(was *Panel) *plan.Ticket, alike func(was *Panel, is *plan.Ticket) bool) {
		left := map[any][]int{}
		for k, was := range were {
			if was != nil {
				left[key(ofWas(was))] = append(left[key(ofWas(was))], k)
			}
		}
		for i, is := range are {
			if is == nil {
				continue
			}
			list := left[key(is)]
			if n := slices.IndexFunc(list, func(k int) bool { return alike(were[k], is) }); n >= 0 {
				k := list[n]
				same[is.Treatment], are[i], were[k] = were[k].Ticket.Treatment, nil, nil
				left[key(is)] = slices.Delete(list, n, n+1)
			}
		}
	}
	match(func(s *plan.Ticket) any { return [3]string{string(s.Piece), s.Window, s.Room} },
		func(was *Panel) *plan.Ticket { return was.Ticket }, func(*Panel, *plan.Ticket) bool { return true })
	match(func(s *plan.Ticket) any {
		return size{s.Heading, s.Piece, s.Widths, s.Value("finished_length"), s.Value("flat_width")}
	},
		func(was *Panel) *plan.Ticket { return was.Newest },
		func(was *Panel, is *plan.Ticket) bool {
			return is.Panel == was.Ticket.Panel && onlyRenamed(was.Newest, is)
		})
	return same
}

// size is what two windows that are the same under another name have in common, among much else.
type size struct {
	heading      orderfile.Heading
	piece        orderfile.PieceKind
	widths       measure.Halves
	length, flat measure.Quantity
}
