package workup_test

import (
	"testing"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// Widths of 54 that shrink by 3 % across are 52.38 when they are joined: of the 130 1/2 in that G1's panel wants (golden_test.go) 2½ give 130.95 less two
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

// What a cloth shrinks by in its length is its own before the shop's: 100 ÷ 0.97 is 103.0928, and 118 ÷ 0.97 is 121.6495 for 96 with 6 of
// puddle, folds and hems of 16. The lining is cut for the finished length whatever the face does.
func TestShrinksInLength(t *testing.T) {
	o := inchOrder()
	o.Fabrics[0].VerticalRepeat = 0
	o.Treatments[0].FinishedLength = inches("84")
	o.Conventions.Shrink = 1000
	own := orderfile.Percent(300)
	o.Fabrics[0].Shrink = &own
	checkPanel(t, onePanel(t, o), map[string]string{"plain_length": "103.125in", "table_length": ""})
	o.Treatments[0].FinishedLength, o.Treatments[0].Puddle = inches("96"), inches("6")
	checkPanel(t, onePanel(t, o), map[string]string{"plain_length": "121.6875in"})
	for rule, want := range map[orderfile.LiningPuddle]string{orderfile.LiningStops: "100in", orderfile.LiningFollows: "106in"} {
		o.Conventions.LiningPuddle = rule
		if got := onePanel(t, o).LiningCutLength.In(measure.In); got != want {
			t.Errorf("%s: the lining is cut to %s, want %s", rule, got, want)
		}
	}
	none := orderfile.Percent(0)
	o.Fabrics[0].Shrink = &none
	checkPanel(t, onePanel(t, o), map[string]string{"plain_length": "118in"})
}

// A panel of 104 in a cloth that grows by 4 % is made 100 long and cut to 116; a puddle lies on the floor and doesn't grow.
func TestGrowsAsItHangs(t *testing.T) {
	o := inchOrder()
	o.Fabrics[0].VerticalRepeat = 0
	o.Treatments[0].FinishedLength = inches("104")
	o.Fabrics[0].Relax = 400
	p := onePanel(t, o)
	checkPanel(t, p, map[string]string{"table_length": "100in", "plain_length": "116in"})
	if p.FinishedLength != inches("104") || p.LiningCutLength != inches("108") {
		t.Errorf("hangs %s, lining %s", p.FinishedLength.In(measure.In), p.LiningCutLength.In(measure.In))
	}
	o.Treatments[0].Puddle = inches("2")
	checkPanel(t, onePanel(t, o), map[string]string{"table_length": "102in", "plain_length": "118in"})
	for name, want := range map[string]string{"finished_length": "", "table_length": "100in", "hung_length": "104in"} {
		if got := workup.NumberOf(name).Shown(p, measure.In).String(); got != want {
			t.Errorf("a station shows %s %q, want %q", name, got, want)
		}
	}
}
