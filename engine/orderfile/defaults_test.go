package orderfile_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

const (
	in = measure.Inch
	mm = measure.Millimetre
)

// bare is an order that leaves out whatever it may.
const bare = `units: UNIT
order: T-1
fabrics: [{id: reed, use: face, usable_width: 54 in}]
tapes: [{id: cart, period: 165 mm, space: 65 mm, height: 4 in, cords: 3}]
treatments: [{window: Bay, heading: cartridge-tape, face_width: 2 m, finished_length: 2 m, face: reed}]
`

// TestDefaults holds what an order leaves out against server/interface.md: the table of conventions, "Required",
// and for metric orders "In cm and mm orders the defaults are".
func TestDefaults(t *testing.T) {
	words := orderfile.Conventions{
		OverlapBasis: "total_lap", FullnessBasis: "finished", WidthsRounding: "up_to_half", PairSplit: "panel",
		Surplus: "trim", RepeatRule: "whole_repeats", OrderRepeats: 1, HalfDrop: "phases", OrderRounding: "up",
		PleatCount: "best", PleatsPerWidth: 5, PleatEnds: "at_edges", FullnessSlack: 700, LiningRule: "computed", LiningPuddle: "follow",
		Weights:       "corners_and_seams",
		SeamThickness: 254_000, StitchDensity: measure.Ratio{Num: 10, Den: 1},
	}
	inches := words
	inches.OrderStep = 9 * in / 2 // 1/8 yd
	inches.Seam, inches.SideHem, inches.BottomHem, inches.HeadingFold = in/2, 3*in/2, 4*in, 4*in
	inches.LiningLift, inches.LiningHem, inches.LiningTrim, inches.LiningAllowance = in, 2*in, in, 10*in
	inches.LiningInset, inches.HookSpacing, inches.HookInset = in, 3*in, in/2
	inches.Step, inches.EasePerPleat, inches.EdgeClear, inches.SingleLead = in/16, in/16, 4*in, 3*in/2
	inches.Tolerances = stationTable(in/4, in/8, in/16, in/2, in)
	metric := words
	metric.OrderStep = 100 * mm
	metric.Seam, metric.SideHem, metric.BottomHem, metric.HeadingFold = 15*mm, 40*mm, 100*mm, 100*mm
	metric.LiningLift, metric.LiningHem, metric.LiningTrim, metric.LiningAllowance = 25*mm, 50*mm, 25*mm, 250*mm
	metric.LiningInset, metric.HookSpacing, metric.HookInset = 25*mm, 75*mm, 12*mm
	metric.Step, metric.EasePerPleat, metric.EdgeClear, metric.SingleLead = mm, 3*mm/2, 100*mm, 40*mm
	metric.Tolerances = stationTable(6*mm, 3*mm, 3*mm/2, 12*mm, 25*mm)

	for _, c := range []struct {
		units        measure.Unit
		conventions  orderfile.Conventions
		drop, beyond measure.Length
		margin       orderfile.EndMargin
		ret, overlap measure.Length
		hooks        measure.Length
	}{
		{measure.In, inches, in / 4, in, orderfile.EndMargin{Nominal: 3 * in / 4, Min: in / 2, Max: in/2 + 65*mm/2}, 7 * in / 2, 6 * in, in / 4},
		{measure.CM, metric, 6 * mm, 25 * mm, orderfile.EndMargin{Nominal: 20 * mm, Min: 12 * mm, Max: 12*mm + 65*mm/2}, 90 * mm, 150 * mm, 6 * mm},
		{measure.MM, metric, 6 * mm, 25 * mm, orderfile.EndMargin{Nominal: 20 * mm, Min: 12 * mm, Max: 12*mm + 65*mm/2}, 90 * mm, 150 * mm, 6 * mm},
	} {
		t.Run(string(c.units), func(t *testing.T) {
			o, problems := orderfile.Parse([]byte(strings.Replace(bare, "UNIT", string(c.units), 1)))
			if o == nil {
				t.Fatalf("%+v", problems)
			}
			compare(t, o.Conventions, c.conventions)
			compare(t, orderfile.DefaultConventions(c.units), c.conventions)
			compare(t, o.Fabrics[0], orderfile.Fabric{ID: "reed", Use: orderfile.Face, UsableWidth: 54 * in, Match: orderfile.Straight})
			compare(t, o.Tapes[0], orderfile.Tape{ID: "cart", Period: 165 * mm, Space: 65 * mm, Height: 4 * in, Cords: 3,
				TopDrop: c.drop, EndMargin: c.margin, TrimBeyond: c.beyond, InsertLength: 300 * mm})
			compare(t, o.Treatments[0], orderfile.Treatment{Window: "Bay", Heading: orderfile.CartridgeTape, Tape: "cart", Draw: orderfile.Pair,
				FaceWidth: 2 * measure.Metre, Return: c.ret, Overlap: c.overlap, FinishedLength: 2 * measure.Metre, Face: "reed",
				Quantity: 1, CordEnd: orderfile.Wound, HookDrop: c.hooks})
		})
	}
}

