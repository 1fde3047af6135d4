package stations

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"tablehand/engine"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
)

// hotel is an order of so many windows, a room each: lined pairs on a tape, of a length, from a bolt for each ten.
func hotel(t fataler, windows int, length string) *workup.Workup {
	t.Helper()
	var b strings.Builder
	b.WriteString(`order: HOTEL
customer: Saltmarsh Inn
units: in
fabrics:
  - id: reed
    use: face
    usable_width: 54
    bolts:
`)
	for i := range windows/4 + 1 {
		fmt.Fprintf(&b, "      - {id: H%d, length: 100 yd, lot: A}\n", i)
	}
	b.WriteString(`  - {id: sateen, use: lining, usable_width: 54}
tapes:
  - {id: cart-4, period: 6 1/2, space: 2 1/2, height: 4, cords: 3, end_margin: {nominal: 3/4, min: 1/2, max: 1}, insert_length: 12}
treatments:
`)
	for i := range windows {
		fmt.Fprintf(&b, "  - {window: Room %d, room: %d, heading: cartridge-tape, face_width: %d, finished_length: %s, face: reed, lining: sateen}\n",
			i, i, 48+12*(i%6), length)
	}
	o, problems := orderfile.Parse([]byte(b.String()))
	if engine.AnyError(problems) {
		t.Fatalf("the hotel: %+v", problems)
	}
	return workup.Compute(o)
}

// BenchmarkLargeOrder releases and revises a hotel: what is decided, written as JSON and applied, each a figure of its own.
func BenchmarkLargeOrder(b *testing.B) {
	for _, windows := range []int{300, 3000} {
		b.Run(fmt.Sprint(windows), func(b *testing.B) {
			now := time.Date(2026, 12, 1, 8, 0, 0, 0, time.UTC)
			w, longer := hotel(b, windows, "95 1/2"), hotel(b, windows, "96")
			codes := uint64(0)
			code := func() plan.Code { codes++; return plan.NewCode(codes) }
			took := map[string]time.Duration{}
			timed := func(what string, f func()) {
				began := time.Now()
				f()
				took[what] += time.Since(began)
			}
			runs := 0
			for b.Loop() {
				runs++
				o := NewFloor().Overlay()
				do := func(name string, cmd Command) {
					var e Event
					timed(name+"-decide", func() {
						var err error
						if e, err = o.Decide(cmd, now); err != nil {
							b.Fatal(err)
						}
					})
					timed(name+"-encode", func() {
						if _, err := json.Marshal(e); err != nil {
							b.Fatal(err)
						}
					})
					timed(name+"-apply", func() {
						e.Seq = o.seq + 1
						o.Apply(e)
						o = o.Floor().Overlay()
					})
				}
				do("take", TakeOrder{Actor: office, Order: "HOTEL", Customer: "Saltmarsh Inn", Bolts: plan.NamedBolts(w)})
				var tickets []plan.Ticket
				timed("release-plan", func() { tickets = plan.Tickets(w, nil, code) })
				do("release", ReleaseOrder{Actor: office, Order: "HOTEL", Tickets: tickets, Bolts: plan.NamedBolts(w)})
				do("revise", ReviseOrder{Actor: office, Order: "HOTEL", Sheet: Sheet{Work: longer, Codes: code}})
			}
			for what, d := range took {
				b.ReportMetric(float64(d.Milliseconds())/float64(runs), what+"-ms")
			}
		})
	}
}
