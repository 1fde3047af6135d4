package cutplan

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"

	"tablehand/engine/cutting"
)

// TestRefutedIsNotToBeHad: that so many bolts don't do is said of no number that does, however short the searches are cut.
func TestRefutedIsNotToBeHad(t *testing.T) {
	raised, shortest := 0, 0
	for seed := range 1200 {
		p := smallProblem(rand.New(rand.NewPCG(uint64(seed), 1)))
		p.Aim = cutting.FewestBolts
		exact := Best(context.Background(), p, Budget{})
		if exact.Short > 0 {
			continue
		}
		for _, far := range []limits{{nodes: 2, ways: mostWays}, {nodes: splitNodes, ways: 1}, {nodes: splitNodes, ways: mostWays}} {
			j := newJob(&p, &meter{ctx: context.Background(), left: 1_000_000})
			j.limits = far
			a := answer{bound: j.weighed(j.lengthWeights())}
			before := a.bound
			if j.fewest(&a); a.bound > exact.Value {
				t.Fatalf("problem %d: %d bolts are said to be the least, %d do\n%+v", seed, a.bound, exact.Value, p)
			}
			if a.bound > before {
				raised++
			}
		}
		for left := int64(2); left < 500; left += 2 + left/3 {
			j := newJob(&p, &meter{ctx: context.Background(), left: 1_000_000})
			j.limits = usual
			a := answer{bound: j.weighed(j.lengthWeights())}
			j.meter.left = left
			if j.fewest(&a); a.bound > exact.Value {
				t.Fatalf("problem %d: with %d units of work %d bolts are said to be the least, %d do\n%+v", seed, left, a.bound, exact.Value, p)
			}
			j.meter.left = 100_000
			if j.bestFit(&a); a.layout == nil || j.over(a.layout) > 0 || j.valueOf(a.layout) != exact.Value {
				continue
			}
			j.meter.left = left
			if j.leastOpened(j.splitter(), &a, exact.Opened); a.least != nil && *a.least > int64(exact.Length) {
				t.Fatalf("problem %d: with %d units of work %d is said to be the least length opened, %v does\n%+v", seed, left, *a.least, exact.Length, p)
			}
			if a.least != nil {
				shortest++
			}
		}
	}
	if raised < 8 || shortest < 100 {
		t.Errorf("a bound is raised %d times, a least length told %d times", raised, shortest)
	}
}

// TestNeighboursCountWhatIsOpened: of pieces that are cut from only those count that weren't opened, and are no remnant.
func TestNeighboursCountWhatIsOpened(t *testing.T) {
	p := cutting.Problem{Aim: cutting.FewestBolts, Bolts: []cutting.Bolt{{ID: "new", Length: 9}, {ID: "opened", Length: 9, Opened: true}, {ID: "remnant", Length: 9, Remnant: true}},
		Cuts: []cutting.Cut{{ID: "a", Length: 3}}}
	n := &neighbours{job: newJob(&p, &meter{ctx: context.Background(), left: 1_000_000})}
	on := []cutting.Placement{{Cut: "a"}}
	if a, b, c := n.costOf(0, on), n.costOf(1, on), n.costOf(2, on); a != 1 || b != 0 || c != 0 || n.costOf(0, nil) != 0 {
		t.Errorf("a bolt counts %d, an opened one %d, a remnant %d", a, b, c)
	}
}

// TestOnePhaseHoldsNoMore: of one bolt and cuts that all start on one phase the least that has no place is known before anything is laid.
func TestOnePhaseHoldsNoMore(t *testing.T) {
	short := 0
	for seed := range 2000 {
		p := smallProblem(rand.New(rand.NewPCG(uint64(seed), 1)))
		p.Bolts = p.Bolts[:1]
		p.Bolts[0].Flaws, p.Bound = nil, nil
		for i := range p.Cuts {
			p.Cuts[i].Start, p.Cuts[i].Anywhere = 0, false
		}
		if p.VerticalRepeat == 0 {
			continue
		}
		exact := Best(context.Background(), p, Budget{})
		j := newJob(&p, &meter{ctx: context.Background(), left: 1_000_000})
		a := answer{}
		j.sharpen(&a)
		for _, i := range j.tooLong {
			a.short += int64(p.Cuts[i].Length)
		}
		if a.short != int64(exact.Short) {
			t.Fatalf("problem %d: %d has no place, %d by the bound\n%+v", seed, exact.Short, a.short, p)
		}
		if len(j.items) > 0 && exact.Short > 0 {
			short++
		}
	}
	if short < 100 {
		t.Errorf("%d problems are short of cloth", short)
	}
}

// TestTooFewAlikeBolts: bolts that have room for all cuts, but not for each of them, are not taken oftener than there are.
func TestTooFewAlikeBolts(t *testing.T) {
	p := cutting.Problem{Cuts: []cutting.Cut{{ID: "short", Length: 3 * mm}}}
	for i := range 8 {
		p.Cuts = append(p.Cuts, cutting.Cut{ID: fmt.Sprint("c", i), Length: 7 * mm})
		if i < 6 {
			p.Bolts = append(p.Bolts, cutting.Bolt{ID: fmt.Sprint("b", i), Length: 10 * mm})
		}
	}
	plan := best(context.Background(), p, Budget{Work: 1_000_000}, limits{nodes: splitNodes, ways: mostWays})
	if faults := Verify(p, plan); len(faults) > 0 || plan.Short != 14*mm || plan.Value != 6 {
		t.Errorf("%v in %+v", faults, plan)
	}
}

// TestManyLots: nearly all bolts of many lots are opened without looking at each way to open too few of them.
func TestManyLots(t *testing.T) {
	p := cutting.Problem{}
	for i := range 90 {
		p.Bolts = append(p.Bolts, cutting.Bolt{ID: fmt.Sprint("b", i), Lot: fmt.Sprint("L", i/3), Length: 1000 * mm})
		if i < 88 {
			p.Cuts = append(p.Cuts, cutting.Cut{ID: fmt.Sprint("c", i), Length: 700 * mm, Group: fmt.Sprint("g", i)})
		}
	}
	p.Cuts = append(p.Cuts, cutting.Cut{ID: "c", Length: 500 * mm, Group: "g"})
	plan := Best(context.Background(), p, Budget{Work: 1_000_000})
	if faults := Verify(p, plan); len(faults) > 0 || plan.Value != 89 || !plan.Optimal {
		t.Errorf("%v, %d bolts, at least %d", faults, plan.Value, plan.Bound)
	}
	j := newJob(&p, &meter{ctx: context.Background(), left: 1_000_000})
	j.limits = usual
	if ways, all := j.splitter().ways(89); len(ways) != 30 || !all { // one bolt of one lot stays shut
		t.Errorf("%d ways, all of them: %v", len(ways), all)
	}
}
