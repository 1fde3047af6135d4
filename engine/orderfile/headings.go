package orderfile

import (
	"cmp"
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
	PencilTape    Heading = "pencil-tape"    // the tape's cords close the top into narrow upright folds
	RodPocket     Heading = "rod-pocket"     // a tunnel that the rod gathers
	Eyelet        Heading = "eyelet"         // metal rings in the band, threaded by the pole
	Tab           Heading = "tab"            // loops of cloth over the pole
	Ring          Heading = "ring"           // a flat band pinned to rings on the pole
	WaveTape      Heading = "wave-tape"      // the tape hangs on carriers that are corded evenly
)

// TapeKind is what a tape pulls up into.
type TapeKind string

const (
	CartridgeKind TapeKind = "cartridge" // round, open pleats
	PinchKind     TapeKind = "pinch"     // groups of fingers
	PencilKind    TapeKind = "pencil"    // narrow folds beside each other, as close as the width asks
	WaveKind      TapeKind = "wave"      // nothing: its pockets hang on carriers
)

// Pleats reports whether the tape sets pleats of a size of its own.
func (k TapeKind) Pleats() bool { return k != PencilKind && k != WaveKind }

// TapeEnds is how a pinch tape's pleats lie to the edges of a panel. The trade does both.
type TapeEnds string

const (
	MidSpace TapeEnds = "mid_space" // it starts and ends amid a space, as wide as the width asked makes it
	FlatEnds TapeEnds = "flat"      // pleats begin at the rod's corner; return and lead stay flat
)

// Family is how a heading gets its pleats.
type Family string

const (
	SetByTape  Family = "tape"       // the tape sets its own pleats
	SetByHand  Family = "hand"       // pleats marked and sewn on buckram, with flat cloth between
	Continuous Family = "continuous" // no pleats: the whole flat width is gathered, or hangs in folds between points
)

// Holding is how a heading without pleats hangs from its rod.
type Holding string

const (
	Gathered   Holding = "gather"   // closed evenly over the whole width
	OnPoints   Holding = "points"   // from eyelets, tabs or rings, in even folds between them
	OnCarriers Holding = "carriers" // from a track's carriers, in even folds between them
)

// PoleHold is what of a heading takes its pole. Its words are those of the headings that are shipped.
type PoleHold string

const (
	InPocket  PoleHold = "rod-pocket"
	InEyelets PoleHold = "eyelet"
	ByTabs    PoleHold = "tab"
	OnRings   PoleHold = "ring"
)

// Top is what is cut above the finished length for a heading.
type Top string

const (
	DoubleTop Top = "double" // the heading fold twice, raw edge in the fold (common practice)
	SingleTop Top = "single" // the heading fold once: the tape covers the raw edge
	PocketTop Top = "pocket" // what stands above the rod's tunnel, the tunnel, and what is turned under
	SeamTop   Top = "seam"   // a seam: tabs and a facing of their own are sewn to it
)

// Turns is how many depths of the heading fold are cut above the finished length and turned to the back.
func (t Top) Turns() int {
	switch t {
	case DoubleTop:
		return 2
	case SingleTop:
		return 1
	}
	return 0
}

// PointEnds is what is flat outside the first and the last point.
type PointEnds string

const (
	HalfPitch PointEnds = "half_pitch" // half a pitch
	FixedEnd  PointEnds = "fixed"      // the heading's own length
	InsetEnd  PointEnds = "inset"      // little: the point is at the edge
	TabEnd    PointEnds = "tab"        // half a tab, which is flush with the edge
)

// Parity is which numbers of points there may be.
type Parity string

