package workup_test

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// The worked cases, figure by figure, worked out by hand; tests call them G1 to G9. G1 is the example order: a lined pair on a 6½ in
// cartridge tape, 13½ in repeat. G3 has the tape's pieces in each order, G6 the cuts of a repeat and of a
// half-drop; the others are told at their tests.

// checkPanel compares numbers by their JSON key.
func checkPanel(t *testing.T, p *workup.Panel, want map[string]string) {
	t.Helper()
	got := map[string]string{}
	for _, v := range p.Values() {
		got[v.Name] = v.Value.String()
	}
	for name, value := range want {
		if got[name] != value {
			t.Errorf("%s: %s is %q, want %q", p.ID, name, got[name], value)
		}
	}
}

func TestG1(t *testing.T) {
	src, err := os.ReadFile(filepath.Join("..", "..", "testdata", "contract", "order.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	o, problems := orderfile.Parse(src)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	for name, o := range map[string]*orderfile.Order{"file": o, "by hand": inchOrder()} {
		w := workup.Compute(o)
		panels := w.Treatments[0].Panels
		if len(panels) != 2 || panels[0].ID != workup.Left || panels[1].ID != workup.Right {
			t.Fatalf("%s: panels %v", name, panels)
		}
		for i := range panels {
			checkPanel(t, &panels[i], map[string]string{
				"finished_width_asked": "48.5in", "finished_width": "48.5in", "tight_width": "48.5in", "deviation": "0in",
				"pleats": "19", "end_margin": "0.5in", "edge_to_pleat": "1.75in", "take_up": "4in", "space": "2.5in",
				"flat_width": "124.5in", "fullness": "2.567", "widths": "2.5", "seams": "21.375in 74.375in",
				"seams_in_pleats": "2", "seams_hidden": "1", "trim_return": "2.125in", "trim_leading": "0.375in",
				"plain_length": "111.5in", "cut_length": "121.5in", "repeats_per_cut": "9",
				"tape_piece": "126.5in", "tape_start": "1.5in", "tape_pitch": "130in", "stitching": "249in", "stitch_line": "4.125in",
				"cord_pull_out": "76in", "cord_in_hand": "77in", "cords": "3", "cord_total": "231in", "cord_end": "wound",
				"inserts": "19", "insert_turns": "3", "tube_diameter": "1.27323953in",
				"corner_to_pleat": "0.75in", // pleats stand at 1¾, 4¼ …; the corner at 3½
			})
			at := panels[i].PleatPositions
			if len(at) != 19 || at[0] != inches("3 3/4") || at[1] != inches("10 1/4") || at[18] != inches("120 3/4") {
				t.Errorf("%s: pleats at %v", name, at)
			}
		}
		reed, sateen, tape := w.Totals.Fabrics[0], w.Totals.Fabrics[1], w.Totals.Tape[0]
		if reed.Cuts != 5 || reed.Length != inches("607 1/2") || reed.ToOrder != length("17.25", measure.Yd) {
			t.Errorf("%s: reed %+v", name, reed)
		}
		if w.Treatments[0].Fabrics[1].CutLength != inches("99 1/2") || sateen.Length != inches("497 1/2") {
			t.Errorf("%s: sateen %+v", name, sateen)
		}
		if tape.Pieces != 2 || tape.Used != inches("256 1/2") || tape.ToOrder != inches("263") {
			t.Errorf("%s: tape %+v", name, tape)
		}
		if b := w.Totals.Buckram; len(b) != 1 || b[0].Pieces != 38 || b[0].Length != inches("456") {
			t.Errorf("%s: buckram %+v", name, b)
		}
		if th := w.Totals.Thread; len(th) != 1 || th[0].Length != inches("1095.6") {
			t.Errorf("%s: thread %+v", name, th)
		}
	}
}

func TestG2(t *testing.T) {
	o := inchOrder()
	stationary(o, inches("47 1/2"))
	checkPanel(t, onePanel(t, o), map[string]string{
		"pleats": "18", "end_margin": "1in", "flat_width": "119in", "tight_width": "47in", "finished_width": "47.5in",
		"deviation": "0in", "cord_pull_out": "71.5in",
	})
	o.Conventions.EasePerPleat = 0
	p := onePanel(t, o)
	checkPanel(t, p, map[string]string{"pleats": "19", "end_margin": "0.5in", "finished_width": "48.5in", "deviation": "1in"})
	if want := (workup.Alternative{Pleats: 18, EndMargin: inches("1"), FinishedWidth: inches("47")}); p.Alternative == nil || *p.Alternative != want {
		t.Errorf("alternative %+v, want %+v", p.Alternative, want)
	}
	if got := problem(t, workup.Compute(o), "width_not_reached"); got.Severity != engine.Warning || got.Where != "treatments[0].finished_width" {
		t.Errorf("%+v", got)
	}
	// A quarter inch over is only a note: 47½ on a tape whose least margin is 1/8 gives 47¾.
	o.Tapes[0].EndMargin = orderfile.EndMargin{Nominal: inches("1/8"), Min: inches("1/8"), Max: inches("1/8")}
	if got := problem(t, workup.Compute(o), "width_not_reached"); got.Severity != engine.Note {
		t.Errorf("a quarter inch over is %+v", got)
	}
}

// In G3 the order of tape pieces matters: period 3, ten pleats each, starts of 1, 1, 2 and 2. The least is 132.
func TestG3(t *testing.T) {
	o := inchOrder()
	o.Tapes[0] = orderfile.Tape{
		ID: "narrow", Period: inches("3"), Space: inches("2"), Height: inches("2"), Cords: 2,
		EndMargin: orderfile.EndMargin{Nominal: inches("1"), Min: inches("0"), Max: inches("1")}, TrimBeyond: inches("1"), InsertLength: inches("3"),
	}
	line := *stationary(o, 0)
	line.Tape = "narrow"
	o.Treatments = nil
	for _, width := range []string{"20", "20", "22", "22"} { // 10·2 + 2e with e 0 and 1: starts 1 and 2
		ten := 10
		line.FinishedWidth, line.Pleats = inches(width), &ten
		o.Treatments = append(o.Treatments, line)
	}
	if got := workup.Compute(o).Totals.Tape[0]; got.Used != inches("132") || got.Pieces != 4 || got.ToOrder != inches("135") {
		t.Errorf("%+v, want 132 in used", got)
	}
}

func TestG4(t *testing.T) {
	o := inchOrder()
	stationary(o, inches("61"))
	o.Fabrics[0].UsableWidth = inches("55")
	checkPanel(t, onePanel(t, o), map[string]string{
		"pleats": "24", "end_margin": "0.5in", "flat_width": "157in", "widths": "3", "trim_return": "0in", "trim_leading": "0in",
		"seams": "51.5in 105.5in", "seams_in_pleats": "0", "seams_hidden": "0",
	})
	if got := problem(t, workup.Compute(o), "seam_shows"); got.Severity != engine.Note || got.Args["Count"] != 2 {
		t.Errorf("%+v", got)
	}
}

func TestG5(t *testing.T) {
	o := inchOrder()
	o.Tapes[0].Space, o.Tapes[0].Period = inches("1"), inches("4 1/2")
	w := workup.Compute(o)
	if got := problem(t, w, "tubes_collide"); got.Severity != engine.Error {
		t.Errorf("%+v", got)
	}
	if !w.Treatments[0].Collision || len(w.Treatments[0].Panels) != 2 || len(w.Treatments[0].Fabrics) != 2 || w.Totals.Incomplete {
		t.Errorf("colliding tubes keep their panels: %+v", w.Treatments[0])
	}

	o = inchOrder()
	stationary(o, inches("3 1/2"))
	if p := onePanel(t, o); p.Pleats != 1 {
		t.Errorf("3 1/2 in has %d pleats", p.Pleats)
	}
	if got := problem(t, workup.Compute(o), "few_pleats"); got.Severity != engine.Warning {
		t.Errorf("%+v", got)
	}

	stationary(o, inches("3 7/16"))
	w = workup.Compute(o)
	if got := problem(t, w, "too_narrow"); got.Severity != engine.Error || got.Args["Narrowest"] != inches("3 1/2") {
		t.Errorf("%+v", got)
	}
	if len(w.Treatments[0].Panels)+len(w.Treatments[0].Fabrics) != 0 || !w.Totals.Incomplete {
		t.Errorf("an error leaves the treatment out: %+v", w.Treatments[0])
	}
}

// G6: a repeat of 13½, a plain length of 111½, five cuts. Whole repeats: 607½ straight, 614¼ half-drop.
func TestG6WholeRepeats(t *testing.T) {
	o := inchOrder()
	for match, want := range map[orderfile.Match]string{orderfile.Straight: "607 1/2", orderfile.HalfDrop: "614 1/4"} {
		o.Fabrics[0].Match = match
		if got := workup.Compute(o).Treatments[0].Fabrics[0]; got.Length != inches(want) || got.Cuts != 5 || got.CutLength != inches("121 1/2") {
			t.Errorf("%s: %+v, want %s", match, got, want)
		}
	}
}

func TestG9(t *testing.T) {
	o := inchOrder()
	o.Conventions.OrderRepeats = 0
	if got := workup.Compute(o).Totals.Fabrics[0].ToOrder; got.In(measure.Yd) != "16.875yd" {
		t.Errorf("607 1/2 in is %s", got.In(measure.Yd))
	}
	for rounding, want := range map[orderfile.OrderRounding]string{"up": "16.75yd", "nearest": "16.5yd", "none": "16.5556yd"} {
		o.Conventions.OrderRounding = rounding
		o.Conventions.OrderStep = length("1/4", measure.Yd)
		o.Fabrics[0].VerticalRepeat = 0
		o.Conventions.LengthAllowance = new(inches("23.7")) // five cuts of 119.2: 596 in, 16.5556 yd
		o.Conventions.Step = inches("0.1")
		got := workup.Compute(o).Totals.Fabrics[0].ToOrder
		if got.In(measure.Yd) != want && !(rounding == "none" && got == inches("596")) {
			t.Errorf("%s: %s, want %s", rounding, got.In(measure.Yd), want)
		}
	}
}

// A case in millimetres, worked by hand: three one-way windows of 1,700 on plain cloth, so that a half width of one
// serves the next.
//
//	F = 1700 + 90 = 1790; 1790 − 29·60 = 50, so n 29, e 25 (the only one: 24 to 84 is the tape's range)
//	H = 29·160 + 50 = 4690; wanted 4690 + 160 = 4850; 3½·1420 − 3·30 = 4880, so S = 30
//	take-ups begin at 25 + 30 = 55, every 160; seams at 615 − t, 2005 − t, 3395 − t: 80 − t, 30 − t and 140 − t into
//	a pitch whose first 100 are pleat; the third always shows, the second unless t ≤ 26 (3.175 clear); the first two
//	then are (20 + t) + (30 − t) from a base, the same for every t, so the largest: t = 26, 4 at the lead
func TestMillimetres(t *testing.T) {
	o := &orderfile.Order{
		ID: "SMI-MM", Units: measure.MM, Conventions: orderfile.DefaultConventions(measure.MM),
		Fabrics: []orderfile.Fabric{
			{ID: "reed", Use: orderfile.Face, UsableWidth: mm("1420")},
			{ID: "sateen", Use: orderfile.Lining, UsableWidth: mm("1400")},
			{ID: "bump", Use: orderfile.Interlining, UsableWidth: mm("1600")},
		},
		Tapes: []orderfile.Tape{{
			ID: "cart-100", Period: mm("160"), Space: mm("60"), Height: mm("100"), Cords: 3, TopDrop: mm("6"),
			EndMargin:  orderfile.EndMargin{Nominal: mm("20"), Min: mm("12"), Max: mm("42")},
			TrimBeyond: mm("25"), InsertLength: mm("300"),
		}},
		Treatments: []orderfile.Treatment{{
			Window: "Hall", Heading: orderfile.CartridgeTape, Tape: "cart-100", Draw: orderfile.OneWayLeft, FaceWidth: mm("1700"),
			Return: mm("90"), Overlap: mm("150"), FinishedLength: mm("2400"), Face: "reed", Lining: "sateen", Interlining: "bump",
			Quantity: 3, CordEnd: orderfile.Tucked,
		}},
	}
	w := workup.Compute(o)
	if len(w.Treatments[0].Panels) != 1 {
		t.Fatalf("%+v", w.Problems)
	}
	p := &w.Treatments[0].Panels[0]
	checkPanel(t, p, map[string]string{
		"finished_width": "1790mm", "pleats": "29", "end_margin": "25mm", "edge_to_pleat": "55mm", "flat_width": "4690mm",
		"fullness": "2.62", "widths": "3.5", "seams": "589mm 1979mm 3369mm", "seams_in_pleats": "2", "seams_hidden": "1",
		"trim_return": "26mm", "trim_leading": "4mm",
		"plain_length": "2800mm", "cut_length": "2800mm", // 2400 + 200 + 200
		"tape_piece": "4740mm", "tape_start": "50mm", "tape_pitch": "4800mm", // 29.625 periods: 30
		"stitching": "9380mm", "stitch_line": "102.825mm", // 6 + 100 − 3.175
		"cord_pull_out": "2900mm", "cord_in_hand": "2925mm", "cord_total": "8775mm", "cord_end": "tucked",
		"insert_piece": "300mm × 100mm", "insert_turns": "3",
		"tube_diameter": "31.830989mm", "tube_gap": "28.169011mm", // 100/π; 60 less that
		"stack_back":      "1033.09867mm", // 2900/π = 923.09867, and 2·55
		"corner_to_pleat": "25mm",         // pleats at 55, 115; the corner at 90
	})
	if slices.ContainsFunc(p.Values(), func(v workup.Named) bool { return v.Name == "repeats_per_cut" }) {
		t.Error("plain cloth has no repeats")
	}
	want := []workup.FabricTotal{
		{Fabric: "reed", Use: orderfile.Face, Cuts: 11, Length: mm("30800"), ToOrder: mm("30800")},       // ⌈3½·3⌉
		{Fabric: "sateen", Use: orderfile.Lining, Cuts: 11, Length: mm("27500"), ToOrder: mm("27500")},   // 2400 − 25 + 100 + 25
		{Fabric: "bump", Use: orderfile.Interlining, Cuts: 9, Length: mm("21600"), ToOrder: mm("21600")}, // 3·1600 − 60 ≥ 4690
	}
	if !slices.Equal(w.Totals.Fabrics, want) {
		t.Errorf("fabrics %+v, want %+v", w.Totals.Fabrics, want)
	}
	// Two gaps of ⌈100/160⌉ period: 160·(87 + 2) + 50 + 50.
	if got := w.Totals.Tape[0]; got.Used != mm("14340") || got.ToOrder != mm("14500") || got.Pieces != 3 {
		t.Errorf("tape %+v", got)
	}
	if got := w.Totals.Thread[0].Length; got != mm("61908") { // 3·9380·2.2
		t.Errorf("thread %s", got.In(measure.MM))
	}
	var codes []string
	for _, p := range w.Problems {
		codes = append(codes, string(p.Severity)+" "+p.Code)
	}
	if got := strings.Join(codes, ", "); got != "note seam_shows, note stitch_below_fold, note cloth_not_known, note cloth_not_known, note cloth_not_known" {
		t.Errorf("problems: %s", got)
	}
}
