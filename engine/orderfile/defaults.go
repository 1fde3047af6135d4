package orderfile

import "tablehand/engine/measure"

// The defaults of an order file in the system of its unit. Inch figures are those of the program's own worked
// tape and of common practice in workrooms; metric ones are from memory, metric practice. No standard sets them;
// a shop sets its own.

// treatmentDefault is what a window has that doesn't say: common practice, but for hooks a quarter inch below the top,
// which a contract of the University of Minnesota asks (Territorial Hall draperies).
type treatmentDefault struct{ ret, overlap, hookDrop measure.Length }

func treatmentDefaults(units measure.Unit) treatmentDefault {
	if units.Metric() {
		return treatmentDefault{ret: 90 * measure.Millimetre, overlap: 150 * measure.Millimetre, hookDrop: 6 * measure.Millimetre}
	}
	return treatmentDefault{ret: 7 * measure.Inch / 2, overlap: 6 * measure.Inch, hookDrop: measure.Inch / 4}
}

// defaultOverlap is the same lap under either reading: what a panel passes the centre by is half of it.
func (d treatmentDefault) defaultOverlap(basis string) measure.Length {
	if basis == "past_centre" {
		return d.overlap / 2
	}
	return d.overlap
}

// tapeDefault is what a tape has that doesn't say: common practice. nominal and least are of the end margin.
type tapeDefault struct{ topDrop, nominal, least, trimBeyond measure.Length }

func tapeDefaults(units measure.Unit) tapeDefault {
	if units.Metric() {
		const mm = measure.Millimetre
		return tapeDefault{topDrop: 6 * mm, nominal: 20 * mm, least: 12 * mm, trimBeyond: 25 * mm}
	}
	const in = measure.Inch
	return tapeDefault{topDrop: in / 4, nominal: 3 * in / 4, least: in / 2, trimBeyond: in}
}

// endMargin is the default for a tape of that space: at most half a space more than the least, so that the flat
// at an edge looks like a space and no wider. A space so small that the nominal is over it lowers the nominal.
func (d tapeDefault) endMargin(space measure.Length) EndMargin {
	most := d.least + space.Div(2)
	return EndMargin{Nominal: min(d.nominal, most), Min: d.least, Max: most}
}

// DefaultConventions returns the conventions of a shop that has set none, for orders in that unit. Words, hems and
// allowances are common practice where sources disagree (choices.go names them); the finished panel's tolerance of 1/4 in (6 mm)
// is UFGS 12 22 00's; stitches an inch are the example of the lockstitch thread formula; other tolerances are
// common practice. Metric figures are from memory, metric practice, but for those that convert exactly.
func DefaultConventions(units measure.Unit) Conventions {
	c := Conventions{
		OverlapBasis: "total_lap", FullnessBasis: "finished", WidthsRounding: "up_to_half", PairSplit: "panel",
		Surplus: "trim", RepeatRule: "whole_repeats", OrderRepeats: 1, HalfDrop: "phases", OrderRounding: "up",
		PleatCount: "best", PleatsPerWidth: 5, PleatEnds: "at_edges", FullnessSlack: 700, LiningRule: "computed", LiningPuddle: "follow",
		Weights:       "corners_and_seams",
		SeamThickness: measure.Inch / 100, StitchDensity: measure.Ratio{Num: 10, Den: 1},
	}
	if units.Metric() {
		const mm = measure.Millimetre
		c.OrderStep = 100 * mm
		c.Seam, c.SideHem, c.BottomHem, c.HeadingFold = 15*mm, 40*mm, 100*mm, 100*mm
		c.LiningLift, c.LiningHem, c.LiningTrim, c.LiningAllowance = 25*mm, 50*mm, 25*mm, 250*mm
		c.LiningInset, c.HookSpacing, c.HookInset = 25*mm, 75*mm, 12*mm
		c.Step, c.EasePerPleat, c.EdgeClear, c.SingleLead = mm, 3*mm/2, 100*mm, 40*mm
		c.Tolerances = tolerances(6*mm, 3*mm, 3*mm/2, 12*mm, 25*mm)
		return c
	}
	const in = measure.Inch
	c.OrderStep = measure.Yard / 8
	c.Seam, c.SideHem, c.BottomHem, c.HeadingFold = in/2, 3*in/2, 4*in, 4*in
	c.LiningLift, c.LiningHem, c.LiningTrim, c.LiningAllowance = in, 2*in, in, 10*in
	c.LiningInset, c.HookSpacing, c.HookInset = in, 3*in, in/2
	c.Step, c.EasePerPleat, c.EdgeClear, c.SingleLead = in/16, in/16, 4*in, 3*in/2
	c.Tolerances = tolerances(in/4, in/8, in/16, in/2, in)
	return c
}

// FirstReleaseConventions returns the conventions of a shop that had set none in the first release: what an order
// was worked up with whose record carries no conventions of its own.
func FirstReleaseConventions(units measure.Unit) Conventions {
	c := DefaultConventions(units)
	c.PleatCount, c.Surplus, c.FullnessSlack = "per_width", "by_heading", 0
	return c
}

// tolerances is the station table: panel for a finished panel's measures, close for a fold and a first dot, fine
// for the tape's drop; opened is how far a heading may be drawn out too wide at the pull-up, never too narrow. The panels
// of a pair may differ by close: they hang beside each other, where a hem that steps is seen at once (common practice).
//
// Cloth may be narrower than ordered by panel, as much as the flat width of what is joined from it may be off, and wider
// by selvage, which is turned in or cut off; five repeats together may be off by close. All three are common practice
// without a source.
func tolerances(panel, close, fine, opened, selvage measure.Length) Tolerances {
	return Tolerances{
		"usable_width":           {panel, selvage},
		"repeat_over_five":       {close, close},
		"flat_width":             {panel, panel},
		"length_return":          {panel, panel},
		"length_middle":          {panel, panel},
		"length_leading":         {panel, panel},
		"fold_depth":             {close, close},
		"drop":                   {fine, fine},
		"first_dot_return":       {close, close},
		"first_dot_leading":      {close, close},
		"first_pleat_return":     {close, close},
		"first_pleat_leading":    {close, close},
		"pull_up.finished_width": {0, opened},
		"finished_width":         {panel, panel},
		"finished_length":        {panel, panel},
		"packing.pair_width":     {close, close},
		"packing.pair_length":    {close, close},
	}
}
