package stations

import (
	"fmt"
	"testing"
	"time"

	"tablehand/stations/plan"
)

// ledgerOf plays orders through the whole floor until there are n events.
func ledgerOf(b *testing.B, n int) []Event {
	w := exampleOrder(b, "ORDER", 10)
	o := NewFloor().Overlay()
	now := time.Date(2026, 12, 1, 8, 0, 0, 0, time.UTC)
	var ledger []Event
	do := func(cmd Command) {
		e, err := o.Decide(cmd, now)
		if err != nil {
			b.Fatal(err)
		}
		e.Seq = int64(len(ledger) + 1)
		o.Apply(e)
		ledger = append(ledger, e)
	}
	codes := uint64(0)
	for i := 0; len(ledger) < n; i++ {
		id := fmt.Sprintf("O-%d", i)
		do(TakeOrder{Actor: office, Order: id, Customer: "Saltmarsh Inn", Due: "2026-12-18"})
		do(ReleaseOrder{Actor: office, Order: id, Tickets: plan.Tickets(w, nil, func() plan.Code { codes++; return plan.NewCode(codes) })})
		for _, t := range o.order(id).Tickets {
			code := t.Spec.Code
			for o.ticket(code).State() != Finished {
				now = now.Add(time.Second)
				step := o.ticket(code).Current().Spec
				c := Scan{Actor: bench, Ticket: code, Station: step.Station, Action: Start}
				do(c)
				c.Action, c.Checks, c.Measured = Finish, step.Checks, map[string]string{}
				for _, e := range step.Enter {
					c.Measured[e.Name] = e.Target.String()
				}
				do(c)
			}
		}
	}
	return ledger[:n]
}

// BenchmarkFold folds a ledger of 100,000 events, as at a start of the program.
func BenchmarkFold(b *testing.B) {
	ledger := ledgerOf(b, 100_000)
	b.ReportAllocs()
	for b.Loop() {
		o := NewFloor().Overlay()
		for _, e := range ledger {
			o.Apply(e)
		}
		if o.Floor().Seq() != 100_000 {
			b.Fatal("not folded")
		}
	}
}

// BenchmarkScan decides and applies one scan on a floor of 100,000 events, each a batch of its own.
func BenchmarkScan(b *testing.B) {
	o := NewFloor().Overlay()
	for _, e := range ledgerOf(b, 100_000) {
		o.Apply(e)
	}
	f := o.Floor()
	var code plan.Code
	for _, order := range f.Orders() {
		for _, t := range order.Tickets {
			if t.State() == Ready {
				code = t.Spec.Code
			}
		}
	}
	if code == "" {
		b.Fatal("nothing is ready at the end of this ledger")
	}
	now, n := time.Date(2027, 1, 1, 8, 0, 0, 0, time.UTC), f.Seq()
	for b.Loop() {
		c := Scan{Actor: bench, Ticket: code, Station: f.Ticket(code).Station(), Action: Hold, Reason: "lunch"}
		if f.Ticket(code).State() == Held {
			c.Action = Resume
		}
		o := f.Overlay()
		e, err := o.Decide(c, now)
		if err != nil {
			b.Fatal(err)
		}
		n++
		e.Seq = n
		o.Apply(e)
		f = o.Floor()
	}
}
