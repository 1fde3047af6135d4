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

// Range is what a measure of a heading usually lies in, both ends included.
type Range struct{ Min, Max measure.Length }

// HeadingData is a heading's row: what all panels with it share. Fullness, Space and TakeUp are of headings set by
// hand.
type HeadingData struct {
	Heading        Heading
	Family         Family
	Fullness       measure.Ratio // where the order asks for none
	FullnessMin    measure.Ratio // usual, as FullnessMax
	FullnessMax    measure.Ratio
	Space          Range
	PreferredSpace measure.Length
	TakeUp         Range // of one pleat, the mean of a panel
}

// The published ranges of pinch pleats name no number of fingers, so both have them: spaces of 3 1/2 to 4 in and
// take-ups from 4 1/2 in are Susan Woodcock's (Capper's Farmer, 2019), up to 7 in Singer Sewing Library No. 102's
// (1960). The preferred space is the middle of its range (common practice).
var (
	pinchSpace     = Range{7 * measure.Inch / 2, 4 * measure.Inch}
	pinchPreferred = 15 * measure.Inch / 4
	pinchTakeUp    = Range{9 * measure.Inch / 2, 7 * measure.Inch}
)

// The usual fullness: UFGS 12 22 00 lets a designer choose 200, 250 or 300 percent, 200 being twice the width.
var leastFull, mostFull = measure.Ratio{Num: 2, Den: 1}, measure.Ratio{Num: 3, Den: 1}

// done are the headings that this version works out. The fullness of pinch pleats is The Cotswold Sewing School's
// (2022): double 2.25, triple 2.5.
var done = []HeadingData{
	{Heading: CartridgeTape, Family: SetByTape},
	{
		Heading: Pinch2, Family: SetByHand, Fullness: measure.Ratio{Num: 9, Den: 4},
		FullnessMin: leastFull, FullnessMax: mostFull, Space: pinchSpace, PreferredSpace: pinchPreferred, TakeUp: pinchTakeUp,
	},
	{
		Heading: Pinch3, Family: SetByHand, Fullness: measure.Ratio{Num: 5, Den: 2},
		FullnessMin: leastFull, FullnessMax: mostFull, Space: pinchSpace, PreferredSpace: pinchPreferred, TakeUp: pinchTakeUp,
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

// headings are all keys that the order file knows.
func headings() []Heading {
	var all []Heading
	for _, d := range done {
		all = append(all, d.Heading)
	}
	return append(all, later...)
}
