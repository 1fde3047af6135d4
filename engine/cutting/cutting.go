// Package cutting places cuts on bolts: in order, around flaws, each start on the pattern's phase, the cuts of a
// group from one dye lot. Along one cloth it finds the order that uses the least (LeastRun); over several bolts it
// proves no bound yet.
package cutting

import "tablehand/engine/measure"

// Problem is one fabric's cuts and the bolts on hand.
type Problem struct {
	VerticalRepeat measure.Length // 0: plain cloth, a cut may start anywhere
	Bolts          []Bolt
	Cuts           []Cut
}

// Bolt is one length of cloth. Its pattern stands at FirstRepeat + k·V, k from 0.
type Bolt struct {
	ID          string
	Length      measure.Length
	Lot         string
	FirstRepeat measure.Length
	Flaws       []Span
}

// Span is a stretch along a bolt; cuts may touch it but not overlap it.
type Span struct{ From, To measure.Length }

// Cut is one piece to cut.
type Cut struct {
	ID     string // unique in the problem
	Length measure.Length
	Group  string // cuts of one group come from one lot
	// Start is how far behind the pattern's stand it starts, from 0 to less than a repeat: half a repeat for the second cuts of a
	// half-drop. Plain cloth has none.
	Start measure.Length
	// Anywhere says that no pattern is matched on it: it may start wherever there is room, whatever its Start.
	Anywhere bool
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
