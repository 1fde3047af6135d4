package measure_test

import (
	"testing"

	"tablehand/engine/measure"
)

// Two cloths of 320 and 120 g/m2, 132 1/2 × 111 1/2 and 124 1/2 × 99 1/2 in: 14773.75 and 12387.75 square inches of 0.00064516 m2 are
// 4009.1081108 g.
func TestWeighing(t *testing.T) {
	var all measure.Weighing
	all.Add(320_000_000, 265*measure.Inch, 223*measure.Inch/2)
	if face := all.Mass(); face != 3050 { // 3050.06
		t.Errorf("the face weighs %d g", face)
	}
	var lining measure.Weighing
	lining.Add(120_000_000, 249*measure.Inch, 199*measure.Inch/2)
	all.AddAll(&lining)
	if got := all.Mass(); got != 4009 {
		t.Errorf("both weigh %d g", got)
	}
	for want, metres := range map[measure.Mass]measure.Length{1: measure.Metre / 2, 0: measure.Metre/2 - 1} { // halves up, from the whole
		var w measure.Weighing
		w.Add(1_000_000, 2*metres, measure.Metre)
		if w.Mass() != want {
			t.Errorf("%d nm of 1 g/m2 weigh %d g, want %d", metres, w.Mass(), want)
		}
	}
}

func TestMassShown(t *testing.T) {
	for _, c := range []struct {
		m    measure.Mass
		u    measure.Unit
		text string
	}{{4009, mm, "4.01 kg"}, {4009, in, "8.8 lb"}, {29_937, in, "66 lb"}, {30_000, measure.CM, "30 kg"}} {
		if _, shown := measure.OfMass(c.m, c.u).Mass(); shown != c.text || c.m.Shown(c.u) != c.text {
			t.Errorf("%d g is shown as %q, want %q", c.m, shown, c.text)
		}
		if q := measure.OfMass(c.m, c.u); q.Unit() != "" || q.Nought() || q.IsLength() {
			t.Errorf("%s is no length, nor nought", q)
		}
	}
}
