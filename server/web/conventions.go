package web

import (
	"maps"
	"slices"
	"strconv"
	"strings"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/stations"
	"tablehand/views"
)

// Where the default of a convention comes from, as engine/orderfile says it: the last part of a key of the catalogue.
const (
	practice = "practice" // common practice: sources disagree (engine/orderfile/choices.go names them) or the trade has no standard
	memory   = "memory"   // from memory, metric practice
	ufgs     = "ufgs"     // UFGS 12 22 00, the finished panel's tolerance
	lockseam = "lockseam" // textilecalculations.com, sewing-thread problem 2 (T03): the thread of a lockstitch
)

// conventionRows are the conventions of orders in that unit which say nothing of their own, and the tolerances.
func conventionRows(units string) (conventions []views.Convention, tolerances []views.Tolerance) {
	unit := measure.Unit(units)
	c := orderfile.DefaultConventions(unit)
	lengths := practice // the source of a length: inch figures are common practice, metric ones from memory
	if unit.Metric() {
		lengths = memory
	}
	length := func(name string, l measure.Length) views.Convention {
		return views.Convention{Name: name, Value: l.In(unit), Source: lengths}
	}
	word := func(name, value string) views.Convention {
		return views.Convention{Name: name, Value: value, Word: true, Source: practice}
	}
	count := func(name string, n int) views.Convention {
		return views.Convention{Name: name, Value: strconv.Itoa(n), Source: practice}
	}
	percent := func(name string, p orderfile.Percent) views.Convention {
		return views.Convention{Name: name, Value: measure.Ratio{Num: int64(p), Den: 100}.String() + " %", Source: practice}
	}
	of := func(source string, row views.Convention) views.Convention { row.Source = source; return row }
	conventions = []views.Convention{
		word("overlap_basis", c.OverlapBasis), word("fullness_basis", c.FullnessBasis), word("widths_rounding", c.WidthsRounding),
		word("pair_split", c.PairSplit), word("surplus", c.Surplus), word("repeat_rule", c.RepeatRule), count("order_repeats", c.OrderRepeats),
		word("half_drop", c.HalfDrop), {Name: "order_step", Value: c.OrderStep.In(unit.Purchase()), Source: lengths}, word("order_rounding", c.OrderRounding),
		{Name: "bolt_length", Value: c.BoltLength.In(unit.Purchase()), Source: practice},
		word("pleat_count", c.PleatCount), count("pleats_per_width", c.PleatsPerWidth), word("pleat_ends", c.PleatEnds), percent("fullness_slack", c.FullnessSlack), length("single_lead", c.SingleLead),
		length("seam", c.Seam), length("side_hem", c.SideHem), length("bottom_hem", c.BottomHem), length("heading_fold", c.HeadingFold),
		length("squaring", c.Squaring), percent("shrink", c.Shrink),
		{Name: "length_allowance", Source: practice}, length("width_allowance", c.WidthAllowance),
		word("lining_rule", c.LiningRule), word("lining_puddle", c.LiningPuddle), length("lining_lift", c.LiningLift), length("lining_hem", c.LiningHem), length("lining_top", c.LiningTop),
		length("lining_trim", c.LiningTrim), length("lining_allowance", c.LiningAllowance),
		length("lining_inset", c.LiningInset), word("weights", c.Weights), length("hook_inset", c.HookInset), length("hook_spacing", c.HookSpacing),
		length("step", c.Step), length("ease_per_pleat", c.EasePerPleat), length("edge_clear", c.EdgeClear),
		of(practice, views.Convention{Name: "seam_thickness", Value: c.SeamThickness.Number(unit, 3) + " " + units}),
		of(lockseam, views.Convention{Name: "stitch_density", Value: c.StitchDensity.String()}),
		{Name: "cone_length", Source: practice}, // none: the work-up counts no cones
	}
	for _, name := range slices.Sorted(maps.Keys(c.Tolerances)) {
		t := c.Tolerances[name]
		row := views.Tolerance{Name: name, Entry: name, Minus: t.Minus.In(unit), Plus: t.Plus.In(unit), Source: lengths}
		if station, entry, both := strings.Cut(name, "."); both {
			row.Station, row.Entry = stations.Station(station), entry
		}
		if name == "finished_width" || name == "finished_length" {
			row.Source = ufgs
		}
		tolerances = append(tolerances, row)
	}
	return conventions, tolerances
}
