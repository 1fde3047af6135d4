package workup_test

import (
	"testing"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// TestBoltsOwnRepeat: a bolt of the shelf is cut by its repeat as it was measured. Each cut starts on that, so nothing is trimmed off its top,
// whatever the order counts on; the second cuts of a half-drop start half of that repeat later.
func TestBoltsOwnRepeat(t *testing.T) {
	for _, how := range []struct {
		match orderfile.Match
		drop  orderfile.HalfDropRule
	}{{orderfile.Straight, orderfile.DropPhases}, {orderfile.HalfDrop, orderfile.DropPhases}, {orderfile.HalfDrop, orderfile.HalfRepeatACut}} {
		for _, own := range []string{"13 3/8", "13 5/8"} {
			o := inchOrder()
			o.Fabrics[0].Match, o.Conventions.HalfDrop = how.match, how.drop
			repeat, first := inches(own), inches("2")
			o.Fabrics[0].Bolts = []orderfile.Bolt{{ID: "S", Shelf: "S", Length: inches("4000"), Lot: "A", Repeat: repeat, FirstRepeat: first}}
			plan := workup.Compute(o).Cloth[0]
			if faults := cutting.Check(workup.Placing(&plan), plan.Plan); len(faults) > 0 || len(plan.Plan.Unplaced) > 0 {
				t.Fatalf("%+v by %s: %v, %d without a place", how, own, faults, len(plan.Plan.Unplaced))
			}
			at := map[string]measure.Length{}
			for _, p := range plan.Plan.Placements {
				at[p.Cut] = p.From
			}
			step := repeat
			if how.drop == orderfile.HalfRepeatACut {
				step = repeat.Div(2)
			}
			end := first
			for _, p := range plan.Plan.Placements { // along the bolt
				if gap := p.From - end; gap >= step {
					t.Errorf("%+v by %s: %s are lost before cut %s", how, own, gap.In(measure.In), p.Cut)
				}
				end = p.To
			}
			for _, c := range plan.Cuts {
				height := first // of its pattern
				if c.Class == 1 {
					height += repeat.Div(2)
				}
				if off := (at[c.ID] - height) % step; off != 0 {
					t.Errorf("%+v by %s: cut %s starts %s off the pattern", how, own, c.ID, off.In(measure.In))
				}
				if top := (height - at[c.ID]) % repeat; c.TrimTop != (top+repeat)%repeat {
					t.Errorf("%+v by %s: %s is trimmed off the top of cut %s at %s", how, own, c.TrimTop.In(measure.In), c.ID, at[c.ID].In(measure.In))
				}
			}
		}
	}
}

// TestTwoFabricsOfOneBolt: face and lining of one cloth of the shelf get no stretch of it twice, and keep clear of what others were promised.
func TestTwoFabricsOfOneBolt(t *testing.T) {
	o := inchOrder()
	bolt := orderfile.Bolt{ID: "S", Shelf: "S", Length: inches("4000"), Lot: "A", Spoken: []orderfile.Flaw{{From: inches("100"), To: inches("300")}}}
	for i := range o.Fabrics {
		o.Fabrics[i].VerticalRepeat, o.Fabrics[i].Bolts = 0, []orderfile.Bolt{bolt}
	}
	if got, want := bolt.OnHand(), inches("3800"); got != want {
		t.Errorf("%s are on hand, want %s", got.In(measure.In), want.In(measure.In))
	}
	bolt.Spoken = append(bolt.Spoken, orderfile.Flaw{From: inches("250"), To: inches("310")}, orderfile.Flaw{From: inches("3990"), To: inches("4010")})
	bolt.From = inches("120")
	if got, want := bolt.OnHand(), inches("3680"); got != want {
		t.Errorf("of the part %s are on hand, want %s", got.In(measure.In), want.In(measure.In))
	}
	bolt.Spoken, bolt.From = bolt.Spoken[:1], 0
	used := []cutting.Span{{From: inches("100"), To: inches("300")}}
	cuts := 0
	for _, plan := range workup.Compute(o).Cloth {
		for _, p := range plan.Plan.Placements {
			for _, u := range used {
				if p.From < u.To && u.From < p.To {
					t.Errorf("cut %s of %s, %s to %s, lies on %s to %s", p.Cut, plan.Fabric.ID, p.From.In(measure.In), p.To.In(measure.In), u.From.In(measure.In), u.To.In(measure.In))
				}
			}
			used = append(used, cutting.Span{From: p.From, To: p.To})
			cuts++
		}
	}
	if cuts < 6 {
		t.Errorf("only %d cuts lie on it", cuts)
	}
}
