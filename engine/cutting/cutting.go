// Package cutting places cuts on bolts: in order, around flaws, each start on the pattern's phase, the cuts of a
// group from one dye lot. Along one cloth it finds the order that uses the least (LeastRun); over several bolts package
// cutplan finds the best plan and proves it.
package cutting

import "tablehand/engine/measure"

// Problem is one fabric's cuts and the bolts on hand.
type Problem struct {
	VerticalRepeat measure.Length // 0: plain cloth, a cut may start anywhere
	Bolts          []Bolt
	Cuts           []Cut

	// Place takes what follows for nothing; who plans goes by it.

	Kerf         measure.Length // lost between two cuts that lie one behind the other; none at flaws and ends
	EndAllowance measure.Length // what is left at each end of a bolt
	MinRemnant   measure.Length // what stays of a piece is kept from this length on
	// Bound names the lots of groups that have pieces already; what is wanted of them comes from those.
	Bound map[string][]string
	Aim   Aim
}

// Aim is what a plan wants least of, once as little as can be is without a place.
type Aim string

const (
	FewestBolts Aim = "bolts"  // opened that weren't; the least length of them; the longest single remnant
	LeastLength Aim = "length" // of all that is cut from
	LeastCost   Aim = "cost"   // the same
)

// Bolt is one length of cloth. Its pattern stands at FirstRepeat + k·V, k from 0.
type Bolt struct {
	ID          string
	Length      measure.Length
	Lot         string
	FirstRepeat measure.Length
	Flaws       []Span

	// As in the problem, Place takes what follows for nothing.

	// VerticalRepeat is the bolt's own where it was measured otherwise than the fabric's, 0 where it wasn't. The starts of
	// cuts are as far along it as they are along the fabric's.
	VerticalRepeat measure.Length
	Remnant        bool  // a piece that was kept: to cut from it opens nothing
	Opened         bool  // a bolt that was cut from before: the same
	Cost           int64 // under LeastCost; 0 is free
	Half           bool  // half as wide as the others: nothing but halves are laid on it
}

// Opens reports whether cutting from a bolt opens one.
func (b *Bolt) Opens() bool { return !b.Remnant && !b.Opened }

// Pattern is the repeat of a bolt, and where along it the cuts of a phase begin.
func (p *Problem) Pattern(b *Bolt, start measure.Length) (repeat, begin measure.Length) {
	own := b.VerticalRepeat
	if own == 0 || own == p.VerticalRepeat || p.VerticalRepeat == 0 {
		return p.VerticalRepeat, start
	}
	if start == p.VerticalRepeat.Div(2) {
		return own, own.Div(2) // not rounded twice
	}
	return own, own.MulDiv(int64(start), int64(p.VerticalRepeat))
}

// Span is a stretch along a bolt; cuts may touch it but not overlap it.
type Span struct{ From, To measure.Length }

// Cut is one piece to cut.
type Cut struct {
	ID     string // unique in the problem
	Length measure.Length
	Group  string // cuts of one group come from one lot; the planner takes those of none each for itself
	// Start is how far behind the pattern's stand it starts, from 0 to less than a repeat: half a repeat for the second cuts of a
	// half-drop. Plain cloth has none.
	Start measure.Length
	// Anywhere says that no pattern is matched on it: it may start wherever there is room, whatever its Start.
	Anywhere bool
	// Half says that half a width does: Place takes a whole one for it.
	Half bool
}

// Placement is one cut on its bolt.
type Placement struct {
	Cut      string
	Bolt     string
	From, To measure.Length
}

// Plan is what Place found.
type Plan struct {
	Placements []Placement // by bolt in the order given, then along the bolt
	// Unplaced are the ids of cuts that no way of placing put on the bolts; empty when the cloth suffices.
	Unplaced []string
	// Short is how much cloth the unplaced cuts want, 0 when all are placed.
	Short measure.Length
	// Mixed are the groups that fit only when cut from more than one lot; they are placed so.
	Mixed []string
}
