package roll

import (
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine/measure"
)

// rowUses is the formula, read off for one order of pieces.
func rowUses(period measure.Length, row []Piece) measure.Length {
	used := row[0].Start2 + row[len(row)-1].End2
	for i, piece := range row {
		used += 2 * period.Times(piece.Pleats)
		if i > 0 {
			used += 2 * period.Times(int((row[i-1].End2 + piece.Start2).CeilDiv(2*period)))
		}
	}
	return used.Div(2)
}

// leastRow tries every order of the pieces.
func leastRow(period measure.Length, row []Piece, from int) measure.Length {
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

func TestUsedIsTheLeastOfEveryOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		period := measure.Length(rapid.Int64Range(1, 12).Draw(t, "period"))
		n, even := rapid.IntRange(1, 7).Draw(t, "pieces"), rapid.Bool().Draw(t, "alike at both ends")
		var row []Piece
		for range n {
			start := measure.Length(rapid.Int64Range(-int64(period), 5*int64(period)).Draw(t, "start"))
			end := start
			if !even {
				end = measure.Length(rapid.Int64Range(-int64(period), 5*int64(period)).Draw(t, "end"))
			}
			row = append(row, Piece{Pleats: rapid.IntRange(1, 3).Draw(t, "pleats"), Start2: start, End2: end, Count: 1})
		}
		got := Used(period, row)
		if want := leastRow(period, row, 0); got != want {
			t.Fatalf("period %d, pieces %v: %d, the least is %d", period, row, got, want)
		}
		var kinds []kind
		periods := measure.Length(0)
		for _, p := range row {
			kinds = append(kinds, kind{p.Start2, p.End2, 1})
			periods += 2 * period.Times(p.Pleats)
		}
		if asTheyCome := (periods + together(2*period, kinds)).Div(2); asTheyCome != rowUses(period, row) {
			t.Fatalf("period %d, pieces %v as they come: %d, they use %d", period, row, asTheyCome, rowUses(period, row))
		}
	})
}

// Every two kinds of piece, up to three of each: kinds that come more than once are rare by chance.
func TestUsedOfFewKinds(t *testing.T) {
	const period = measure.Length(3)
	for a := range 2 * period {
		for b := range a {
			for as := 1; as <= 3; as++ {
				for bs := range 4 {
					var row []Piece
					for range as {
						row = append(row, Piece{1, a, a, 1})
					}
					for range bs {
						row = append(row, Piece{2, b, b, 1})
					}
					if got, want := Used(period, row), leastRow(period, row, 0); got != want {
						t.Errorf("%d of %d/2 and %d of %d/2 on a period of %d: %d, the least is %d", as, a, bs, b, period, got, want)
					}
				}
			}
		}
	}
}

// G3 (engine/workup/golden_test.go), each of its four orders and the least of them.
func TestTapeOrders(t *testing.T) {
	const in = measure.Inch
	piece := map[byte]Piece{'1': {10, 2 * in, 2 * in, 1}, '2': {10, 4 * in, 4 * in, 1}}
	for order, want := range map[string]measure.Length{"1212": 132, "2112": 133, "1221": 134, "1122": 135} {
		var row []Piece
		for i := range order {
			row = append(row, piece[order[i]])
		}
		if got := rowUses(3*in, row); got != want*in {
			t.Errorf("%s uses %s", order, got.In(measure.In))
		}
		if got := Used(3*in, row); got != 132*in {
			t.Errorf("the least of %s is %s", order, got.In(measure.In))
		}
	}
}

// Counts stand for repeated pieces.
func TestUsedCounts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		period := measure.Length(rapid.Int64Range(1, 40).Draw(t, "period"))
		var list, single []Piece
		for range rapid.IntRange(1, 12).Draw(t, "kinds") {
			start := measure.Length(rapid.Int64Range(0, 200).Draw(t, "start"))
			piece := Piece{5, start, start, rapid.IntRange(1, 30).Draw(t, "count")}
			list = append(list, piece)
			for range piece.Count {
				single = append(single, Piece{piece.Pleats, piece.Start2, piece.End2, 1})
			}
		}
		if a, b := Used(period, list), Used(period, single); a != b {
			t.Fatalf("%v: %d, one by one %d", list, a, b)
		}
	})
}

// More orders than are tried: the pieces lie kind by kind, never under the least and all of them.
func TestUsedOfVeryMany(t *testing.T) {
	const period = 6 * measure.Inch
	var list []Piece
	least := measure.Length(0)
	for i := range measure.Length(6) {
		list = append(list, Piece{10, i * measure.Inch, (i + 3) * measure.Inch, 40})
		least += 400 * period
	}
	if got := Used(period, list); got < least || got > least+241*2*period {
		t.Errorf("240 pieces take %s, of periods alone %s", got.In(measure.In), least.In(measure.In))
	}
}

func BenchmarkUsed(b *testing.B) {
	var list []Piece
	for i := range 1_000 { // every piece another margin: worse than any order
		start := measure.Length(i*7919%1000) * measure.Inch / 64
		list = append(list, Piece{20, start, start, 1 + i%5})
	}
	for b.Loop() {
		Used(13*measure.Inch/2, list)
	}
}
