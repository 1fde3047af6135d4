package cutplan

import (
	"context"
	"math/rand/v2"
	"testing"

	"tablehand/engine/cutting"
)

// TestHalves: on bolts half as wide nothing lies but halves; what is claimed of a plan holds against all ways tried; it is no worse than without
// those bolts, and mostly as good as can be.
func TestHalves(t *testing.T) {
	best, used, proven, all := 0, 0, 0, 0
	for seed := range 600 {
		r := rand.New(rand.NewPCG(uint64(seed), 7))
		p := smallProblem(r)
		for i := range p.Bolts {
			if p.Bolts[i].Half = r.IntN(3) == 0; p.Bolts[i].Half {
				p.Bolts[i].Remnant = true
			}
		}
		for i := range p.Cuts {
			p.Cuts[i].Half = r.IntN(2) == 0
		}
		plan := Best(context.Background(), p, Budget{})
		if faults := Verify(p, plan); len(faults) > 0 {
			t.Fatalf("problem %d: %v\n%+v\n%+v", seed, faults, p, plan)
		}
		if front := Appraise(context.Background(), p, p.Forward(plan.Plan), Budget{}); len(Verify(p, front)) > 0 {
			t.Fatalf("problem %d, to the front: %v\n%+v\n%+v", seed, Verify(p, front), p, front)
		}
		aim := p
		if aim.Aim == "" {
			aim.Aim = cutting.FewestBolts
		}
		want := bruteForce(&aim)
		short, value := int64(plan.Short), plan.Value
		if int64(plan.ShortBound) > want[0] || short == want[0] && plan.Bound > want[1] || plan.Optimal && (short != want[0] || value != want[1]) {
			t.Fatalf("problem %d claims too much, all ways tried come to %v\n%+v\n%+v", seed, want, p, plan)
		}
		if without := Best(context.Background(), p.Whole(), Budget{}); plan.Short > without.Short || plan.Short == without.Short && aim.Aim == cutting.FewestBolts && value > without.Value {
			t.Fatalf("problem %d is worse than without the halves\n%+v\n%+v\n%+v", seed, p, plan, without)
		}
		all++
		if short == want[0] && value == want[1] {
			best++
		}
		if plan.Optimal {
			proven++
		}
		for _, pl := range plan.Placements {
			for _, b := range p.Bolts {
				if b.ID == pl.Bolt && b.Half {
					used++
				}
			}
		}
	}
	t.Logf("%d problems, %d cuts on halves, %d as good as can be, %d proven", all, used, best, proven)
	if best < all*8/10 || used < all/4 {
		t.Errorf("of %d problems %d are as good as can be, %d cuts lie on halves", all, best, used)
	}
}
