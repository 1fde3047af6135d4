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
	PinchTape     Heading = "pinch-tape"     // the tape pulls up into groups of fingers
	Pinch2        Heading = "pinch-2"        // pinched into two fingers
	Pinch3        Heading = "pinch-3"        // pinched into three fingers
	CartridgeHand Heading = "cartridge-hand" // round pleats sewn as loops and filled
	Goblet        Heading = "goblet"         // loops left open as cups, pinched at their feet
	Box           Heading = "box"            // loops flattened towards the room
	InvertedBox   Heading = "inverted-box"   // loops flattened towards the window
)

// TapeKind is what a tape pulls up into.
type TapeKind string

const (
	CartridgeKind TapeKind = "cartridge" // round, open pleats
	PinchKind     TapeKind = "pinch"     // groups of fingers

	pencilKind TapeKind = "pencil" // not worked out yet, as waveKind
	waveKind   TapeKind = "wave"
)

// TapeEnds is how a pinch tape's pleats lie to the edges of a panel. The trade does both.
type TapeEnds string

const (
	MidSpace TapeEnds = "mid_space" // it starts and ends amid a space, as wide as the width asked makes it
	FlatEnds TapeEnds = "flat"      // pleats begin at the rod's corner; return and lead stay flat
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
	HiddenAtBack SeamRule = "back" // in an outer quarter of what it takes up: the half of a loop that is turned to the window
)

// Body is what becomes of the loop that a pleat is.
type Body string

const (
	Pinched  Body = "pinched"  // folded into fingers
	Tube     Body = "tube"     // stays round: its circumference is what the pleat takes up
	Flat     Body = "flat"     // pressed flat in front of its line of stitches, half as wide as what the pleat takes up
	FlatBack Body = "flatback" // pressed flat behind it
)

// Filling is what stiffens the tubes of a heading set by hand.
type Filling string

const (
	Rolled   Filling = "rolled"  // a piece of buckram in each, rolled
	Stuffed  Filling = "stuffed" // loose filling
	Unfilled Filling = "none"
)

// Range is what a measure of a heading usually lies in, both ends included.
type Range struct{ Min, Max measure.Length }

// HeadingData is a heading's row: what all panels with it share, and where each figure comes from. What follows Fingers is of
// headings set by hand.
type HeadingData struct {
	Heading      Heading
	Family       Family
	Route        string   // through the stations: a name in stations/plan/routes.yaml
	Tape         TapeKind // that it takes, "" of one that no tape sets
	Seams        SeamRule
	TopTurns     int  // how many depths of the heading fold are cut above the finished length and turned to the back
	KeepsSurplus bool // cloth over the width wanted stays in the panel, where the shop goes by the heading (surplus: by_heading)
	Fingers      int  // that a pleat is pinched into; 0 of a pleat that isn't
	Body         Body
	Fillings     []Filling // of tubes set by hand, the usual one first; none where nothing is filled
	PerWidth     bool      // so many pleats a width are usual; others are counted by their ranges alone
	Fullness     measure.Ratio
	FullnessMin  measure.Ratio // usual, as FullnessMax; 0 where no source has a range
	FullnessMax  measure.Ratio
	Spacing
	PleatsPerWidth int             // of 54 in; set by Conventions.Heading alone, as HeadingFold
	HeadingFold    *measure.Length // the heading's own depth of a turn; nil: as the shop has it for all
	Metric         *Spacing        // of an order in metric units; nil where those convert the figures in inches
	Sources        HeadingSources
}

// Spacing is what the spaces and the pleats of a heading set by hand usually measure.
type Spacing struct {
	Space          Range
	PreferredSpace measure.Length
	TakeUp         Range // of one pleat, the mean of a panel
}

