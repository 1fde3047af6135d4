package orderfile_test

import (
	"fmt"
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

// TestSheersAreDocumented holds what a sheer has against the table of server/interface.md.
func TestSheersAreDocumented(t *testing.T) {
	page, err := os.ReadFile(filepath.Join("..", "..", "server", "interface.md"))
	if err != nil {
		t.Fatal(err)
	}
	inch, metric := orderfile.Sheers(measure.In), orderfile.Sheers(measure.CM)
	for _, want := range []string{
		fmt.Sprintf("`bottom_hem` %s in, %s mm, and `side_hem` %s in, %s mm", inch.BottomHem.Number(measure.In, 0), metric.BottomHem.Number(measure.MM, 0), inch.SideHem.Number(measure.In, 0), metric.SideHem.Number(measure.MM, 0)),
		fmt.Sprintf("a `fullness` of %s where pleats are set by hand or the top is gathered, up to %s being usual", inch.Fullness, inch.FullnessMax),
	} {
		if !strings.Contains(string(page), want) {
			t.Errorf("interface.md doesn't say %q", want)
		}
	}
}

// TestDefaults holds what an order leaves out against the tables of server/interface.md; TestConventionsAreDocumented does so for
// the conventions.
func TestDefaults(t *testing.T) {
	for _, c := range []struct {
		units        measure.Unit
		drop, beyond measure.Length
		margin       orderfile.EndMargin
		ret, overlap measure.Length
		hooks        measure.Length
	}{
		{measure.In, in / 4, in, orderfile.EndMargin{Nominal: 3 * in / 4, Min: in / 2, Max: in/2 + 65*mm/2}, 7 * in / 2, 6 * in, in / 4},
		{measure.CM, 6 * mm, 25 * mm, orderfile.EndMargin{Nominal: 20 * mm, Min: 12 * mm, Max: 12*mm + 65*mm/2}, 90 * mm, 150 * mm, 6 * mm},
		{measure.MM, 6 * mm, 25 * mm, orderfile.EndMargin{Nominal: 20 * mm, Min: 12 * mm, Max: 12*mm + 65*mm/2}, 90 * mm, 150 * mm, 6 * mm},
	} {
		t.Run(string(c.units), func(t *testing.T) {
			o, problems := orderfile.Parse([]byte(strings.Replace(bare, "UNIT", string(c.units), 1)))
			if o == nil {
				t.Fatalf("%+v", problems)
			}
			compare(t, o.Conventions, orderfile.DefaultConventions(c.units))
			compare(t, o.Fabrics[0], orderfile.Fabric{ID: "reed", Use: orderfile.Face, UsableWidth: 54 * in, Match: orderfile.Straight})
			compare(t, o.Tapes[0], orderfile.Tape{ID: "cart", Period: 165 * mm, Space: 65 * mm, Height: 4 * in, Cords: 3, Kind: orderfile.CartridgeKind,
				TopDrop: c.drop, EndMargin: c.margin, TrimBeyond: c.beyond, InsertLength: 300 * mm})
			compare(t, o.Treatments[0], orderfile.Treatment{Window: "Bay", Heading: orderfile.CartridgeTape, Tape: "cart", Draw: orderfile.Pair,
				FaceWidth: 2 * measure.Metre, Return: c.ret, Overlap: c.overlap, FinishedLength: 2 * measure.Metre, Face: "reed",
				Quantity: 1, CordEnd: orderfile.Wound, HookDrop: c.hooks, Motif: orderfile.Marching})
		})
	}
}

func compare[T any](t *testing.T, got, want T) {
	t.Helper()
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-documented +read)\n%s", diff)
	}
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
			Interlining: "domette", Quantity: 2, CordEnd: "tucked", HookDrop: 3 * in / 8, Motif: "marching",
			Under: "Valance of the toile, 14 in deep", Notes: "Rod is up, measured twice",
			HeadingFold: &five, BottomHem: &six, SideHem: &two, Pleats: &pleats},
		{Window: "Bay, right", Heading: "cartridge-tape", Tape: "cart-3", Draw: "stationary_pair", FinishedWidth: 32 * in, Return: 7 * in / 2,
			Overlap: 6 * in, FinishedLength: 197 * in / 2, Hang: &orderfile.Hang{BearingToFloor: 393 * in / 4, HeadingAboveBearing: 3 * in / 4, Clearance: in / 2},
			Face: "marsh-toile", Quantity: 1, CordEnd: "wound", HookDrop: in / 4, Motif: "marching"},
		{Window: "Stair", Heading: "pinch-3", Draw: "pair", FaceWidth: 60 * in, Return: 7 * in / 2, Overlap: 6 * in, FinishedLength: 110 * in,
			Face: "marsh-toile", Quantity: 1, CordEnd: "wound", HookDrop: in / 4, Motif: "marching", Fullness: &measure.Ratio{Num: 11, Den: 4}, LeadFlat: &two, Pleats: &twelve,
			Widths: &widths, Surplus: "trim"},
		{Window: "Landing", Heading: "cartridge-hand", Draw: "pair", FaceWidth: 60 * in, Return: 7 * in / 2, Overlap: 6 * in, FinishedLength: 84 * in,
			Face: "marsh-toile", Quantity: 1, CordEnd: "wound", HookDrop: in / 4, Motif: "marching", Inserts: "none"},
		{Window: "Larder", Heading: "pinch-tape", Tape: "pinch-9", Draw: "pair", FaceWidth: 84 * in, Return: 7 * in / 2, Overlap: 6 * in, FinishedLength: 84 * in,
			Face: "marsh-toile", Quantity: 1, CordEnd: "wound", HookDrop: in / 4, Motif: "marching", LeadFlat: &five},
		{Window: "Pantry", Heading: "pencil-tape", Tape: "pencil-3", Draw: "pair", FaceWidth: 84 * in, GlassWidth: 60 * in, Return: 7 * in / 2, Overlap: 6 * in, FinishedLength: 84 * in,
			Face: "marsh-toile", Quantity: 1, CordEnd: "wound", HookDrop: in / 4, Motif: "marching", Fullness: &measure.Ratio{Num: 2, Den: 1}},
		{Window: "Study", Heading: "eyelet", Rod: "pole", Draw: "pair", FaceWidth: 84 * in, FinishedLength: 387 * in / 4,
			Hang: &orderfile.Hang{BearingToFloor: 96 * in, HeadingAboveBearing: 5 * in / 4, Clearance: in / 2, Own: true}, Face: "marsh-toile", Quantity: 1, CordEnd: "wound",
			HookDrop: in / 4, Motif: "marching", Points: orderfile.Points{Count: new(8), Min: &five, Max: new(9 * in), PreferredPitch: new(13 * in / 2), End: &two},
			Eyelet: orderfile.EyeletSize{Inner: 2 * in, Outer: 3 * in, Drop: 9 * in / 4}},
		{Window: "Porch", Heading: "tab", Rod: "pole", Draw: "pair", FaceWidth: 84 * in, FinishedLength: 185 * in / 2,
			Hang: &orderfile.Hang{BearingToFloor: 96 * in, HeadingAboveBearing: -3 * in, Clearance: in / 2}, Face: "marsh-toile", Quantity: 1, CordEnd: "wound",
			HookDrop: in / 4, Motif: "marching", Tab: orderfile.TabSize{Width: 5 * in / 2, Gap: 3 * in / 2, Loop: new(8 * in), Facing: 4 * in}},
		{Window: "Larder door", Heading: "rod-pocket", Draw: "stationary", FinishedWidth: 30 * in, FinishedLength: 60 * in, Face: "marsh-toile", Quantity: 1,
			CordEnd: "wound", HookDrop: in / 4, Motif: "marching", Pocket: orderfile.PocketSize{Depth: &two, Stand: in, Turn: 5 * in / 8}},
		{Window: "Hall", Heading: "ring", Rod: "pole", Draw: "pair", FaceWidth: 84 * in, FinishedLength: 84 * in, Face: "marsh-toile", Quantity: 1,
			CordEnd: "wound", HookDrop: 3 * in / 8, Motif: "marching", Fullness: &measure.Ratio{Num: 1, Den: 1}},
		{Window: "Gallery", Heading: "wave-tape", Tape: "wave-8", Rod: "track", Draw: "pair", FaceWidth: 84 * in, Return: 7 * in / 2, Overlap: 6 * in,
			FinishedLength: 84 * in, Face: "marsh-toile", Quantity: 1, CordEnd: "wound", HookDrop: in / 4, Motif: "marching"},
		{Window: "Parlour", Heading: "pinch-2", Draw: "pair", FaceWidth: 84 * in, Return: 7 * in / 2, Overlap: 6 * in, FinishedLength: 84 * in, Face: "print",
			Quantity: 1, CordEnd: "wound", HookDrop: in / 4, Motif: "mirrored", MotifLead: new(13 * in / 2), MotifHeight: 2 * in, HemHeight: in, Bands: []orderfile.Band{
				{Edge: "leading", Width: 3 * in, Fabric: "velvet", Method: "applied", Offset: in / 2}, {Edge: "bottom", Width: 5 * in, Fabric: "velvet", Method: "joined"}}},
		{Window: "Verandah", Heading: "pencil-tape", Tape: "pencil-3", Draw: "pair", FaceWidth: 84 * in, Return: 7 * in / 2, Overlap: 6 * in, FinishedLength: 84 * in,
			Face: "voile", Lining: "wide", Quantity: 1, CordEnd: "wound", HookDrop: in / 4, Motif: "marching", Railroad: true, RailroadLining: true},
	})
	compare(t, o.Fabrics[3:6], []orderfile.Fabric{
		{ID: "print", Use: "face", UsableWidth: 54 * in, MatchWidth: 52 * in, VerticalRepeat: 25 * in, Match: "straight", HorizontalRepeat: 13 * in, MotifOffset: 4 * in,
			Shrink: new(orderfile.Percent(300)), ShrinkWidth: 150, Mass: 322_104_597}, // 9.5 oz/yd2 of 33.905 747 g/m2
		{ID: "velvet", Use: "face", OneWay: true, UsableWidth: 54 * in, Match: "straight", HorizontalRepeat: 9 * in, MotifOffset: 9 * in / 2, Pile: "down", Mass: 350_000_000},
		{ID: "voile", Use: "face", UsableWidth: 118 * in, Match: "straight", Sheer: true, Railroads: true, Relax: 200, Mass: 90_000_000},
	})
	compare(t, o.Rods, []orderfile.Rod{
		{ID: "pole", Kind: "pole", Diameter: 11 * in / 8, Circumference: 35 * in / 8, Projection: 4 * in, RingInner: 2 * in, RingDrop: 3 * in / 2, Span: 60 * in,
			Supports: 3, Limit: 29_937}, // 66 lb of 453.592 37 g
		{ID: "track", Kind: "track", CarrierPitch: 25 * in / 8, Limit: 30_000},
	})
	left, _ := o.Position("treatments[1].overlap")
	if window, _ := o.Position("treatments[1]"); left != window || window == 0 {
		t.Error("a value left out stands where its window does")
	}
}
