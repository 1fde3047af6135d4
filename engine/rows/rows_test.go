package rows_test

import (
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine/measure"
	"tablehand/engine/rows"
)

// TestLay: every part lies in one row, inside the cloth and on no other part; a row is as long as its longest part, and no
// part of a later row would still have fitted into an earlier one.
func TestLay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		size := rapid.Custom(func(t *rapid.T) measure.Length {
			return measure.Length(rapid.Int64Range(1, 400).Draw(t, "eighths")) * measure.Inch / 8
		})
		across := size.Draw(t, "across")
		var shapes []rows.Shape
		for range rapid.IntRange(1, 4).Draw(t, "shapes") {
			s := rows.Upright("part", size.Draw(t, "a"), size.Draw(t, "b"), rapid.IntRange(0, 30).Draw(t, "count"))
			s.Width = min(s.Width, across)
			shapes = append(shapes, s)
		}
		shapes = rows.InOrder(shapes)
		if w := rows.Widest(shapes, across); w != nil {
			t.Fatalf("%v doesn't fit %v", w, across)
		}
		laid := make([]int, len(shapes))
		var spare []measure.Length
		for row := range rows.Lay(shapes, across) {
			end, longest := measure.Length(0), measure.Length(0)
			for _, p := range row.Places(shapes) {
				if p.Across < end {
					t.Fatalf("a part at %v lies on one that ends at %v", p.Across, end)
				}
				s := shapes[p.Shape]
				for _, room := range spare {
					if s.Width <= room {
						t.Fatalf("a part %v wide would have fitted into a row with %v to spare", s.Width, room)
					}
				}
				end, longest = p.Across+s.Width, max(longest, s.Length)
				laid[p.Shape]++
			}
			if end > across || row.Length != longest || longest == 0 {
				t.Fatalf("a row ends at %v of %v and is %v long, its longest part %v", end, across, row.Length, longest)
			}
			spare = append(spare, across-end)
		}
		for i, s := range shapes {
			if laid[i] != s.Count {
				t.Fatalf("%d of %d parts are laid", laid[i], s.Count)
			}
		}
	})
}

// TestLayOfNothing: what can't be laid ends.
func TestLayOfNothing(t *testing.T) {
	for range rows.Lay([]rows.Shape{{Length: measure.Inch, Width: 3 * measure.Inch, Count: 2}}, measure.Inch) {
		t.Fatal("a row of nothing")
	}
	if rows.Widest([]rows.Shape{{Width: 3}}, 2) == nil {
		t.Error("too wide a part isn't told")
	}
}
