package workup_test

import (
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// TestLeast: what is said to be short however the bolts are cut is no more than the best of all ways of cutting leaves, every way being
// tried: cuts of whole repeats, of two lengths, in the stretches between ends and flaws.
func TestLeast(t *testing.T) {
	repeat := inches("13 1/2")
	exact, short := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		o := inchOrder()
		second := o.Treatments[0]
		second.Window, second.FinishedLength = "Bay, right", measure.Inch.Times(rapid.IntRange(30, 95).Draw(t, "length"))
		o.Treatments = append(o.Treatments, second)
		var rooms []int // of each stretch, in repeats
		for i := range rapid.IntRange(1, 3).Draw(t, "bolts") {
			b := orderfile.Bolt{ID: string(rune('R' + i)), Lot: rapid.SampledFrom([]string{"A", "B"}).Draw(t, "lot"), Length: measure.Inch.Times(rapid.IntRange(60, 700).Draw(t, "bolt"))}
			if rapid.Bool().Draw(t, "shelf") {
				b.Shelf = b.ID
			}
			from, to := measure.Length(0), b.Length
			if at := measure.Inch.Times(rapid.IntRange(0, 400).Draw(t, "flaw")); at > 20*measure.Inch && at+measure.Inch < to {
				b.Flaws = []orderfile.Flaw{{From: at, To: at + measure.Inch}}
				rooms = append(rooms, int(at/repeat))
				from = (at + measure.Inch).CeilTo(repeat)
			}
			rooms = append(rooms, int(max(0, to-from)/repeat))
			o.Fabrics[0].Bolts = append(o.Fabrics[0].Bolts, b)
		}
		plan := workup.Compute(o).Cloth[0]
		sizes := [2]int{}
		for _, c := range plan.Cuts {
			sizes[c.Treatment] = int(c.Length / repeat)
		}
		most := mostPlaced(rooms, sizes, [2]int{5, 5})
		left := repeat.Times(5*sizes[0] + 5*sizes[1] - most)
		least := plan.Least(nil)
		if least > left {
			t.Fatalf("%s is said to be short, %s is: stretches of %v repeats, cuts of %v", least.In(measure.In), left.In(measure.In), rooms, sizes)
		}
		if left > 0 {
			short++
			if least == left {
				exact++
			}
		}
	})
	if short < 20 || exact*2 < short {
		t.Errorf("of %d that are short %d are told exactly", short, exact)
	}
}

// mostPlaced is the most repeats of cuts that stretches hold, so many of each of two sizes being wanted: all ways are tried.
func mostPlaced(rooms []int, sizes, wanted [2]int) (most int) {
	if len(rooms) == 0 {
		return 0
	}
	for a := 0; a <= wanted[0] && a*sizes[0] <= rooms[0]; a++ {
		for b := 0; b <= wanted[1] && a*sizes[0]+b*sizes[1] <= rooms[0]; b++ {
			most = max(most, a*sizes[0]+b*sizes[1]+mostPlaced(rooms[1:], sizes, [2]int{wanted[0] - a, wanted[1] - b}))
		}
	}
	return most
}