const (
	AnyCount  Parity = "any"
	EvenCount Parity = "even" // both edges turn to the window, and the panels of a pair are alike
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
	Like         Heading // of an own heading (OwnHeading): the one that it is like; "" of one that is shipped
	Name         string  // of an own heading, in every language
	Family       Family
	Route        string   // through the stations: a name in stations/plan/routes.yaml
	Tape         TapeKind // that it takes, "" of one that no tape sets
	Seams        SeamRule
	Top          Top
	Holds        Holding  // of a heading without pleats
	Pole         PoleHold // of one that hangs from a pole: it has no return and no lap unless the order gives them
	Buckram      bool     // a strip of it stiffens the top
	KeepsSurplus bool     // cloth over the width wanted stays in the panel, where the shop goes by the heading (surplus: by_heading)
	Fingers      int      // that a pleat is pinched into; 0 of a pleat that isn't
	Body         Body
	Fillings     []Filling // of tubes set by hand, the usual one first; none where nothing is filled
	PerWidth     bool      // so many pleats a width are usual; others are counted by their ranges alone
	Fullness     measure.Ratio
	FullnessMin  measure.Ratio // usual, as FullnessMax; 0 where no source has a range
	FullnessMax  measure.Ratio
	Spacing
	Pitching
	PleatsPerWidth int             // of 54 in; set by Conventions.Heading alone
	HeadingFold    *measure.Length // the heading's own depth of a turn; nil: as the shop has it for all, or as deep as its tape
	Metric         *Metric         // of an order in metric units; nil where those convert the figures in inches
	Sources        HeadingSources
}

// Metric are the figures of a heading in round millimetres.
type Metric struct {
	Spacing
	Pitching
	HeadingFold *measure.Length
}

// Pitching is how a heading on points shares them out along its flat width.
type Pitching struct {
	Pitch          Range // from point to point
	PreferredPitch measure.Length
	Ends           PointEnds
	End            measure.Length // flat outside the first and the last point, with FixedEnd
	Inset          measure.Length // the same with InsetEnd
	Parity         Parity
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
	metric.Spacing, metric.Pitching, metric.HeadingFold = d.Metric.Spacing, d.Metric.Pitching, d.Metric.HeadingFold
	return &metric
}

// Full1 reports whether the heading may hang flat, with no fullness at all, whatever a shop's usual range of it.
func (d *HeadingData) Full1() bool {
	least := d.FullnessMin
	if shipped := d.Made().As(d.Heading).Data(); shipped != nil {
		least = shipped.FullnessMin
	}
	return least.Num > 0 && least.Num == least.Den
}

// Made is what is kept of the heading beside its key, nothing of one that there is no row of.
func (d *HeadingData) Made() Made {
	if d == nil {
		return Made{}
	}
	return Made{d.Like, d.Name}
}

// Called is the heading as an argument of a sentence: its key, by which the catalogue has its name, or of an own heading its name.
func (d *HeadingData) Called() string { return cmp.Or(d.Name, string(d.Heading)) }

// HeadingSources says where the figures and rules of a heading come from: ends of keys of the catalogue under "source", such as
// FromPractice. A trail cites them and no other heading's.
type HeadingSources struct {
	Fullness string // usual, where the order asks for none
	Count    string // how many pleats
	TakeUp   string
	Space    string
	Lead     string // the flat at the leading edge
	Pitch    string // from point to point
}

