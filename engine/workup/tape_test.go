package workup

import (
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine/measure"
)

// rowUses is the formula, read off for one order of pieces.
func rowUses(period measure.Length, row []rollPiece) measure.Length {
	used := row[0].start + row[len(row)-1].start
	for i, piece := range row {
		used += twice(period.Times(piece.pleats))
		if i > 0 {
			used += twice(period.Times(int(measure.Length(row[i-1].start + piece.start).CeilDiv(2 * period))))
		}
	}
	return used.half()
}

// leastRow tries every order of the pieces.
func leastRow(period measure.Length, row []rollPiece, from int) measure.Length {
	if from == len(row) {
		return rowUses(period, row)
	}
	best := measure.Length(-1)
	for i := from; i < len(row); i++ {
		row[from], row[i] = row[i], row[from]
		if used := leastRow(period, row, from+1); best < 0 || used < best {
			best = used
		}
		row[from], row[i] = row[i], row[from]
	}
	return best
}

func TestTapeUsedIsTheLeastOfEveryOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		period := measure.Length(rapid.Int64Range(1, 12).Draw(t, "period"))
		n := rapid.IntRange(1, 7).Draw(t, "pieces")
		var row []rollPiece
		for range n {
			row = append(row, rollPiece{
				pleats: rapid.IntRange(1, 3).Draw(t, "pleats"), start: doubled(rapid.Int64Range(0, 5*int64(period)).Draw(t, "start")), count: 1,
			})
		}
		got := tapeUsed(period, row)
		if want := leastRow(period, row, 0); got != want {
			t.Fatalf("period %d, pieces %v: %d, the least is %d", period, row, got, want)
		}
	})
}

// Every two kinds of piece, up to three of each: kinds that come more than once are rare by chance.
func TestTapeUsedOfFewKinds(t *testing.T) {
	const period = measure.Length(3)
	for a := range 2 * period {
		for b := range a {
			for as := 1; as <= 3; as++ {
				for bs := range 4 {
					var row []rollPiece
					for range as {
						row = append(row, rollPiece{1, doubled(a), 1})
					}
					for range bs {
						row = append(row, rollPiece{2, doubled(b), 1})
					}
					if got, want := tapeUsed(period, row), leastRow(period, row, 0); got != want {
						t.Errorf("%d of %d/2 and %d of %d/2 on a period of %d: %d, the least is %d", as, a, bs, b, period, got, want)
					}
				}
			}
		}
	}
}

// G3 (golden_test.go), each of its four orders and the least of them.
func TestTapeOrders(t *testing.T) {
	const in = measure.Inch
	piece := map[byte]rollPiece{'1': {10, twice(in), 1}, '2': {10, twice(2 * in), 1}}
	for order, want := range map[string]measure.Length{"1212": 132, "2112": 133, "1221": 134, "1122": 135} {
		var row []rollPiece
		for i := range order {
			row = append(row, piece[order[i]])
		}
		if got := rowUses(3*in, row); got != want*in {
			t.Errorf("%s uses %s", order, got.In(measure.In))
		}
		if got := tapeUsed(3*in, row); got != 132*in {
			t.Errorf("the least of %s is %s", order, got.In(measure.In))
		}
	}
}

// Counts stand for repeated pieces.
func TestTapeUsedCounts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		period := measure.Length(rapid.Int64Range(1, 40).Draw(t, "period"))
		var list, single []rollPiece
		for range rapid.IntRange(1, 12).Draw(t, "kinds") {
			piece := rollPiece{5, doubled(rapid.Int64Range(0, 200).Draw(t, "start")), rapid.IntRange(1, 30).Draw(t, "count")}
			list = append(list, piece)
			for range piece.count {
				single = append(single, rollPiece{piece.pleats, piece.start, 1})
			}
		}
		if a, b := tapeUsed(period, list), tapeUsed(period, single); a != b {
			t.Fatalf("%v: %d, one by one %d", list, a, b)
		}
	})
}

func BenchmarkTapeUsed(b *testing.B) {
	var list []rollPiece
	for i := range 1_000 { // every piece another margin: worse than any order
		list = append(list, rollPiece{20, doubled(i*7919%1000) * doubled(measure.Inch) / 64, 1 + i%5})
	}
	for b.Loop() {
		tapeUsed(13*measure.Inch/2, list)
	}
}
