package workup_test

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine"
	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// Each problem with the change to G1 (golden_test.go) that brings it up, at the edge of its rule where it has one, and the nearest
// change that doesn't.
func TestProblems(t *testing.T) {
	tape := func(o *orderfile.Order) *orderfile.Tape { return &o.Tapes[0] }
	line := func(o *orderfile.Order) *orderfile.Treatment { return &o.Treatments[0] }
	for _, c := range []struct {
		code     string
		severity engine.Severity
		where    string
		with     func(o *orderfile.Order)
		without  func(o *orderfile.Order)
	}{
		{"pleat_out_of_range", engine.Warning, "treatments[0].pleats",
			func(o *orderfile.Order) { line(o).Pleats = new(18) }, // margin 1 3/4
			func(o *orderfile.Order) { line(o).Pleats = new(19) }},
		{"pleat_out_of_range", engine.Error, "treatments[0].pleats",
			func(o *orderfile.Order) { line(o).Pleats = new(20) }, // margin −3/4
			func(o *orderfile.Order) { line(o).Pleats = new(19) }},
		{"too_narrow", engine.Error, "treatments[0].widths", // 124½ and 6 of hems; 2½ widths give 133
			func(o *orderfile.Order) { line(o).Widths = new(measure.Halves(4)) },
			func(o *orderfile.Order) { line(o).Widths = new(measure.Halves(5)) }},
		{"seam_narrow", engine.Warning, "fabrics[0].match_width",
			func(o *orderfile.Order) { o.Fabrics[0].MatchWidth = inches("53 1/4") },
			func(o *orderfile.Order) { o.Fabrics[0].MatchWidth = inches("53") }},
		{"seam_narrow", engine.Error, "fabrics[0].match_width",
			func(o *orderfile.Order) { o.Fabrics[0].MatchWidth = inches("53 13/16") },
			func(o *orderfile.Order) { o.Fabrics[0].MatchWidth = inches("53") }},
		{"few_pleats", engine.Warning, "treatments[0].finished_width",
			func(o *orderfile.Order) { stationary(o, inches("6 1/2")) },
			func(o *orderfile.Order) { stationary(o, inches("9")) }},
		{"tubes_close", engine.Warning, "treatments[0].tape", // 4/π = 1.2732: a gap under ¼ where s < 1.5232
			func(o *orderfile.Order) { tape(o).Space, tape(o).Period = inches("1.5"), inches("5.5") },
			func(o *orderfile.Order) { tape(o).Space, tape(o).Period = inches("1.53"), inches("5.53") }},
		{"tubes_collide", engine.Error, "treatments[0].tape", // the cloth's thickness counts
			func(o *orderfile.Order) { o.Fabrics[0].Thickness = inches("1.23") },
			func(o *orderfile.Order) { o.Fabrics[0].Thickness = inches("1.22") }},
		{"insert_turns", engine.Warning, "treatments[0].tape",
			func(o *orderfile.Order) { tape(o).InsertLength = inches("7.9") },
			func(o *orderfile.Order) { tape(o).InsertLength = inches("8") }},
		{"insert_turns", engine.Warning, "treatments[0].tape",
			func(o *orderfile.Order) { tape(o).InsertLength = inches("20.1") },
			func(o *orderfile.Order) { tape(o).InsertLength = inches("20") }},
		{"tail_short", engine.Warning, "treatments[0].finished_width", // one pleat of 2½: 2½ and what is tucked under
			func(o *orderfile.Order) {
				tape(o).Period, tape(o).TrimBeyond = inches("5"), inches("1.4")
				stationary(o, inches("4"))
			},
			func(o *orderfile.Order) {
				tape(o).Period, tape(o).TrimBeyond = inches("5"), inches("1.5")
				stationary(o, inches("4"))
			}},
		{"stitch_below_fold", engine.Note, "treatments[0].tape",
			func(o *orderfile.Order) { line(o).HeadingFold = new(inches("4 1/16")) },
			func(o *orderfile.Order) { line(o).HeadingFold = new(inches("4 1/8")) }},
		{"pleat_in_hem", engine.Note, "treatments[0].tape", // the first pleat begins at 1¾
			func(o *orderfile.Order) { line(o).SideHem = new(inches("1 13/16")) },
			func(o *orderfile.Order) { line(o).SideHem = new(inches("1 3/4")) }},
		{"pleat_in_lap", engine.Note, "treatments[0].overlap", // the first stands at 1¾: F grows with the overlap, e stays
			func(o *orderfile.Order) { line(o).Overlap, line(o).FaceWidth = inches("1 13/16"), inches("88 3/16") },
			func(o *orderfile.Order) { line(o).Overlap, line(o).FaceWidth = inches("1 3/4"), inches("88 1/4") }},
		{"pleat_in_lap", engine.Note, "treatments[0].overlap",
			func(o *orderfile.Order) {},
			func(o *orderfile.Order) { line(o).Draw = orderfile.OneWayLeft }},
		{"cord_hazard", engine.Note, "treatments[0].cord_end",
			func(o *orderfile.Order) {},
			func(o *orderfile.Order) { line(o).CordEnd = orderfile.Cut }},
		{"cloth_not_known", engine.Note, "fabrics[0]",
			func(o *orderfile.Order) { o.Treatments[0].Lining = "" },
			func(o *orderfile.Order) { o.Treatments[0].Lining, o.Fabrics[0].Bolts = "", bolts("40") }},
		{"fabric_short", engine.Warning, "fabrics[0]", // five cuts of 121½: 607½ less the surplus of none
			func(o *orderfile.Order) {
				o.Fabrics[0].Bolts = []orderfile.Bolt{{ID: "R", Length: inches("607 7/16"), Lot: "A"}}
			},
			func(o *orderfile.Order) {
				o.Fabrics[0].Bolts = []orderfile.Bolt{{ID: "R", Length: inches("607 1/2"), Lot: "A"}}
			}},
		{"lots_mixed", engine.Warning, "fabrics[0]",
			func(o *orderfile.Order) {
				o.Fabrics[0].Bolts = append(bolts("12"), orderfile.Bolt{ID: "R2", Length: length("12", measure.Yd), Lot: "B"})
			},
			func(o *orderfile.Order) {
				o.Fabrics[0].Bolts = append(bolts("12"), orderfile.Bolt{ID: "R2", Length: length("12", measure.Yd), Lot: "A"})
			}},
	} {
		o := inchOrder()
		c.with(o)
		got := problem(t, workup.Compute(o), c.code)
		if got.Severity != c.severity || got.Where != c.where || got.Units != measure.In {
			t.Errorf("%+v, want %s at %s", got, c.severity, c.where)
		}
		o = inchOrder()
		c.without(o)
		if w := workup.Compute(o); has(w, c.code) {
			t.Errorf("%s without cause: %+v", c.code, w.Problems)
		}
	}
}

