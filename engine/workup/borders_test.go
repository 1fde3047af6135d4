package workup

import (
	"testing"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// TestNearestRoundsHalvesUp: of a whole width, or of a pair's total; a nanometre under a half goes down.
func TestNearestRoundsHalvesUp(t *testing.T) {
	const in = measure.Inch
	o := &orderfile.Order{Conventions: orderfile.DefaultConventions(measure.In)}
	o.Treatments = []orderfile.Treatment{{Draw: orderfile.Pair}}
	w := &window{order: o, line: &o.Treatments[0]}
	for _, c := range []struct {
		split  orderfile.PairSplit
		wanted measure.Length // widths of 54 that lose 1 give 54, 107, 160
		want   measure.Halves
	}{
		{orderfile.SplitPanel, 10 * in, 2}, // at least one
		{orderfile.SplitPanel, 107 * in, 4},
		{orderfile.SplitPanel, 267*in/2 - 1, 4},
		{orderfile.SplitPanel, 267 * in / 2, 6},
		{orderfile.SplitPanel, 160 * in, 6},
		{orderfile.SplitTotal, 10 * in, 1}, // one of both, halved
		{orderfile.SplitTotal, in + 53*in*9/4 - 1, 4},
		{orderfile.SplitTotal, in + 53*in*9/4, 5},
		{orderfile.SplitTotal, in + 53*in*5/2, 5},
	} {
		o.Conventions.PairSplit = c.split
		if got := w.nearest(c.wanted, 54*in, in); got != c.want {
			t.Errorf("%s: %s take %s widths, want %s", c.split, c.wanted.In(measure.In), got, c.want)
		}
	}
}

// TestOrderedToTheStep: cloth is bought up to the step, to the nearest, half a step up, or as it fell; a patterned face with
// repeats for positioning.
func TestOrderedToTheStep(t *testing.T) {
	const m = 1000 * measure.Millimetre
	face := &orderfile.Fabric{Use: orderfile.Face, VerticalRepeat: m / 5}
	lining := &orderfile.Fabric{Use: orderfile.Lining}
	for _, c := range []struct {
		rule         orderfile.OrderRounding
		f            *orderfile.Fabric
		length, want measure.Length
	}{
		{orderfile.OrderUp, lining, 5 * m, 5 * m},
		{orderfile.OrderUp, lining, 5*m + 1, 11 * m / 2},
		{orderfile.OrderNearest, lining, 21*m/4 - 1, 5 * m},
		{orderfile.OrderNearest, lining, 21 * m / 4, 11 * m / 2},
		{orderfile.OrderNearest, lining, 11*m/2 - 1, 11 * m / 2},
		{orderfile.OrderAsItFell, lining, 21 * m / 4, 21 * m / 4},
		{orderfile.OrderAsItFell, face, 5 * m, 5*m + 2*m/5},
		{orderfile.OrderUp, face, 5 * m, 11 * m / 2},
		{orderfile.OrderNearest, face, 5*m - 3*m/20 - 1, 5 * m},
	} {
		conv := &orderfile.Conventions{OrderRounding: c.rule, OrderStep: m / 2, OrderRepeats: 2}
		if got := toOrder(conv, c.f, c.length); got != c.want {
			t.Errorf("%s, %s: %s is bought as %s, want %s", c.rule, c.f.Use, c.length.In(measure.MM), got.In(measure.MM), c.want.In(measure.MM))
		}
	}
}

// TestSeamJustClearOfAnEdge: a seam as far from a finished edge as the shop wants it clear isn't near it, a nanometre less is.
func TestSeamJustClearOfAnEdge(t *testing.T) {
	j := joint{flat: 2000, clear: 80}
	for x, want := range map[doubled]bool{79: true, 80: false, 1000: false, 1920: false, 1921: true, -5: true, 2005: true} {
		if got := j.nearEdge(x); got != want {
			t.Errorf("a seam at %d of %d, %d clear, is near an edge: %t", x, j.flat, j.clear, got)
		}
	}
}
