package workup_test

import (
	"testing"

	"tablehand/engine/measure"
)

// Widths of 54 that shrink by 3 % across are 52.38 when they are joined: of the 130 1/2 in that G1's panel wants 2½ give 130.95 less two
// seams, so it takes 3. The lining's flat width is 124 1/2: 2½ give 127.98.
func TestShrinksAcross(t *testing.T) {
	o := inchOrder()
	o.Fabrics[0].ShrinkWidth, o.Fabrics[1].ShrinkWidth = 300, 400
	p := onePanel(t, o)
	checkPanel(t, p, map[string]string{"widths": "3"})
	if p.LiningWidths != 5 || p.LiningSurplus != inches("3.1") { // 2½ × 51.84 − 2 − 124½
		t.Errorf("%s widths of lining, %s over", p.LiningWidths, p.LiningSurplus.In(measure.In))
	}
}

// A pattern that meets itself every 50 in meets itself every 48½ once it has shrunk, so a join takes 3.88 of 52.38.
func TestMatchWidthShrinks(t *testing.T) {
	o := inchOrder()
	o.Fabrics[0].ShrinkWidth, o.Fabrics[0].MatchWidth = 300, inches("50")
	p := onePanel(t, o)
	for _, step := range p.Trail {
		if step.Name != "seams" {
			continue
		}
		for _, in := range step.Inputs {
			if want := map[string]string{"usable_width": "52.38in", "join_loss": "3.88in"}[in.Name]; want != "" && in.Value.String() != want {
				t.Errorf("%s is %s, want %s", in.Name, in.Value, want)
			}
		}
	}
}
