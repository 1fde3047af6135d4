package cutting

import (
	"cmp"
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine/measure"
)

// TestPlaceBound: a group goes on with the lot that it was cut from before, on what is left of it; on another only
// when that doesn't suffice, and then it says so.
func TestPlaceBound(t *testing.T) {
	const m = 1000 * measure.Millimetre
	problem := Problem{
		Bolts: []Bolt{{ID: "A1", Length: 10 * m, Lot: "A"}, {ID: "B1", Length: 10 * m, Lot: "B"}},
		Cuts:  []Cut{{ID: "1", Length: 3 * m, Group: "w"}, {ID: "2", Length: 3 * m, Group: "v"}},
	}
	for _, tt := range []struct {
		name     string
		takenOfB Span
		want     string
		mixed    string
		unplaced string
	}{
		{"room in its lot", Span{0, 4 * m}, "B1 4–7 1, A1 0–3 2", "[]", "[]"},
		{"room in another only", Span{0, 8 * m}, "A1 0–3 1, A1 3–6 2", "[w]", "[]"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p := problem.Left(map[string][]Span{"B1": {tt.takenOfB}})
			plan := PlaceBound(p, map[string][]string{"w": {"B"}})
			for _, f := range Check(p, plan) {
				t.Error(f)
			}
			var got []string
			for _, pl := range plan.Placements {
				got = append(got, fmt.Sprintf("%s %d–%d %s", pl.Bolt, pl.From/m, pl.To/m, pl.Cut))
			}
			slices.Sort(got)
			want := []string{"A1 0–3 2", "B1 4–7 1"}
			if tt.mixed != "[]" {
				want = []string{"A1 0–3 1", "A1 3–6 2"}
			}
			if !slices.Equal(got, want) || fmt.Sprint(plan.Mixed) != tt.mixed || len(plan.Unplaced) > 0 {
				t.Errorf("placed %q, mixed %v, unplaced %v; want %q, %s", got, plan.Mixed, plan.Unplaced, want, tt.mixed)
			}
		})
	}
	p := problem.Left(map[string][]Span{"A1": {{0, 8 * m}}, "B1": {{1 * m, 9 * m}}})
	if plan := PlaceBound(p, map[string][]string{"w": {"B"}}); len(plan.Unplaced) != 2 || plan.Short != 6*m || len(plan.Mixed) != 0 {
		t.Errorf("no room at all: %+v", plan)
	}
}

// TestPlaceBoundIsPlaceWithoutBounds, and with them still passes the checker, meets nothing taken, and leaves a
// group's lots only when it says so.
func TestPlaceBoundAtRandom(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := randomProblem(t)
		if got, want := fmt.Sprint(PlaceBound(p, nil)), fmt.Sprint(Place(p)); got != want {
			t.Fatalf("unbound\n%s\nwant\n%s", got, want)
		}
		taken, bound := map[string][]Span{}, map[string][]string{}
		lotOf := map[string]string{}
		for _, b := range p.Bolts {
			lotOf[b.ID] = b.Lot
			if rapid.Bool().Draw(t, "cut into") {
				from := measure.Length(rapid.Int64Range(0, int64(b.Length)).Draw(t, "from"))
				taken[b.ID] = []Span{{from, min(b.Length, from+b.Length/3)}}
			}
		}
		for _, c := range p.Cuts {
			if len(p.Bolts) > 0 && rapid.IntRange(0, 2).Draw(t, "bound") == 0 {
				bound[c.Group] = []string{rapid.SampledFrom(p.Bolts).Draw(t, "bolt").Lot}
			}
		}
		left := p.Left(taken)
		plan := PlaceBound(left, bound)
		if faults := Check(left, plan); len(faults) > 0 {
			t.Fatalf("%v in %+v of %+v", faults, plan, left)
		}
		turn := func(bolt string) int { return slices.IndexFunc(p.Bolts, func(b Bolt) bool { return b.ID == bolt }) }
		if !slices.IsSortedFunc(plan.Placements, func(a, b Placement) int {
			return cmp.Or(cmp.Compare(turn(a.Bolt), turn(b.Bolt)), cmp.Compare(a.From, b.From))
		}) {
			t.Fatalf("not by bolt and along it: %+v of %+v", plan.Placements, left)
		}
		for _, pl := range plan.Placements {
			for _, s := range taken[pl.Bolt] {
				if s.From < pl.To && pl.From < s.To {
					t.Fatalf("%+v meets %+v, which is cut", pl, s)
				}
			}
			i := slices.IndexFunc(p.Cuts, func(c Cut) bool { return c.ID == pl.Cut })
			g := p.Cuts[i].Group
			if lots := bound[g]; len(lots) > 0 && !slices.Contains(lots, lotOf[pl.Bolt]) && !slices.Contains(plan.Mixed, g) {
				t.Fatalf("group %s of lot %v lies on %s without a word", g, lots, pl.Bolt)
			}
		}
	})
}
