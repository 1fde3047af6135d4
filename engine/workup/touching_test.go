package workup_test

import (
	"testing"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// TestTubesThatTouch: tubes that just touch can't be made; a nanometre between them is close.
func TestTubesThatTouch(t *testing.T) {
	o := inchOrder()
	thickness := o.Fabrics[0].Thickness + workup.Compute(o).Treatments[0].Panels[0].TubeGap
	for less, want := range map[measure.Length]string{0: "tubes_collide", 1: "tubes_close"} {
		o.Fabrics[0].Thickness = thickness - less
		w := workup.Compute(o)
		if got := problem(t, w, want); (got.Severity == engine.Error) != (less == 0) || w.Treatments[0].Collision != (less == 0) {
			t.Errorf("with %d nm between: %+v, collision %t", less, got, w.Treatments[0].Collision)
		}
	}
}

// TestClothNoWiderThanFinished: cloth that is just as wide as the panel has nothing to pleat; a nanometre more is some, if too
// little.
func TestClothNoWiderThanFinished(t *testing.T) {
	for more, want := range map[measure.Length]bool{-1: true, 0: true, 1: false} {
		w := workup.Compute(pinched(func(o *orderfile.Order) {
			f := &o.Fabrics[0]
			o.Treatments[0].Widths = new(measure.Halves(2))
			f.UsableWidth, f.MatchWidth = inches("48 1/2")+4*o.Conventions.SideHem+more, 0
		}))
		got := false
		for _, p := range w.Problems {
			got = got || p.Key == "problem.too_narrow.cloth"
		}
		if got != want {
			t.Errorf("%d nm wider than the panel: too narrow is %t, %+v", more, got, w.Problems)
		}
	}
}