func bolts(yards string) []orderfile.Bolt {
	return []orderfile.Bolt{{ID: "R1", Length: length(yards, measure.Yd), Lot: "A"}}
}

// The error of pleats outside the range names the margins that the tape takes and the widths that these pleats hang at.
func TestPleatsGivenNamesTheRange(t *testing.T) {
	o := inchOrder()
	o.Treatments[0].Pleats = new(20)
	got := problem(t, workup.Compute(o), "pleat_out_of_range").Args
	for name, want := range map[string]string{"Min": "1/2", "Max": "1", "Margin": "-3/4", "Narrowest": "51", "Widest": "52"} {
		if got[name] != inches(want) {
			t.Errorf("%s is %v, want %s in", name, got[name], want)
		}
	}
}

// An error leaves out its own treatment; the others and the totals are given.
func TestErrorLeavesOneTreatmentOut(t *testing.T) {
	o := inchOrder()
	o.Treatments = append(o.Treatments, o.Treatments[0])
	o.Treatments[0].FaceWidth, o.Treatments[0].Overlap, o.Treatments[0].Return = inches("2"), 0, 0
	w := workup.Compute(o)
	if len(w.Treatments[0].Panels) != 0 || len(w.Treatments[1].Panels) != 2 || !w.Totals.Incomplete {
		t.Errorf("%+v", w.Totals)
	}
	if w.Totals.Fabrics[0].Cuts != 5 || w.Totals.Tape[0].Pieces != 2 {
		t.Errorf("totals %+v", w.Totals)
	}
}

