package stations

import (
	"reflect"
	"slices"
	"testing"

	"tablehand/stations/plan"
)

// starting has a start of a cutting with what was measured, by pairs of name and value.
func (s *shop) starting(code plan.Code, measured ...string) Scan {
	c := s.scan(code, Start)
	c.Measured = map[string]string{}
	for i := 0; i < len(measured); i += 2 {
		c.Measured[measured[i]] = measured[i+1]
	}
	return c
}

// TestClothIsMeasuredBeforeItIsCut: what a start carries is held against the order; outside the tolerance nothing is
// begun, and what no start carried is asked at the finish.
func TestClothIsMeasuredBeforeItIsCut(t *testing.T) {
	// reed is 54 in wide and repeats after 13 1/2; sateen is plain.
	for _, c := range []struct {
		name     string
		measured []string
		out      []string
	}{
		{"nothing", nil, nil},
		{"as ordered", []string{"usable_width", "54", "repeat_over_five", "67 1/2"}, nil},
		{"the edges pass", []string{"usable_width", "53 3/4", "repeat_over_five", "67 5/8"}, nil},
		{"and the wide one", []string{"usable_width", "55", "repeat_over_five", "67 3/8"}, nil},
		{"too narrow", []string{"usable_width", "53.7499"}, []string{"usable_width"}},
		{"too wide", []string{"usable_width", "55.0001"}, []string{"usable_width"}},
		{"the repeat is off", []string{"usable_width", "54", "repeat_over_five", "67.6251"}, []string{"repeat_over_five"}},
		{"both", []string{"usable_width", "53", "repeat_over_five", "66"}, []string{"usable_width", "repeat_over_five"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := newShop(t)
			o := s.release("ORDER", 1)
			reed := cuts(o)[0]
			e := s.do(s.starting(reed, c.measured...))
			if !slices.Equal(e.OutOf, c.out) {
				t.Fatalf("out of tolerance %q, want %q", e.OutOf, c.out)
			}
			if len(c.out) == 0 {
				s.is(reed, plan.Cutting, AtWork)
				want := []string{"usable_width", "repeat_over_five"}[len(c.measured)/2:]
				spec := s.floor.Ticket(reed).Current().Spec
				if r := s.refused("entries_missing", s.scan(reed, Finish)); !slices.Equal(r.Missing, append(want, spec.Checks...)) {
					t.Errorf("missing at the finish: %q", r.Missing)
				}
				if e := s.do(s.finishing(reed)); e.State != Finished {
					t.Errorf("finished as %+v", e)
				}
				return
			}
			s.is(reed, plan.Cutting, Held)
			if s.floor.Ticket(reed).cutInto() {
				t.Error("it counts as cut")
			}
			s.refused("held", s.scan(reed, Start))
			s.refused("held", s.scan(reed, Finish))
			s.refused("needs_decision", s.scan(reed, Resume))
			s.refused("lead_only", s.scan(reed, Accept))
			s.refused("reason_missing", s.scan(reed, Accept, by(office), noReason))
			if e := s.do(s.scan(reed, Accept, by(office))); e.State != AtWork || e.Next != "" || len(e.Also) != 0 {
				t.Errorf("accepted as %+v", e)
			}
			s.is(reed, plan.Cutting, AtWork)
			spec := s.floor.Ticket(reed).Current().Spec
			finish := s.scan(reed, Finish, checking(spec.Checks...))
			finish.Measured = map[string]string{"usable_width": "53", "repeat_over_five": "67 1/2"}
			if slices.Contains(c.out, "usable_width") {
				finish.Measured["usable_width"] = c.measured[1] // what the office has taken
			} else {
				delete(finish.Measured, "usable_width")
			}
			if slices.Contains(c.out, "repeat_over_five") {
				delete(finish.Measured, "repeat_over_five")
			}
			if e := s.do(finish); e.State != Finished {
				t.Errorf("what was accepted holds it again: %+v", e)
			}
			if !reflect.DeepEqual(image(refold(t, s.ledger)), image(s.floor)) {
				t.Error("the ledger folded anew is another floor")
			}
		})
	}
	t.Run("plain cloth has no repeat", func(t *testing.T) {
		s := newShop(t)
		sateen := cuts(s.release("ORDER", 1))[1]
		if enter := s.floor.Ticket(sateen).Current().Spec.Enter; len(enter) != 1 || enter[0].Name != "usable_width" || enter[0].Target.String() != "54in" || !enter[0].AtStart {
			t.Errorf("asked: %+v", enter)
		}
	})
	t.Run("unreadable", func(t *testing.T) {
		s := newShop(t)
		reed := cuts(s.release("ORDER", 1))[0]
		if r := s.refused("bad_length", s.starting(reed, "usable_width", "wide")); r.Field != "measured.usable_width" {
			t.Errorf("%+v", r)
		}
		s.is(reed, plan.Cutting, Ready)
	})
	t.Run("what is no entry of a start waits for the finish", func(t *testing.T) {
		s := newShop(t)
		o := s.release("ORDER", 1)
		s.cutAll(o)
		if e := s.do(s.starting(panels(o)[0], "flat_width", "1")); e.State != AtWork || e.Measured != nil {
			t.Errorf("%+v", e)
		}
	})
}

