package packing

import (
	"os"
	"slices"
	"testing"
	"time"
)

// bar is what is reached of a set with so much work for each instance. Work is counted, so that a slow machine reaches the same.
type bar struct {
	set    string
	work   int64
	proven int
	best   int  // at the best known cost
	aim    goal // where that isn't reached yet
}

type goal struct{ proven, best int }

// soon is what the quick tier does: the first so many of each set.
var soon = []struct {
	first int
	bar
}{
	{40, bar{set: "falkenauer_u", work: 20e6, proven: 40, best: 40}},
	{108, bar{set: "scholl_1", work: 20e6, proven: 108, best: 108}},
	{50, bar{set: "schwerin", work: 20e6, proven: 50, best: 50}},
	{20, bar{set: "falkenauer_t", work: 100e6, proven: 20, best: 20}},
	{40, bar{set: "scholl_2", work: 20e6, proven: 40, best: 40}},
	{20, bar{set: "random_delorme", work: 20e6, proven: 20, best: 20}},
	{19, bar{set: "vsbpp_monaci", work: 20e6, proven: 19, best: 19}},
	{8, bar{set: "vsbpp_haouari", work: 50e6, proven: 8, best: 8}},
	{2, bar{set: "waescher", work: 5e6, best: 1}},
	{1, bar{set: "irnich_gi", work: 20e6, proven: 1, best: 1}},
	{2, bar{set: "hard28", work: 5e6}},
	{1, bar{set: "scholl_3_hard", work: 5e6}},
	{1, bar{set: "ani", work: 2e6, best: 1}},
	{1, bar{set: "ai", work: 2e6}},
}

// all is what the long tier does: every instance of each set.
var all = []bar{
	{set: "falkenauer_u", work: 20e6, proven: 40, best: 40},
	{set: "falkenauer_t", work: 200e6, proven: 40, best: 40},
	{set: "scholl_1", work: 20e6, proven: 108, best: 108},
	{set: "scholl_2", work: 400e6, proven: 144, best: 144},
	{set: "scholl_3_hard", work: 1e9, proven: 5, best: 5},
	{set: "schwerin", work: 20e6, proven: 50, best: 50},
	{set: "waescher", work: 200e6, proven: 9, best: 9},
	{set: "random_delorme", work: 200e6, proven: 64, best: 64},
	{set: "hard28", work: 1e9, proven: 13, best: 14, aim: goal{14, 14}},
	{set: "vsbpp_monaci", work: 200e6, proven: 19, best: 19},
	{set: "vsbpp_haouari", work: 200e6, proven: 30, best: 30, aim: goal{31, 31}},
	{set: "irnich_gi", work: 20e6, proven: 3, best: 3, aim: goal{4, 4}},
	{set: "ani", work: 20e6, best: 35, aim: goal{35, 35}},
	{set: "ai", work: 20e6, aim: goal{35, 35}},
}

// TestPublishedSets: solutions are sound, no bound is over a known solution and none costs less than a published bound or more than
// best fit, and as many are proven as the bars say. The quick tier does the first ones of each set; -v prints the table.
func TestPublishedSets(t *testing.T) {
	if os.Getenv("TABLEHAND_LONG") == "" {
		for _, b := range soon {
			t.Run(b.set, func(t *testing.T) {
				list := published(t, b.set)
				b.hold(t, list[:min(b.first, len(list))])
			})
		}
		return
	}
	for _, b := range all {
		t.Run(b.set, func(t *testing.T) { b.hold(t, published(t, b.set)) })
	}
}

func (b bar) hold(t *testing.T, list []instance) {
	t.Helper()
	r := results{}
	for _, in := range list {
		r.solve(t, in, b.work)
	}
	r.print(t, b.set)
	if r.proven < b.aim.proven || r.best < b.aim.best {
		t.Logf("%-16s %d proven and %d at the best known are wanted", b.set, b.aim.proven, b.aim.best)
	}
	if r.proven < b.proven || r.best < b.best {
		t.Errorf("of %d %d are proven and %d at the best known, no longer %d and %d", len(list), r.proven, r.best, b.proven, b.best)
	}
}

// counter is a meter.
type counter struct{ left, used int64 }

func (c *counter) Spend(units int64) { c.used += units }
func (c *counter) Done() bool        { return c.used > c.left }

type results struct {
	proven, best, quick, soon int
	took                      []time.Duration
}

func (r *results) solve(t *testing.T, in instance, work int64) {
	t.Helper()
	m := &counter{left: work}
	begin := taken()
	s := Solve(in.problem, m)
	took := taken() - begin
	if found := faults(in.problem, s); s.Fillings == nil || len(found) > 0 {
		t.Fatalf("%s: %v", in.name, found)
	}
	if s.Bound > in.best || s.Cost < in.bound {
		t.Errorf("%s: cost %d and bound %d, published %d and %d", in.name, s.Cost, s.Bound, in.best, in.bound)
	}
	if plain := byBestFit(in.problem); plain >= 0 && s.Cost > plain {
		t.Errorf("%s: cost %d, by best fit %d", in.name, s.Cost, plain)
	}
	r.took = append(r.took, took)
	if s.Cost <= in.best {
		r.best++
	}
	if s.Cost > s.Bound {
		t.Logf("%-22s cost %d, bound %d, published %d and %d; %v, work %d M", in.name, s.Cost, s.Bound, in.best, in.bound, took.Round(100*time.Microsecond), m.used/1e6)
		return
	}
	r.proven++
	if took <= 50*time.Millisecond {
		r.quick++
	}
	if took <= 250*time.Millisecond {
		r.soon++
	}
}

func (r *results) print(t *testing.T, set string) {
	t.Helper()
	slices.Sort(r.took)
	n := len(r.took)
	t.Logf("%-16s %3d instances, %3d proven, %3d within 50 ms, %3d within 250 ms, %3d at the best known; median %v, longest %v", set, n, r.proven, r.quick, r.soon, r.best,
		r.took[n/2].Round(100*time.Microsecond), r.took[n-1].Round(time.Millisecond))
}