// An order made by hand that refers to nothing is told so and doesn't stop the rest.
func TestUnusableTreatments(t *testing.T) {
	for _, c := range []struct {
		code, where string
		change      func(o *orderfile.Order)
	}{
		{"not_supported", "treatments[0].heading", func(o *orderfile.Order) { o.Treatments[0].Heading = "smocked" }},
		{"missing_key", "treatments[0].rod", func(o *orderfile.Order) { o.Treatments[0].Heading = "wave-tape" }},
		{"unknown_reference", "treatments[0].face", func(o *orderfile.Order) { o.Treatments[0].Face = "linen" }},
		{"unknown_reference", "treatments[0].tape", func(o *orderfile.Order) { o.Treatments[0].Tape = "cart-9" }},
		{"bad_value", "tapes[0].space", func(o *orderfile.Order) { o.Tapes[0].Space = o.Tapes[0].Period }},
		{"bad_value", "treatments[0].face", func(o *orderfile.Order) { o.Conventions.Seam = inches("27") }}, // joins take it all
		{"bad_value", "treatments[0].lining", func(o *orderfile.Order) {
			o.Conventions.Seam = inches("20")
			o.Fabrics[1].UsableWidth = inches("40")
		}},
		{"bad_value", "treatments[0].interlining", func(o *orderfile.Order) {
			o.Conventions.Seam = inches("20")
			o.Fabrics[1].UsableWidth, o.Treatments[0].Lining, o.Treatments[0].Interlining = inches("40"), "", "sateen"
		}},
		{"absurd", "treatments[0].finished_width", func(o *orderfile.Order) {
			o.Tapes[0].Space = inches("0.001")
			stationary(o, inches("96"))
		}},
	} {
		o := inchOrder()
		c.change(o)
		w := workup.Compute(o)
		got := problem(t, w, c.code)
		if got.Severity != engine.Error || got.Where != c.where || len(w.Treatments[0].Panels) != 0 || !w.Totals.Incomplete {
			t.Errorf("%+v", got)
		}
	}
}

// Precedence: treatment, tape, heading, conventions.
func TestPrecedence(t *testing.T) {
	o := inchOrder()
	o.Conventions.HeadingFold = inches("5")
	fold := func() measure.Length { return onePanel(t, o).HeadingFold }
	if fold() != inches("5") {
		t.Error("the convention's fold")
	}
	o.Tapes[0].HeadingFold = new(inches("6"))
	if fold() != inches("6") {
		t.Error("the tape's fold before the convention's")
	}
	o.Treatments[0].HeadingFold = new(inches("0"))
	if fold() != 0 {
		t.Error("the treatment's own fold first, 0 too")
	}
	stationary(o, inches("47 1/2"))
	o.Tapes[0].EasePerPleat = new(inches("0"))
	if p := onePanel(t, o); p.Deviation != inches("1") {
		t.Error("the tape's ease before the convention's")
	}
}

// A split width gives its right half to the left panel's return edge, its left half to the right panel's.
func TestHalvesOfAPair(t *testing.T) {
	w := workup.Compute(inchOrder())
	var halves []workup.Cut
	for _, c := range w.Cloth[0].Cuts {
		if len(c.For) > 1 {
			halves = append(halves, c)
		}
	}
	want := []workup.Part{
		{Panel: workup.Left, Copy: 1, Place: 1, Half: workup.RightHalf}, {Panel: workup.Right, Copy: 1, Place: 1, Half: workup.LeftHalf},
	}
	if len(halves) != 1 || !slices.Equal(halves[0].For, want) || halves[0].TrimBottom != inches("10") {
		t.Errorf("%+v", halves)
	}
	left := w.Treatments[0].Panels[0].Pieces
	if len(left) != 3 || left[0].Half != workup.RightHalf || left[1].Half != workup.Whole {
		t.Errorf("left panel's pieces %+v", left)
	}
}

