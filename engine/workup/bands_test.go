package workup_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// edged is a single panel 52 in wide, twice as full, of plain cloth 54 wide, cut for 100 in finished length, with its bands.
func edged(bands ...orderfile.Band) *orderfile.Order {
	o := inchOrder()
	o.Fabrics[0].VerticalRepeat = 0
	o.Fabrics = append(o.Fabrics, orderfile.Fabric{ID: "sedge", Use: orderfile.Face, UsableWidth: inches("54")})
	two := measure.Ratio{Num: 2, Den: 1}
	o.Treatments[0] = orderfile.Treatment{
		Window: "Hall", Heading: orderfile.Ring, Draw: orderfile.StationaryPair, FinishedWidth: inches("52"), FinishedLength: inches("100"),
		Face: "reed", Quantity: 1, Fullness: &two, Bands: bands,
	}
	o.Conventions.Surplus, o.Conventions.FullnessSlack = orderfile.TrimSurplus, 0
	return o
}

func leading(width string, method orderfile.BandMethod) orderfile.Band {
	return orderfile.Band{Edge: orderfile.BandLeading, Width: inches(width), Fabric: "sedge", Method: method}
}

// The panel is 104 flat and wants 104 + 6 = 110: 2½ widths. A band of 3 joined on is cut 3 + ½ + 3 = 6½, and the face wants 104 − 3 + ½ + 3 =
// 104½: 2 widths. One sewn on top is cut 3 + 2 · 3/8 = 3¾ and changes nothing of the face.
func TestBandAtTheLead(t *testing.T) {
	checkPanel(t, onePanel(t, edged()), map[string]string{"flat_width": "104in", "widths": "2.5", "plain_length": "116in", "band_leading": ""})
	w := workup.Compute(edged(leading("3", orderfile.Joined)))
	p := &w.Treatments[0].Panels[0]
	// 2 widths are 107: 2½ over the 104½. The join stands 53½ from the raw return edge, whose hem takes 3.
	checkPanel(t, p, map[string]string{"flat_width": "104in", "widths": "2", "plain_length": "116in", "band_leading": "116in × 6.5in"})
	if off := p.TrimReturn + p.TrimLeading; off != inches("2 1/2") || p.Seams[0] != inches("50 1/2")-p.TrimReturn {
		t.Errorf("%s trimmed off, a join at %s", off.In(measure.In), p.Seams[0].In(measure.In))
	}
	// Eight strips of 6½ lie side by side on 54 in: both panels' are cut from one length.
	if got, want := bandLines(w), []string{"sedge 0 band 2 in 1 of 116in: 116in"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	if total := w.Totals.Fabrics; total[len(total)-1].Fabric != "sedge" || total[len(total)-1].Cuts != 1 || total[len(total)-1].Length != inches("116") {
		t.Errorf("%+v", total)
	}
	if got := trimmingLines(w.Cloth[1].Cuts); !slices.Equal(got, []string{"band 116in 1L:1×1 1R:1×1"}) {
		t.Errorf("%q", got)
	}
	checkPanel(t, onePanel(t, edged(leading("3", orderfile.Applied))), map[string]string{"widths": "2.5", "plain_length": "116in", "band_leading": "116in × 3.75in"})
}

// bandLines writes what the treatments cut for bands, cloth by cloth.
func bandLines(w *workup.Workup) (list []string) {
	for _, tr := range w.Treatments {
		for _, u := range tr.Fabrics {
			for _, trim := range u.Trimmings {
				list = append(list, fmt.Sprintf("%s %d %s %d in %d of %s: %s", u.Fabric, u.Cuts, trim.For, trim.Pieces, trim.Rows, trim.CutLength.In(measure.In), u.Length.In(measure.In)))
			}
		}
	}
	return list
}

// The raw edge of a face that a band of 3 at the return is joined to lies 2½ inside the finished edge, so joins lie that much further out; a
// band's own seam may be nearer to the edge than other seams.
func TestBandAtTheReturn(t *testing.T) {
	o := edged(orderfile.Band{Edge: orderfile.BandReturn, Width: inches("3"), Fabric: "sedge", Method: orderfile.Joined})
	p := onePanel(t, o)
	if want := inches("53 1/2") + inches("2 1/2") - p.TrimReturn; p.Widths != 4 || p.Seams[0] != want {
		t.Errorf("%s widths, a join at %s, want %s", p.Widths, p.Seams[0].In(measure.In), want.In(measure.In))
	}
}

// A band of 10 below is cut 10 + ½ + 8 = 18½, a strip for each of the three pieces of the face, which is cut for 100 + 8 − 10 + ½ = 98½. With
// one at the lead that is of the whole 116, they are mitred.
func TestBandBelow(t *testing.T) {
	below := orderfile.Band{Edge: orderfile.BandBottom, Width: inches("10"), Fabric: "sedge", Method: orderfile.Joined}
	w := workup.Compute(edged(below))
	p := &w.Treatments[0].Panels[0]
	checkPanel(t, p, map[string]string{"widths": "2.5", "plain_length": "98.5in", "band_bottom": "54in × 18.5in"})
	if got, want := bandLines(w), []string{"sedge 0 band 6 in 6 of 18.5in: 111in"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	w = workup.Compute(edged(below, leading("3", orderfile.Joined)))
	p = &w.Treatments[0].Panels[0]
	// The face is joined from 2 widths, and 110 of strip want three of 54.
	checkPanel(t, p, map[string]string{"widths": "2", "plain_length": "98.5in", "band_bottom": "54in × 18.5in", "band_leading": "116in × 6.5in"})
	if p.Bands[0].Pieces != 3 {
		t.Errorf("%d strips below", p.Bands[0].Pieces)
	}
	allowance := inches("20")
	o := edged(below, leading("3", orderfile.Joined))
	o.Conventions.LengthAllowance = &allowance // for fold and hem together, of which the face has no hem
	checkPanel(t, onePanel(t, o), map[string]string{"plain_length": "98.5in", "band_leading": "120in × 6.5in"})
	below.Method = orderfile.Applied
	checkPanel(t, onePanel(t, edged(below)), map[string]string{"plain_length": "116in", "band_bottom": "54in × 10.75in"})
}

// Bands of both sides that are cut alike share their cloth, those of the face's own cloth are in its row, and unlike ones lie apart.
func TestBandsShareTheirCloth(t *testing.T) {
	other := leading("3", orderfile.Joined)
	other.Edge, other.Fabric = orderfile.BandReturn, "reed"
	if got, want := bandLines(workup.Compute(edged(leading("3", orderfile.Joined), other))), []string{"reed 4 band 2 in 1 of 116in: 580in", "sedge 0 band 2 in 1 of 116in: 116in"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	other.Fabric = "sedge"
	o := edged(leading("3", orderfile.Joined), other)
	o.Treatments[0].Quantity = 3
	if got, want := bandLines(workup.Compute(o)), []string{"sedge 0 band 12 in 2 of 116in: 232in"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	other.Width = inches("4")
	w := workup.Compute(edged(leading("3", orderfile.Joined), other))
	if got, want := bandLines(w), []string{"sedge 0 band 2 in 1 of 116in: 232in", "sedge 0 band 2 in 1 of 116in: 232in"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	// A panel less: each kind is laid close by itself.
	left := workup.Reduced(w.Cloth[1].Cuts, func(_ *workup.Cut, p workup.Part) int {
		if p.Panel == workup.Right {
			return 0
		}
		return p.Count
	})
	if len(left) != 2 || left[0].Across == left[1].Across || len(left[0].For) != 1 {
		t.Errorf("%+v", left)
	}
}

// A shrunk cloth has fewer strips side by side.
func TestBandsOfClothThatShrinks(t *testing.T) {
	o := edged(leading("3", orderfile.Joined))
	o.Fabrics[2].ShrinkWidth, o.Treatments[0].Quantity = 1000, 4 // 48.6: 7 strips of 6½
	if got, want := bandLines(workup.Compute(o)), []string{"sedge 0 band 8 in 2 of 116in: 232in"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}

// Bands that leave nothing of the panel, or are wider than their cloth, are told at the width that mends them.
func TestBandsThatCannotBe(t *testing.T) {
	other := leading("60", orderfile.Applied)
	other.Edge = orderfile.BandReturn
	wide := leading("51", orderfile.Joined) // 54½ of 54
	high := orderfile.Band{Edge: orderfile.BandBottom, Width: inches("98"), Offset: inches("2"), Fabric: "sedge", Method: orderfile.Applied}
	aside := leading("50", orderfile.Applied)
	aside.Offset = inches("54")
	o := edged
	for name, c := range map[string]struct {
		order     *orderfile.Order
		key, says string
	}{
		"wider than cloth": {o(wide), "problem.bad_value.band_cloth", "treatments[0].bands[0].width"},
		"with its offset":  {o(aside), "problem.bad_value.band_side", "treatments[0].bands[0].width"},
		"both sides":       {o(leading("44", orderfile.Applied), other), "problem.bad_value.band_side", "treatments[0].bands[1].width"},
		"below":            {o(high), "problem.bad_value.band_bottom", "treatments[0].bands[0].width"},
	} {
		c.order.Fabrics[2].UsableWidth = inches("54")
		w := workup.Compute(c.order)
		told := slices.IndexFunc(w.Problems, func(p engine.Problem) bool { return p.MessageKey() == c.key && p.Where == c.says })
		if told < 0 || w.Problems[told].Severity != engine.Error || len(w.Treatments[0].Panels) > 0 {
			t.Errorf("%s: %+v", name, w.Problems)
		}
	}
	less := high
	less.Offset = inches("1 15/16")
	if w := workup.Compute(edged(less)); len(w.Treatments[0].Panels) == 0 {
		t.Errorf("%+v", w.Problems)
	}
}

func TestBandsDocument(t *testing.T) {
	w := workup.Compute(edged(leading("3", orderfile.Joined)))
	same := func(s string) string { return s }
	doc, err := json.Marshal(w.Document(true, func(p engine.Problem) string { return p.Code }, same))
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		`"bands":[{"edge":"leading","method":"joined","cut":"6.5in","length":"116in","pieces":1}]`,
		`"band_leading":{"value":"116in × 6.5in","formula":"formula.band.joined"`,
		`"trimmings":[{"for":"band","pieces":2,"cuts":1,"length":"116in","cut_length":"116in"`,
	} {
		if !strings.Contains(string(doc), want) {
			t.Errorf("the document hasn't %s", want)
		}
	}
	if strings.Contains(string(doc), `"band_leading":{"length"`) {
		t.Error("a band stands in its panel twice")
	}
}

// The worked panel of golden_test.go in cloth of 320 g/m2 and a lining of 120: (135 − 2½) × 111½ and 124½ × 99½ square inches, 4009.1 g; two
// of them are 8018.
func TestMass(t *testing.T) {
	o := inchOrder()
	o.Fabrics[0].Mass, o.Fabrics[1].Mass = 320_000_000, 120_000_000
	o.Rods = []orderfile.Rod{{ID: "r", Limit: 8018}}
	o.Treatments[0].Rod = "r"
	w := workup.Compute(o)
	checkPanel(t, &w.Treatments[0].Panels[0], map[string]string{"mass": "4009g"})
	if got := w.Totals.Mass; len(got) != 1 || got[0] != (workup.MassTotal{Window: "Bay, left", Mass: 8018, Limit: 8018}) {
		t.Errorf("%+v", got)
	}
	heavy := func() []string {
		return tellings(workup.Compute(o), "hardware_heavy", "mass_not_known")
	}
	if got := heavy(); len(got) > 0 {
		t.Errorf("just as much as the rod carries: %q", got)
	}
	o.Rods[0].Limit = 8017
	if got, want := heavy(), []string{"warning hardware_heavy treatments[0].rod 8018 8017"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	o.Fabrics[1].Mass = 0
	if got, want := heavy(), []string{"note mass_not_known fabrics[1].mass <nil> 8017"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	if w := workup.Compute(o); len(w.Totals.Mass) > 0 || w.Treatments[0].Panels[0].Mass != 0 {
		t.Errorf("a weight that isn't known: %+v", w.Totals.Mass)
	}
	o.Rods[0].Limit = 0
	if got := heavy(); len(got) > 0 {
		t.Errorf("no limit: %q", got)
	}
}

// tellings writes the problems of these codes: their severity and place, and the masses that they name.
func tellings(w *workup.Workup, codes ...string) (list []string) {
	for _, p := range w.Problems {
		if slices.Contains(codes, p.Code) {
			list = append(list, fmt.Sprintf("%s %s %s %v %v", p.Severity, p.Code, p.Where, p.Args["Mass"], p.Args["Limit"]))
		}
	}
	return list
}

// A band weighs too, and interlining as long as it hangs: 104 × 116 in of face at 100 g/m2 in 2 widths, less 3 off, at 116, ...
func TestMassOfBandsAndInterlining(t *testing.T) {
	o := edged(leading("3", orderfile.Joined))
	o.Fabrics[0].Mass, o.Fabrics[1].Mass, o.Fabrics[2].Mass = 100_000_000, 100_000_000, 100_000_000
	o.Fabrics[1].Use = orderfile.Interlining
	o.Treatments[0].Interlining = "sateen"
	// Square inches: face (108 − 2½) × 116 = 12238, interlining 104 × 100 = 10400, band 6½ × 116 = 754: 23392 × 0.00064516 × 100 g.
	checkPanel(t, onePanel(t, o), map[string]string{"mass": "1509g"})
	o.Fabrics[2].Mass = 0
	checkPanel(t, onePanel(t, o), map[string]string{"mass": ""})
}

// A panel whose width runs along the bolt weighs what it runs: 104 + 6 along, 116 across.
func TestMassOfARun(t *testing.T) {
	o := edged()
	o.Fabrics[0].UsableWidth, o.Fabrics[0].Mass = inches("118"), 100_000_000
	o.Treatments[0].Railroad = true
	checkPanel(t, onePanel(t, o), map[string]string{"cut_length": "110in", "plain_length": "116in", "mass": "823g"}) // 12760 × 0.00064516 × 100
}
