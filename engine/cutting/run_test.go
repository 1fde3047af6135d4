package cutting

import (
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine/measure"
)

// phased makes cuts that start on one phase, A1, A2 … on the first or B1, B2 … on a later one.
func phased(start measure.Length, lengths ...measure.Length) []Cut {
	var out []Cut
	for i, l := range lengths {
		name := "A"
		if start > 0 {
			name = "B"
		}
		out = append(out, Cut{ID: fmt.Sprint(name, i+1), Length: l, Start: start})
	}
	return out
}

func times(n int, l measure.Length) []measure.Length { return slices.Repeat([]measure.Length{l}, n) }

// The worked cases G6 (engine/workup/golden_test.go): repeat 13 1/2 in.
func TestLeastRunWorkedCases(t *testing.T) {
	const (
		v     = 27 * in / 2
		plain = 223 * in / 2 // 111 1/2
		whole = 243 * in / 2 // nine repeats
		half  = v / 2
	)
	for _, c := range []struct {
		name  string
		cuts  []Cut
		flaws []Span
		used  measure.Length
		last  measure.Length // where the last cut starts; 0: not asked
	}{
		{name: "five straight cuts on phase", cuts: phased(0, times(5, plain)...), used: 1195 * in / 2, last: 486 * in},
		{name: "five whole repeats", cuts: phased(0, times(5, whole)...), used: 1215 * in / 2},
		{name: "half-drop on phase, A B A B A", used: 1141 * in / 2,
			cuts: append(phased(0, times(3, plain)...), phased(half, times(2, plain)...)...)},
		{name: "half-drop in whole repeats, half a repeat once", used: 2457 * in / 4,
			cuts: append(phased(0, times(3, whole)...), phased(half, times(2, whole)...)...)},
		{name: "half-drop where a change of class costs", used: 2443 * in / 4,
			cuts: append(phased(0, times(3, 118*in)...), phased(half, times(2, 118*in)...)...)},
		{name: "unequal lengths at best", used: 829 * in / 2,
			cuts: append(phased(0, plain, 181*in/2), phased(half, 181*in/2, plain)...)},
		{name: "a flaw at 252 to 255", cuts: phased(0, times(5, plain)...), flaws: []Span{{252 * in, 255 * in}},
			used: 611 * in, last: 999 * in / 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := Problem{VerticalRepeat: v, Cuts: c.cuts}
			if c.flaws != nil {
				p.Bolts = []Bolt{{ID: "R1", Flaws: c.flaws}}
			}
			run := LeastRun(p)
			if run.Used != c.used || !run.Exact {
				t.Errorf("used %s (exact %t), want %s", run.Used.In(measure.In), run.Exact, c.used.In(measure.In))
			}
			if last := run.Placements[len(run.Placements)-1]; c.last > 0 && last.From != c.last {
				t.Errorf("last start %s, want %s", last.From.In(measure.In), c.last.In(measure.In))
			}
			// The bolt that just holds the run is enough for Place as well, in whatever order the file has.
			p.Bolts = []Bolt{{ID: "R1", Length: c.used, Flaws: c.flaws}}
			plan := Place(p)
			if faults := Check(p, plan); plan.Short != 0 || len(faults) > 0 {
				t.Errorf("a bolt of %s is short by %s, faults %v", c.used.In(measure.In), plan.Short.In(measure.In), faults)
			}
			p.Bolts[0].Length--
			if plan := Place(p); plan.Short == 0 {
				t.Error("placed on less than the least")
			}
		})
	}
}

// Equal lengths: (a + b − 1 − c)·R + c·D + L.
func TestEqualLengthsFollowTheFormula(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := 2 * measure.Length(rapid.IntRange(1, 200).Draw(t, "half repeat"))
		l := measure.Length(rapid.IntRange(1, 2000).Draw(t, "length"))
		a, b := rapid.IntRange(0, 40).Draw(t, "class A"), rapid.IntRange(0, 40).Draw(t, "class B")
		if a+b == 0 {
			a = 1
		}
		r, d := l.CeilTo(v), (l-v/2).CeilTo(v)+v/2
		c := min(1, a, b)
		switch {
		case d < r && a == b:
			c = a + b - 1
		case d < r:
			c = 2 * min(a, b)
		}
		want := r.Times(a+b-1-c) + d.Times(c) + l
		half := v / 2
		p := Problem{VerticalRepeat: v, Cuts: append(phased(0, times(a, l)...), phased(half, times(b, l)...)...)}
		if run := LeastRun(p); run.Used != want || !run.Exact {
			t.Fatalf("used %d, want %d", run.Used, want)
		}
	})
}

