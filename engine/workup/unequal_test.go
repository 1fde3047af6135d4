package workup_test

import (
	"fmt"
	"slices"
	"testing"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// bay is the pair of G1 (golden_test.go) with the right panel's return at a corner of the bay.
func bay(other string) *orderfile.Order {
	o := inchOrder()
	o.Treatments[0].ReturnOther = new(inches(other))
	return o
}

// The right panel of a pair takes return_other; each is worked out and trimmed by itself, and 0 is a return too.
func TestPairWithTwoReturns(t *testing.T) {
	w := workup.Compute(bay("0"))
	left, right := &w.Treatments[0].Panels[0], &w.Treatments[0].Panels[1]
	checkPanel(t, left, map[string]string{"finished_width_asked": "48.5in", "pleats": "19", "widths": "2.5", "trim_return": "2.125in", "corner_to_pleat": "0.75in"})
	// 42 + 3: 18 pleats need 46, 17 leave 1¼ at each end; at the most of 1 they hang at 44½ and are opened by ½ in all.
	checkPanel(t, right, map[string]string{"finished_width_asked": "45in", "finished_width": "45in", "pleats": "17", "end_margin": "1in",
		"tight_width": "44.5in", "flat_width": "112.5in", "widths": "2.5", "corner_to_pleat": "2.26470587in"})
	if got, want := w.Totals.Tape[0].Used, inches("124 1/2")+inches("112 1/2")+4*inches("1"); got < want {
		t.Errorf("%s of tape for both pieces, of %s together", got.In(measure.In), want.In(measure.In))
	}
	if same := workup.Compute(bay("3 1/2")); !slices.Equal(same.Treatments[0].Panels[1].Values(), same.Treatments[0].Panels[0].Values()) {
		t.Error("the same return at both ends makes two panels")
	}
}

// A pattern goes on from one half of a width and a nap runs one way, so that of such cloth a left panel only takes right
// halves and a right one left halves, in every window. Of plain cloth either half does: what is left of a width goes to the
// next panel that takes one.
func TestCutsOfUnequalPair(t *testing.T) {
	for _, c := range []struct {
		usable, other string
		repeat        string // "one-way" for plain cloth with a nap
		quantity      int
		widths        [2]measure.Halves
		cuts          int
		halves        []string
	}{
		{"54", "3 1/2", "13 1/2", 1, [2]measure.Halves{5, 5}, 5, []string{"L1 right + R1 left"}},
		{"54", "20", "13 1/2", 1, [2]measure.Halves{5, 7}, 6, []string{"L1 right + R1 left"}},
		{"54", "14", "13 1/2", 1, [2]measure.Halves{5, 6}, 6, []string{"L1 right"}},
		{"54", "14", "13 1/2", 2, [2]measure.Halves{5, 6}, 12, []string{"L1 right", "L2 right"}},
		{"50", "14", "13 1/2", 3, [2]measure.Halves{6, 7}, 21, []string{"R1 left", "R2 left", "R3 left"}},
		{"54", "20", "13 1/2", 2, [2]measure.Halves{5, 7}, 12, []string{"L1 right + R1 left", "L2 right + R2 left"}},
		{"54", "14", "one-way", 2, [2]measure.Halves{5, 6}, 12, []string{"L1 right", "L2 right"}},
		{"54", "14", "0", 2, [2]measure.Halves{5, 6}, 11, []string{"L1 right + L2 left"}},
		{"50", "14", "0", 2, [2]measure.Halves{6, 7}, 13, []string{"R1 left + R2 right"}},
	} {
		o := bay(c.other)
		o.Fabrics[0].UsableWidth, o.Treatments[0].Quantity = inches(c.usable), c.quantity
		if o.Fabrics[0].OneWay = c.repeat == "one-way"; o.Fabrics[0].OneWay {
			o.Fabrics[0].VerticalRepeat = 0
		} else {
			o.Fabrics[0].VerticalRepeat = inches(c.repeat)
		}
		w := workup.Compute(o)
		face, panels := w.Treatments[0].Fabrics[0], w.Treatments[0].Panels
		if face.Cuts != c.cuts || panels[0].Widths != c.widths[0] || panels[1].Widths != c.widths[1] {
			t.Errorf("%+v: %d cuts, widths %s and %s", c, face.Cuts, panels[0].Widths, panels[1].Widths)
		}
		var halves []string
		for _, cut := range w.Cloth[0].Cuts {
			var parts []string
			for _, part := range cut.For {
				if part.Half != workup.Whole {
					parts = append(parts, fmt.Sprintf("%s%d %s", part.Panel, part.Copy, part.Half))
				}
			}
			if len(parts) == 2 {
				parts = []string{parts[0] + " + " + parts[1]}
			}
			halves = append(halves, parts...)
		}
		if !slices.Equal(halves, c.halves) {
			t.Errorf("%+v: halves %v", c, halves)
		}
	}
}

// A half-drop's class counts from the leading edge of each panel. Where the two halves of a pair are of different
// classes no width can be split between them.
func TestHalfDropOfUnequalPair(t *testing.T) {
	o := bay("20 1/2")
	o.Fabrics[0].UsableWidth, o.Fabrics[0].Match = inches("54"), orderfile.HalfDrop
	w := workup.Compute(o)
	face := w.Treatments[0].Fabrics[0]
	if want := []measure.Halves{5, 7}; !slices.Equal(face.Widths, want) || face.Classes != [2]int{4, 3} || face.Cuts != 7 {
		t.Errorf("widths %v, classes %v, %d cuts", face.Widths, face.Classes, face.Cuts)
	}
	for _, cut := range w.Cloth[0].Cuts {
		if len(cut.For) > 1 {
			t.Errorf("one cut for %v", cut.For)
		}
	}
}

// A pair whose total is rounded and halved has two like panels; another return is refused, under a rule that an order
// is only asked about as well.
func TestPairTotalRefusesTwoReturns(t *testing.T) {
	o := bay("0")
	o.Conventions.PairSplit = "total"
	w := workup.Compute(o)
	if p := problem(t, w, "bad_value"); p.Key != "problem.bad_value.pair_total" || p.Where != "treatments[0].return_other" || len(w.Treatments[0].Panels) > 0 {
		t.Errorf("%+v", p)
	}
	o.Treatments[0].ReturnOther = new(o.Treatments[0].Return)
	if w := workup.Compute(o); has(w, "bad_value") {
		t.Errorf("%+v", w.Problems)
	}
	i := slices.IndexFunc(workup.Outcomes(bay("0")), func(o workup.Outcome) bool { return o.Value == "total" })
	if got := workup.Outcomes(bay("0"))[i]; !got.Incomplete {
		t.Errorf("%+v", got)
	}
}

// What is wrong with both panels is told once, what is wrong with one is told too.
func TestUnequalPairToldOnce(t *testing.T) {
	o := bay("0")
	w := workup.Compute(o)
	codes := map[string]int{}
	for _, p := range w.Problems {
		codes[p.Code+" "+p.Where]++
	}
	for code, n := range codes {
		if n > 1 {
			t.Errorf("%s is told %d times", code, n)
		}
	}
	line := &o.Treatments[0]
	line.FaceWidth, line.Return, line.Overlap = inches("4"), inches("3"), 0
	if w := workup.Compute(o); !has(w, "too_narrow") || len(w.Treatments[0].Panels) > 0 { // 5 in and 2 in
		t.Errorf("%+v", w.Problems)
	}
}
