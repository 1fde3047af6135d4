package cutplan

import (
	"context"
	"math/rand/v2"
	"testing"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
)

// TestEachStageAlone: what each stage makes of nothing has no fault, and places as much as it did.
func TestEachStageAlone(t *testing.T) {
	for _, stage := range []struct {
		name  string
		do    func(j *job, a *answer)
		first bool           // it is asked for the first layout
		least measure.Length // that it places of what can be; it placed as much when this was written
	}{
		{"filling", (*job).fill, true, 11_106},
		{"best fit", (*job).bestFit, true, 11_009},
		{"refilling", func(j *job, a *answer) { j.repackFor(a, repackWork, 1) }, false, 11_123},
		{"neighbours", (*job).recut, false, 11_161},
	} {
		placed, wanted := measure.Length(0), measure.Length(0)
		for seed := range 300 {
			p := smallProblem(rand.New(rand.NewPCG(uint64(seed), 1)))
			j := newJob(&p, &meter{ctx: context.Background(), left: 200_000})
			j.limits, j.budget = usual, DefaultWork
			if len(j.items) == 0 {
				continue
			}
			a := answer{weights: j.lengthWeights(), layout: &layout{job: j}}
			if stage.first {
				a.layout = nil
			}
			stage.do(j, &a)
			plan := j.finish(a)
			if faults := Verify(p, plan); len(faults) > 0 {
				t.Fatalf("%s, problem %d: %v\n%+v\n%+v", stage.name, seed, faults, p, plan)
			}
			exact := Best(context.Background(), p, Budget{})
			if plan.Short < exact.Short {
				t.Fatalf("%s, problem %d: %v without a place, at least %v has none", stage.name, seed, plan.Short, exact.Short)
			}
			for _, c := range p.Cuts {
				placed, wanted = placed+c.Length, wanted+c.Length
			}
			placed, wanted = placed-plan.Short, wanted-exact.Short
		}
		t.Logf("%s: %v placed of %v that can be", stage.name, placed, wanted)
		if placed < stage.least {
			t.Errorf("%s places %v, less than %v", stage.name, placed, stage.least)
		}
	}
}

// TestBestFitLeavesLeast: a cut goes where it leaves least, not where most is cut already.
func TestBestFitLeavesLeast(t *testing.T) {
	p := cutting.Problem{Bolts: []cutting.Bolt{{ID: "long", Length: 100, Remnant: true}, {ID: "short", Length: 30, Remnant: true}},
		Cuts: []cutting.Cut{{ID: "a", Length: 60}, {ID: "b", Length: 20}}}
	j := newJob(&p, &meter{ctx: context.Background(), left: 1_000_000})
	a := answer{layout: &layout{job: j}}
	j.bestFit(&a)
	for _, pl := range a.layout.plan().Placements {
		if want := map[string]string{"a": "long", "b": "short"}[pl.Cut]; pl.Bolt != want {
			t.Errorf("%s lies on %s, not on %s", pl.Cut, pl.Bolt, want)
		}
	}
}
