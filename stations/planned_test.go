package stations

import (
	"encoding/json"
	"reflect"
	"testing"
	"time"

	"tablehand/stations/plan"
)

// kept plays a planned command against the floor as it is by then: whether it holds, its event, and the floor after it.
func (s *shop) kept(p *Planned) (e Event, after *Floor, ok bool) {
	s.t.Helper()
	o := s.floor.Overlay()
	e, _, ok = o.Keep(p, s.now, s.floor.Seq()+1)
	return e, o.Floor(), ok
}

// A release and a revision that were planned beforehand are, to the byte, the events that the floor decides on the spot, and
// leave the same floor, whatever the time of planning was.
func TestPlannedIsWhatIsDecided(t *testing.T) {
	s := newShop(t)
	w := hotel(t, 12, "95 1/2")
	s.do(TakeOrder{Actor: office, Order: "HOTEL", Customer: "Saltmarsh Inn", Bolts: plan.NamedBolts(w)})
	release := ReleaseOrder{Actor: office, Order: "HOTEL", Tickets: plan.Tickets(w, nil, s.code), Bolts: plan.NamedBolts(w)}
	longer := hotel(t, 14, "96")
	for _, c := range []struct {
		name string
		cmd  func() Command
	}{
		{"release", func() Command { return release }},
		{"revision", func() Command {
			n := uint64(1 << 30)
			return ReviseOrder{Actor: office, Order: "HOTEL", Sheet: Sheet{Work: longer, Digest: "d2", Codes: func() plan.Code { n++; return plan.NewCode(n) }}}
		}},
	} {
		if !IsLarge(c.cmd()) {
			t.Fatalf("a %s isn't planned", c.name)
		}
		p := s.floor.Plan(c.cmd(), s.now.Add(-3*time.Second))
		before := image(s.floor)
		e, after, ok := s.kept(p)
		if !ok {
			t.Fatalf("%s: the plan doesn't hold on its own floor", c.name)
		}
		if !reflect.DeepEqual(before, image(s.floor)) {
			t.Fatalf("%s: keeping it changed the floor before it", c.name)
		}
		if _, _, again := s.kept(p); again {
			t.Errorf("%s: one plan is kept twice", c.name)
		}
		want := s.do(c.cmd())
		if got, want := encoded(t, e), encoded(t, want); got != want {
			t.Errorf("%s: planned %.400s, decided %.400s", c.name, got, want)
		}
		if !reflect.DeepEqual(image(after), image(s.floor)) {
			t.Errorf("%s: another floor than when it is decided on the spot", c.name)
		}
	}
}

func encoded(t *testing.T, e Event) string {
	t.Helper()
	b, err := json.Marshal(e)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// A plan holds as long as nothing that it was made by has changed, and no longer.
func TestAPlanHoldsWhileItsBaseStays(t *testing.T) {
	for _, c := range []struct {
		name      string
		meanwhile func(s *shop)
		holds     bool
	}{
		{"nothing", func(s *shop) {}, true},
		{"a scan on another order", func(s *shop) {
			s.do(Scan{Actor: bench, Ticket: s.floor.Order("OTHER").Tickets[0].Spec.Code, Station: plan.Cutting, Action: Start})
		}, true},
		{"an order of other bolts", func(s *shop) {
			s.do(TakeOrder{Actor: office, Order: "NEW", Customer: "Saltmarsh Inn", Bolts: []plan.NamedBolt{{Fabric: "reed", Bolt: "Z9", Lot: "A"}}})
		}, true},
		{"an order of the same bolts", func(s *shop) {
			s.do(TakeOrder{Actor: office, Order: "NEW", Customer: "Saltmarsh Inn", Bolts: []plan.NamedBolt{{Fabric: "reed", Bolt: "H0", Lot: "A"}}})
		}, false},
		{"a scan of its own", func(s *shop) {
			s.do(Scan{Actor: bench, Ticket: s.floor.Order("HOTEL").Tickets[0].Spec.Code, Station: plan.Cutting, Action: Start})
		}, false},
		{"a revision", func(s *shop) {
			s.do(ReviseOrder{Actor: office, Order: "HOTEL", Sheet: Sheet{Work: hotel(s.t, 3, "97"), Codes: s.code}})
		}, false},
		{"its end", func(s *shop) { s.do(CancelOrder{Actor: office, Order: "HOTEL", Reason: "house sold"}) }, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := newShop(t)
			s.release("OTHER", 1)
			w := hotel(t, 4, "95 1/2")
			s.do(TakeOrder{Actor: office, Order: "HOTEL", Customer: "Saltmarsh Inn", Bolts: plan.NamedBolts(w)})
			s.do(ReleaseOrder{Actor: office, Order: "HOTEL", Tickets: plan.Tickets(w, nil, s.code), Bolts: plan.NamedBolts(w)})
			p := s.floor.Plan(ReviseOrder{Actor: office, Order: "HOTEL", Sheet: Sheet{Work: hotel(t, 5, "96"), Codes: s.code}}, s.now)
			c.meanwhile(s)
			if _, _, ok := s.kept(p); ok != c.holds {
				t.Errorf("the plan holds: %v, want %v", ok, c.holds)
			}
		})
	}
}

// Bolts that another order gives free, and codes that somebody else has drawn, end a plan too.
func TestAPlanEndsWithWhatOthersDo(t *testing.T) {
	s := newShop(t)
	w := hotel(t, 2, "95 1/2")
	s.do(TakeOrder{Actor: office, Order: "FIRST", Customer: "Saltmarsh Inn", Bolts: plan.NamedBolts(w)})
	s.do(TakeOrder{Actor: office, Order: "HOTEL", Customer: "Saltmarsh Inn", Bolts: plan.NamedBolts(w)})
	p := s.floor.Plan(ReleaseOrder{Actor: office, Order: "HOTEL", Tickets: plan.Tickets(w, nil, s.code), Bolts: plan.NamedBolts(w)}, s.now)
	if p.Refused == nil || p.Refused.Code != "bolt_shared" {
		t.Fatalf("a bolt of two orders: %+v", p.Refused)
	}
	s.do(CancelOrder{Actor: office, Order: "FIRST", Reason: "house sold"})
	if _, _, ok := s.kept(p); ok {
		t.Error("a refusal for a bolt stands although the bolt is free")
	}

	s = newShop(t)
	for _, id := range []string{"FIRST", "HOTEL"} {
		s.do(TakeOrder{Actor: office, Order: id, Customer: "Saltmarsh Inn"})
	}
	tickets := plan.Tickets(w, nil, s.code)
	p = s.floor.Plan(ReleaseOrder{Actor: office, Order: "HOTEL", Tickets: tickets}, s.now)
	s.do(ReleaseOrder{Actor: office, Order: "FIRST", Tickets: tickets})
	if _, _, ok := s.kept(p); ok {
		t.Error("a code of two tickets is kept")
	}
}
