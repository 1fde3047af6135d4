package cutplan

import (
	"context"
	"math/rand/v2"
	"testing"

	"tablehand/engine/cutting"
)

// TestAppraise: a plan that was made otherwise is told with nothing that isn't so: moved to the front, with a cut left out, or as Place
// lays it, over several lots where it says so. As good as the best it is proven as that is.
func TestAppraise(t *testing.T) {
	proven, less, mixed := 0, 0, 0
	for seed := range 800 {
		p := smallProblem(rand.New(rand.NewPCG(uint64(seed), 1)))
		best := Best(context.Background(), p, Budget{})
		front := Appraise(context.Background(), p, p.Forward(best.Plan), Budget{})
		if faults := Verify(p, front); len(faults) > 0 || front.Bound != best.Bound || front.Optimal != best.Optimal || front.ShortBound != best.ShortBound {
			t.Fatalf("problem %d, to the front: %v\n%+v\n%+v\n%+v", seed, faults, p, best, front)
		}
		if front.Then[0].Optimal {
			proven++
		}
		if n := len(best.Placements); n > 0 {
			one := best.Plan
			out := one.Placements[n-1]
			one.Placements = one.Placements[:n-1]
			one.Unplaced = append(one.Unplaced[:len(one.Unplaced):len(one.Unplaced)], out.Cut)
			one.Short += out.To - out.From
			plan := Appraise(context.Background(), p, one, Budget{})
			if faults := Verify(p, plan); len(faults) > 0 || plan.Optimal || plan.ShortBound != best.ShortBound {
				t.Fatalf("problem %d, one cut less: %v\n%+v\n%+v", seed, faults, p, plan)
			}
			less++
		}
		p.Kerf, p.EndAllowance = 0, 0
		for i := range p.Bolts {
			p.Bolts[i].VerticalRepeat = 0
		}
		made := cutting.PlaceBound(p, p.Bound)
		placed := Appraise(context.Background(), p, made, Budget{})
		if faults := Verify(p, placed); len(faults) > 0 {
			t.Fatalf("problem %d, as Place lays it: %v\n%+v\n%+v", seed, faults, p, placed)
		}
		if len(made.Mixed) > 0 {
			mixed++
		}
	}
	if proven < 300 || less < 300 || mixed < 20 {
		t.Errorf("%d proven, %d with a cut less, %d of several lots", proven, less, mixed)
	}
}
