package takeups

import (
	"cmp"
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine/measure"
)

// in16 is a length in sixteenths of an inch.
func in16(n int) measure.Length { return measure.Inch.Times(n) / 16 }

// rowOf is a heading of n pleats, all in sixteenths of an inch: return, space, the take-ups' cloth, the seams.
func rowOf(n, r, space, total int, seams ...int) Row {
	row := Row{Total: in16(total)}
	for k := range n {
		row.Flats = append(row.Flats, in16(r+k*space))
	}
	for _, x := range seams {
		row.Seams2 = append(row.Seams2, 2*in16(x))
	}
	return row
}

// Pleats of 6 in, 4 in apart, from 3 in on: pleat 4 lies from 43 to 49, pleat 5 from 53 to 59 in.
func TestFold(t *testing.T) {
	const even = 96
	row := func(n int, seams ...int) Row { return rowOf(n, 48, 64, n*even, seams...) }
	for _, c := range []struct {
		name   string
		row    Row
		want   [][2]int // runs of equal take-ups: how many, of how many sixteenths
		hidden int
	}{
		{"no seam", row(10), [][2]int{{10, even}}, 0},
		{"a seam in a pleat as it is", row(10, 46*16), [][2]int{{10, even}}, 1},
		{"a seam just 1/8 in inside", row(10, 49*16-2), [][2]int{{10, even}}, 1},
		{"a seam 1/2 in past a pleat", row(10, 49*16+8), [][2]int{{5, even + 2}, {5, even - 2}}, 1},
		{"a seam 1/2 in before a pleat", row(10, 53*16-8), [][2]int{{5, even - 2}, {5, even + 2}}, 1},
		{"the furthest that 1/2 in reaches", row(10, 49*16+18), [][2]int{{5, even + 4}, {5, even - 4}}, 1},
		{"1/16 in further nothing moves", row(10, 49*16+19), [][2]int{{10, even}}, 0},
		{"before every pleat", row(10, 16), [][2]int{{10, even}}, 0},
		{"behind every pleat", row(10, 101*16), [][2]int{{10, even}}, 0},
		{"two in one pleat", row(12, 43*16-6, 48*16), [][2]int{{4, even - 2}, {8, even + 1}}, 2},
		{"one that none hides, one that one does", row(14, 51*16, 69*16+12), [][2]int{{7, even + 2}, {7, even - 2}}, 1},
		{"two that pull apart", row(12, 33*16-4, 69*16+8), [][2]int{{3, even - 2}, {4, even + 4}, {5, even - 2}}, 2},
		{"one pleat", row(1, 100), [][2]int{{1, even}}, 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := c.row.fold()
			var want []measure.Length
			for _, run := range c.want {
				want = append(want, slices.Repeat([]measure.Length{in16(run[1])}, run[0])...)
			}
			if got.Hidden != c.hidden || !slices.Equal(got.TakeUps, want) {
				t.Errorf("%d hidden by %v, want %d by %v", got.Hidden, got.TakeUps, c.hidden, want)
			}
		})
	}
}

// The same pleats as loops: of 6 in, the quarters are 1 1/2 in at either side. A seam in the middle of pleat 4, from 43 to 49 in,
// is 1 1/2 in from both.
func TestFoldHidesInQuarters(t *testing.T) {
	const even = 96
	for _, c := range []struct {
		name   string
		seam   int // in sixteenths
		first  int // take-up, in sixteenths
		hidden int
	}{
		{"in the near quarter as it is", 44 * 16, even, 1},
		{"on the inner side of the near quarter", 44*16 + 8, even, 1},
		{"in the far quarter as it is", 48 * 16, even, 1},
		{"1/2 in past the near quarter: four pleats before take 1/8 in more each", 45 * 16, even + 2, 1},
		{"in the middle, further than 1/2 in reaches", 46 * 16, even, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := rowOf(10, 48, 64, 10*even, c.seam).quartered().fold()
			if got.Hidden != c.hidden || got.Inside != 1 || got.TakeUps[0] != in16(c.first) {
				t.Errorf("%d in a pleat, %d hidden by a first take-up of %v, want 1, %d by %v", got.Inside, got.Hidden, got.TakeUps[0], c.hidden, in16(c.first))
			}
		})
	}
}

func randomRow(t *rapid.T, pleats, seams int) Row {
	n := rapid.IntRange(1, pleats).Draw(t, "pleats")
	space := rapid.IntRange(16, 80).Draw(t, "space")
	takeUp := rapid.IntRange(2, 130).Draw(t, "take-up")
	odd := rapid.IntRange(-n, n).Draw(t, "over")
	row := rowOf(n, rapid.IntRange(0, 100).Draw(t, "return"), space, n*takeUp+odd)
	row.Total += measure.Length(rapid.IntRange(-40, 40).Draw(t, "nm"))
	joins := rapid.IntRange(0, seams).Draw(t, "seams")
	for i := range joins { // about a width apart
		place := (n*(takeUp+space)+100)*(i+1)/(joins+1) + rapid.IntRange(-80, 80).Draw(t, "seam")
		row.Seams2 = append(row.Seams2, 2*in16(place)+measure.Length(rapid.IntRange(-1, 1).Draw(t, "half nm")))
	}
	slices.Sort(row.Seams2)
	return row
}