// The half of a single panel lies at its return edge too: at the right of one that is drawn to the right, where the pattern goes on with the
// left half of a width.
func TestHalfOfASingle(t *testing.T) {
	for draw, want := range map[orderfile.Draw]workup.Half{
		orderfile.OneWayLeft: workup.RightHalf, orderfile.OneWayRight: workup.LeftHalf, orderfile.Stationary: workup.RightHalf,
	} {
		o := inchOrder()
		line := &o.Treatments[0]
		line.Draw, line.Widths = draw, new(measure.Halves(9))
		if draw == orderfile.Stationary {
			line.FinishedWidth, line.FaceWidth = inches("60"), 0
		}
		w := workup.Compute(o)
		if len(w.Treatments[0].Panels) != 1 {
			t.Fatalf("%s: %+v", draw, w.Problems)
		}
		p := w.Treatments[0].Panels[0]
		cuts := w.Cloth[0].Cuts
		if first := cuts[0].For[0]; first.Place != 1 || first.Half != want || p.Pieces[0].Half != want || p.Pieces[1].Half != workup.Whole || p.AtRight != (want == workup.LeftHalf) {
			t.Errorf("%s: %+v, %+v, return at the right: %t", draw, first, p.Pieces, p.AtRight)
		}
	}
}

// A half-drop's classes count from the leading edge. All first cuts of an order come before all second ones, so that
// half a repeat is lost once: in the total, in the list of cuts, and on the bolt, whether it is just long enough or more
// than that.
func TestHalfDropCutsInTheLengthCounted(t *testing.T) {
	o := inchOrder()
	o.Fabrics[0].Match = orderfile.HalfDrop
	for range 4 {
		o.Treatments = append(o.Treatments, o.Treatments[0])
	}
	total := workup.Compute(o).Totals.Fabrics[0].Length
	if total != 25*inches("121 1/2")+inches("6 3/4") {
		t.Fatalf("%s in all", total.In(measure.In))
	}
	for _, spare := range []string{"0", "1000"} {
		o.Fabrics[0].Bolts = []orderfile.Bolt{{ID: "R", Length: total + inches(spare), Lot: "A"}}
		w := workup.Compute(o)
		if has(w, "fabric_short") {
			t.Errorf("short: %+v", w.Cloth[0].Plan)
		}
		if faults := cutting.Check(workup.Placing(&w.Cloth[0]), w.Cloth[0].Plan); len(faults) > 0 {
			t.Error(faults)
		}
		placed := w.Cloth[0].Plan.Placements
		if last := placed[len(placed)-1].To; last != total {
			t.Errorf("with %s in to spare the last cut ends at %s, %s in all", spare, last.In(measure.In), total.In(measure.In))
		}
	}
	w := workup.Compute(o)
	classes := ""
	for _, c := range w.Cloth[0].Cuts {
		classes += string(rune('A' + c.Class))
	}
	if classes != strings.Repeat("A", 15)+strings.Repeat("B", 10) { // 3 pieces a panel: A at the lead, B, A the half, which the pair shares
		t.Errorf("classes %s", classes)
	}
	if got := w.Treatments[4].Fabrics[0].Length; got != inches("614 1/4") {
		t.Errorf("one window by itself takes %s", got.In(measure.In))
	}
	o.Conventions.HalfDrop = "one_repeat_an_order"
	if coarse := workup.Compute(o).Totals.Fabrics[0].Length; coarse <= total {
		t.Errorf("the coarse rule takes %s, the phases %s", coarse.In(measure.In), total.In(measure.In))
	}
}

