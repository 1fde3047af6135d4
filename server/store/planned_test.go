package store

import (
	"context"
	"errors"
	"testing"
	"time"

	"tablehand/engine"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/stations"
	"tablehand/stations/plan"
)

// revision is one of the order SMI-1 that wants one new window; codes gives its ticket's code.
func revision(t *testing.T, codes func() plan.Code) (stations.ReviseOrder, []byte) {
	t.Helper()
	source := []byte(`{order: SMI-1, customer: Saltmarsh Inn, units: in, fabrics: [{id: reed, use: face, usable_width: 54}],
  treatments: [{window: Door, heading: pinch-2, draw: one_way_left, face_width: 40, finished_length: 84, face: reed}]}`)
	o, problems := orderfile.Parse(source)
	if engine.AnyError(problems) {
		t.Fatal(problems)
	}
	return stations.ReviseOrder{Actor: office, Order: "SMI-1", Key: "revision", Sheet: stations.Sheet{Work: workup.Compute(o), Codes: codes}}, source
}

// While a revision is being planned, which takes seconds for an order of thousands of windows, scans are kept.
func TestAScanDoesNotWaitForAPlan(t *testing.T) {
	s := openShop(t, t.TempDir())
	order(t, s, "SMI-1", 1, 2)
	order(t, s, "SMI-2", 11, 2)
	drawn := 100
	cmd, source := revision(t, func() plan.Code {
		if drawn++; drawn == 101 {
			ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
			defer cancel()
			if _, err := s.Do(ctx, scan(code(12), stations.Hold, "", "beside")); err != nil {
				t.Error("a scan beside a revision:", err)
			}
		}
		return code(drawn)
	})
	if e, err := s.ReviseOrder(context.Background(), cmd, source); err != nil || e.Seq != s.Floor().Seq() || e.Revised.Revision != 2 {
		t.Errorf("the revision is event %d of %d, %v", e.Seq, s.Floor().Seq(), err)
	}
	seq := s.Floor().Seq()
	if e, err := s.ReviseOrder(context.Background(), cmd, source); err != nil || e.Seq != seq || s.Floor().Seq() != seq {
		t.Errorf("sent again it is event %d of %d, %v", e.Seq, s.Floor().Seq(), err)
	}
	mustAudit(t, s)
}

// A plan whose order is scanned meanwhile is made again, and in the end the command is done in its turn.
func TestAPlanThatIsOvertaken(t *testing.T) {
	for _, overtaken := range []int{1, mostPlans} {
		s := openShop(t, t.TempDir())
		order(t, s, "SMI-1", 1, 2)
		plans := 0
		cmd, source := revision(t, func() plan.Code { // of the new panel
			if plans++; plans <= overtaken {
				mustDo(t, s, toggle(code(2), plans-1, ""))
			}
			return code(100 + plans)
		})
		e, err := s.ReviseOrder(context.Background(), cmd, source)
		if err != nil || plans != overtaken+1 {
			t.Fatalf("overtaken %d times it is planned %d times, %v", overtaken, plans, err)
		}
		if e.Seq != s.Floor().Seq() || len(e.Tickets) != 1 || s.Floor().Ticket(code(100+plans)) == nil {
			t.Errorf("overtaken %d times it is event %d of %d with tickets %v", overtaken, e.Seq, s.Floor().Seq(), e.Tickets)
		}
		mustAudit(t, s)
	}
}

// A panic of the floor's rules while planning ends neither the shop nor anything but that command.
func TestAPlanThatPanics(t *testing.T) {
	s := openShop(t, t.TempDir())
	order(t, s, "SMI-1", 1, 2)
	cmd, source := revision(t, func() plan.Code { panic("the floor's rules") })
	if _, err := s.ReviseOrder(context.Background(), cmd, source); !errors.Is(err, ErrBusy) {
		t.Errorf("a revision that panics: %v", err)
	}
	mustDo(t, s, scan(code(2), stations.Hold, "", "after"))
	mustAudit(t, s)
}

// What is refused by plan is refused, and a refusal is of the floor as it is by then.
func TestAPlanThatIsRefused(t *testing.T) {
	s := openShop(t, t.TempDir())
	order(t, s, "SMI-1", 1, 2)
	if _, err := s.Do(context.Background(), stations.ReleaseOrder{Actor: office, Order: "SMI-1"}); refusal(err) != "already_released" {
		t.Errorf("released twice: %v", err)
	}
	cmd, source := revision(t, func() plan.Code { return code(1) })
	if _, err := s.ReviseOrder(context.Background(), cmd, source); refusal(err) != "busy" {
		t.Errorf("a code of two tickets: %v", err)
	}
	mustAudit(t, s)
}
