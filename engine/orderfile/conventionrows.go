package orderfile

import (
	"slices"
	"strings"

	"tablehand/engine/measure"
)

// What a convention can sensibly be (from memory). Over it a unit has slipped: 25 in an order in centimetres.
const (
	widestSeam    = 2 * measure.Inch // two of them must leave a half width of the narrowest cloth
	deepestHem    = 12 * measure.Inch
	highestLift   = 12 * measure.Inch
	mostTrim      = 6 * measure.Inch
	mostAllowance = 40 * measure.Inch
	mostShrink    = 50                    // percent
	mostSlack     = 20                    // percent: more is another fullness, not the slack of one
	mostCone      = 50_000 * measure.Yard // more thread than any cone holds
	finestStep    = mm / 10               // no rule has finer marks
	longestKept   = 200 * measure.Inch    // under which nothing is too short to keep
	mostPoints100 = 400                   // points per 100 yd²: four in each yard of cloth 36 in wide
	widestKerf    = 6 * measure.Inch      // more isn't lost by cutting
	mostOff       = 25                    // percent: more isn't the same cloth
)

const (
	in = measure.Inch
	mm = measure.Millimetre
)

// Inch figures are those of the program's own worked tape and of common practice in workrooms; metric ones are from memory, metric
// practice, but for those that convert exactly. No standard sets them; a shop sets its own.
var (
	practice         = Sources{Inch: CommonPractice, Metric: CommonPractice}
	metricFromMemory = Sources{Inch: CommonPractice, Metric: FromMemory}
)

// asShipped is what was done before there was a convention of headings that weren't worked out then: nothing.
func asShipped(*Conventions) {}