// What an order counts on phase is what its cuts take in the order of the list, whatever stands on the bolts.
func TestCutListIsInItsRun(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := randomOrder(t)
		o.Conventions.RepeatRule, o.Conventions.HalfDrop = rapid.SampledFrom([]orderfile.RepeatRule{"whole_repeats", "on_phase"}).Draw(t, "rule"), "phases"
		w := workup.Compute(o)
		for i := range w.Cloth {
			plan, v := &w.Cloth[i], w.Cloth[i].Fabric.VerticalRepeat
			if v == 0 || plan.Fabric.Use != orderfile.Face {
				continue
			}
			dropped := plan.Fabric.Match == orderfile.HalfDrop
			var first, at measure.Length // the cuts one after another, each from the first height of its class
			for k, c := range plan.Cuts {
				phase := c.Phase
				if dropped && c.Class == 1 {
					phase = (2*phase + v).Div(2) % v // rounded once
				}
				from := phase + (at - phase).CeilTo(v)
				if c.Trimming != "" { // goes anywhere
					from = at
				}
				if k == 0 && c.Trimming == "" {
					from, first = phase, phase
				}
				at = from + c.Length
			}
			total := w.Totals.Fabrics[slices.IndexFunc(w.Totals.Fabrics, func(f workup.FabricTotal) bool { return f.Fabric == plan.Fabric.ID })]
			if total.Length != at-first {
				t.Fatalf("%s takes %s in the order of its list, counted %s", plan.Fabric.ID, (at - first).In(measure.In), total.Length.In(measure.In))
			}
		}
	})
}

// A length asked as a hang is the sum. A puddle lengthens the face and the finished length that is measured; lining and
// interlining follow it, by either rule of the lining's cut, unless the shop stops them at the floor.
func TestHangAndPuddle(t *testing.T) {
	o := inchOrder()
	o.Treatments[0].Hang = &orderfile.Hang{BearingToFloor: inches("95"), HeadingAboveBearing: inches("1"), Clearance: inches("1/2")}
	o.Treatments[0].FinishedLength = 0
	if p := onePanel(t, o); p.FinishedLength != inches("95 1/2") || p.PlainLength != inches("111 1/2") {
		t.Errorf("finished %d, plain %d", p.FinishedLength, p.PlainLength)
	}
	o.Treatments[0].Puddle = inches("6")
	o.Treatments[0].Interlining = "sateen"
	for _, c := range []struct {
		puddle              orderfile.LiningPuddle
		rule                orderfile.LiningRule
		lining, interlining string
	}{
		{"follow", "computed", "105 1/2", "101 1/2"}, {"follow", "allowance", "111 1/2", "101 1/2"},
		{"stop", "computed", "99 1/2", "95 1/2"}, {"stop", "allowance", "105 1/2", "95 1/2"},
	} {
		o.Conventions.LiningPuddle, o.Conventions.LiningRule = c.puddle, c.rule
		p := onePanel(t, o)
		if p.PlainLength != inches("117 1/2") || p.FinishedLength != inches("101 1/2") {
			t.Errorf("plain %s, finished %s", p.PlainLength.In(measure.In), p.FinishedLength.In(measure.In))
		}
		if p.LiningCutLength != inches(c.lining) || p.InterliningCutLength != inches(c.interlining) {
			t.Errorf("%+v: lining %s, interlining %s", c, p.LiningCutLength.In(measure.In), p.InterliningCutLength.In(measure.In))
		}
	}
}

// Shrinkage grows the cut by a division that is rounded once, up to the step: 111½/0.97 = 114.948…, 114 15/16 and
// a bit; squaring comes after it.
func TestShrinkAndSquaring(t *testing.T) {
	o := inchOrder()
	o.Conventions.Shrink = 300
	if p := onePanel(t, o); p.PlainLength != inches("115") {
		t.Errorf("plain %s", p.PlainLength.In(measure.In))
	}
	o.Treatments[0].FinishedLength = inches("81") // 97/0.97 = 100 exactly
	o.Conventions.Squaring = inches("1/4")
	if p := onePanel(t, o); p.PlainLength != inches("100 1/4") {
		t.Errorf("plain %s", p.PlainLength.In(measure.In))
	}
}
