package workup_test

import (
	"fmt"
	"strings"
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

// everyHeading makes an order of n windows, by turns of every heading, pairs between 40 and 140 in of plain cloth.
func everyHeading(b *testing.B, n int) *orderfile.Order {
	text := strings.Builder{}
	text.WriteString(`{order: ALL, units: in, fabrics: [{id: plain, use: face, usable_width: 54}],
		tapes: [{id: cartridge, period: 6.5, space: 2.5, height: 4, cords: 3}, {id: pinch, kind: pinch, period: 6.5, space: 2.5, height: 4, cords: 3},
			{id: pencil, kind: pencil, height: 3, cords: 3}, {id: wave, kind: wave, height: 3, pocket_pitch: 0.75, pockets: 8}],
		rods: [{id: pole, diameter: 1.375, carrier_pitch: 3.125}], treatments: [`)
	for i, all := 0, orderfile.Headings(); i < n; i++ {
		d := all[i%len(all)]
		fmt.Fprintf(&text, "{window: W%d, heading: %s, face_width: %g, finished_length: 90, face: plain", i, d.Heading, 40+float64(i*37%1600)/16)
		if d.Tape != "" {
			fmt.Fprintf(&text, ", tape: %s", d.Tape)
		}
		text.WriteString("},")
	}
	o, problems := orderfile.Parse([]byte(text.String() + "]}"))
	if o == nil {
		b.Fatalf("%+v", problems)
	}
	return o
}

// BenchmarkEveryHeading is BenchmarkWorkup over all headings; ten windows are a draft that is typed.
func BenchmarkEveryHeading(b *testing.B) {
	for _, n := range []int{10, 100, 1_000, 10_000} {
		o := everyHeading(b, n)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				workup.Compute(o)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/window")
		})
	}
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
