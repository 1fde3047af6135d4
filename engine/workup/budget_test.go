package workup

import (
	"fmt"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/takeups"
)

// Panels at the limits of what a file may ask: some sixty pieces, hundreds of pleats, cloth over to trim, and a step
// that leaves thousands of trims to try.
var atTheLimits = []struct{ name, conventions, cloth, window string }{
	{"narrow", "step: 0.1", "383", "heading: pinch-3, finished_width: 10775, fullness: 1.92, pleats: 297"},
	{"slack", "step: 0.1", "971", "heading: pinch-2, finished_width: 20657, fullness: 2.77, pleats: 320"},
	{"best", "step: 0.1, fullness_slack: 0", "1300", "heading: pinch-3, finished_width: 27228, fullness: 2.53"},
	{"return", "step: 0.1, fullness_slack: 0", "488", "heading: pinch-3, finished_width: 10815, fullness: 1.85, pleats: 377, return: 90"},
}

func limitFile(t testing.TB, conventions, cloth, window string) *orderfile.Order {
	t.Helper()
	o, problems := orderfile.Parse(fmt.Appendf(nil, `{order: L, units: mm, conventions: {surplus: trim, %s},
fabrics: [{id: reed, use: face, usable_width: %s}],
treatments: [{window: Hall, draw: stationary, finished_length: 2400, face: reed, %s}]}`, conventions, cloth, window))
	if engine.AnyError(problems) {
		t.Fatalf("%+v", problems)
	}
	return o
}

// sound holds take-ups and seams against their definition: all the cloth and no more, none of no width, the spread in
// its limit, as many seams hidden as told.
func (j handJoint) sound(t interface{ Fatalf(string, ...any) }, l laidPleats) {
	row := j.row()
	j.place(row.Seams2, l.atReturn)
	sum := measure.Length(0)
	for _, takeUp := range l.row.TakeUps {
		sum += takeUp
	}
	least, most := slices.Min(l.row.TakeUps), slices.Max(l.row.TakeUps)
	switch {
	case len(l.row.TakeUps) != j.set.pleats || sum != j.set.takeUps:
		t.Fatalf("%d take-ups of %d nm, want %d of %d", len(l.row.TakeUps), sum, j.set.pleats, j.set.takeUps)
	case least <= 0 || most-least > takeups.SpreadLimit || most-least != l.row.Spread:
		t.Fatalf("take-ups of %d to %d nm, spread told %d", least, most, l.row.Spread)
	case hiddenIn(row, l.row.TakeUps) != l.row.Hidden:
		t.Fatalf("%d seams hidden, told %d", hiddenIn(row, l.row.TakeUps), l.row.Hidden)
	case l.atReturn < 0 || l.atReturn+l.atLeading != measure.Length(j.surplus/2) || l.near != j.place(row.Seams2, l.atReturn):
		t.Fatalf("trimmed %d and %d of %d, %d near an edge", l.atReturn, l.atLeading, j.surplus/2, l.near)
	}
}

// hiddenIn counts from the definition the seams that a pleat hides.
func hiddenIn(row takeups.Row, takeUps []measure.Length) (hidden int) {
	for _, x := range row.Seams2 {
		taken := measure.Length(0)
		for k, t := range takeUps {
			from, to := 2*(row.Flats[k]+taken), 2*(row.Flats[k]+taken+t)
			if from+2*eighth <= x && x <= to-2*eighth {
				if row.Quarter == 0 || x <= from+2*row.Quarter || x >= to-2*row.Quarter {
					hidden++
				}
				break
			}
			taken += t
		}
	}
	return hidden
}

// TestSpentBudget: a search that is cut short anywhere leaves a heading that can be sewn, the same each time, and more
// of a search never a worse one.
func TestSpentBudget(t *testing.T) {
	for _, c := range atTheLimits {
		t.Run(c.name, func(t *testing.T) {
			w, ok := setUp(limitFile(t, c.conventions, c.cloth, c.window), 0)
			p := w.hung()
			if !ok || !w.setByHand(&p) {
				t.Fatalf("%+v", w.problems)
			}
			j := w.handJoint(w.side, &p, w.hand, w.handCloth)
			whole := searchBudget(1)
			full, _ := j.lay(pieces(p.Widths), whole)
			j.sound(t, full)
			t.Logf("%d pleats, %d pieces, %d trims and %d tries left, %d seams in view", p.Pleats, pieces(p.Widths), whole.trims, whole.tries, full.inView())
			rapid.Check(t, func(t *rapid.T) {
				trims, tries := rapid.IntRange(1, 3000).Draw(t, "trims"), rapid.IntRange(1, 3000).Draw(t, "tries")
				first, _ := j.lay(pieces(p.Widths), &budget{trims, tries})
				j.sound(t, first)
				if again, _ := j.lay(pieces(p.Widths), &budget{trims, tries}); !reflect.DeepEqual(first, again) {
					t.Fatalf("not the same again: %+v, %+v", first, again)
				}
				if longer, _ := j.lay(pieces(p.Widths), &budget{trims, 2 * tries}); longer.inView() > first.inView() {
					t.Fatalf("%d tries leave %d seams in view, %d leave %d", tries, first.inView(), 2*tries, longer.inView())
				}
			})
		})
	}
}

// TestBudgetIsSpent: at the limits the whole search does end by its budget, or the bound would be none.
func TestBudgetIsSpent(t *testing.T) {
	spent := 0
	for _, c := range atTheLimits {
		o := limitFile(t, c.conventions, c.cloth, c.window)
		w, _ := setUp(o, 0)
		p := w.hung()
		if !w.setByHand(&p) {
			t.Fatalf("%s: %+v", c.name, w.problems)
		}
		b := searchBudget(1)
		w.handJoint(w.side, &p, w.hand, w.handCloth).lay(pieces(p.Widths), b)
		if b.spent() {
			spent++
		}
		if once, again := Compute(o), Compute(o); !reflect.DeepEqual(once.Treatments, again.Treatments) {
			t.Errorf("%s: worked out twice it is another", c.name)
		}
	}
	if spent == 0 {
		t.Error("no panel at the limits spends its budget")
	}
}

// BenchmarkAtTheLimits works out the slowest panels that a file may ask for.
func BenchmarkAtTheLimits(b *testing.B) {
	for _, c := range atTheLimits {
		o := limitFile(b, c.conventions, c.cloth, c.window)
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				Compute(o)
			}
		})
	}
}