func compare[T any](t *testing.T, got, want T) {
	t.Helper()
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-documented +read)\n%s", diff)
	}
}

// stationTable has the tolerances by entry: of a finished panel's measures, of fold, first dots and between the panels of
// a pair, of the tape's drop, how much wider than asked a heading may be after the pull-up, and cloth than ordered.
func stationTable(panel, dot, drop, opened, selvage measure.Length) orderfile.Tolerances {
	t := orderfile.Tolerances{"drop": {Minus: drop, Plus: drop}, "pull_up.finished_width": {Minus: 0, Plus: opened},
		"usable_width": {Minus: panel, Plus: selvage}, "repeat_over_five": {Minus: dot, Plus: dot}}
	for _, name := range []string{"flat_width", "length_return", "length_middle", "length_leading", "finished_width", "finished_length"} {
		t[name] = orderfile.Tolerance{Minus: panel, Plus: panel}
	}
	for _, name := range []string{"fold_depth", "first_dot_return", "first_dot_leading", "first_pleat_return", "first_pleat_leading", "packing.pair_width", "packing.pair_length"} {
		t[name] = orderfile.Tolerance{Minus: dot, Plus: dot}
	}
	return t
}

// TestDefaultsAreNotShared: what one order sets is no other's.
func TestDefaultsAreNotShared(t *testing.T) {
	file := strings.Replace(bare, "UNIT", "in", 1)
	orderfile.Parse([]byte(file + "conventions: {tolerances: {drop: 1}}\n"))
	if o, _ := orderfile.Parse([]byte(file)); o.Conventions.Tolerances["drop"].Plus != in/16 {
		t.Errorf("the next order has a drop of %d", o.Conventions.Tolerances["drop"].Plus)
	}
}

// TestEndMarginGivesWay: what isn't written of an end margin stays between what is.
func TestEndMarginGivesWay(t *testing.T) {
	for written, want := range map[string]orderfile.EndMargin{
		"{nominal: 1/4}":         {Nominal: in / 4, Min: in / 4, Max: 3 * in / 2},
		"{nominal: 2}":           {Nominal: 2 * in, Min: in / 2, Max: 2 * in},
		"{min: 1}":               {Nominal: in, Min: in, Max: 3 * in / 2},
		"{max: 3/8}":             {Nominal: 3 * in / 8, Min: 3 * in / 8, Max: 3 * in / 8},
		"{min: 2}":               {Nominal: 2 * in, Min: 2 * in, Max: 2 * in},
		"{nominal: 1/2, max: 1}": {Nominal: in / 2, Min: in / 2, Max: in},
		"{}":                     {Nominal: 3 * in / 4, Min: in / 2, Max: 3 * in / 2},
	} {
		file := strings.NewReplacer("UNIT", "in", "period: 165 mm, space: 65 mm", "period: 6, space: 2, end_margin: "+written).Replace(bare)
		o, problems := orderfile.Parse([]byte(file))
		if o == nil {
			t.Fatalf("%s: %+v", written, problems)
		}
		if o.Tapes[0].EndMargin != want {
			t.Errorf("%s is read as %+v, want %+v", written, o.Tapes[0].EndMargin, want)
		}
	}
	file := strings.NewReplacer("UNIT", "in", "space: 65 mm", "space: 1/4").Replace(bare)
	if o, _ := orderfile.Parse([]byte(file)); o.Tapes[0].EndMargin.Nominal != 5*in/8 {
		t.Error("a narrow space doesn't lower the nominal")
	}
}

// TestDefaultLapIsOne: the overlap that an order leaves out is the same lap under either reading.
func TestDefaultLapIsOne(t *testing.T) {
	file := strings.Replace(bare, "UNIT", "in", 1) + "conventions: {overlap_basis: past_centre}\n"
	if o, _ := orderfile.Parse([]byte(file)); o.Treatments[0].Overlap != 3*in {
		t.Errorf("each panel passes the centre by %s", o.Treatments[0].Overlap.In(measure.In))
	}
}

