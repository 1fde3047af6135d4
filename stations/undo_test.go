package stations

import (
	"slices"
	"testing"
	"time"

	"tablehand/stations/plan"
)

func TestUndo(t *testing.T) {
	begin := func(t *testing.T) (*shop, *Order, plan.Code) {
		s := newShop(t)
		o := s.release("ORDER", 2)
		s.cutAll(o)
		s.workTo(panels(o)[0], plan.Fold)
		return s, o, panels(o)[0]
	}
	t.Run("a start", func(t *testing.T) {
		s, _, code := begin(t)
		before := ticketImage(s.floor.Ticket(code))
		s.do(s.scan(code, Start))
		if e := s.do(s.scan(code, Undo)); e.Station != plan.Fold || e.State != Ready {
			t.Errorf("took back %+v", e)
		}
		if after := ticketImage(s.floor.Ticket(code)); !sameButCounts(before, after) {
			t.Errorf("the ticket was\n%+v\nand is\n%+v", before, after)
		}
		s.refused("undo_overtaken", s.scan(code, Undo))
	})
	t.Run("a finish keeps what was entered, and asks for the checks again", func(t *testing.T) {
		s, _, code := begin(t)
		s.do(s.scan(code, Start))
		s.do(s.finishing(code, measuring("fold_depth", "4 1/16")))
		if e := s.do(s.scan(code, Undo)); e.Station != plan.Fold || e.State != AtWork || e.Next != "" {
			t.Errorf("took back %+v", e)
		}
		s.is(code, plan.Fold, AtWork)
		if s.floor.Ticket(code).Steps[3].State != Waiting {
			t.Error("tape sewing still waits to be begun")
		}
		s.refused("entries_missing", s.scan(code, Finish))
		e := s.do(s.scan(code, Finish, checking(s.floor.Ticket(code).Current().Spec.Checks...)))
		if e.State != Finished || e.Measured["fold_depth"].String() != "4.0625in" {
			t.Errorf("finished again as %+v", e)
		}
	})
	t.Run("a finish that held the panel", func(t *testing.T) {
		s, _, code := begin(t)
		outOfTolerance(s, code)
		s.do(s.scan(code, Undo))
		s.is(code, plan.Fold, AtWork)
		if now := s.floor.Ticket(code).Current(); now.ForOffice || now.Measured["fold_depth"].String() != "5in" {
			t.Errorf("after the hold was taken back: %+v", now)
		}
		s.do(s.finishing(code))
		s.is(code, plan.Tape, Ready)
	})
	t.Run("five minutes and no longer", func(t *testing.T) {
		s, o, code := begin(t)
		s.do(s.scan(code, Start))
		s.wait(5*time.Minute + time.Microsecond)
		s.refused("undo_late", s.scan(code, Undo))
		s.do(s.scan(panels(o)[1], Start))
		s.wait(5 * time.Minute)
		s.do(s.scan(panels(o)[1], Undo))
	})
	t.Run("the device's own", func(t *testing.T) {
		s, _, code := begin(t)
		s.do(s.scan(code, Start))
		s.refused("undo_not_yours", s.scan(code, Undo, by(other)))
		s.do(s.finishing(code, by(other)))
		s.refused("undo_not_yours", s.scan(code, Undo))
		s.do(s.scan(code, Undo, by(other)))
	})
	t.Run("a clock that jumps back", func(t *testing.T) {
		s, _, code := begin(t)
		s.do(s.scan(code, Start))
		s.wait(-time.Hour)
		s.do(s.scan(code, Undo))
	})
	t.Run("overtaken", func(t *testing.T) {
		s, _, code := begin(t)
		s.do(s.scan(code, Start))
		s.do(s.scan(code, Hold, by(other)))
		s.refused("undo_overtaken", s.scan(code, Undo))
		s.do(s.scan(code, Resume))
		s.refused("undo_overtaken", s.scan(code, Undo))
	})
	t.Run("the last of all", func(t *testing.T) {
		s, o, code := begin(t)
		s.workTo(code, "")
		if len(s.floor.Ready()) != 1 {
			t.Fatal("a finished panel isn't ready to invoice")
		}
		s.do(s.scan(code, Undo))
		s.is(code, plan.Packing, AtWork)
		if len(s.floor.Ready()) != 0 || s.floor.Order(o.ID).State != OrderReleased {
			t.Error("it is still ready to invoice")
		}
	})
}

