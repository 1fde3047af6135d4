package stations

import (
	"slices"
	"strings"
	"testing"

	"tablehand/stations/plan"
)

// doorLine is the second window of revisedOrder.
const doorLine = "  - {window: Door, room: \"15\", heading: cartridge-tape, draw: one_way_left, face_width: 40, finished_length: 84, face: reed, lining: sateen}\n"

// TestRemovedWindowComesBack: a window taken off while its lining is cut and its face isn't keeps both its tickets'
// cuts, also where no bolt had room for them, and says so; put back, it is made as it was and says nothing.
func TestRemovedWindowComesBack(t *testing.T) {
	short := []string{"length: 40 yd, lot: A", "length: 1 yd, lot: A", "flaws: [{from: 7 yd, to: 7 yd 3 in}]", "flaws: []"}
	s := newShop(t)
	o := s.begin(short...)
	s.work(cuts(o)[1])
	door := s.panel("Door", "S").Spec.Code

	without := revisedOrder(t, append(slices.Clone(short), doorLine, "")...)
	s.do(ReviseOrder{Actor: office, Order: "ORDER", Sheet: s.sheet(without), Override: true, Reason: "more is coming"})
	inOrder(t, s.floor)
	if got := s.floor.Ticket(door); !got.Removed || got.Cancelled || !slices.Equal(got.Kept, []string{"quantity"}) || len(s.floor.Cutters(got)) != 2 {
		t.Errorf("removed: %v, cancelled: %v, kept %q, cut by %v", got.Removed, got.Cancelled, got.Kept, got.cutBy)
	}

	back := revisedOrder(t, short...)
	e := s.do(ReviseOrder{Actor: office, Order: "ORDER", Sheet: s.sheet(back), Override: true, Reason: "more is coming"})
	inOrder(t, s.floor)
	if got := s.floor.Ticket(door); got.Removed || len(got.Kept) > 0 || got.Spec.Drawn != nil || len(e.Tickets) > 0 {
		t.Errorf("back again: removed %v, kept %q, new tickets %v", got.Removed, got.Kept, e.Tickets)
	}
}

// TestRemovedPairComesBack: both panels of a window that was taken off after it was cut are the same when it is put back.
func TestRemovedPairComesBack(t *testing.T) {
	pair := strings.Replace(strings.Replace(doorLine, "Door", "Gate", 1), "one_way_left", "pair", 1)
	with := []string{doorLine, doorLine + pair, "length: 40 yd", "length: 80 yd", "length: 40 yd", "length: 80 yd"}
	s := newShop(t)
	s.cutAll(s.begin(with...))
	left, right := s.panel("Gate", "L").Spec.Code, s.panel("Gate", "R").Spec.Code
	s.revise(append(slices.Clone(with), pair, "")...)
	if l, r := s.floor.Ticket(left), s.floor.Ticket(right); !l.Removed || !r.Removed || l.Spec.Treatment != r.Spec.Treatment {
		t.Errorf("removed: %v and %v, of treatments %d and %d", l.Removed, r.Removed, l.Spec.Treatment, r.Spec.Treatment)
	}
	e := s.revise(with...)
	if l, r := s.floor.Ticket(left), s.floor.Ticket(right); l.Removed || r.Removed || len(e.Tickets) > 0 {
		t.Errorf("back again: removed %v and %v, new tickets %v", l.Removed, r.Removed, e.Tickets)
	}
}

// TestNewPanelsStandByTheirWindow: a panel that a revision adds stands behind the others of its window, and cuttings before all panels.
func TestNewPanelsStandByTheirWindow(t *testing.T) {
	s := newShop(t)
	s.cutAll(s.begin())
	e := s.revise("quantity: 1", "quantity: 2", "length: 40 yd", "length: 90 yd", "length: 40 yd", "length: 90 yd")
	var names []string
	for _, ticket := range s.floor.Order("ORDER").Tickets {
		names = append(names, s.names(ticket.Spec.Code))
	}
	want := []string{"reed", "sateen", "reed", "sateen", "Bay, left L", "Bay, left R", "Bay, left L", "Bay, left R", "Door S"}
	if !slices.Equal(names, want) {
		t.Errorf("with %d new tickets they stand as\n%q, want\n%q", len(e.Tickets), names, want)
	}
}

