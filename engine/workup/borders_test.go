package workup

import (
	"fmt"
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

// TestSeamInAPleat: a seam lies in a pleat from the first to the last, an eighth of an inch clear of its sides, and in a space else.
func TestSeamInAPleat(t *testing.T) {
	const half = doubled(eighth) // of an eighth of an inch
	j := joint{first: 20 * half, period: 60 * half, takeUp: 40 * half, pleats: 3}
	for at, want := range map[doubled]bool{
		10: false, 21: false, 22: true, 40: true, 58: true, 59: false, 70: false, // the first lies from 20 to 60
		142: true, 178: true, 179: false, 200: false, 220: false, // the last from 140 to 180; there is no fourth
	} {
		if seen, space := j.visible(at * half); space == want || space && seen != j.takeUp {
			t.Errorf("a seam at %d half eighths lies in a space: %t, seen %d", at, space, seen)
		}
	}
}

// TestNeverReckonedTooMany: what an order is refused by before it is worked out is never more than it makes.
func TestNeverReckonedTooMany(t *testing.T) {
	const file = "order: A-1\ncustomer: C\nunits: in\nconventions: {widths_rounding: %s, pair_split: %s}\nfabrics:\n  - {id: reed, use: face, usable_width: 54}\n" +
		"  - {id: sateen, use: lining, usable_width: 48}\ntreatments:\n  - {window: W, heading: pinch-3, draw: %s, face_width: %d, finished_length: 90, face: reed%s, quantity: 2}\n"
	for _, rounding := range []orderfile.WidthsRounding{orderfile.UpToHalf, orderfile.UpToWhole, orderfile.NearestWhole} {
		for _, split := range []orderfile.PairSplit{orderfile.SplitPanel, orderfile.SplitTotal} {
			for _, draw := range []orderfile.Draw{orderfile.Pair, orderfile.OneWayLeft} {
				for _, lining := range []string{"", ", lining: sateen"} {
					for width := 20; width < 200; width += 7 {
						o, problems := orderfile.Parse(fmt.Appendf(nil, file, rounding, split, draw, width, lining))
						if o == nil {
							t.Fatal(problems)
						}
						made := 0
						for _, use := range Compute(o).Treatments[0].Fabrics {
							made += use.Cuts
						}
						if got, _ := reckon(o); got > made && made > 0 {
							t.Errorf("%s, %s, %s of %d%s: reckoned %d cuts, and %d are made", rounding, split, draw, width, lining, got, made)
						}
					}
				}
			}
		}
	}
}

// TestDoubledRoundsOnce: half a nanometre goes away from zero; half a face width comes from the whole.
func TestDoubledRoundsOnce(t *testing.T) {
	for d, want := range map[doubled]measure.Length{-3: -2, -2: -1, 0: 0, 1: 1, 2: 1, 3: 2} {
		if got := d.half(); got != want {
			t.Errorf("%d half nanometres are %d, want %d", d, got, want)
		}
	}
	o := &orderfile.Order{Conventions: orderfile.DefaultConventions(measure.In)}
	o.Treatments = []orderfile.Treatment{{Draw: orderfile.Pair, FaceWidth: 2001, Return: 100}}
	w := &window{heading: &orderfile.HeadingData{}, order: o, line: &o.Treatments[0]}
	if w.finished() != 2201 || w.finishedWidth() != 1101 || w.track() != 2001 {
		t.Errorf("of a pair over 2001 nm with returns of 100 a panel is %d, its rod %d half nanometres", w.finished(), w.track())
	}
}

// TestCountsGoOnePastTheMost: of a very wide panel so many pleats are counted that too many is told, and no more.
func TestCountsGoOnePastTheMost(t *testing.T) {
	const in = measure.Inch
	o := &orderfile.Order{Conventions: orderfile.DefaultConventions(measure.In)}
	o.Treatments = []orderfile.Treatment{{Draw: orderfile.OneWayLeft, Heading: orderfile.Pinch3}}
	w := &window{order: o, line: &o.Treatments[0], heading: orderfile.Pinch3.Data(), face: &orderfile.Fabric{UsableWidth: 54 * in}}
	cloth := handCloth{finished: 1500 * in, asked: 3750 * in, least: 3000 * in, most: twice(4000 * in)}
	most := 0
	for _, set := range w.inRange(&Panel{FinishedWidth: 1500 * in, Widths: 140}, pleating{flat: 3750 * in, spaces: 1500 * in}, cloth, "best") {
		most = max(most, set.pleats)
	}
	if most != mostPleats+1 {
		t.Errorf("up to %d pleats are counted", most)
	}
}

// TestNoCountIsBetter: of all counts of pleats none is better by the heading's ranges than the one that is chosen,
// whether the spaces or the take-ups decide.
func TestNoCountIsBetter(t *testing.T) {
	const most = 120
	for _, heading := range []orderfile.Heading{orderfile.Pinch2, orderfile.Pinch3} {
		d := heading.Data()
		for _, halves := range []bool{false, true} {
			for spaces := 12 * measure.Inch; spaces < 200*measure.Inch; spaces += 5*measure.Inch + measure.Inch/8 {
				for _, share := range []int{2, 3, 4, 6, 9} { // take-ups beside the spaces, in quarters of them
					p := pleating{spaces: spaces, takeUps: spaces.Times(share).Div(4), halves: halves}
					best := p.byRanges(d)
					for n := p.least(); n <= most; n++ {
						if p.withPleats(n).betterThan(best, d) {
							t.Fatalf("%s, spaces %v, take-ups %v, half a space at the ends %v: %d pleats are better than %d",
								heading, spaces.In(measure.In), p.takeUps.In(measure.In), halves, n, best.pleats)
						}
					}
				}
			}
		}
	}
}
