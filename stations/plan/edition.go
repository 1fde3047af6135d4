package plan

import (
	"slices"
)

// edition counts the sets of numbers that tickets have had. A ticket of an older one lacks some because the program
// didn't know them then, not because its panel has none: it is shown and printed without them, and a revision finds no
// change in that.
const edition = 2

// since says with which edition a number or word came, where it wasn't the first.
var since = map[string]int{
	"tape": 2, "pleat_marks": 2, "interlining": 2, "interlining_widths": 2, "interlining_cut_length": 2,
	"lining_width": 2, "lining_surplus": 2, "lining_lift": 2, "lining_trim": 2,
	"hooks": 2, "hook_drop": 2, "weights": 2, "weight_places": 2, "weight_cord": 2,
}

// Known leaves out the names that one of two tickets is too old for.
func Known(names []string, a, b *Ticket) []string {
	return slices.DeleteFunc(names, func(name string) bool { return since[name] > max(1, min(a.Edition, b.Edition)) })
}
