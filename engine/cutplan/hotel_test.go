//go:build unix

package cutplan

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"syscall"
	"testing"
	"time"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
)

// hotel is 500 windows in 12 cloths, and 60 bolts of them in two lots each, with flaws; some cloths are patterned.
func hotel() []cutting.Problem {
	r := rand.New(rand.NewPCG(1, 500))
	cloths := make([]cutting.Problem, 12)
	for n := range cloths {
		p := &cloths[n]
		p.MinRemnant, p.Kerf = 500*mm, 2*mm
		starts := []measure.Length{0}
		if n%2 == 1 {
			p.VerticalRepeat = measure.Length(320+80*r.IntN(6)) * mm
			if n%4 == 3 {
				starts = append(starts, p.VerticalRepeat/2)
			}
		}
		for window := range 500/12 + min(1, max(0, 500%12-n)) {
			length := measure.Length(2200+5*r.IntN(200)) * mm
			for i := range 2 + r.IntN(4) {
				p.Cuts = append(p.Cuts, cutting.Cut{ID: fmt.Sprint(window, ".", i), Length: length, Group: fmt.Sprint("w", window), Start: starts[i%len(starts)]})
			}
		}
		for i := range 5 {
			b := cutting.Bolt{ID: fmt.Sprint("R", i), Length: measure.Length(120_000+1000*r.IntN(40)) * mm, Lot: string(rune('A' + i%2))}
			for at := r.IntN(40_000); at < 115_000; at += 10_000 + r.IntN(60_000) {
				from := measure.Length(at) * mm
				b.Flaws = append(b.Flaws, cutting.Span{From: from, To: from + measure.Length(20+r.IntN(200))*mm})
			}
			if p.VerticalRepeat > 0 {
				b.FirstRepeat = measure.Length(r.IntN(int(p.VerticalRepeat/mm))) * mm
			}
			p.Bolts = append(p.Bolts, b)
		}
	}
	return cloths
}

// BenchmarkHotel plans a hotel's cloths one after the other, and reports the median of the processor time that took.
func BenchmarkHotel(b *testing.B) {
	cloths := hotel()
	var took []time.Duration
	windows, placed, opened := 0, 0, 0
	for b.Loop() {
		begin := processorTime()
		windows, placed, opened = 0, 0, 0
		for _, p := range cloths {
			plan := Best(context.Background(), p, Budget{})
			opened += plan.Opened
			known := map[string]bool{}
			for _, c := range p.Cuts {
				known[c.Group] = true
			}
			windows += len(known)
			for _, id := range plan.Unplaced {
				known[p.Cuts[slices.IndexFunc(p.Cuts, func(c cutting.Cut) bool { return c.ID == id })].Group] = false
			}
			for _, whole := range known {
				if whole {
					placed++
				}
			}
		}
		took = append(took, processorTime()-begin)
	}
	slices.Sort(took)
	b.ReportMetric(float64(took[len(took)/2].Microseconds())/1000, "cpu-ms")
	b.ReportMetric(float64(windows), "windows")
	b.ReportMetric(float64(placed), "placed")
	b.ReportMetric(float64(opened), "bolts")
}

func processorTime() time.Duration {
	var r syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &r) != nil {
		return 0
	}
	return time.Duration(r.Utime.Nano() + r.Stime.Nano())
}