// FromPractice is the source of what is common practice, no source being published; Remembered of figures from memory,
// which a shop should hold against its own; FromShop of what a shop has set for the heading.
const (
	FromPractice = "common_practice"
	Remembered   = "from_memory"
	FromShop     = "convention"
	FromTape     = "tape"
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

func millimetres(least, most, preferred, leastTakeUp, mostTakeUp measure.Length) *Metric {
	return &Metric{Spacing: spacing(measure.Millimetre, least, most, preferred, leastTakeUp, mostTakeUp)}
}

func spacing(unit, least, most, preferred, leastTakeUp, mostTakeUp measure.Length) Spacing {
	return Spacing{Range{least * unit, most * unit}, preferred * unit, Range{leastTakeUp * unit, mostTakeUp * unit}}
}

// The usual fullness: UFGS 12 22 00 lets a designer choose 200, 250 or 300 percent, 200 being twice the width.
var leastFull, mostFull = measure.Ratio{Num: 2, Den: 1}, measure.Ratio{Num: 3, Den: 1}

// Points of eyelets: an even number, 6 to 8 in apart, with half a pitch at both ends (eyelet guide of two hardware sellers). Tabs: 6 to
// 8 in on centre, one flush with each edge. Rings: sources have 4 to 6 and 6 to 10 in, so their middle; that there is an even number is
// from memory, as are the metric figures of all three.
var (
	eyeletPitch = pitching(in, 6, 8, 7, HalfPitch, EvenCount)
	tabPitch    = pitching(in, 6, 8, 7, TabEnd, AnyCount)
	ringPitch   = pitching(in, 5, 7, 6, InsetEnd, EvenCount)

	eyeletMetric = &Metric{Pitching: pitching(mm, 150, 200, 175, HalfPitch, EvenCount)}
	tabMetric    = &Metric{Pitching: pitching(mm, 150, 200, 175, TabEnd, AnyCount)}
	ringMetric   = &Metric{Pitching: pitching(mm, 125, 175, 150, InsetEnd, EvenCount)}

	// The depth that a pencil tape's single fold has (from memory).
	pencilFold, pencilFoldMetric = 2 * in, 50 * mm
)

// pitching is a row's points; what is flat at the ends where a shop fixes it, and how near to an edge a point is inset, are from memory.
func pitching(unit, least, most, preferred measure.Length, ends PointEnds, parity Parity) Pitching {
	p := Pitching{Pitch: Range{least * unit, most * unit}, PreferredPitch: preferred * unit, Ends: ends, Parity: parity, End: 2 * in, Inset: in / 2}
	if unit == mm {
		p.End, p.Inset = 50*mm, 12*mm
	}
	return p
}

// times is a fullness in hundredths.
func times(hundredths int64) measure.Ratio { return measure.Ratio{Num: hundredths, Den: 100} }

// done are the headings that this version works out, in the order in which a person is offered them. What a tape sets has its
// figures and their source from the order's tape.
var done = []HeadingData{
	{Heading: CartridgeTape, Family: SetByTape, Tape: CartridgeKind, Route: "cartridge-tape", Seams: HiddenAtBack, Top: DoubleTop, Body: Tube},
	{
		Heading: Pinch2, Family: SetByHand, Route: "pinch", Seams: HiddenInFold, Top: DoubleTop, Buckram: true, KeepsSurplus: true,
		Fingers: 2, Fullness: measure.Ratio{Num: 9, Den: 4},
		Body: Pinched, PerWidth: true, FullnessMin: leastFull, FullnessMax: mostFull, Spacing: pinchSpacing, Sources: pinchSources,
	},
	{
		Heading: Pinch3, Family: SetByHand, Route: "pinch", Seams: HiddenInFold, Top: DoubleTop, Buckram: true, KeepsSurplus: true,
		Fingers: 3, Fullness: measure.Ratio{Num: 5, Den: 2},
		Body: Pinched, PerWidth: true, FullnessMin: leastFull, FullnessMax: mostFull, Spacing: pinchSpacing, Sources: pinchSources,
	},
	{Heading: PinchTape, Family: SetByTape, Tape: PinchKind, Route: "pinch-tape", Seams: HiddenInFold, Top: DoubleTop, Body: Pinched},
	{
		Heading: CartridgeHand, Family: SetByHand, Route: "cartridge-hand", Seams: HiddenAtBack, Top: DoubleTop, Buckram: true, KeepsSurplus: true,
		Body: Tube, Fillings: []Filling{Rolled, Unfilled}, Fullness: measure.Ratio{Num: 9, Den: 4},
		Spacing: cartridgeSpacing, Metric: cartridgeMetric,
		Sources: HeadingSources{Fullness: "cotswold_cartridge", Count: Remembered, TakeUp: Remembered, Space: Remembered, Lead: "singer"},
	},
	{
		Heading: Goblet, Family: SetByHand, Route: "goblet", Seams: HiddenAtBack, Top: DoubleTop, Buckram: true, KeepsSurplus: true,
		Body: Tube, Fillings: []Filling{Stuffed}, Fullness: measure.Ratio{Num: 2, Den: 1},
		Spacing: gobletSpacing, Metric: gobletMetric,
		Sources: HeadingSources{Fullness: FromPractice, Count: "goblets", TakeUp: Remembered, Space: "goblets", Lead: "singer"},
	},
	{
		Heading: Box, Family: SetByHand, Route: "box", Seams: HiddenAtBack, Top: DoubleTop, Buckram: true, KeepsSurplus: true,
		Body: Flat, Fullness: measure.Ratio{Num: 2, Den: 1},
		Spacing: boxSpacing, Metric: boxMetric,
		Sources: HeadingSources{Fullness: "stage", Count: "stage", TakeUp: Remembered, Space: "stage", Lead: "singer"},
	},
	{
		Heading: InvertedBox, Family: SetByHand, Route: "box", Seams: HiddenAtBack, Top: DoubleTop, Buckram: true, KeepsSurplus: true,
		Body: FlatBack, Fullness: measure.Ratio{Num: 2, Den: 1},
		Spacing: invertedSpacing, Metric: invertedMetric,
		Sources: HeadingSources{Fullness: FromPractice, Count: "on_centre", TakeUp: Remembered, Space: "on_centre", Lead: "singer"},
	},
	{
		Heading: PencilTape, Family: Continuous, Holds: Gathered, Tape: PencilKind, Route: "pencil-tape", Top: SingleTop, KeepsSurplus: true,
		Fullness: times(200), FullnessMin: times(175), FullnessMax: times(300),
		HeadingFold: &pencilFold, Metric: &Metric{HeadingFold: &pencilFoldMetric}, Sources: HeadingSources{Fullness: "cotswold_pencil"},
	},
	{
		Heading: RodPocket, Family: Continuous, Holds: Gathered, Pole: InPocket, Route: "rod-pocket", Top: PocketTop, KeepsSurplus: true,
		Fullness: times(200), FullnessMin: times(150), FullnessMax: times(300), Sources: HeadingSources{Fullness: "rod_pocket"},
	},
	{
		Heading: Eyelet, Family: Continuous, Holds: OnPoints, Pole: InEyelets, Buckram: true, Route: "eyelet", Top: DoubleTop, KeepsSurplus: true,
		Fullness: times(200), FullnessMin: times(150), FullnessMax: times(225),
		Pitching: eyeletPitch, Metric: eyeletMetric, Sources: HeadingSources{Fullness: "cotswold_eyelet", Count: "eyelets", Pitch: "eyelets"},
	},
	{
		Heading: Tab, Family: Continuous, Holds: OnPoints, Pole: ByTabs, Route: "tab", Top: SeamTop, KeepsSurplus: true,
		Fullness: times(150), FullnessMin: times(100), FullnessMax: times(200),
		Pitching: tabPitch, Metric: tabMetric, Sources: HeadingSources{Fullness: FromPractice, Count: FromPractice, Pitch: FromPractice},
	},
	{
		Heading: Ring, Family: Continuous, Holds: OnPoints, Pole: OnRings, Buckram: true, Route: "ring", Top: DoubleTop, KeepsSurplus: true,
		Fullness: times(200), FullnessMin: times(100), FullnessMax: times(250),
		Pitching: ringPitch, Metric: ringMetric, Sources: HeadingSources{Fullness: Remembered, Count: Remembered, Pitch: Remembered},
	},
	{
		Heading: WaveTape, Family: Continuous, Holds: OnCarriers, Tape: WaveKind, Route: "wave-tape", Top: SingleTop,
		FullnessMin: times(160), FullnessMax: times(250), Pitching: Pitching{Parity: EvenCount},
		Sources: HeadingSources{Fullness: "cotswold_wave", Count: FromPractice, Pitch: FromTape},
	},
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

// Data returns the heading's row as it is shipped, nil of an own heading, and where this version doesn't work the heading out.
func (h Heading) Data() *HeadingData {
	for i := range done {
		if done[i].Heading == h {
			return &done[i]
		}
	}
	return nil
}

// AllHeadings are the shipped headings that an order file names.
func AllHeadings() []Heading {
	var all []Heading
	for _, d := range done {
		all = append(all, d.Heading)
	}
	return all
}