// conventions are the rows, in the order in which a person reads them. All that reads, writes, ships, shows, documents or checks a
// convention goes by its row. One that is new says in it what was done before it existed.
var conventions = []Convention{
	{Key: "overlap_basis", Group: InWidths, Sources: practice, Rules: true,
		kind: oneOf(func(c *Conventions) *OverlapBasis { return &c.OverlapBasis }, TotalLap, PastCentre),
		Note: "an overlap is the whole lap, or what each panel passes the centre by"},
	{Key: "fullness_basis", Group: InWidths, Sources: practice, Rules: true,
		kind: oneOf(func(c *Conventions) *FullnessBasis { return &c.FullnessBasis }, OfFinished, OfTrack, OfTrackThenFlat),
		Note: "what fullness multiplies"},
	{Key: "widths_rounding", Group: InWidths, Sources: practice, Rules: true,
		kind: oneOf(func(c *Conventions) *WidthsRounding { return &c.WidthsRounding }, UpToHalf, UpToWhole, NearestWhole)},
	{Key: "pair_split", Group: InWidths, Sources: practice, Rules: true,
		kind: oneOf(func(c *Conventions) *PairSplit { return &c.PairSplit }, SplitPanel, SplitTotal),
		Note: "the pair's widths rounded together and halved; refused with `return_other`"},
	{Key: "surplus", Group: InWidths, Sources: practice, Rules: true,
		kind:   oneOf(func(c *Conventions) *Surplus { return &c.Surplus }, TrimSurplus, KeepSurplus, SurplusByHeading),
		before: func(c *Conventions) { c.Surplus = SurplusByHeading },
		Note:   "trimmed under a tape, kept in panels set by hand"},
	{Key: "repeat_rule", Group: InCloth, Sources: practice, Rules: true,
		kind: oneOf(func(c *Conventions) *RepeatRule { return &c.RepeatRule }, WholeRepeats, OnPhase, AddOne)},
	{Key: "order_repeats", Group: InCloth, Sources: practice,
		kind: count{func(c *Conventions) *int { return &c.OrderRepeats }, 1, 0, 99},
		Note: "ordered of a patterned face for positioning"},
	{Key: "half_drop", Group: InCloth, Sources: practice, Rules: true,
		kind: oneOf(func(c *Conventions) *HalfDropRule { return &c.HalfDrop }, DropPhases, OneRepeatAnOrder, HalfRepeatACut, NothingIfWithinSpare)},
	{Key: "room_phase", Group: InCloth, Sources: practice,
		kind:   oneOf(func(c *Conventions) *RoomPhase { return &c.RoomPhase }, EachPhase, TogetherPhase),
		before: asShipped,
		Note:   "every cut starts where the pattern does, or those of a room where its patterns hang at one height"},
	{Key: "motif_from", Group: InCloth, Sources: practice,
		kind:   oneOf(func(c *Conventions) *MotifFrom { return &c.MotifFrom }, MotifFromHem, MotifFromTop),
		before: asShipped,
		Note:   "where a full pattern begins in a room whose patterns hang at one height; see `room_phase`"},
	{Key: "lot_group", Group: InCloth, Sources: practice,
		kind:   oneOf(func(c *Conventions) *LotGroup { return &c.LotGroup }, WindowLot, RoomLot, OrderLot),
		before: asShipped,
		Note:   "the cuts of a window, of a room's windows or of the whole order come from one dye lot"},
	{Key: "order_step", Group: InCloth, Sources: metricFromMemory, Bought: true,
		kind: length{func(c *Conventions) *measure.Length { return &c.OrderStep }, measure.Yard / 8, 100 * mm, limits{positive: true}},
		Note: "in which cloth is ordered"},
	{Key: "order_rounding", Group: InCloth, Sources: practice, Rules: true,
		kind: oneOf(func(c *Conventions) *OrderRounding { return &c.OrderRounding }, OrderUp, OrderNearest, OrderAsItFell),
		Note: "to `order_step`"},
	{Key: "bolt_length", Group: InCloth, Sources: practice, Bought: true,
		kind: length{func(c *Conventions) *measure.Length { return &c.BoltLength }, 0, 0, onBolt},
		Note: "of a usual bolt; 0 is unknown"},
	{Key: "pleat_count", Group: InHeading, Sources: practice, Rules: true,
		kind:   oneOf(func(c *Conventions) *PleatCount { return &c.PleatCount }, BestCount, CountPerWidth, CountByRanges),
		before: func(c *Conventions) { c.PleatCount = CountPerWidth },
		Note:   "pleats set by hand: to hide seams, then close to the usual number in a width; a fixed number in each width; by usual spaces and take-ups"},
	{Key: "pleats_per_width", Group: InHeading, Sources: practice,
		kind: count{func(c *Conventions) *int { return &c.PleatsPerWidth }, 5, 1, 99},
		Note: "of 54 in (137 cm)"},
	{Key: "pleat_ends", Group: InHeading, Sources: practice,
		kind: oneOf(func(c *Conventions) *PleatEnds { return &c.PleatEnds }, PleatsAtEdges, HalfSpaceAtEnds),
		Note: "half a space at each end of pleats set by hand"},
	{Key: "fullness_slack", Group: InHeading, Sources: practice,
		kind:   share{func(c *Conventions) *Percent { return &c.FullnessSlack }, 700, mostSlack},
		before: func(c *Conventions) { c.FullnessSlack = 0 },
		Note:   "by which pleats set by hand may stay under the fullness asked where that saves a width"},
	{Key: "single_lead", Group: InHeading, Sources: metricFromMemory,
		kind: length{func(c *Conventions) *measure.Length { return &c.SingleLead }, 3 * in / 2, 40 * mm, limits{most: deepestHem}},
		Note: "flat at the lead of a panel set by hand that meets no other; see `lead_flat`"},
	{Key: "pole_ease", Group: InWidths, Sources: practice,
		kind:   length{func(c *Conventions) *measure.Length { return &c.PoleEase }, 0, 0, limits{most: mostAllowance}},
		before: asShipped,
		Note:   "added to the width of each panel on a pole that isn't ordered by its own width"},
	{Key: "pocket_rule", Group: InHeading, Sources: practice,
		kind:   oneOf(func(c *Conventions) *PocketRule { return &c.PocketRule }, HalfAround, RodAcross),
		before: asShipped,
		Note:   "half of the rod's circumference and `pocket_ease` together, or its diameter and `pocket_ease`"},
	{Key: "pocket_ease", Group: InHeading, Sources: metricFromMemory,
		kind:   length{func(c *Conventions) *measure.Length { return &c.PocketEase }, in, 25 * mm, limits{most: mostTrim}},
		before: asShipped,
		Note:   "by which a rod's pocket is larger than the rod; see `pocket_rule`"},
	{Key: "eyelet_clearance", Group: InHeading, Sources: metricFromMemory,
		kind:   length{func(c *Conventions) *measure.Length { return &c.EyeletClearance }, in / 2, 12 * mm, limits{most: mostTrim}},
		before: asShipped,
		Note:   "by which an eyelet is wider than its pole, or the note `eyelet_tight` says so"},
	{Key: "seam", Group: InHems, Sources: metricFromMemory,
		kind: length{func(c *Conventions) *measure.Length { return &c.Seam }, in / 2, 15 * mm, limits{most: widestSeam}},
		Note: "turned in at a join, each side; a `match_width` goes before it (`seam_narrow`)"},
	{Key: "side_hem", Group: InHems, Sources: metricFromMemory,
		kind: length{func(c *Conventions) *measure.Length { return &c.SideHem }, 3 * in / 2, 40 * mm, limits{most: deepestHem}},
		Note: "depth of the double turn"},
	{Key: "bottom_hem", Group: InHems, Sources: metricFromMemory,
		kind: length{func(c *Conventions) *measure.Length { return &c.BottomHem }, 4 * in, 100 * mm, limits{most: deepestHem}},
		Note: "depth of the double turn"},
	{Key: "heading_fold", Group: InHeading, Sources: metricFromMemory,
		kind: length{func(c *Conventions) *measure.Length { return &c.HeadingFold }, 4 * in, 100 * mm, limits{most: deepestHem}},
		Note: "depth of the double turn"},
	{Key: "squaring", Group: InHems, Sources: metricFromMemory,
		kind: length{func(c *Conventions) *measure.Length { return &c.Squaring }, 0, 0, limits{most: deepestHem}},
		Note: "added to a cut"},
	{Key: "shrink", Group: InHems, Sources: practice,
		kind: share{func(c *Conventions) *Percent { return &c.Shrink }, 0, mostShrink},
		Note: "percent, with or without its sign"},
	{Key: "length_allowance", Group: InHems, Sources: practice,
		kind: optionalLength{of: func(c *Conventions) **measure.Length { return &c.LengthAllowance }, limits: limits{most: mostAllowance}},
		Note: "one total in place of fold and hem"},
	{Key: "width_allowance", Group: InWidths, Sources: metricFromMemory,
		kind: length{func(c *Conventions) *measure.Length { return &c.WidthAllowance }, 0, 0, limits{most: mostAllowance}},
		Note: "added to a panel's width"},
	{Key: "lining_rule", Group: InLining, Sources: practice, Rules: true,
		kind: oneOf(func(c *Conventions) *LiningRule { return &c.LiningRule }, LiningComputed, LiningByAllowance),
		Note: "the finished length and `lining_allowance`"},
	{Key: "lining_puddle", Group: InLining, Sources: practice, Rules: true,
		kind: oneOf(func(c *Conventions) *LiningPuddle { return &c.LiningPuddle }, LiningFollows, LiningStops),
		Note: "lining and interlining puddle with the face, or end at the finished length"},
	{Key: "lining_lift", Group: InLining, Sources: metricFromMemory,
		kind: length{func(c *Conventions) *measure.Length { return &c.LiningLift }, in, 25 * mm, limits{most: highestLift}},
		Note: "hangs above the face's hem"},
	{Key: "lining_hem", Group: InLining, Sources: metricFromMemory,
		kind: length{func(c *Conventions) *measure.Length { return &c.LiningHem }, 2 * in, 50 * mm, limits{most: deepestHem}},
		Note: "depth of the double turn"},
	{Key: "lining_top", Group: InLining, Sources: metricFromMemory,
		kind: length{func(c *Conventions) *measure.Length { return &c.LiningTop }, 0, 0, limits{most: deepestHem}},
		Note: "turned in at the top"},
	{Key: "lining_trim", Group: InLining, Sources: metricFromMemory,
		kind: length{func(c *Conventions) *measure.Length { return &c.LiningTrim }, in, 25 * mm, limits{most: mostTrim}},
		Note: "cut longer, to trim at the top"},
	{Key: "lining_allowance", Group: InLining, Sources: metricFromMemory,
		kind: length{func(c *Conventions) *measure.Length { return &c.LiningAllowance }, 10 * in, 250 * mm, limits{most: mostAllowance}},
		Note: "on the finished length, hem and all; see `lining_rule`"},
	{Key: "lining_inset", Group: InLining, Sources: metricFromMemory,
		kind: length{func(c *Conventions) *measure.Length { return &c.LiningInset }, in, 25 * mm, limits{most: mostTrim}},
		Note: "hangs narrower than the face, each side"},
	{Key: "stack_rule", Group: InFittings, Sources: practice,
		kind:   oneOf(func(c *Conventions) *StackRule { return &c.StackRule }, RodShare, GlassThird, Glass30, Build, AWidth),
		before: asShipped,
		Note:   "room that a drawn panel takes on its rod, but for cartridges that a tape sets: those that go by the glass need `glass_width`"},
	{Key: "weights", Group: InFittings, Sources: practice,
		kind: oneOf(func(c *Conventions) *Weights { return &c.Weights }, WeightsAtCornersAndSeams, WeightsAtCorners, WeightsEveryFoot, WeightCord, NoWeights),
		Note: "in the bottom hem; a sheer has the `cord`, unless there are none"},
	{Key: "hook_inset", Group: InFittings, Sources: metricFromMemory,
		kind: length{func(c *Conventions) *measure.Length { return &c.HookInset }, in / 2, 12 * mm, limits{most: mostTrim}},
		Note: "an edge to its hook"},
	{Key: "hook_spacing", Group: InFittings, Sources: metricFromMemory,
		kind: length{func(c *Conventions) *measure.Length { return &c.HookSpacing }, 3 * in, 75 * mm, limits{positive: true, most: deepestHem}},
		Note: "along a gathered heading, at most"},
	{Key: "band_turn", Group: InHems, Sources: metricFromMemory,
		kind:   length{func(c *Conventions) *measure.Length { return &c.BandTurn }, 3 * in / 8, 10 * mm, limits{most: mostTrim}},
		before: asShipped,
		Note:   "turned under at either edge of a band that is sewn on top"},
	{Key: "step", Group: InMarks, Sources: metricFromMemory,
		kind: length{func(c *Conventions) *measure.Length { return &c.Step }, in / 16, mm, limits{positive: true, least: finestStep, most: deepestHem}},
		Note: "to which cut lengths round up"},
	{Key: "ease_per_pleat", Group: InHeading, Sources: metricFromMemory,
		kind: length{func(c *Conventions) *measure.Length { return &c.EasePerPleat }, in / 16, 3 * mm / 2, limits{most: widestSeam}},
		Note: "in each pleat that a tape sets"},
	{Key: "edge_clear", Group: InHems, Sources: metricFromMemory,
		kind: length{func(c *Conventions) *measure.Length { return &c.EdgeClear }, 4 * in, 100 * mm, limits{most: mostAllowance}},
		Note: "a seam nearer to a finished edge is avoided"},
	{Key: "seam_thickness", Group: InMarks, Sources: practice, Fine: true,
		kind: length{func(c *Conventions) *measure.Length { return &c.SeamThickness }, in / 100, in / 100, limits{most: 100 * mm}},
		Note: "of the cloth under the needle, for thread"},
	{Key: "stitch_density", Group: InMarks, Sources: Sources{Lockseam, Lockseam},
		kind: number{func(c *Conventions) *measure.Ratio { return &c.StitchDensity }, measure.Ratio{Num: 10, Den: 1}, 60},
		Note: "stitches an inch, whatever the units"},
	{Key: "cone_length", Group: InMarks, Sources: practice, Bought: true, NoneAt0: true,
		kind: length{func(c *Conventions) *measure.Length { return &c.ConeLength }, 0, 0, limits{most: mostCone}},
		Note: "thread on a cone; 0 counts no cones"},
}