// quartered is the row of loops that hide a seam in an outer quarter of what they take up.
func (r Row) quartered() Row {
	r.Quarter = r.Total.Div(int64(4 * len(r.Flats)))
	return r
}

// inPleats counts from the definition the seams that lie 1/8 in inside a pleat, and of them those that it hides.
func (r Row) inPleats(takeUps []measure.Length) (inside, hidden int) {
	for _, x := range r.Seams2 {
		taken := measure.Length(0)
		for k, t := range takeUps {
			if from := r.Flats[k] + taken; 2*(from+eighth) <= x && x <= 2*(from+t-eighth) {
				inside++
				if r.Quarter == 0 || x <= 2*(from+r.Quarter) || x >= 2*(from+t-r.Quarter) {
					hidden++
				}
				break
			}
			taken += t
		}
	}
	return inside, hidden
}

func TestHalvesOfNanometres(t *testing.T) {
	for d, want := range map[measure.Length][2]measure.Length{-3: {-2, -1}, -2: {-1, -1}, 0: {}, 1: {0, 1}, 2: {1, 1}, 3: {1, 2}} {
		if got := [2]measure.Length{floorHalf(d), ceilHalf(d)}; got != want {
			t.Errorf("down and up, half of %d nm is %d, want %d", d, got, want)
		}
	}
}

func TestFoldHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		row := randomRow(t, 40, 8)
		if rapid.Bool().Draw(t, "quarters") {
			row = row.quartered()
		}
		got := row.fold()
		sum, even := measure.Length(0), make([]measure.Length, len(row.Flats))
		for k, takeUp := range got.TakeUps {
			if takeUp <= 0 {
				t.Fatalf("take-up %d is %d", k, takeUp)
			}
			sum += takeUp
			n := int64(len(row.Flats))
			even[k] = row.Total.MulDiv(int64(k+1), n) - row.Total.MulDiv(int64(k), n)
		}
		if len(got.TakeUps) != len(row.Flats) || sum != row.Total {
			t.Fatalf("%d take-ups of %d in all, want %d of %d", len(got.TakeUps), sum, len(row.Flats), row.Total)
		}
		if spread := slices.Max(got.TakeUps) - slices.Min(got.TakeUps); spread != got.Spread || spread > SpreadLimit {
			t.Fatalf("spread %d, told %d", spread, got.Spread)
		}
		if inside, hidden := row.inPleats(got.TakeUps); inside != got.Inside || hidden != got.Hidden {
			t.Fatalf("%d in pleats, %d hidden, told %d and %d", inside, hidden, got.Inside, got.Hidden)
		}
		inside, evenly := row.inPleats(even)
		if got.Hidden < evenly || got.Hidden == evenly && got.Inside < inside {
			t.Fatalf("equal take-ups hide %d of %d, these %d of %d", evenly, inside, got.Hidden, got.Inside)
		}
		if got.Hidden == evenly && got.Inside == inside && got.Spread > 1 {
			t.Fatalf("uneven for nothing: %v", got.TakeUps)
		}
	})
}

// passes reports whether take-ups from least to most can put every seam into its pleat, by following from pleat to
// pleat all that C_k may be.
func (r Row) passes(pleats []int, least, most measure.Length) bool {
	n := len(r.Flats)
	from, to := measure.Length(0), measure.Length(0)
	for k := 0; ; k++ {
		for i, p := range pleats { // C_p ends by the seam's near side, C_{p+1} reaches its far side
			x2 := r.Seams2[i]
			if p == k {
				for to > from && 2*(r.Flats[k]+to)+measure.Inch/4 > x2 {
					to = min(to-1, (x2-measure.Inch/4)/2-r.Flats[k])
				}
				if 2*(r.Flats[k]+to)+measure.Inch/4 > x2 {
					return false
				}
			}
			if p == k-1 && p >= 0 {
				for from < to && 2*(r.Flats[p]+from)-measure.Inch/4 < x2 {
					from = max(from+1, (x2+measure.Inch/4)/2-r.Flats[p])
				}
				if 2*(r.Flats[p]+from)-measure.Inch/4 < x2 {
					return false
				}
			}
		}
		if from > to {
			return false
		}
		if k == n {
			return from <= r.Total && r.Total <= to
		}
		from, to = from+least, to+most
	}
}

