package workup_test

import (
	"fmt"
	"os"
	"strings"
	"testing"
)

// TestPairOfOneCount: the two panels of a pair whose motifs mirror are trimmed otherwise, so that their seams lie otherwise, and yet have as
// many pleats, or eyelets, on as much cloth: as many as hide most seams of both together. A customer sees 11 beside 12.
func TestPairOfOneCount(t *testing.T) {
	const file = "../../testdata/orderfile/cloth.yaml"
	room, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ heading, more, left, right, why string }{
		// The right one by itself would have 12, which is nearer to 5 in 54 in and leaves a seam of the left one in view.
		{"pinch-3", "", "11 on 121.25in, 2 of 2 hidden", "11 on 121.25in, 2 of 2 hidden", "formula.pleats.hand.best.pair"},
		// The right one by itself would have 8, whose spaces are nearer to the preferred.
		{"goblet", "", "9 on 97in, 1 of 1 hidden", "9 on 97in, 0 of 1 hidden", "formula.pleats.hand.in_range.pair"},
		// With 12 the left one's seam stands to the room, with 14 the right one's: 12 are nearer to the preferred pitch.
		{"eyelet", "", "12 on 84in, 0 of 1 hidden", "12 on 84in, 0 of 1 hidden", "formula.points.even.pair"},
		{"pinch-3", "pleats: 12, ", "12 on 121.25in, 1 of 2 hidden", "12 on 121.25in, 2 of 2 hidden", "formula.pleats.hand.given"},
		// Another corner at the right makes two panels of their own.
		{"pinch-3", "return_other: 3, ", "11 on 121.25in, 2 of 2 hidden", "12 on 120in, 2 of 2 hidden", "formula.pleats.hand.best"},
	} {
		w := ofText(t, strings.Replace(string(room), "{window: Bay, room: Parlour, heading: pinch-3, ", "{window: Bay, room: Parlour, heading: "+c.heading+", "+c.more, 1))
		var got []string
		why := ""
		for _, p := range w.Treatments[0].Panels {
			got = append(got, fmt.Sprintf("%d on %s, %d of %d hidden", p.Pleats+p.Points, p.FlatWidth.In(w.Order.Units), p.SeamsHidden, len(p.Seams)))
			for _, s := range p.Trail {
				if s.Name == "pleats" || s.Name == "points" {
					why = s.Formula
				}
			}
		}
		if len(got) != 2 || got[0] != c.left || got[1] != c.right || why != c.why {
			t.Errorf("%s, %s: %q by %s, want %q and %q by %s", c.heading, c.more, got, why, c.left, c.right, c.why)
		}
	}
}