// TestHalfDropFoundTooLate: cloth that turns out to be half-drop after it was cut as straight changes no number that a
// station reads, but the pieces don't meet. The panels say so until the file is as it was; not before the cutting.
func TestHalfDropFoundTooLate(t *testing.T) {
	change := []string{"match: straight", "match: half_drop"}
	s := newShop(t)
	o := s.begin()
	if e := s.revise(change...); slices.ContainsFunc(e.Revised.Changed, func(c Changed) bool { return c.Protected }) {
		t.Errorf("nothing is cut yet: %s", s.tells(e))
	}
	s.revise()
	s.cutAll(o)
	code := s.panel("Bay, left", "L").Spec.Code
	e := s.revise(change...)
	if got := s.floor.Ticket(code); !slices.Equal(got.Kept, []string{cutsOnly}) || !got.ClothStays {
		t.Errorf("kept %q, cloth stays %v; told\n%s", got.Kept, got.ClothStays, s.tells(e))
	}
	if e := s.revise(change...); len(e.Revised.Changed) > 0 {
		t.Errorf("told again:\n%s", s.tells(e))
	}
	s.revise()
	if got := s.floor.Ticket(code); len(got.Kept) > 0 || got.Wanted != nil {
		t.Errorf("straight again, and still flagged: %q", got.Kept)
	}
}

// TestSentBackTakesTheRevision: what is sent back takes the numbers that its work kept, as far as its cloth does.
func TestSentBackTakesTheRevision(t *testing.T) {
	for _, tt := range []struct {
		name, length string
		takes        bool
	}{{"shorter: the cloth suffices", "finished_length: 80", true}, {"longer: it doesn't", "finished_length: 110", false}} {
		t.Run(tt.name, func(t *testing.T) {
			s := newShop(t)
			s.cutAll(s.begin())
			code := s.panel("Door", "S").Spec.Code
			s.workTo(code, plan.Tape)
			s.revise(longer, tt.length)
			if got := s.floor.Ticket(code); got.Wanted == nil || got.ClothStays == tt.takes || valueOf(got, plan.Fold, "finished_length") != "84in" {
				t.Fatalf("after the revision %+v", got)
			}
			e := s.do(s.scan(code, SendBack, to(plan.Joining)))
			got := s.floor.Ticket(code)
			want := "84in"
			if tt.takes {
				want = tt.length[len("finished_length: "):] + "in"
			}
			if valueOf(got, plan.Fold, "finished_length") != want || (e.Respec != nil) != tt.takes || (len(got.Kept) == 0) != tt.takes {
				t.Errorf("sent back, it folds to %s, kept %q", valueOf(got, plan.Fold, "finished_length"), got.Kept)
			}
			if e := s.revise(longer, tt.length); len(e.Revised.Changed) > 0 {
				t.Errorf("the same file again tells\n%s", s.tells(e))
			}
			s.workTo(code, "")
		})
	}
}

// TestJoinedWidthsStay: a panel joined of more widths than the newest file wants has them still when it is sent back to a
// later station; sent back to where they are joined, it takes the fewer.
func TestJoinedWidthsStay(t *testing.T) {
	s := newShop(t)
	s.cutAll(s.begin(wider, widerTo))
	code := s.panel("Door", "S").Spec.Code
	s.workTo(code, plan.Inserts)
	was := valueOf(s.floor.Ticket(code), plan.Cutting, "widths")
	s.revise()
	for _, tt := range []struct {
		to    plan.Station
		takes bool
	}{{plan.PullUp, false}, {plan.Joining, true}} {
		s.do(s.scan(code, SendBack, to(tt.to)))
		got := s.floor.Ticket(code)
		if w := valueOf(got, plan.Cutting, "widths"); (w != was) != tt.takes || slices.Contains(got.Kept, "widths") == tt.takes {
			t.Errorf("sent back to %s it has %s widths, where %s are cut, and keeps %q", tt.to, w, was, got.Kept)
		}
	}
	everyPanelHasATicket(t, s.floor.Order("ORDER"), revisedOrder(t))
}
