package orderfile

import (
	"slices"

	"tablehand/engine/measure"
)

// Heading is a heading's key: "cartridge-tape", "pinch-3", ...
type Heading string

// The headings that are worked out.
const (
	CartridgeTape Heading = "cartridge-tape" // the tape pulls up into round, open pleats
	Pinch2        Heading = "pinch-2"        // pinched into two fingers
	Pinch3        Heading = "pinch-3"        // pinched into three fingers
)

// Family is how a heading gets its pleats.
type Family string

const (
	SetByTape Family = "tape" // the tape sets its own pleats
	SetByHand Family = "hand" // pleats marked and sewn on buckram, with flat cloth between
)

// SeamRule is where a seam has to lie in a pleat so as not to be seen.
type SeamRule string

const (
	HiddenInFold SeamRule = "fold" // anywhere in it: the pleat is folded shut
	HiddenAtBack SeamRule = "back" // in the half of an open tube that is turned to the window
)

// Range is what a measure of a heading usually lies in, both ends included.
type Range struct{ Min, Max measure.Length }

// HeadingData is a heading's row: what all panels with it share, and where each figure comes from. What follows Fingers is of
// headings set by hand.
type HeadingData struct {
	Heading        Heading
	Family         Family
	Route          string // through the stations: a name in stations/plan/routes.yaml
	Seams          SeamRule
	TopTurns       int  // how many depths of the heading fold are cut above the finished length and turned to the back
	KeepsSurplus   bool // cloth over the width wanted stays in the panel, where the shop goes by the heading (surplus: by_heading)
	Fingers        int  // that a pleat is pinched into; 0 of a pleat that isn't
	Fullness       measure.Ratio
	FullnessMin    measure.Ratio // usual, as FullnessMax
	FullnessMax    measure.Ratio
	Space          Range
	PreferredSpace measure.Length
	TakeUp         Range // of one pleat, the mean of a panel
	Sources        HeadingSources
}

// HeadingSources says where the figures and rules of a heading come from: ends of keys of the catalogue under "source", such as
// FromPractice. A trail cites them and no other heading's.
type HeadingSources struct {
	Fullness string // usual, where the order asks for none
	Count    string // how many pleats
	TakeUp   string
	Space    string
	Lead     string // the flat at the leading edge
}

// FromPractice is the source of what is common practice, no source being published.
const FromPractice = "common_practice"

// The published ranges of pinch pleats name no number of fingers, so both have them: spaces of 3 1/2 to 4 in and
// take-ups from 4 1/2 in are Susan Woodcock's (Capper's Farmer, 2019), up to 7 in Singer Sewing Library No. 102's
// (1960), as are the first pleat at the rod's turn and the flat at the lead. The preferred space is the middle of its range (common
// practice). The fullness of two fingers and of three is The Cotswold Sewing School's (2022): double 2.25, triple 2.5.
var (
	pinchSpace     = Range{7 * measure.Inch / 2, 4 * measure.Inch}
	pinchPreferred = 15 * measure.Inch / 4
	pinchTakeUp    = Range{9 * measure.Inch / 2, 7 * measure.Inch}
	pinchSources   = HeadingSources{Fullness: "cotswold", Count: "woodcock", TakeUp: "woodcock", Space: "singer", Lead: "singer"}
)

// The usual fullness: UFGS 12 22 00 lets a designer choose 200, 250 or 300 percent, 200 being twice the width.
var leastFull, mostFull = measure.Ratio{Num: 2, Den: 1}, measure.Ratio{Num: 3, Den: 1}

// doubleTurn is a heading turned twice at the full depth, raw edge in the fold (common practice).
const doubleTurn = 2

// done are the headings that this version works out, in the order in which a person is offered them. What a tape sets has its
// figures and their source from the order's tape.
var done = []HeadingData{
	{Heading: CartridgeTape, Family: SetByTape, Route: "cartridge-tape", Seams: HiddenAtBack, TopTurns: doubleTurn},
	{
		Heading: Pinch2, Family: SetByHand, Route: "pinch", Seams: HiddenInFold, TopTurns: doubleTurn, KeepsSurplus: true,
		Fingers: 2, Fullness: measure.Ratio{Num: 9, Den: 4},
		FullnessMin: leastFull, FullnessMax: mostFull, Space: pinchSpace, PreferredSpace: pinchPreferred, TakeUp: pinchTakeUp, Sources: pinchSources,
	},
	{
		Heading: Pinch3, Family: SetByHand, Route: "pinch", Seams: HiddenInFold, TopTurns: doubleTurn, KeepsSurplus: true,
		Fingers: 3, Fullness: measure.Ratio{Num: 5, Den: 2},
		FullnessMin: leastFull, FullnessMax: mostFull, Space: pinchSpace, PreferredSpace: pinchPreferred, TakeUp: pinchTakeUp, Sources: pinchSources,
	},
}

// later are the headings that the order file names and this version doesn't work out yet.
var later = []Heading{
	"pinch-tape", "pencil-tape", "cartridge-hand", "goblet", "box", "inverted-box", "rod-pocket", "eyelet", "tab", "ring", "wave-tape",
}

// Headings lists the headings that are worked out, in the order in which a person is offered them.
func Headings() []HeadingData { return slices.Clone(done) }

// Data returns the heading's row, nil where this version doesn't work the heading out.
func (h Heading) Data() *HeadingData {
	for i := range done {
		if done[i].Heading == h {
			return &done[i]
		}
	}
	return nil
}

// AllHeadings are the headings that an order file names: those that are worked out, then those that aren't yet.
func AllHeadings() []Heading {
	var all []Heading
	for _, d := range done {
		all = append(all, d.Heading)
	}
	return append(all, later...)
}