// TestFullExample holds the values of the example that has every key, where no default would give them.
func TestFullExample(t *testing.T) {
	src, err := os.ReadFile(filepath.Join("..", "..", "testdata", "orderfile", "full.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	o, problems := orderfile.Parse(src)
	if o == nil {
		t.Fatalf("%+v", problems)
	}
	allowance, five, six, two, pleats, twelve, widths := 18*in, 5*in, 6*in, 2*in, 19, 12, measure.Halves(5)
	c := o.Conventions
	if c.FullnessSlack != 500 || c.SingleLead != 2*in {
		t.Errorf("slack %d, lead %s", c.FullnessSlack, c.SingleLead.In(measure.In))
	}
	if c.Shrink != 250 || c.Surplus != "trim" || c.StitchDensity != (measure.Ratio{Num: 17, Den: 2}) || *c.LengthAllowance != allowance || c.OrderStep != 9*in ||
		c.LiningInset != 3*in/4 || c.Weights != "every_foot" || c.HookSpacing != 5*in/2 || c.HookInset != 5*in/8 || c.ConeLength != 6000*measure.Yard {
		t.Errorf("conventions %+v", c)
	}
	if got := c.Tolerances["finished_width"]; got != (orderfile.Tolerance{Minus: in / 8, Plus: in / 4}) {
		t.Errorf("a side left out keeps its default: %+v", got)
	}
	if o.Notes != "Deliver by the yard gate.\nRing before noon." || !o.PrintSidemark || o.Due != "2027-01-29" {
		t.Errorf("order %+v", o)
	}
	compare(t, o.Treatments, []orderfile.Treatment{
		{Window: "Bay, left", Room: "021", Heading: "cartridge-tape", Tape: "cart-4", Draw: "one_way_left", FaceWidth: 84 * in, Return: 4 * in,
			ReturnOther: new(3 * in / 2), Overlap: 5 * in, FinishedLength: 191 * in / 2, Puddle: 3 * in / 2, Face: "marsh-toile", Lining: "sateen",
			Interlining: "domette", Quantity: 2, CordEnd: "tucked", HookDrop: 3 * in / 8,
			Under: "Valance of the toile, 14 in deep", Notes: "Rod is up, measured twice",
			HeadingFold: &five, BottomHem: &six, SideHem: &two, Pleats: &pleats},
		{Window: "Bay, right", Heading: "cartridge-tape", Tape: "cart-3", Draw: "stationary_pair", FinishedWidth: 32 * in, Return: 7 * in / 2,
			Overlap: 6 * in, FinishedLength: 197 * in / 2, Hang: &orderfile.Hang{BearingToFloor: 393 * in / 4, HeadingAboveBearing: 3 * in / 4, Clearance: in / 2},
			Face: "marsh-toile", Quantity: 1, CordEnd: "wound", HookDrop: in / 4},
		{Window: "Stair", Heading: "pinch-3", Draw: "pair", FaceWidth: 60 * in, Return: 7 * in / 2, Overlap: 6 * in, FinishedLength: 110 * in,
			Face: "marsh-toile", Quantity: 1, CordEnd: "wound", HookDrop: in / 4, Fullness: &measure.Ratio{Num: 11, Den: 4}, LeadFlat: &two, Pleats: &twelve,
			Widths: &widths, Surplus: "trim"},
	})
	left, _ := o.Position("treatments[1].overlap")
	if window, _ := o.Position("treatments[1]"); left != window || window == 0 {
		t.Error("a value left out stands where its window does")
	}
}

// The first release counted the pleats of headings set by hand by the width, and each heading had its own way with
// a surplus.
func TestFirstReleaseConventions(t *testing.T) {
	for _, units := range []measure.Unit{measure.In, measure.CM, measure.MM} {
		got, now := orderfile.FirstReleaseConventions(units), orderfile.DefaultConventions(units)
		if got.PleatCount != "per_width" || got.Surplus != "by_heading" || got.FullnessSlack != 0 {
			t.Errorf("%s: %q, %q, %d", units, got.PleatCount, got.Surplus, got.FullnessSlack)
		}
		got.PleatCount, got.Surplus, got.FullnessSlack = now.PleatCount, now.Surplus, now.FullnessSlack
		compare(t, got, now)
	}
}