// leastSpread tries every way to give the seams to pleats.
func (r Row) leastSpread() (hidden int, spread measure.Length) {
	pleats := make([]int, len(r.Seams2))
	hidden = -1
	var each func(i, in, from int)
	each = func(i, in, from int) {
		if i < len(pleats) {
			pleats[i] = -1
			each(i+1, in, from)
			for p := from; p < len(r.Flats); p++ {
				pleats[i] = p
				each(i+1, in+1, p)
			}
			return
		}
		if in < hidden {
			return
		}
		// The greatest least take-up and the least greatest one, each by halving.
		const far = 1000 * measure.Inch
		low := measure.Length(0)
		for step := measure.Length(1) << 33; step > 0; step /= 2 {
			if r.passes(pleats, low+step, far) {
				low += step
			}
		}
		high := far
		for step := measure.Length(1) << 34; step > 0; step /= 2 {
			if high-step > 0 && r.passes(pleats, 0, high-step) {
				high -= step
			}
		}
		if low > 0 && high-low <= SpreadLimit && r.passes(pleats, low, high) && (in > hidden || high-low < spread) {
			hidden, spread = in, high-low
		}
	}
	each(0, 0, 0)
	return hidden, spread
}

func TestFoldIsBest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		for range 10 {
			row := randomRow(t, 12, 4)
			got := row.fold()
			if hidden, spread := row.leastSpread(); got.Hidden != hidden || got.Spread != spread {
				t.Fatalf("%d hidden with spread %d, best are %d with %d", got.Hidden, got.Spread, hidden, spread)
			}
		}
	})
}

// The search stops at what the first place of each seam costs and asks: so the first must be the one that costs and asks least.
func TestPleatsForLeastFirst(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		row, tries := randomRow(t, 40, 8), 0
		if rapid.Bool().Draw(t, "quarters") {
			row = row.quartered()
		}
		h := row.Hiding(&tries)
		for i := range row.Seams2 {
			options := h.placesFor(i, h.stops, h.free)
			if !slices.IsSortedFunc(options, func(a, b option) int {
				return cmp.Or(cmp.Compare(row.cost(a.part), row.cost(b.part)), cmp.Compare(a.shared.spread(), b.shared.spread()))
			}) {
				t.Fatalf("seam %d: %v", i, options)
			}
		}
	})
}

// No way of sharing in eighths of an inch does better: this knows nothing of what the search builds on.
func TestNoGridBeatsFold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 6).Draw(t, "pleats")
		row := rowOf(n, 2*rapid.IntRange(0, 20).Draw(t, "return"), 2*rapid.IntRange(8, 40).Draw(t, "space"),
			2*rapid.IntRange(4*n, 60*n).Draw(t, "total"))
		for range rapid.IntRange(1, 4).Draw(t, "seams") {
			row.Seams2 = append(row.Seams2, 2*in16(rapid.IntRange(0, 100*n).Draw(t, "seam")))
		}
		slices.Sort(row.Seams2)
		if rapid.Bool().Draw(t, "quarters") {
			row = row.quartered()
		}
		got := row.fold()
		takeUps := make([]measure.Length, n)
		var each func(k int, rest, least, most measure.Length)
		each = func(k int, rest, least, most measure.Length) {
			if k == n-1 {
				takeUps[k] = rest
				least, most = min(least, rest), max(most, rest)
				if rest <= 0 || most-least > measure.Inch/2 {
					return
				}
				inside, hidden := row.inPleats(takeUps)
				if cmp.Or(cmp.Compare(got.Hidden, hidden), cmp.Compare(got.Inside, inside), cmp.Compare(most-least, got.Spread)) < 0 {
					t.Fatalf("%v hides %d of %d, spread %d; found %+v", takeUps, hidden, inside, most-least, got)
				}
				return
			}
			mean := (row.Total / measure.Length(n)).FloorTo(eighth)
			for takeUp := max(eighth, mean-4*eighth); takeUp <= mean+5*eighth; takeUp += eighth {
				if l, m := min(least, takeUp), max(most, takeUp); m-l <= measure.Inch/2 {
					takeUps[k] = takeUp
					each(k+1, rest-takeUp, l, m)
				}
			}
		}
		each(0, row.Total, row.Total, 0)
	})
}

// BenchmarkFold folds panels of many widths, each seam 53 in after the one before.
func BenchmarkFold(b *testing.B) {
	for _, widths := range []int{2, 4, 12, 24, 60} {
		b.Run(fmt.Sprint(widths), func(b *testing.B) {
			n := 5 * widths
			row := rowOf(n, 56, 60, n*105)
			for i := 1; i < widths; i++ {
				row.Seams2 = append(row.Seams2, 2*in16(53*16*i-48))
			}
			hidden := 0
			for b.Loop() {
				hidden = row.fold().Hidden
			}
			b.ReportMetric(float64(hidden), "hidden")
		})
	}
}

// maxTries bounds the search for the pleats that hide the seams. Some twenty seams need fewer; of a panel with more the
// best sharing found by then stands.
const maxTries = 1 << 14

// fold shares the cloth so that most seams are hidden, then with the least spread, never above SpreadLimit. Where
// no seam wants otherwise all take-ups are equal to the nanometre; else they are equal from one seam that presses
// to the next, which no other sharing with these seams in these pleats makes more even.
func (r Row) fold() Folded {
	tries := maxTries
	h := r.Hiding(&tries)
	h.TakeEven(0)
	h.Improve(0)
	return h.Folded()
}
