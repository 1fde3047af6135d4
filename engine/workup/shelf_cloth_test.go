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

// TestKerfOnTheShelf: between two cuts on a bolt of the shelf a kerf is lost, also where face and lining are of one cloth, behind what is
// cut already, and where a window has to be cut from several lots.
func TestKerfOnTheShelf(t *testing.T) {
	kerf := inches("2")
	bolt := func(id, lot, length string) orderfile.Bolt {
		return orderfile.Bolt{ID: id, Shelf: id, Length: inches(length), Lot: lot, Kerf: kerf, MinRemnant: inches("20")}
	}
	o := inchOrder()
	for i := range o.Fabrics {
		o.Fabrics[i].VerticalRepeat, o.Fabrics[i].Bolts = 0, []orderfile.Bolt{bolt("S", "A", "4000")}
	}
	var on []cutting.Span
	close := func(name string, s cutting.Span) {
		t.Helper()
		for _, other := range on {
			if s.From < other.To+kerf && other.From < s.To+kerf {
				t.Errorf("%s: %s to %s lies within a kerf of %s to %s", name, s.From.In(measure.In), s.To.In(measure.In), other.From.In(measure.In), other.To.In(measure.In))
			}
		}
	}
	w := workup.Compute(o)
	for _, plan := range w.Cloth {
		for _, p := range plan.Plan.Placements {
			close("two fabrics", cutting.Span{From: p.From, To: p.To})
			on = append(on, cutting.Span{From: p.From, To: p.To})
		}
	}
	face := w.Cloth[0]
	first := face.Plan.Placements[0]
	on = []cutting.Span{{From: first.From, To: first.To}}
	taken := map[string][]cutting.Span{"S": on}
	rest := face.Cuts[1:]
	for _, p := range face.Relay(rest, taken, nil).Plan.Placements {
		close("laid anew", cutting.Span{From: p.From, To: p.To})
	}
	here := func(from measure.Length) []cutting.Placement {
		return []cutting.Placement{{Cut: rest[0].ID, Bolt: "S", From: from, To: from + rest[0].Length}}
	}
	if face.Keeps(rest[:1], here(first.To+kerf-1), taken, nil) || !face.Keeps(rest[:1], here(first.To+kerf), taken, nil) {
		t.Error("a cut can stay where it lies within a kerf of what is cut, or can't a kerf behind it")
	}
	if p := workup.Placing(&face); p.Kerf != kerf || p.MinRemnant != inches("20") {
		t.Errorf("the planner is given a kerf of %v and remnants from %v on", p.Kerf, p.MinRemnant)
	}

	long := face.Cuts[0].Length // all of one window and alike
	tight := (3*long + 2*kerf).In(measure.In)
	o.Fabrics[0].Bolts = []orderfile.Bolt{bolt("S", "A", tight), bolt("T", "B", tight)}
	o.Treatments = o.Treatments[:1]
	mixed := workup.Compute(o).Cloth[0]
	if len(mixed.Cuts) != 5 || len(mixed.Plan.Unplaced) > 0 || len(mixed.Plan.Mixed) != 1 {
		t.Errorf("%d cuts on two lots: %+v", len(mixed.Cuts), mixed.Plan)
	}
	if faults := cutting.Check(workup.Placing(&mixed), mixed.Plan); len(faults) > 0 {
		t.Errorf("of two lots: %v", faults)
	}
	for i := range o.Fabrics[0].Bolts {
		o.Fabrics[0].Bolts[i].Length--
	}
	if short := workup.Compute(o).Cloth[0]; len(short.Plan.Unplaced) != 1 {
		t.Errorf("with less than two kerfs between three cuts %d have no place", len(short.Plan.Unplaced))
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
