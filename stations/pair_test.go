package stations

import (
	"encoding/json"
	"reflect"
	"slices"
	"strings"
	"testing"

	"tablehand/engine/measure"
	"tablehand/stations/plan"
)

// pack finishes a panel at packing with measures of its own, from wherever it is.
func (s *shop) pack(code plan.Code, width, length string) Event {
	s.t.Helper()
	s.workTo(code, plan.Packing)
	s.do(s.scan(code, Start))
	return s.do(s.finishing(code, measuring("finished_width", width), measuring("finished_length", length)))
}

// pair releases one window, cuts it, and returns its panels.
func pair(t fataler, changes ...string) (s *shop, left, right plan.Code) {
	s = newShop(t)
	w := exampleOrder(t, "ORDER", 1, changes...)
	s.do(TakeOrder{Actor: office, Order: "ORDER", Customer: w.Order.Customer, Digest: "d"})
	s.do(ReleaseOrder{Actor: office, Order: "ORDER", Tickets: plan.Tickets(w, nil, s.code)})
	o := s.floor.Order("ORDER")
	s.cutAll(o)
	return s, panels(o)[0], panels(o)[1]
}

func (s *shop) readyToBill() []plan.Code {
	var codes []plan.Code
	for _, t := range s.floor.Ready() {
		codes = append(codes, t.Spec.Code)
	}
	return codes
}

// TestPairIsCompared: at packing the second of a pair is held against the first; an eighth passes, more doesn't.
func TestPairIsCompared(t *testing.T) {
	// The panels are 48 1/2 wide and 95 1/2 long, and may each be 1/4 off.
	for _, c := range []struct {
		name                string
		width, length       string // of the second; the first measures 48 3/8 and 95 1/2
		apart, out, changes []string
	}{
		{name: "alike", width: "48 3/8", length: "95 1/2"},
		{name: "the limit passes", width: "48 1/2", length: "95 5/8"},
		{name: "a hair over it doesn't", width: "48.5001", length: "95 1/2", apart: []string{"finished_width 48.5001in 48.375in 0.1251in"}},
		{name: "both measures", width: "48 3/4", length: "95 1/4", apart: []string{"finished_width 48.75in 48.375in 0.375in", "finished_length 95.25in 95.5in 0.25in"}},
		{name: "out of tolerance too", width: "50", length: "95 1/2", apart: []string{"finished_width 50in 48.375in 1.625in"}, out: []string{"finished_width"}},
		{name: "the shop's own limit", width: "48 3/4", length: "95 1/4", apart: []string{"finished_length 95.25in 95.5in 0.25in"},
			changes: []string{"conventions: {}", "conventions: {tolerances: {packing.pair_width: 3/8, packing.pair_length: 3/16}}"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, left, right := pair(t, c.changes...)
			if e := s.pack(left, "48 3/8", "95 1/2"); e.State != Finished || e.Pair != nil {
				t.Fatalf("the first is compared with nothing, yet %+v", e)
			}
			if got := s.readyToBill(); !slices.Equal(got, []plan.Code{left}) {
				t.Fatalf("ready to invoice %v", got)
			}
			e := s.pack(right, c.width, c.length)
			var apart []string
			if e.Pair != nil {
				for _, m := range e.Pair.Measures {
					apart = append(apart, strings.Join([]string{m.Entry, m.Measured.String(), m.Mate.String(), m.By.String()}, " "))
				}
			}
			if !slices.Equal(apart, c.apart) || !slices.Equal(e.OutOf, c.out) {
				t.Fatalf("apart %q, out of tolerance %q; want %q, %q", apart, e.OutOf, c.apart, c.out)
			}
			if len(c.apart) == 0 {
				s.is(right, plan.Packing, Finished)
				if got := s.readyToBill(); len(got) != 2 {
					t.Errorf("ready to invoice %v", got)
				}
				return
			}
			s.is(right, plan.Packing, Held)
			if e.Pair.Mate != left || e.Reason != ReasonPair {
				t.Errorf("%+v", e)
			}
			if got := s.readyToBill(); len(got) != 0 {
				t.Errorf("ready to invoice before the decision: %v", got)
			}
			r := s.refused("pair_differs", DraftInvoice{Actor: office, Draft: "D", Customer: s.floor.Order("ORDER").Customer, Panels: []plan.Code{left}})
			if !slices.Equal(r.Where.Tickets, []plan.Code{right}) {
				t.Errorf("refused because of %v", r.Where.Tickets)
			}
			s.refused("needs_decision", s.scan(right, Resume))
			s.refused("lead_only", s.scan(right, Accept))
			s.refused("reason_missing", s.scan(right, Accept, by(office), noReason))
			s.do(s.scan(right, Accept, by(office)))
			s.is(right, plan.Packing, Finished)
			if got := s.readyToBill(); len(got) != 2 {
				t.Errorf("ready to invoice once accepted: %v", got)
			}
			if !reflect.DeepEqual(image(refold(t, s.ledger)), image(s.floor)) {
				t.Error("the ledger folded anew is another floor")
			}
		})
	}
}

