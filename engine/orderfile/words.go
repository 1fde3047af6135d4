package orderfile

// The words of the conventions on which published sources or workrooms differ. Whose way of working a word is stands beside it, W05
// and its like being the examples of testdata/published; what no source is named for is common practice, from memory.

// OverlapBasis is what an overlap given is.
type OverlapBasis string

const (
	TotalLap   OverlapBasis = "total_lap"   // the whole lap of both edges
	PastCentre OverlapBasis = "past_centre" // what each panel passes the centre by
)

// FullnessBasis is what fullness multiplies. UFGS 12 22 00 can be read as the first or the third.
type FullnessBasis string

const (
	OfFinished      FullnessBasis = "finished"        // W05, W10
	OfTrack         FullnessBasis = "track"           // W01, M01
	OfTrackThenFlat FullnessBasis = "track_then_flat" // the track; returns and overlap are added flat
)

// WidthsRounding is how the widths of a panel are rounded.
type WidthsRounding string

const (
	UpToHalf     WidthsRounding = "up_to_half"    // UFGS 12 22 00: full or half widths with at least the fullness asked
	UpToWhole    WidthsRounding = "up_to_whole"   // most examples
	NearestWhole WidthsRounding = "nearest_whole" // M06
)

// PairSplit is whether a pair's widths are rounded each panel by itself or together.
type PairSplit string

const (
	SplitPanel PairSplit = "panel"
	SplitTotal PairSplit = "total" // W10, M06
)

// Surplus is what becomes of cloth over the width wanted.
type Surplus string

const (
	TrimSurplus      Surplus = "trim"
	KeepSurplus      Surplus = "keep"
	SurplusByHeading Surplus = "by_heading" // trimmed under a tape, kept in a panel set by hand
)

// RepeatRule is what a cut of patterned cloth takes.
type RepeatRule string

const (
	WholeRepeats RepeatRule = "whole_repeats" // W05, W07, W12, W14, W16
	OnPhase      RepeatRule = "on_phase"      // its plain length, started on the pattern
	AddOne       RepeatRule = "add_one"       // M08, W16
)

// HalfDropRule is what is added for a half-drop.
type HalfDropRule string

const (
	DropPhases           HalfDropRule = "phases"              // ideas-for-home-decorating.com, half-drop page
	OneRepeatAnOrder     HalfDropRule = "one_repeat_an_order" // M10
	HalfRepeatACut       HalfDropRule = "half_repeat_a_cut"   // Merrick & Day, curtain encyclopaedia, p. 119
	NothingIfWithinSpare HalfDropRule = "within_spare"
)

// MotifFrom is from which end of a panel the heights of a room's pattern are counted.
type MotifFrom string

const (
	MotifFromHem MotifFrom = "hem" // a full pattern at the hem: Merrick & Day, curtain encyclopaedia, p. 119
	MotifFromTop MotifFrom = "top" // K. Stein's list of fabrication practices
)

// RoomPhase is whether the cuts of a room start at the heights that bring its patterns to one height.
type RoomPhase string

const (
	EachPhase     RoomPhase = "each"     // every cut starts where the pattern does
	TogetherPhase RoomPhase = "together" // one height for a room
)

// LotGroup is what is cut from one dye lot: where shades would be seen side by side (common practice, without a source).
type LotGroup string

const (
	WindowLot LotGroup = "window"
	RoomLot   LotGroup = "room" // the windows of a room; one without a room for itself
	OrderLot  LotGroup = "order"
)

// OrderRounding is how the cloth ordered is rounded.
type OrderRounding string

const (
	OrderUp       OrderRounding = "up"      // W09, to half a yard
	OrderNearest  OrderRounding = "nearest" // homeimprovementzone.net, to half a metre
	OrderAsItFell OrderRounding = "none"
)

// PleatCount is how pleats set by hand are counted.
type PleatCount string

const (
	BestCount     PleatCount = "best"      // to hide seams, then close to the usual number in a width: of our own making
	CountPerWidth PleatCount = "per_width" // Susan Woodcock, 2019 (P05)
	CountByRanges PleatCount = "ranges"    // hers too, and Singer 102 (P01)
)

// PocketRule is how deep a rod's pocket is sewn.
type PocketRule string

const (
	HalfAround PocketRule = "circumference" // half the rod's circumference with the ease in it
	RodAcross  PocketRule = "diameter"      // the rod's diameter and the ease
)

// PleatEnds is what a row of pleats set by hand ends with.
type PleatEnds string

const (
	PleatsAtEdges   PleatEnds = "at_edges" // P01, P03, P05
	HalfSpaceAtEnds PleatEnds = "half_space"
)

// LiningRule is how a lining's cut is found.
type LiningRule string

const (
	LiningComputed    LiningRule = "computed"  // from lift, hem, top and trim
	LiningByAllowance LiningRule = "allowance" // W10
)

// LiningPuddle is whether lining and interlining puddle with the face.
type LiningPuddle string

const (
	LiningFollows LiningPuddle = "follow"
	LiningStops   LiningPuddle = "stop" // at the finished length
)

// StackRule is how much room a drawn panel is taken to need on its rod.
type StackRule string

const (
	RodShare   StackRule = "rod_share"   // a sixth of the rod for each of a pair, a third for one panel: draperyeducation.com (S01)
	GlassThird StackRule = "glass_third" // a third of the glass: interiordecorating.com
	Glass30    StackRule = "glass_30"    // 30 % of the glass: Merrick & Day, p. 114
	Build      StackRule = "build"       // 20 % of the glass, 25 % of a lined panel: 98905.com (S03)
	AWidth     StackRule = "per_width"   // 5 1/2 in a width: discountdesignerfabrics.blogspot.com, 2008, 5 to 6 in
)

// Weights is what weighs a bottom hem down.
type Weights string

const (
	WeightsAtCornersAndSeams Weights = "corners_and_seams" // K. Stein's list of fabrication practices
	WeightsAtCorners         Weights = "corners"           // University of Minnesota, Territorial Hall draperies
	WeightsEveryFoot         Weights = "every_foot"
	WeightCord               Weights = "cord"
	NoWeights                Weights = "none"
)

// HolePoints says what holes count at an inspection of four points, where the published ways differ.
type HolePoints string

const (
	HolesBySize HolePoints = "2_4" // up to 1 in 2 points, longer 4
	HolesAll4   HolePoints = "4"
)
