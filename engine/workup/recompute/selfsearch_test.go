package recompute

import (
	"math"
	"math/rand"
	"slices"
	"testing"
)

// This file holds the second program's searches against slower ones of another kind.

// TestRecomputeRuns checks G6 (golden_test.go) on phase, and the search for the least run against every order of a few cuts.
func TestRecomputeRuns(t *testing.T) {
	v := reFrac(27, 2)
	of := func(length reNum, a, b int) reNeed { return reNeed{cut: length, classes: [2]int{a, b}} }
	l111, l90 := reFrac(223, 2), reFrac(181, 2)
	for name, c := range map[string]struct {
		own  []reNeed
		want reNum
	}{
		"5 straight": {[]reNeed{of(l111, 5, 0)}, reFrac(1195, 2)}, "A B A B A": {[]reNeed{of(l111, 3, 2)}, reFrac(1141, 2)},
		"3 A and 2 B of 118": {[]reNeed{of(reInt(118), 3, 2)}, reFrac(2443, 4)},
		"unequal lengths":    {[]reNeed{of(l111, 1, 1), of(l90, 1, 1)}, reFrac(829, 2)},
	} {
		if got, ok := reLeastRun(v, c.own); !ok || !got.equal(c.want) {
			t.Errorf("G6, %s: %v, want %v", name, got, c.want)
		}
	}
	rng := rand.New(rand.NewSource(6))
	for range 300 {
		v := reFrac(int64(2+rng.Intn(40)), 2)
		var own []reNeed
		for range 1 + rng.Intn(2) {
			own = append(own, of(reFrac(int64(1+rng.Intn(120)), 4), 1+rng.Intn(2), rng.Intn(2)))
			if rng.Intn(2) == 0 {
				own[len(own)-1].phase = reFrac(int64(rng.Intn(40)), 4).mod(v)
			}
		}
		got, ok := reLeastRun(v, own)
		if want := reRunByOrders(v, own); !ok || !got.equal(want) {
			t.Fatalf("repeat %v, %v: %v, by every order %v", v, own, got, want)
		}
		if one := own[:1]; !reAlternating(one[0].cut, v, one[0].classes[0], one[0].classes[1]).equal(reRunByOrders(v, one)) && one[0].classes[1] > 0 {
			t.Fatalf("repeat %v, %v: the formula differs", v, one)
		}
	}
}

// reRunByOrders lays the cuts in every order and walks along the cloth from phase to phase.
func reRunByOrders(v reNum, own []reNeed) reNum {
	type cut struct {
		length, phase reNum
	}
	var cuts []cut
	for _, need := range own {
		for class, n := range need.classes {
			phase := need.phase.or(reInt(0)).add(v.half().times(class)).mod(v)
			cuts = append(cuts, slices.Repeat([]cut{{need.cut, phase}}, n)...)
		}
	}
	var least reNum
	var lay func(first, at reNum, rest []cut)
	lay = func(first, at reNum, rest []cut) {
		if len(rest) == 0 && (!least.given() || at.sub(first).less(least)) {
			least = at.sub(first)
		}
		for i, c := range rest {
			start := c.phase
			for start.less(at) {
				start = start.add(v)
			}
			begun := first
			if len(rest) == len(cuts) {
				begun = start
			}
			lay(begun, start.add(c.length), slices.Delete(slices.Clone(rest), i, i+1))
		}
	}
	lay(reInt(0), reInt(0), cuts)
	return least
}

// TestRecomputeHiding checks the taut line and the search for hidden seams: every seam is put into every pleat, on every side of it
// that counts, or left out, and the take-ups that this asks for are found by halving between too little and too much, carrying
// along what the pleats may have consumed so far.
func TestRecomputeHiding(t *testing.T) {
	rng := rand.New(rand.NewSource(11))
	hiddenAtAll, unequal, insideAlone := 0, 0, 0
	for i := range 800 {
		n, most := 2+rng.Intn(5), 3
		h := reHiding{surplus: int64(n*500 + rng.Intn(600*n)), clear: int64(rng.Intn(130)), most: int64(rng.Intn(520))}
		if i%2 == 1 {
			h.quarter, most = 1+int64(rng.Intn(300)), 2
		}
		for k := range n {
			h.bases = append(h.bases, int64(300+375*k))
		}
		seams := make([]int64, 1+rng.Intn(most))
		for i := range seams {
			seams[i] = rng.Int63n(h.bases[n-1] + h.surplus)
		}
		slices.Sort(seams)
		h.best(seams)
		hidden, inside, spread := reHideByTrying(&h, seams)
		if got := float64(h.spread.rise) / float64(h.spread.run); h.hidden != hidden || h.inside != inside || math.Abs(got-spread) > 1e-3 {
			t.Fatalf("%+v\nhides %d of %d with %v, by trying %d of %d with %v", h, h.hidden, h.inside, got, hidden, inside, spread)
		}
		hiddenAtAll += hidden
		insideAlone += inside - hidden
		if spread > 1 {
			unequal++
		}
	}
	if hiddenAtAll < 400 || unequal < 200 || insideAlone < 20 {
		t.Errorf("only %d seams were hidden, %d times by unequal pleats, %d inside but in view", hiddenAtAll, unequal, insideAlone)
	}
}

func reHideByTrying(h *reHiding, seams []int64) (hidden, inside int, spread float64) {
	n, hidden := len(h.bases), -1
	sides := h.sides()
	for code := range int(math.Pow(float64(len(sides)*n+1), float64(len(seams)))) {
		low, high := make([]float64, n+1), make([]float64, n+1)
		for k := range high {
			high[k] = float64(h.surplus)
		}
		high[0], low[n] = 0, float64(h.surplus)
		in, now, rest := 0, 0, code
		for _, x := range seams {
			choice := rest % (len(sides)*n + 1)
			rest /= len(sides)*n + 1
			if choice == len(sides)*n {
				continue
			}
			k, side := choice%n, sides[choice/n]
			in++
			if h.quarter == 0 || side != reAnywhere {
				now++
			}
			x -= h.bases[k]
			high[k] = min(high[k], float64(x-h.clear))
			low[k+1] = max(low[k+1], float64(x+h.clear))
			switch side {
			case reNearSide:
				low[k] = max(low[k], float64(x-h.quarter))
			case reFarSide:
				high[k+1] = min(high[k+1], float64(x+h.quarter))
			}
		}
		s, ok := reSpreadByHalving(low, high)
		better := now > hidden || now == hidden && (in > inside || in == inside && s < spread)
		if ok && s <= float64(h.most)+1e-6 && better {
			hidden, inside, spread = now, in, s
		}
	}
	return hidden, inside, spread
}

// reSpreadByHalving is the least difference between the greatest and the least take-up that keeps what the pleats have
// consumed between low and high.
func reSpreadByHalving(low, high []float64) (spread float64, ok bool) {
	const slack = 1e-7
	possible := func(least, most float64) bool {
		from, to := low[0], high[0]
		for k := 1; k < len(low); k++ {
			from, to = max(from+least, low[k]), min(to+most, high[k])
			if from > to+slack {
				return false
			}
		}
		return true
	}
	all := high[len(high)-1] + 1
	if !possible(0, all) || low[0] > high[0] {
		return 0, false
	}
	tooLittle, enough := 0.0, all
	few, tooMany := 0.0, all
	for range 60 {
		if most := (tooLittle + enough) / 2; possible(0, most) {
			enough = most
		} else {
			tooLittle = most
		}
		if least := (few + tooMany) / 2; possible(least, all) {
			few = least
		} else {
			tooMany = least
		}
	}
	return max(0, enough-few), true
}
