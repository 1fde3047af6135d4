package stations

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
)

// tabOrder is an order of two windows on tabs, eight each, twelve in a row of its patterned cloth.
func tabOrder(t fataler, changes ...string) *workup.Workup {
	t.Helper()
	file := `order: ORDER
customer: Saltmarsh Inn
due: 2026-12-18
units: in
conventions: {surplus: keep, fullness_slack: 0}
rods: [{id: pole, diameter: 1 3/8}]
fabrics: [{id: reed, use: face, usable_width: 60, vertical_repeat: 25, bolts: [{id: R1, length: 20 yd, lot: A, first_repeat: 4}, {id: R2, length: 20 yd, lot: B}]}]
treatments: [{window: Bay, heading: tab, draw: stationary, quantity: 2, finished_width: 36, fullness: 1.5, finished_length: 80, face: reed}]
`
	for i := 0; i < len(changes); i += 2 {
		if !strings.Contains(file, changes[i]) {
			t.Fatalf("no %q in the order", changes[i])
		}
		file = strings.Replace(file, changes[i], changes[i+1], 1)
	}
	o, problems := orderfile.Parse([]byte(file))
	if engine.AnyError(problems) {
		t.Fatalf("the order: %+v", problems)
	}
	return workup.Compute(o)
}

// tabs releases the order of two windows on tabs.
func tabs(t *testing.T, changes ...string) (s *shop, w *workup.Workup, cutting plan.Code) {
	t.Helper()
	s, w = newShop(t), tabOrder(t, changes...)
	s.do(TakeOrder{Actor: office, Order: "ORDER", Customer: w.Order.Customer, Due: w.Order.Due, Digest: "d"})
	s.do(ReleaseOrder{Actor: office, Order: "ORDER", Tickets: plan.Tickets(w, nil, s.code)})
	return s, w, s.cutting("reed", 1).Spec.Code
}

func (s *shop) reviseTabs(changes ...string) *workup.Workup {
	s.t.Helper()
	w := tabOrder(s.t, changes...)
	s.do(ReviseOrder{Actor: office, Order: "ORDER", Sheet: s.sheet(w)})
	inOrder(s.t, s.floor)
	soundly(s.t, s, w, "reed")
	return w
}

// copyOf is the panel of a window of several.
func (s *shop) copyOf(nth int) *Ticket {
	for _, t := range s.floor.Order("ORDER").Tickets {
		if t.isPanel() && !t.Cancelled && t.Spec.Copy == nth {
			return t
		}
	}
	s.t.Fatalf("no window %d", nth)
	return nil
}

// cutFor writes a cutting ticket's cuts, what each is for whom: "width 1", "tabs 1×8 2×4", made ones with a star, sorted.
func (s *shop) cutFor(code plan.Code) string {
	var list []string
	for _, l := range s.floor.Ticket(code).Spec.Cuts {
		text := string(l.Trimming)
		if text == "" {
			text = "width"
		}
		for _, p := range l.For {
			text += fmt.Sprintf(" %d", p.Copy)
			if p.Count > 0 {
				text += fmt.Sprintf("×%d", p.Count)
			}
		}
		if l.Done {
			text += " *"
		}
		list = append(list, text)
	}
	slices.Sort(list)
	return strings.Join(list, ", ")
}

// tell says of the first cut of a kind that is for a window, or of the first at all, that it is made.
func (s *shop) tell(w *workup.Workup, code plan.Code, use workup.TrimmingUse, nth int) {
	s.t.Helper()
	for _, l := range s.floor.Ticket(code).Spec.Cuts {
		if l.Trimming == use && !l.Done && slices.ContainsFunc(l.For, func(p plan.CutPart) bool { return p.Copy == nth }) {
			s.do(s.told(w, code, Cut, func(c *Scan) { c.Cut = l.Cut }))
			return
		}
	}
	s.t.Fatalf("no cut of %q for window %d", use, nth)
}