// TestPairOfUnequalPanels: each panel is held against its own target, as where the returns of a window differ.
func TestPairOfUnequalPanels(t *testing.T) {
	for _, c := range []struct {
		left, right string
		held        bool
	}{{"48 1/2", "51 1/2", false}, {"48 3/8", "51 1/2", false}, {"48 3/8", "51 5/8", true}, {"48 3/4", "51 3/4", false}} {
		s := newShop(t)
		w := exampleOrder(t, "ORDER", 1)
		tickets := plan.Tickets(w, nil, s.code)
		wider := &tickets[len(tickets)-1]
		wider.At(plan.Packing).Entry("finished_width").Target = measure.Read("51.5in")
		s.do(TakeOrder{Actor: office, Order: "ORDER", Customer: w.Order.Customer, Digest: "d"})
		s.do(ReleaseOrder{Actor: office, Order: "ORDER", Tickets: tickets})
		o := s.floor.Order("ORDER")
		s.cutAll(o)
		s.pack(panels(o)[0], c.left, "95 1/2")
		if e := s.pack(panels(o)[1], c.right, "95 1/2"); (e.State == Held) != c.held {
			t.Errorf("%s beside %s: %s", c.left, c.right, e.State)
		}
	}
}

// TestPairSentBack: the office sends back either of the two, and the other is no longer held for it. What comes back is
// compared anew.
func TestPairSentBack(t *testing.T) {
	t.Run("the one that is held", func(t *testing.T) {
		s, left, right := pair(t)
		s.pack(left, "48 1/2", "95 1/2")
		s.pack(right, "48 3/4", "95 1/2")
		s.do(s.scan(right, SendBack, to(plan.PullUp), by(office)))
		s.is(right, plan.PullUp, Ready)
		if got := s.readyToBill(); !slices.Equal(got, []plan.Code{left}) {
			t.Errorf("ready to invoice %v", got)
		}
		if e := s.pack(right, "48 3/4", "95 1/2"); e.State != Held {
			t.Errorf("no better, yet %s", e.State)
		}
	})
	t.Run("the other", func(t *testing.T) {
		s, left, right := pair(t)
		s.pack(left, "48 1/4", "95 1/2")
		s.pack(right, "48 1/2", "95 1/2")
		e := s.do(s.scan(left, SendBack, to(plan.PullUp), by(office)))
		if want := []Moved{{right, plan.Packing, Finished}}; !slices.Equal(e.Also, want) {
			t.Errorf("it moves %+v, want %+v", e.Also, want)
		}
		s.is(left, plan.PullUp, Ready)
		s.is(right, plan.Packing, Finished)
		if got := s.readyToBill(); !slices.Equal(got, []plan.Code{right}) {
			t.Errorf("ready to invoice %v", got)
		}
		if e := s.pack(left, "48 1/4", "95 1/2"); e.State != Held || e.Pair.Mate != right {
			t.Errorf("no better, yet %+v", e)
		}
		s.do(s.scan(left, SendBack, to(plan.PullUp), by(office)))
		if e := s.pack(left, "48 1/2", "95 1/2"); e.State != Finished {
			t.Errorf("mended, yet %s", e.State)
		}
	})
	t.Run("the other, where a measure holds it too", func(t *testing.T) {
		s, left, right := pair(t)
		s.pack(left, "48 1/2", "95 1/2")
		s.pack(right, "50", "95 1/2")
		s.do(s.scan(left, SendBack, to(plan.PullUp), by(office)))
		s.is(right, plan.Packing, Held)
		if now := s.floor.Ticket(right).Current(); now.Pair != nil || now.Reason != "" || !now.ForOffice {
			t.Errorf("held still, but %+v", now)
		}
		s.do(s.scan(right, Accept, by(office)))
		s.is(right, plan.Packing, Finished)
	})
	t.Run("one that is billed stays", func(t *testing.T) {
		s, left, right := pair(t)
		s.pack(left, "48 1/2", "95 1/2")
		s.do(DraftInvoice{Actor: office, Draft: "D", Customer: s.floor.Order("ORDER").Customer, Panels: []plan.Code{left}})
		s.pack(right, "48 3/4", "95 1/2")
		s.refused("already_invoiced", s.scan(left, SendBack, to(plan.PullUp)))
		s.is(right, plan.Packing, Held)
		s.do(s.scan(right, SendBack, to(plan.PullUp), by(office)))
	})
}

