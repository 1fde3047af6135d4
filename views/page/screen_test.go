package page

import (
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tablehand/views"
	"tablehand/views/page/screen"
)

// TestAPairHangsAsAPair: panels of one window hang together where one name, state and person can be told of both.
func TestAPairHangsAsAPair(t *testing.T) {
	left, right := piece(1, "SMI-014", "Bay, left", "L", "tape", "ready"), piece(2, "SMI-014", "Bay, left", "R", "tape", "ready")
	changed := func(change func(*views.Piece)) views.Piece {
		p := right
		change(&p)
		return p
	}
	for _, tt := range []struct {
		name string
		next views.Piece
		hung int
	}{
		{"a pair", right, 1},
		{"of another window", changed(func(p *views.Piece) { p.Window = "Bay, right" }), 2},
		{"of the next such window", changed(func(p *views.Piece) { p.Copy = 2 }), 2},
		{"of another room", changed(func(p *views.Piece) { p.Room = "15" }), 2},
		{"of another order", changed(func(p *views.Piece) { p.Order = "SMI-015" }), 2},
		{"of the same side", left, 2},
		{"held", changed(func(p *views.Piece) { p.State = "held" }), 2},
		{"by another person", changed(func(p *views.Piece) { p.Person = "Bo" }), 2},
		{"with other numbers wanted", changed(func(p *views.Piece) { p.Kept = []string{"cut_length"} }), 2},
	} {
		panels, now := 0, working(left, tt.next)
		for _, l := range now {
			panels += len(l.Panels)
		}
		if len(now) != tt.hung || panels != 2 {
			t.Errorf("%s: %d panels on %d lines, want %d", tt.name, panels, len(now), tt.hung)
		}
	}
	if all := working(left, right, left, right); len(all) != 2 {
		t.Errorf("two pairs are on %d lines", len(all))
	}
}

// working are the lines of what is at work at one station.
func working(pieces ...views.Piece) []screen.Line {
	return screen.Page{Lanes: []screen.Lane{{AtWork: pieces}}}.Now()
}

// TestPicture: whatever hangs on the wall is drawn once, with all that is to be seen of it; more than fit are bundles, as long
// as they are many, and none is longer than the picture.
func TestPicture(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := screen.Page{}
		for range rapid.IntRange(1, 11).Draw(t, "stations") {
			lane := screen.Lane{}
			for _, look := range []screen.Look{{}, {Late: true}, {AtRisk: true}, {Held: true}, {AtWork: true}, {AtWork: true, Late: true}, {Held: true, Late: true}, {Bolt: true}} {
				n := rapid.IntRange(0, rapid.SampledFrom([]int{0, 1, 3, 100}).Draw(t, "work")).Draw(t, "pieces")
				lane.Here = append(lane.Here, slices.Repeat([]screen.Look{look}, n)...)
			}
			p.Lanes = append(p.Lanes, lane)
		}
		most, longest, bundled := 0, 0., false
		for _, l := range p.Lanes {
			most = max(most, l.Count())
		}
		var each float64 // em of a panel, of the bundles that aren't the least there is
		for _, c := range p.Columns() {
			drawn, long := 0, 0.
			for i, cloth := range c.Cloths {
				drawn += max(1, cloth.Count)
				if i > 0 && c.Cloths[i-1].Late && !cloth.Late && !c.Cloths[i-1].AtWork && cloth.AtWork {
					t.Fatal("what is at work hangs behind what is late")
				}
				if cloth.Count == 0 {
					continue
				}
				bundled = true
				high, err := strconv.ParseFloat(strings.TrimSuffix(cloth.High, "em"), 64)
				if err != nil || high < 1.42 {
					t.Fatalf("a bundle of %d is %q high", cloth.Count, cloth.High)
				}
				long += high + .08
				if high > 1.43 {
					if by := high / float64(cloth.Count); each != 0 && (by-each > .02 || each-by > .02) {
						t.Fatalf("a panel of one bundle is %.3f em, of another %.3f", by, each)
					} else {
						each = by
					}
				}
			}
			if drawn != c.Count() {
				t.Fatalf("%d of %d pieces are drawn", drawn, c.Count())
			}
			if c.Fullest != (most > 1 && c.Count() == most) {
				t.Fatalf("with %d of at most %d it is the fullest: %v", c.Count(), most, c.Fullest)
			}
			longest = max(longest, long)
		}
		if longest > 7.55 {
			t.Fatalf("a column is %.2f em long", longest)
		}
		if few := most <= 20; few && bundled {
			t.Fatalf("%d panels are bundled, though they fit", most)
		}
	})
}