// randomRun is a few cuts of lengths that often recur, and a bolt with flaws or none at all.
func randomRun(t *rapid.T, most int, flawed bool) Problem {
	length := func(name string, from, to int) measure.Length {
		return measure.Length(rapid.IntRange(from, to).Draw(t, name))
	}
	var p Problem
	if rapid.IntRange(0, 5).Draw(t, "patterned") > 0 {
		p.VerticalRepeat = length("repeat", 2, 41) // odd ones too: half of them is rounded
	}
	starts := randomStarts(t, p.VerticalRepeat)
	free := rapid.Bool().Draw(t, "some anywhere")
	kinds := rapid.SliceOfN(rapid.IntRange(1, 130), 1, 4).Draw(t, "lengths")
	for i := range rapid.IntRange(1, most).Draw(t, "cuts") {
		p.Cuts = append(p.Cuts, Cut{ID: fmt.Sprint(i), Group: "g", Length: measure.Length(rapid.SampledFrom(kinds).Draw(t, "length")),
			Start: rapid.SampledFrom(starts).Draw(t, "start"), Anywhere: free && rapid.IntRange(0, 2).Draw(t, "anywhere") == 0})
	}
	if flawed {
		b := Bolt{ID: "R1", Lot: "A"}
		if p.VerticalRepeat > 0 {
			b.FirstRepeat = length("first repeat", 0, 50)
		}
		for range rapid.IntRange(0, 4).Draw(t, "flaws") {
			from := length("flaw", 0, 500)
			b.Flaws = append(b.Flaws, Span{from, from + length("flaw length", 1, 30)})
		}
		p.Bolts = []Bolt{b}
	}
	return p
}

// randomStarts are the phases of a straight pattern, of a half-drop, or of rooms whose patterns stand at one height.
func randomStarts(t *rapid.T, repeat measure.Length) []measure.Length {
	starts := []measure.Length{0}
	switch {
	case repeat == 0:
	case rapid.Bool().Draw(t, "half drop"):
		starts = append(starts, repeat.Div(2))
	case rapid.Bool().Draw(t, "many phases"):
		for range rapid.IntRange(1, 4).Draw(t, "phases") {
			starts = append(starts, measure.Length(rapid.Int64Range(0, int64(repeat)-1).Draw(t, "phase")))
		}
	}
	return starts
}

// leastByTrying lays the cuts in every order, each at the first start that the definition allows, and returns the
// least end from an origin: the bolt's 0, or the first start where there is no bolt.
func leastByTrying(p Problem) measure.Length {
	var bolt Bolt
	if len(p.Bolts) > 0 {
		bolt = p.Bolts[0]
	}
	start := func(c Cut, at measure.Length) measure.Length {
		x, step := at, measure.Length(1)
		if v := p.VerticalRepeat; v > 0 && !c.Anywhere {
			x, step = bolt.FirstRepeat+c.Start, v
		}
		for x < at || slices.ContainsFunc(bolt.Flaws, func(f Span) bool { return f.From < x+c.Length && x < f.To }) {
			x += step
		}
		return x
	}
	least := measure.Length(-1)
	used := make([]bool, len(p.Cuts))
	var each func(left int, origin, end measure.Length)
	each = func(left int, origin, end measure.Length) {
		if least >= 0 && end-origin >= least {
			return
		}
		if left == 0 {
			least = end - origin
			return
		}
		for i, c := range p.Cuts {
			if used[i] {
				continue
			}
			used[i] = true
			from := start(c, end)
			if left == len(p.Cuts) && len(p.Bolts) == 0 {
				origin = from
			}
			each(left-1, origin, from+c.Length)
			used[i] = false
		}
	}
	each(len(p.Cuts), 0, 0)
	return least
}

func TestLeastRunIsLeast(t *testing.T) {
	for _, flawed := range []bool{false, true} {
		t.Run(fmt.Sprintf("flawed %t", flawed), func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				for range 10 { // a thousand cases in all
					p := randomRun(t, 7, flawed)
					run, n := LeastRun(p), len(p.Cuts)
					if want := leastByTrying(p); run.Used != want || !run.Exact {
						t.Fatalf("used %d (exact %t), least is %d", run.Used, run.Exact, want)
					}
					if !flawed && run.Placements[0].From != 0 || run.Placements[n-1].To != run.Used {
						t.Fatalf("from %d to %d", run.Placements[0].From, run.Placements[n-1].To)
					}
				}
			})
		})
	}
}