// shelfRows are the shop's ways with cloth on its shelf, which no order file has. The lengths and shares are common practice without a
// published source, as is that a flaw of one point is left in. What a bolt may score is between buyer and seller (ASTM D5430), so none
// is shipped.
var shelfRows = []Convention{
	{Key: "min_remnant", Group: InShelf, Sources: practice,
		kind: length{func(c *Conventions) *measure.Length { return &c.Shelf.MinRemnant }, 20 * in, 500 * mm, limits{positive: true, most: longestKept}},
		Note: "the least that is worth keeping of what comes off a bolt"},
	{Key: "min_half", Group: InShelf, Sources: practice,
		kind: length{func(c *Conventions) *measure.Length { return &c.Shelf.MinHalf }, 10 * in, 250 * mm, limits{positive: true, most: longestKept}},
		Note: "the least width that is worth keeping of the half that an odd width leaves"},
	{Key: "cut_around", Group: InShelf, Sources: practice,
		kind: count{func(c *Conventions) *int { return &c.Shelf.CutAround }, 2, 1, 4},
		Note: "points from which a flaw is cut around"},
	{Key: "flaw_clear", Group: InShelf, Sources: practice,
		kind: length{func(c *Conventions) *measure.Length { return &c.Shelf.FlawClear }, in, 25 * mm, limits{most: mostAllowance}},
		Note: "left uncut on both sides of such a flaw"},
	{Key: "end_allowance", Group: InShelf, Sources: practice,
		kind: length{func(c *Conventions) *measure.Length { return &c.Shelf.EndAllowance }, 0, 0, limits{most: mostAllowance}},
		Note: "left uncut at each end of a bolt"},
	{Key: "kerf", Group: InShelf, Sources: practice,
		kind: length{func(c *Conventions) *measure.Length { return &c.Shelf.Kerf }, 0, 0, limits{most: widestKerf}},
		Note: "lost between two cuts that lie one behind the other; nothing at flaws and ends"},
	{Key: "hole_points", Group: InShelf, Sources: practice,
		kind: oneOf(func(c *Conventions) *HolePoints { return &c.Shelf.Holes }, HolesBySize, HolesAll4),
		Note: "a hole counts 2 points up to 1 in and 4 beyond, or always 4"},
	{Key: "accept_points", Group: InShelf, Sources: practice,
		kind: optionalCount{func(c *Conventions) *int { return &c.Shelf.Accept }, 1, mostPoints100},
		Note: "per 100 yd²; an inspection that comes to more holds the bolt"},
	{Key: "rest_tolerance", Group: InShelf, Sources: practice,
		kind: share{func(c *Conventions) *Percent { return &c.Shelf.RestPercent }, 200, mostOff},
		Note: "by which a rest may be off what is reckoned; beyond it and `rest_tolerance_length` it is asked once more"},
	{Key: "rest_tolerance_length", Group: InShelf, Sources: practice,
		kind: length{func(c *Conventions) *measure.Length { return &c.Shelf.RestLength }, 4 * in, 100 * mm, limits{most: longestKept}}},
	{Key: "count_tolerance", Group: InShelf, Sources: practice,
		kind: share{func(c *Conventions) *Percent { return &c.Shelf.CountPercent }, 100, mostOff},
		Note: "by which a length that is measured at a stock-take may be off"},
	{Key: "least_hem", Group: InShelf, Sources: practice,
		kind: optionalLength{of: func(c *Conventions) **measure.Length { return &c.Shelf.LeastHem }, limits: limits{positive: true, most: deepestHem}},
		Note: "depth of the double turn: the least bottom hem that is made where cloth is short"},
}