func (s *shop) cutsAre(code plan.Code, want string) {
	s.t.Helper()
	if got := s.cutFor(code); got != want {
		s.t.Fatalf("cut is\n%s, want\n%s", got, want)
	}
}

const bothTabbed = "facing 1×1, facing 2×1, tabs 1×8 2×4, tabs 2×4, width 1, width 2"

// TestTabsOnTheCuttingTicket: rows and strips are cuts of their own, numbered with the others, of one lot with them, on no pattern's phase.
func TestTabsOnTheCuttingTicket(t *testing.T) {
	s, w, code := tabs(t)
	s.cutsAre(code, bothTabbed)
	soundly(t, s, w, "reed")
	spec := s.floor.Ticket(code).Spec
	if got := spec.Number("cuts").String(); got != "6" {
		t.Errorf("%s cuts", got)
	}
	for _, l := range spec.Cuts {
		if l.Lot != "A" || l.Class != "" || l.Trimming != "" && !(l.TrimTop.IsZero() && l.TrimBottom.IsZero()) {
			t.Errorf("%+v", l)
		}
	}
	for _, l := range plan.Tickets(tabOrder(t, "vertical_repeat: 25", "vertical_repeat: 25, match: half_drop"), nil, s.code)[0].Cuts {
		if (l.Class == "") != (l.Trimming != "") {
			t.Errorf("of a half-drop: %+v", l)
		}
	}
	s.work(code)
	s.is(s.copyOf(2).Spec.Code, plan.Joining, Ready)
}

// TestRemakeWithTabs: a panel made anew gets its width, its facing and its eight tabs in one row, though the order's have them in two.
func TestRemakeWithTabs(t *testing.T) {
	s, w, code := tabs(t)
	s.work(code)
	panel := s.copyOf(2).Spec.Code
	s.do(Scan{Actor: bench, Ticket: panel, Action: Hold, Reason: "scorched"})
	sheet := Sheet{Work: w, Digest: s.floor.Order("ORDER").Digest, Codes: s.code}
	s.do(Scan{Actor: office, Ticket: panel, Action: Remake, Reason: "scorched", Sheet: &sheet})
	again := s.cutting("reed", 2).Spec
	s.cutsAre(again.Code, "facing 2×1, tabs 2×8, width 2")
	soundly(t, s, w, "reed")
	for _, l := range again.Cuts {
		if l.Lot != "A" {
			t.Errorf("of another lot: %+v", l)
		}
	}
	inOrder(t, s.floor)
}

