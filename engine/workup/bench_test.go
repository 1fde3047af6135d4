package workup_test

import (
	"fmt"
	"testing"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// windows makes an order of n windows of a heading, pairs in sixteenths between 40 and 140 in, lined, patterned every other one.
func windows(n int, h orderfile.Heading) *orderfile.Order {
	o := inchOrder()
	o.Fabrics = append(o.Fabrics, orderfile.Fabric{ID: "plain", Use: orderfile.Face, UsableWidth: inches("54")})
	line := o.Treatments[0]
	line.Heading = h
	o.Treatments = nil
	for i := range n {
		line.Window = fmt.Sprintf("Window %d", i+1)
		line.FaceWidth = inches("40") + measure.Length(i*37%1600)*measure.Inch/16
		line.Face = []string{"reed", "plain"}[i%2]
		o.Treatments = append(o.Treatments, line)
	}
	return o
}

// BenchmarkWorkup works out whole orders; the time a window shows that it grows with their number alone.
func BenchmarkWorkup(b *testing.B) {
	for _, h := range []orderfile.Heading{orderfile.CartridgeTape, orderfile.Pinch3} {
		for _, n := range []int{100, 1_000, 10_000} {
			o := windows(n, h)
			b.Run(fmt.Sprint(h, "/", n), func(b *testing.B) {
				for b.Loop() {
					workup.Compute(o)
				}
				b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/window")
			})
		}
	}
}