// ToleranceRow is the row of a tolerance, by the name that it has in Tolerances.
type ToleranceRow struct {
	Key          string
	Inch, Metric Tolerance
	Sources      Sources
}

// Entry is the name of what is measured.
func (r ToleranceRow) Entry() string {
	return r.Key[strings.LastIndex(r.Key, ".")+1:]
}

func (r ToleranceRow) shipped(units measure.Unit) Tolerance {
	if units.Metric() {
		return r.Metric
	}
	return r.Inch
}

// AllTolerances lists the rows of the tolerances in the order of the work.
func AllTolerances() []ToleranceRow { return slices.Clone(tolerances) }

// The tolerances that several entries have: a finished panel's measures; a fold, a first dot, and the panels of a pair, which hang
// beside each other, where a hem that steps is seen at once (common practice).
var (
	panelInch, panelMetric = Tolerance{in / 4, in / 4}, Tolerance{6 * mm, 6 * mm}
	closeInch, closeMetric = Tolerance{in / 8, in / 8}, Tolerance{3 * mm, 3 * mm}
	byUFGS                 = Sources{Inch: UFGS, Metric: UFGS}
)

// tolerances are the rows of the station table, in the order of the work. Cloth may be narrower than ordered as much as the flat width of what is
// joined from it may be off, and wider by selvage, which is turned in or cut off; five repeats together may be off as a fold may.
// A heading may be drawn out too wide at the pull-up, never too narrow. All are common practice but the finished panel's.
var tolerances = []ToleranceRow{
	{"usable_width", Tolerance{in / 4, in}, Tolerance{6 * mm, 25 * mm}, metricFromMemory},
	{"repeat_over_five", closeInch, closeMetric, metricFromMemory},
	{"flat_width", panelInch, panelMetric, metricFromMemory},
	{"length_return", panelInch, panelMetric, metricFromMemory},
	{"length_middle", panelInch, panelMetric, metricFromMemory},
	{"length_leading", panelInch, panelMetric, metricFromMemory},
	{"fold_depth", closeInch, closeMetric, metricFromMemory},
	{"pocket", Tolerance{0, in / 8}, Tolerance{0, 3 * mm}, metricFromMemory},
	{"stand", closeInch, closeMetric, metricFromMemory},
	{"first_eyelet_return", closeInch, closeMetric, metricFromMemory},
	{"first_eyelet_leading", closeInch, closeMetric, metricFromMemory},
	{"eyelet_drop", Tolerance{in / 16, in / 16}, Tolerance{3 * mm / 2, 3 * mm / 2}, metricFromMemory},
	{"tab_loop", closeInch, closeMetric, metricFromMemory},
	{"first_hook_return", closeInch, closeMetric, metricFromMemory},
	{"first_hook_leading", closeInch, closeMetric, metricFromMemory},
	{"drop", Tolerance{in / 16, in / 16}, Tolerance{3 * mm / 2, 3 * mm / 2}, metricFromMemory},
	{"first_dot_return", closeInch, closeMetric, metricFromMemory},
	{"first_dot_leading", closeInch, closeMetric, metricFromMemory},
	{"first_pleat_return", closeInch, closeMetric, metricFromMemory},
	{"pleat_face", closeInch, closeMetric, metricFromMemory},
	{"first_pleat_leading", closeInch, closeMetric, metricFromMemory},
	{"pull_up.finished_width", Tolerance{0, in / 2}, Tolerance{0, 12 * mm}, metricFromMemory},
	{"finished_width", panelInch, panelMetric, byUFGS},
	{"finished_length", panelInch, panelMetric, byUFGS},
	{"packing.pair_width", closeInch, closeMetric, metricFromMemory},
	{"packing.pair_length", closeInch, closeMetric, metricFromMemory},
}