// TestPairAndTheUndone: what takes the other's measure away takes the hold away.
func TestPairAndTheUndone(t *testing.T) {
	t.Run("the held one's finish", func(t *testing.T) {
		s, left, right := pair(t)
		s.pack(left, "48 1/2", "95 1/2")
		s.pack(right, "48 3/4", "95 1/2")
		s.do(s.scan(right, Undo))
		s.is(right, plan.Packing, AtWork)
		if now := s.floor.Ticket(right).Current(); now.Pair != nil || now.ForOffice || now.Measured["finished_width"].String() != "48.75in" {
			t.Errorf("taken back it is %+v", now)
		}
		if got := s.readyToBill(); !slices.Equal(got, []plan.Code{left}) {
			t.Errorf("ready to invoice %v", got)
		}
	})
	t.Run("the first one's finish", func(t *testing.T) {
		s, left, right := pair(t)
		s.workTo(right, plan.Packing)
		s.do(s.scan(right, Start))
		s.pack(left, "48 1/4", "95 1/2") // misread
		s.do(s.finishing(right))
		s.is(right, plan.Packing, Held)
		s.do(s.scan(left, Undo))
		s.is(left, plan.Packing, AtWork)
		s.is(right, plan.Packing, Finished)
		s.do(s.finishing(left))
		s.is(left, plan.Packing, Finished)
	})
}

// TestPairWithoutItsMate: one that is remade, or waits for the office itself, and panels that hang alone.
func TestPairWithoutItsMate(t *testing.T) {
	t.Run("remade before", func(t *testing.T) {
		s := newShop(t)
		o := s.begin()
		s.cutAll(o)
		left, right := panels(o)[0], panels(o)[1]
		s.workTo(left, plan.Packing)
		s.do(s.scan(left, Hold))
		sheet := s.sheet(revisedOrder(t))
		sheet.Digest = s.floor.Order("ORDER").Digest
		s.do(s.scan(left, Remake, by(office), func(c *Scan) { c.Sheet = &sheet }))
		if e := s.pack(right, "48 3/4", "95 1/2"); e.State != Finished {
			t.Errorf("compared with a panel that is no more: %+v", e.Pair)
		}
		again := s.floor.Ticket(left).RemadeAs
		s.cutAll(&Order{Tickets: slices.DeleteFunc(slices.Clone(s.floor.Order("ORDER").Tickets), func(t *Ticket) bool { return t.State() == Finished })})
		if e := s.pack(again, "48 1/2", "95 1/2"); e.State != Held || e.Pair.Mate != right {
			t.Errorf("the one made anew is not compared: %+v", e)
		}
	})
	t.Run("remade while the other is held for it", func(t *testing.T) {
		s := newShop(t)
		o := s.begin()
		s.cutAll(o)
		left, right := panels(o)[0], panels(o)[1]
		s.pack(left, "50", "95 1/2") // the office has not passed it yet
		if e := s.pack(right, "48 1/2", "95 1/2"); e.State != Held || e.Pair.Mate != left {
			t.Fatalf("not compared with a panel that is held: %+v", e)
		}
		sheet := s.sheet(revisedOrder(t))
		sheet.Digest = s.floor.Order("ORDER").Digest
		s.do(s.scan(left, Remake, by(office), func(c *Scan) { c.Sheet = &sheet }))
		s.is(right, plan.Packing, Finished)
		if got := s.readyToBill(); !slices.Equal(got, []plan.Code{right}) {
			t.Errorf("ready to invoice %v", got)
		}
	})
	t.Run("another window's, another copy's, a single panel", func(t *testing.T) {
		s := newShop(t)
		w := exampleOrder(t, "ORDER", 2)
		s.do(TakeOrder{Actor: office, Order: "ORDER", Customer: w.Order.Customer, Digest: "d"})
		s.do(ReleaseOrder{Actor: office, Order: "ORDER", Tickets: plan.Tickets(w, nil, s.code)})
		o := s.floor.Order("ORDER")
		s.cutAll(o)
		s.pack(panels(o)[0], "48 1/4", "95 1/2")
		if e := s.pack(panels(o)[3], "48 3/4", "95 1/2"); e.State != Finished {
			t.Errorf("compared with a panel of the next window: %+v", e.Pair)
		}
		single := newShop(t).begin()
		if limits := single.Tickets[len(single.Tickets)-1].Spec.At(plan.Packing).Pair; len(limits) != 0 {
			t.Errorf("a panel that hangs alone has limits %+v", limits)
		}
	})
}