// TestReviseTabs: what is cut stays, and what isn't is laid close again: no tab is cut twice, and none is forgotten.
func TestReviseTabs(t *testing.T) {
	three := []string{"quantity: 2", "quantity: 3"}
	for _, c := range []struct {
		name   string
		made   func(s *shop, w *workup.Workup, code plan.Code)
		change []string
		want   string
		kept   []int // windows that keep something
	}{
		{"one window more", nil, three, "facing 1×1, facing 2×1, facing 3×1, tabs 1×8 2×4, tabs 2×4 3×8, width 1, width 2, width 3", nil},
		{"one more after the first row", func(s *shop, w *workup.Workup, code plan.Code) { s.tell(w, code, workup.ForTabs, 1) }, three,
			"facing 1×1, facing 2×1, facing 3×1, tabs 1×8 2×4 *, tabs 2×4 3×8, width 1, width 2, width 3", nil},
		{"one more after the second row", func(s *shop, w *workup.Workup, code plan.Code) {
			s.tell(w, code, workup.ForTabs, 1)
			s.tell(w, code, workup.ForTabs, 2)
		}, three, "facing 1×1, facing 2×1, facing 3×1, tabs 1×8 2×4 *, tabs 2×4 *, tabs 3×8, width 1, width 2, width 3", nil},
		{"more tabs, nothing cut", nil, []string{"fullness: 1.5", "fullness: 1.5, points: {count: 9}"}, "facing 1×1, facing 2×1, tabs 1×9 2×3, tabs 2×6, width 1, width 2", nil},
		{"more tabs after the first row", func(s *shop, w *workup.Workup, code plan.Code) { s.tell(w, code, workup.ForTabs, 1) },
			[]string{"fullness: 1.5", "fullness: 1.5, points: {count: 9}"}, "facing 1×1, facing 2×1, tabs 1×1 2×5, tabs 1×8 2×4 *, width 1, width 2", nil},
		{"longer tabs after the first row", func(s *shop, w *workup.Workup, code plan.Code) { s.tell(w, code, workup.ForTabs, 1) },
			[]string{"fullness: 1.5", "fullness: 1.5, tab: {gap: 3}"}, "facing 1×1, facing 2×1, tabs 1×8 2×4 *, tabs 2×4, width 1, width 2", []int{1, 2}},
		{"one window less", nil, []string{"quantity: 2", "quantity: 1"}, "facing 1×1, tabs 1×8, width 1", nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, w, code := tabs(t)
			if c.made != nil {
				s.do(Scan{Actor: bench, Ticket: code, Station: plan.Cutting, Action: Start})
				c.made(s, w, code)
			}
			s.reviseTabs(c.change...)
			s.cutsAre(code, c.want)
			for nth := 1; nth <= 2; nth++ {
				want := slices.Contains(c.kept, nth)
				if c.name == "one window less" && nth == 2 {
					continue
				}
				if got := s.copyOf(nth); len(got.Kept) > 0 != want {
					t.Errorf("window %d keeps %q", nth, got.Kept)
				}
			}
		})
	}
}

// TestScrapWithTabs: of a panel that ends, what isn't cut goes: its own rows and strips, and of a row with another's its part.
func TestScrapWithTabs(t *testing.T) {
	s, w, code := tabs(t)
	s.do(Scan{Actor: bench, Ticket: code, Station: plan.Cutting, Action: Start})
	s.tell(w, code, "", 2)
	s.do(scrapping(s, s.copyOf(2).Spec.Code, false))
	s.cutsAre(code, "facing 1×1, tabs 1×8, width 1, width 2 *")
	inOrder(t, s.floor)
}

// TestFlawUnderTabs: what a flaw has moved lies around it, the widths on the pattern and the rows wherever there is room; a row that is spoilt
// is cut again.
func TestFlawUnderTabs(t *testing.T) {
	s, w, code := tabs(t)
	s.do(Scan{Actor: bench, Ticket: code, Station: plan.Cutting, Action: Start})
	s.tell(w, code, workup.ForTabs, 1)
	row := slices.IndexFunc(s.floor.Ticket(code).Spec.Cuts, func(l plan.Cut) bool { return l.Done })
	s.do(s.told(w, code, Spoil, func(c *Scan) { c.Cut, c.Reason = s.floor.Ticket(code).Spec.Cuts[row].Cut, "torn" }))
	s.cutsAre(code, bothTabbed)
	soundly(t, s, w, "reed")
	s.do(s.told(w, code, Flaw, func(c *Scan) { c.Bolt, c.From, c.To = "R1", "100", "110" }))
	s.cutsAre(code, bothTabbed)
	soundly(t, s, w, "reed")
	off := 0
	for _, l := range s.floor.Ticket(code).Spec.Cuts {
		if l.Bolt == "" || l.Trimming != "" && !(l.TrimTop.IsZero() && l.TrimBottom.IsZero()) {
			t.Errorf("without a place, or trimmed: %+v", l)
		}
		if (l.From.Length()-4*measure.Inch)%(25*measure.Inch) != 0 {
			off++
		}
	}
	if off < 2 {
		t.Errorf("%d of four rows and strips off the pattern", off)
	}
	inOrder(t, s.floor)
}
