package store

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"tablehand/engine"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/stations"
	"tablehand/stations/plan"
)

// BenchmarkLargeRelease releases hotels: how long that takes in all, and how long the writer, whom every scan waits for, has to
// do with it.
func BenchmarkLargeRelease(b *testing.B) {
	for _, windows := range []int{1, 300, 3000} {
		b.Run(fmt.Sprint(windows), func(b *testing.B) {
			s := openShop(b, b.TempDir())
			w, codes := hotel(b, windows), uint64(0)
			var all, writing time.Duration
			runs := 0
			for b.Loop() {
				runs++
				id := fmt.Sprint("HOTEL-", runs)
				if _, err := s.TakeOrder(context.Background(), stations.TakeOrder{Actor: office, Order: id, Customer: "Saltmarsh Inn"}, []byte(id)); err != nil {
					b.Fatal(err)
				}
				cmd := stations.ReleaseOrder{Actor: office, Order: id, Tickets: plan.Tickets(w, nil, func() plan.Code { codes++; return plan.NewCode(codes) })}
				began := time.Now()
				p, err := s.plan(cmd)
				if err != nil {
					b.Fatal(err)
				}
				planned := time.Now()
				if _, err := s.queued(context.Background(), cmd, nil, p); err != nil {
					b.Fatal(err)
				}
				writing += time.Since(planned)
				all += time.Since(began)
			}
			b.ReportMetric(float64(all.Milliseconds())/float64(runs), "release-ms")
			b.ReportMetric(float64(writing.Microseconds())/1000/float64(runs), "writer-ms")
		})
	}
}

// hotel is an order of so many windows, a lined pair each.
func hotel(tb testing.TB, windows int) *workup.Workup {
	tb.Helper()
	var b strings.Builder
	b.WriteString(`order: HOTEL
customer: Saltmarsh Inn
units: in
fabrics: [{id: reed, use: face, usable_width: 54}, {id: sateen, use: lining, usable_width: 54}]
tapes: [{id: cart-4, period: 6 1/2, space: 2 1/2, height: 4, cords: 3, end_margin: {nominal: 3/4, min: 1/2, max: 1}, insert_length: 12}]
treatments:
`)
	for i := range windows {
		fmt.Fprintf(&b, "  - {window: Room %d, room: %d, heading: cartridge-tape, face_width: %d, finished_length: 95, face: reed, lining: sateen}\n", i, i, 48+12*(i%6))
	}
	o, problems := orderfile.Parse([]byte(b.String()))
	if engine.AnyError(problems) {
		tb.Fatal(problems)
	}
	return workup.Compute(o)
}