// In returns the row as an order in such units goes by it.
func (d *HeadingData) In(units measure.Unit) *HeadingData {
	if d.Metric == nil || !units.Metric() {
		return d
	}
	metric := *d
	metric.Spacing = *d.Metric
	return &metric
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

// FromPractice is the source of what is common practice, no source being published; Remembered of figures from memory,
// which a shop should hold against its own; FromShop of what a shop has set for the heading.
const (
	FromPractice = "common_practice"
	Remembered   = "from_memory"
	FromShop     = "convention"
)

// The published ranges of pinch pleats name no number of fingers, so both have them: spaces of 3 1/2 to 4 in and
// take-ups from 4 1/2 in are Susan Woodcock's (Capper's Farmer, 2019), up to 7 in Singer Sewing Library No. 102's
// (1960), as are the first pleat at the rod's turn and the flat at the lead. The preferred space is the middle of its range (common
// practice). The fullness of two fingers and of three is The Cotswold Sewing School's (2022): double 2.25, triple 2.5.
var (
	pinchSpacing = Spacing{
		Space: Range{7 * measure.Inch / 2, 4 * measure.Inch}, PreferredSpace: 15 * measure.Inch / 4, TakeUp: Range{9 * measure.Inch / 2, 7 * measure.Inch},
	}
	pinchSources = HeadingSources{Fullness: "cotswold", Count: "woodcock", TakeUp: "woodcock", Space: "singer", Lead: "singer"}
)

// Spaces and take-ups of the other headings set by hand, in inches and in the round millimetres of a metric shop. Cartridges: from
// memory. Goblets: 6 to 8 pleats a yard (hutchal.clara.net, goblet pleats); the lower take-up from memory. Box pleats: 12 in on
// centre on stages (sewwhatinc.com, 2010), the rest from memory. Inverted ones: 5 to 8 in on centre (C. Bryan, eHow UK), the rest
// from memory.
var (
	cartridgeSpacing = inches(5, 8, 6, 6, 10)
	cartridgeMetric  = millimetres(65, 100, 75, 75, 125)
	gobletSpacing    = Spacing{Range{9 * measure.Inch / 2, 6 * measure.Inch}, 21 * measure.Inch / 4, Range{4 * measure.Inch, 6 * measure.Inch}}
	gobletMetric     = millimetres(115, 150, 130, 100, 150)
	boxSpacing       = inches(8, 24, 12, 8, 24)
	boxMetric        = millimetres(100, 300, 150, 100, 300)
	invertedSpacing  = inches(8, 16, 12, 8, 16)
	invertedMetric   = millimetres(100, 200, 150, 100, 200)
)

// inches are spaces from least to most, the preferred, and take-ups from least to most, in half inches.
func inches(least, most, preferred, leastTakeUp, mostTakeUp measure.Length) Spacing {
	return spacing(measure.Inch/2, least, most, preferred, leastTakeUp, mostTakeUp)
}

func millimetres(least, most, preferred, leastTakeUp, mostTakeUp measure.Length) *Spacing {
	s := spacing(measure.Millimetre, least, most, preferred, leastTakeUp, mostTakeUp)
	return &s
}

func spacing(unit, least, most, preferred, leastTakeUp, mostTakeUp measure.Length) Spacing {
	return Spacing{Range{least * unit, most * unit}, preferred * unit, Range{leastTakeUp * unit, mostTakeUp * unit}}
}

// The usual fullness: UFGS 12 22 00 lets a designer choose 200, 250 or 300 percent, 200 being twice the width.
var leastFull, mostFull = measure.Ratio{Num: 2, Den: 1}, measure.Ratio{Num: 3, Den: 1}

// doubleTurn is a heading turned twice at the full depth, raw edge in the fold (common practice).
const doubleTurn = 2

// done are the headings that this version works out, in the order in which a person is offered them. What a tape sets has its
// figures and their source from the order's tape.
var done = []HeadingData{
	{Heading: CartridgeTape, Family: SetByTape, Tape: CartridgeKind, Route: "cartridge-tape", Seams: HiddenAtBack, TopTurns: doubleTurn, Body: Tube},
	{
		Heading: Pinch2, Family: SetByHand, Route: "pinch", Seams: HiddenInFold, TopTurns: doubleTurn, KeepsSurplus: true,
		Fingers: 2, Fullness: measure.Ratio{Num: 9, Den: 4},
		Body: Pinched, PerWidth: true, FullnessMin: leastFull, FullnessMax: mostFull, Spacing: pinchSpacing, Sources: pinchSources,
	},
	{
		Heading: Pinch3, Family: SetByHand, Route: "pinch", Seams: HiddenInFold, TopTurns: doubleTurn, KeepsSurplus: true,
		Fingers: 3, Fullness: measure.Ratio{Num: 5, Den: 2},
		Body: Pinched, PerWidth: true, FullnessMin: leastFull, FullnessMax: mostFull, Spacing: pinchSpacing, Sources: pinchSources,
	},
	{Heading: PinchTape, Family: SetByTape, Tape: PinchKind, Route: "pinch-tape", Seams: HiddenInFold, TopTurns: doubleTurn, Body: Pinched},
	{
		Heading: CartridgeHand, Family: SetByHand, Route: "cartridge-hand", Seams: HiddenAtBack, TopTurns: doubleTurn, KeepsSurplus: true,
		Body: Tube, Fillings: []Filling{Rolled, Unfilled}, Fullness: measure.Ratio{Num: 9, Den: 4},
		Spacing: cartridgeSpacing, Metric: cartridgeMetric,
		Sources: HeadingSources{Fullness: "cotswold_cartridge", Count: Remembered, TakeUp: Remembered, Space: Remembered, Lead: "singer"},
	},
	{
		Heading: Goblet, Family: SetByHand, Route: "goblet", Seams: HiddenAtBack, TopTurns: doubleTurn, KeepsSurplus: true,
		Body: Tube, Fillings: []Filling{Stuffed}, Fullness: measure.Ratio{Num: 2, Den: 1},
		Spacing: gobletSpacing, Metric: gobletMetric,
		Sources: HeadingSources{Fullness: FromPractice, Count: "goblets", TakeUp: Remembered, Space: "goblets", Lead: "singer"},
	},
	{
		Heading: Box, Family: SetByHand, Route: "box", Seams: HiddenAtBack, TopTurns: doubleTurn, KeepsSurplus: true,
		Body: Flat, Fullness: measure.Ratio{Num: 2, Den: 1},
		Spacing: boxSpacing, Metric: boxMetric,
		Sources: HeadingSources{Fullness: "stage", Count: "stage", TakeUp: Remembered, Space: "stage", Lead: "singer"},
	},
	{
		Heading: InvertedBox, Family: SetByHand, Route: "box", Seams: HiddenAtBack, TopTurns: doubleTurn, KeepsSurplus: true,
		Body: FlatBack, Fullness: measure.Ratio{Num: 2, Den: 1},
		Spacing: invertedSpacing, Metric: invertedMetric,
		Sources: HeadingSources{Fullness: FromPractice, Count: "on_centre", TakeUp: Remembered, Space: "on_centre", Lead: "singer"},
	},
}

// later are the headings that the order file names and this version doesn't work out yet.
var later = []Heading{
	"pencil-tape", "rod-pocket", "eyelet", "tab", "ring", "wave-tape",
}

// UsualFilling is what goes into the pleats where the order says nothing, "" where nothing does.
func (d *HeadingData) UsualFilling() Filling {
	if len(d.Fillings) == 0 {
		return ""
	}
	return d.Fillings[0]
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
