package orderfile

import "tablehand/engine/measure"

// Conventions are a shop's ways of working where sources disagree (choices.go names them) or the trade has no standard. The
// names are those of the order file and of the shop's settings.
type Conventions struct {
	OverlapBasis   string // total_lap | past_centre
	FullnessBasis  string // finished | track | track_then_flat
	WidthsRounding string // up_to_half | up_to_whole | nearest_whole
	PairSplit      string // panel | total
	Surplus        string // trim | keep | by_heading: trimmed under a tape, kept in a panel set by hand
	RepeatRule     string // whole_repeats | on_phase | add_one
	OrderRepeats   int    // repeats added to each patterned fabric's order for positioning
	HalfDrop       string // phases | one_repeat_an_order | half_repeat_a_cut | within_spare
	OrderStep      measure.Length
	OrderRounding  string         // up | nearest | none
	BoltLength     measure.Length // of a usual bolt, where the fabric doesn't say; 0 unknown
	PleatCount     string         // best | per_width | ranges
	PleatsPerWidth int
	PleatEnds      string // at_edges | half_space
	// FullnessSlack is by how much the fullness of a heading set by hand may stay under the one asked.
	FullnessSlack Percent
	SingleLead    measure.Length // flat at the lead of a panel that meets no other, set by hand

	Seam            measure.Length // cloth turned in at a join, each side
	SideHem         measure.Length // depth of the double turn
	BottomHem       measure.Length // depth of the double turn
	HeadingFold     measure.Length // depth of the double turn
	Squaring        measure.Length
	Shrink          Percent
	LengthAllowance *measure.Length // replaces fold and hem by one total; nil: absent
	WidthAllowance  measure.Length  // wanted more in the width of each panel

	LiningRule      string // computed | allowance
	LiningPuddle    string // follow | stop: whether lining and interlining puddle with the face
	LiningLift      measure.Length
	LiningHem       measure.Length // depth of the double turn
	LiningTop       measure.Length
	LiningTrim      measure.Length
	LiningAllowance measure.Length // on the finished length, hem and all
	LiningInset     measure.Length // the lining hangs narrower than the face by it at each side

	Weights     string         // corners_and_seams | corners | every_foot | cord | none
	HookSpacing measure.Length // along a gathered heading; pleats have a hook each
	HookInset   measure.Length // from an edge to its hook
	ConeLength  measure.Length // of thread on a cone; 0 where not known

	Step          measure.Length // to which cut lengths round up
	EasePerPleat  measure.Length
	EdgeClear     measure.Length // a seam nearer to a finished edge is avoided
	SeamThickness measure.Length // of the cloth under the needle, for thread
	// StitchDensity is stitches an inch (10: T03's example) whatever the order's unit, as a ratio.
	StitchDensity measure.Ratio
	Tolerances    Tolerances
}

// Percent is a share in ten-thousandths: 300 is 3 %.
type Percent int

// Tolerance is how far a measured value may lie under and over its target.
type Tolerance struct{ Minus, Plus measure.Length }

// Tolerances has the tolerance of each entry by the entry's name ("flat_width"), or by station and name where one
// name is entered at two stations with different tolerances ("pull_up.finished_width").
type Tolerances map[string]Tolerance
