package cutting

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine/measure"
)

// TestForward: a plan that is moved forward is still sound, has the same cuts on the same bolts in the same turns, none farther back, and none
// of them could lie a repeat farther in front.
func TestForward(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		inches := func(name string, least, most int) measure.Length {
			return measure.Inch.Times(rapid.IntRange(least, most).Draw(t, name))
		}
		p := Problem{VerticalRepeat: inches("repeat", 0, 9)}
		for range rapid.IntRange(1, 3).Draw(t, "bolts") {
			b := Bolt{ID: string(rune('a' + len(p.Bolts))), Length: inches("length", 40, 200), FirstRepeat: inches("first", 0, 9), Lot: "A"}
			for range rapid.IntRange(0, 2).Draw(t, "flaws") {
				from := inches("flaw", 0, 39)
				b.Flaws = append(b.Flaws, Span{from, from + measure.Inch})
			}
			p.Bolts = append(p.Bolts, b)
		}
		for range rapid.IntRange(1, 6).Draw(t, "cuts") {
			c := Cut{ID: string(rune('1' + len(p.Cuts))), Length: inches("cut", 5, 30), Group: "g", Anywhere: rapid.Bool().Draw(t, "anywhere")}
			if p.VerticalRepeat > 0 && rapid.Bool().Draw(t, "dropped") {
				c.Start = p.VerticalRepeat.Div(2)
			}
			p.Cuts = append(p.Cuts, c)
		}
		plan := Place(p)
		back := plan // as far back as a whole number of repeats takes it, the last of each bolt
		back.Placements = slices.Clone(plan.Placements)
		for i := range slices.Backward(back.Placements) {
			pl := &back.Placements[i]
			bolt := p.Bolts[slices.IndexFunc(p.Bolts, func(b Bolt) bool { return b.ID == pl.Bolt })]
			step := max(p.VerticalRepeat, measure.Inch)
			for {
				moved := back
				moved.Placements = slices.Clone(back.Placements)
				moved.Placements[i].From += step
				moved.Placements[i].To += step
				if moved.Placements[i].To > bolt.Length || len(Check(p, moved)) > 0 {
					break
				}
				back = moved
				pl = &back.Placements[i]
			}
		}
		front := p.Forward(back)
		if faults := Check(p, front); len(faults) > 0 {
			t.Fatalf("moved forward: %v", faults)
		}
		for i, pl := range front.Placements {
			was := back.Placements[i]
			if pl.Cut != was.Cut || pl.Bolt != was.Bolt || pl.From > was.From {
				t.Fatalf("%+v was %+v", pl, was)
			}
			sooner := front
			sooner.Placements = slices.Clone(front.Placements)
			step := max(p.VerticalRepeat, measure.Inch)
			sooner.Placements[i].From, sooner.Placements[i].To = pl.From-step, pl.To-step
			if sooner.Placements[i].From >= 0 && len(Check(p, sooner)) == 0 && !slices.ContainsFunc(front.Placements, func(o Placement) bool {
				return o.Bolt == pl.Bolt && o.From < pl.From && o.From >= pl.From-step
			}) {
				t.Fatalf("%+v could lie a step farther in front", pl)
			}
		}
	})
}