// TestUndoCutting takes the cloth back from the panels, unless one of them has moved.
func TestUndoCutting(t *testing.T) {
	begin := func(t *testing.T) (*shop, *Order) {
		s := newShop(t)
		o := s.release("ORDER", 2)
		s.do(s.scan(panels(o)[1], Hold))
		s.cutAll(o)
		return s, o
	}
	t.Run("untouched", func(t *testing.T) {
		s, o := begin(t)
		e := s.do(s.scan(cuts(o)[1], Undo))
		if e.State != AtWork || len(e.Also) != 4 {
			t.Errorf("took back %+v", e)
		}
		s.is(panels(o)[0], plan.Cutting, Waiting)
		s.is(panels(o)[1], plan.Cutting, Held)
		s.do(s.finishing(cuts(o)[1]))
		s.is(panels(o)[0], plan.Joining, Ready)
		s.is(panels(o)[1], plan.Joining, Held)
	})
	t.Run("the fabric that wasn't the last", func(t *testing.T) {
		s, o := begin(t)
		s.do(s.scan(cuts(o)[0], Undo))
		s.is(panels(o)[0], plan.Cutting, Waiting)
	})
	for name, touch := range map[string]func(s *shop, code plan.Code){
		"started": func(s *shop, code plan.Code) { s.do(s.scan(code, Start)) },
		"held":    func(s *shop, code plan.Code) { s.do(s.scan(code, Hold)) },
		"started and taken back": func(s *shop, code plan.Code) {
			s.do(s.scan(code, Start))
			s.do(s.scan(code, Undo))
		},
	} {
		t.Run(name, func(t *testing.T) {
			s, o := begin(t)
			touch(s, panels(o)[2])
			if r := s.refused("undo_overtaken", s.scan(cuts(o)[1], Undo)); !slices.Equal(r.Where.Tickets, panels(o)[2:3]) {
				t.Errorf("overtaken by %+v", r.Where)
			}
		})
	}
}

// TestUndoAfterARevision: a revision that gives a panel other numbers can't be undone past. Of one that leaves the step to be taken
// back, the step is then the ticket's as it is now, not the one of before.
func TestUndoAfterARevision(t *testing.T) {
	s := newShop(t)
	s.begin()
	s.cutAll(s.floor.Order("ORDER"))
	code := s.panel("Bay, left", "L").Spec.Code
	s.workTo(code, plan.Fold)
	s.do(s.scan(code, Start))
	now := *s.floor.Ticket(code).Spec
	now.Steps = slices.Clone(now.Steps)
	for i := range now.Steps {
		now.Steps[i].Cautions = []string{"of the revision"}
	}
	over := s.floor.Overlay()
	e := Event{Seq: s.floor.Seq() + 1, At: s.now, Action: Revise, Order: "ORDER", Revised: &Revised{Revision: 2, Specs: []Renumbered{{Spec: now}}}}
	over.Apply(e)
	s.note(e)
	s.floor = over.Floor()
	s.do(s.scan(code, Undo))
	s.is(code, plan.Fold, Ready)
	for i, step := range s.floor.Ticket(code).Steps {
		if !slices.Equal(step.Spec.Cautions, now.Steps[i].Cautions) {
			t.Errorf("%s is as the ticket had it before the revision", step.Spec.Station)
		}
	}

	s.do(s.scan(code, Start))
	if e := s.revise(bayLonger, bayLongerT); len(e.Revised.Changed) == 0 {
		t.Fatal("a longer window changes nothing")
	}
	s.refused("undo_overtaken", s.scan(code, Undo))
}