// A long run can be cut as it stands, ends where it says, and no two neighbours are better the other way round.
func TestLongRuns(t *testing.T) {
	for _, flawed := range []bool{false, true} {
		t.Run(fmt.Sprintf("flawed %t", flawed), func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				p := randomRun(t, 200, flawed)
				if !flawed {
					p.Bolts = []Bolt{{ID: "R1"}}
				}
				tab := newTable(p)
				run := tab.leastRun(tab.all[0], p.Cuts, 1<<10)
				if free := slices.ContainsFunc(p.Cuts, func(c Cut) bool { return c.Anywhere }); !flawed && !free && len(tab.starts) <= 2 && !run.Exact {
					t.Fatal("not exact on flawless cloth")
				}
				p.Bolts[0].Length = run.Used
				if faults := Check(p, Plan{Placements: run.Placements}); len(faults) > 0 {
					t.Fatalf("faults: %v", faults)
				}
				if last := run.Placements[len(run.Placements)-1]; last.To != run.Used {
					t.Fatalf("used %d, the last cut ends at %d", run.Used, last.To)
				}
				if !run.Exact {
					return
				}
				var order []Cut
				for _, pl := range run.Placements {
					order = append(order, p.Cuts[slices.IndexFunc(p.Cuts, func(c Cut) bool { return c.ID == pl.Cut })])
				}
				for i := range order[1:] {
					order[i], order[i+1] = order[i+1], order[i]
					if other := tab.lay(tab.all[0], order); other.Used < run.Used {
						t.Fatalf("used %d, with %d and the next changed %d", run.Used, i, other.Used)
					}
					order[i], order[i+1] = order[i+1], order[i]
				}
			})
		})
	}
}

// Where more sets of cuts are to look at than allowed, the run stands but doesn't claim to be the least.
func TestRunOwnsUpToNotBeingExact(t *testing.T) {
	p := Problem{VerticalRepeat: 10 * in, Bolts: []Bolt{{ID: "R1", Flaws: []Span{{15 * in, 16 * in}}}}}
	for i := range 19 { // nineteen lengths: 2^19 sets
		p.Cuts = append(p.Cuts, Cut{ID: fmt.Sprint(i), Length: 20*in + in.Times(i)/64})
	}
	run := LeastRun(p)
	p.Bolts[0].Length = run.Used
	if faults := Check(p, Plan{Placements: run.Placements}); run.Exact || len(faults) > 0 {
		t.Errorf("exact %t, faults %v", run.Exact, faults)
	}
	p.Bolts[0].Flaws[0] = Span{5000 * in, 5001 * in} // behind the last cut nothing is in the way
	if run := LeastRun(p); !run.Exact {
		t.Error("not exact although no flaw is in the way")
	}
	p.Bolts[0].Flaws[0], p.Cuts = Span{15 * in, 16 * in}, p.Cuts[1:]
	if run := LeastRun(p); !run.Exact {
		t.Error("not exact with 2^18 sets")
	}
	free := Problem{VerticalRepeat: 10 * in}
	for i := range 20 {
		free.Cuts = append(free.Cuts, Cut{ID: fmt.Sprint(i), Length: 6*in + in.Times(i)/64, Anywhere: i%2 == 0})
	}
	if run := LeastRun(free); run.Exact {
		t.Error("exact with 2^20 sets")
	}
	for i := range free.Cuts {
		if free.Cuts[i].Anywhere {
			free.Cuts[i].Length -= 4 * in
		}
	}
	free.Cuts = free.Cuts[1:] // nine gaps for nine that fit
	if run := LeastRun(free); !run.Exact || run.Used != 96*in+in/64 {
		t.Errorf("used %s, exact %t", run.Used.In(measure.In), run.Exact)
	}
	if run := LeastRun(Problem{VerticalRepeat: in}); !run.Exact || run.Used != 0 || run.Placements != nil {
		t.Errorf("no cuts: %+v", run)
	}
}

// BenchmarkLeastRun orders the cuts of a large house, on flawless cloth and around flaws.
func BenchmarkLeastRun(b *testing.B) {
	for _, n := range []int{10, 100, 1_000, 10_000} {
		p := Problem{VerticalRepeat: 27 * in / 2}
		for i := range n {
			p.Cuts = append(p.Cuts, Cut{ID: fmt.Sprint(i), Length: 90*in + in.Times(i*37%500)/16, Start: p.VerticalRepeat / 2 * measure.Length(i%2)})
		}
		b.Run(fmt.Sprint("flawless/", n), func(b *testing.B) {
			for b.Loop() {
				LeastRun(p)
			}
		})
	}
	p := Problem{VerticalRepeat: 27 * in / 2, Bolts: []Bolt{{ID: "R1", Flaws: []Span{{252 * in, 255 * in}}}}}
	for i := range 40 { // of six kinds
		p.Cuts = append(p.Cuts, Cut{ID: fmt.Sprint(i), Length: 90*in + in.Times(i%6/2*9), Start: p.VerticalRepeat / 2 * measure.Length(i%2)})
	}
	for _, n := range []int{20, 40} {
		q := p
		q.Cuts = p.Cuts[:n]
		b.Run(fmt.Sprint("flawed/", n), func(b *testing.B) {
			for b.Loop() {
				LeastRun(q)
			}
		})
	}
}