// TestPairOfARevisedOrder: both are held against what the newest file wants, also the one that keeps its old width. Each
// is as its own ticket has it, and yet one hangs half an inch wider.
func TestPairOfARevisedOrder(t *testing.T) {
	s := newShop(t)
	o := s.begin()
	s.cutAll(o)
	left, right := panels(o)[0], panels(o)[1]
	s.workTo(left, plan.Packing)
	s.revise("face_width: 84", "face_width: 83")
	target := func(code plan.Code) string {
		return s.floor.Ticket(code).Spec.At(plan.Packing).Entry("finished_width").Target.String()
	}
	if kept := s.floor.Ticket(left).Kept; !slices.Contains(kept, "finished_width") || target(left) != "48.5in" || target(right) != "48in" {
		t.Fatalf("the left panel keeps %v: %s beside %s", kept, target(left), target(right))
	}
	if e := s.pack(left, "48 1/2", "95 1/2"); e.State != Finished {
		t.Fatalf("the left panel is as its ticket has it, and %s: %+v", e.State, e)
	}
	e := s.pack(right, "48", "95 1/2")
	if e.State != Held || len(e.OutOf) > 0 || e.Pair == nil || len(e.Pair.Measures) != 1 || e.Pair.Measures[0].By.String() != "0.5in" {
		t.Errorf("one hangs half an inch wider: %+v", e)
	}
}

// TestPairsOfOldLedgers: a panel that was released before pairs were compared has no limits, and is held for none; a
// revision doesn't call that a change.
func TestPairsOfOldLedgers(t *testing.T) {
	s := newShop(t)
	w := revisedOrder(t)
	text, err := json.Marshal(plan.Tickets(w, nil, s.code))
	if err != nil {
		t.Fatal(err)
	}
	var old []plan.Ticket
	if err := json.Unmarshal(text, &old); err != nil {
		t.Fatal(err)
	}
	for i := range old {
		if p := old[i].At(plan.Packing); p != nil {
			p.Pair = nil
		}
	}
	s.do(TakeOrder{Actor: office, Order: "ORDER", Customer: w.Order.Customer, Digest: "d"})
	s.do(ReleaseOrder{Actor: office, Order: "ORDER", Tickets: old})
	if told := s.tells(s.revise()); told != "" {
		t.Errorf("the same file changes %s", told)
	}
	o := s.floor.Order("ORDER")
	s.cutAll(o)
	s.pack(panels(o)[0], "48 1/4", "95 1/2")
	if e := s.pack(panels(o)[1], "48 3/4", "95 1/2"); e.State != Finished {
		t.Errorf("held: %+v", e.Pair)
	}
}