// TestMeasuredWrongIsUndone: the device takes a start back that held the ticket; what was measured is forgotten.
func TestMeasuredWrongIsUndone(t *testing.T) {
	s := newShop(t)
	reed := cuts(s.release("ORDER", 1))[0]
	before := ticketImage(s.floor.Ticket(reed))
	s.do(s.starting(reed, "usable_width", "45"))
	if e := s.do(s.scan(reed, Undo)); e.State != Ready || e.Next != plan.Cutting {
		t.Errorf("%+v", e)
	}
	if after := ticketImage(s.floor.Ticket(reed)); !sameButCounts(before, after) {
		t.Errorf("it was\n%+v\nand is\n%+v", before, after)
	}
	s.do(s.starting(reed, "usable_width", "45"))
	s.do(s.scan(reed, SendBack, to(plan.Cutting), by(office)))
	if s.floor.Ticket(reed).cutInto() {
		t.Error("to be measured again, it counts as cut")
	}
	s.do(CancelOrder{Actor: office, Order: "ORDER", Reason: "the wrong cloth"})
}

// TestMeasuredAtTheFinish: what was measured only at the end holds the cutting like any step; accepted, its panels go on,
// and taken back it moves nobody.
func TestMeasuredAtTheFinish(t *testing.T) {
	s := newShop(t)
	o := s.release("ORDER", 1)
	reed, sateen := cuts(o)[0], cuts(o)[1]
	s.work(sateen)
	s.do(s.scan(reed, Start))
	if e := s.do(s.finishing(reed, measuring("usable_width", "52"))); e.State != Held || len(e.Also) != 0 {
		t.Fatalf("%+v", e)
	}
	s.do(s.scan(reed, Undo))
	s.is(reed, plan.Cutting, AtWork)
	s.do(s.finishing(reed, measuring("usable_width", "52")))
	if !s.floor.Ticket(reed).cutInto() {
		t.Error("it doesn't count as cut")
	}
	if e := s.do(s.scan(reed, Accept, by(office))); e.State != Finished || len(e.Also) != 2 {
		t.Errorf("%+v", e)
	}
	s.is(panels(o)[0], plan.Joining, Ready)
}

// TestOrderIsChangedToItsCloth: a revision to the cloth as measured lays the cutting out anew and frees it; one that
// isn't about it leaves it held.
func TestOrderIsChangedToItsCloth(t *testing.T) {
	s := newShop(t)
	o := s.begin("length: 40 yd", "length: 90 yd")
	reed := cuts(o)[0]
	wide := len(s.floor.Ticket(reed).Spec.Cuts)
	s.do(s.starting(reed, "usable_width", "45", "repeat_over_five", "67 1/2"))
	e := s.revise("length: 40 yd", "length: 90 yd", "Rod is up", "Rod is down")
	s.is(reed, plan.Cutting, Held)
	if slices.ContainsFunc(e.Also, func(m Moved) bool { return m.Ticket == reed }) {
		t.Errorf("a note frees it: %+v", e.Also)
	}
	s.revise("length: 40 yd", "length: 90 yd", "usable_width: 54", "usable_width: 50", "match_width: 53", "match_width: 49")
	s.is(reed, plan.Cutting, Held) // 45 isn't 50 either
	e = s.revise("length: 40 yd", "length: 90 yd", "usable_width: 54", "usable_width: 45", "match_width: 53", "match_width: 44 1/4")
	if !slices.Contains(e.Also, Moved{reed, plan.Cutting, Ready}) {
		t.Errorf("it moves %+v", e.Also)
	}
	s.is(reed, plan.Cutting, Ready)
	if now := s.floor.Ticket(reed); len(now.Spec.Cuts) <= wide || now.Current().OutOf != nil || now.Current().Measured["usable_width"].String() != "45in" {
		t.Errorf("%d cuts, %d at 54 in; %+v", len(now.Spec.Cuts), wide, now.Current())
	}
	s.do(s.scan(reed, Start)) // it was measured
	if e := s.do(s.scan(reed, Finish, checking(s.floor.Ticket(reed).Current().Spec.Checks...))); e.State != Finished {
		t.Errorf("%+v", e)
	}
	if !reflect.DeepEqual(image(refold(t, s.ledger)), image(s.floor)) {
		t.Error("the ledger folded anew is another floor")
	}
}

// TestCuttingsOfOldLedgers: a cutting that was released before its cloth was measured is cut as it was, and a revision
// doesn't call the new entries a change.
func TestCuttingsOfOldLedgers(t *testing.T) {
	s := newShop(t)
	w := revisedOrder(t)
	old := plan.Tickets(w, nil, s.code)
	for i := range old {
		if c := old[i].At(plan.Cutting); old[i].Kind == plan.CuttingTicket {
			c.Enter, c.Checks = nil, append(slices.Clone(c.Checks), "width_and_repeat_as_received")
		}
	}
	s.do(TakeOrder{Actor: office, Order: "ORDER", Customer: w.Order.Customer, Digest: "d"})
	s.do(ReleaseOrder{Actor: office, Order: "ORDER", Tickets: old})
	if told := s.tells(s.revise()); told != "" {
		t.Errorf("the same file changes %s", told)
	}
	reed := cuts(s.floor.Order("ORDER"))[0]
	s.do(s.scan(reed, Start))
	s.do(s.scan(reed, Finish, checking(s.floor.Ticket(reed).Current().Spec.Checks...)))
	s.is(reed, plan.Cutting, Finished)
}
