package order

import (
	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/views"
)

// Shortage is a fabric whose bolts don't do for an order: too little cloth, or enough only from several dye lots.
type Shortage struct {
	Fabric  string
	Index   int              // among the order's fabrics
	Short   measure.Quantity // the length that lacks, Nothing where only lots mix
	ToOrder measure.Quantity // the same as it is bought, up to the order step
	Missing []MissingCuts
	Mixed   []string // windows that can only be cut from several lots
	More    int      // of both, that a page doesn't show
	OnHand  []BoltOnHand
}

// MissingCuts are the cuts of one window that no bolt has room for.
type MissingCuts struct {
	Window string
	Count  int
	Length measure.Quantity // of the longest
	Lot    string           // from which the window's other cuts come, "" where none is placed or its bolt has no lot
}

// BoltOnHand is a bolt that the order lists.
type BoltOnHand struct {
	ID, Lot string
	Length  measure.Quantity
}

// ShortagesOf tells which fabrics of an order don't do, what they lack and what there is.
func ShortagesOf(w *workup.Workup) []Shortage {
	var list []Shortage
	for _, plan := range w.Cloth {
		if len(plan.Plan.Unplaced) == 0 && len(plan.Plan.Mixed) == 0 {
			continue
		}
		s := Shortage{Fabric: plan.Fabric.ID, Missing: missingOf(w, &plan), Mixed: mixedOf(w, &plan)}
		for i := range w.Order.Fabrics {
			if &w.Order.Fabrics[i] == plan.Fabric {
				s.Index = i
			}
		}
		if plan.Plan.Short > 0 {
			s.Short = measure.OfLength(plan.Plan.Short, w.Order.Units)
			s.ToOrder = measure.OfLength(plan.Plan.Short.CeilTo(w.Order.Conventions.OrderStep), views.ClothUnit(w.Order.Units))
		}
		for _, b := range plan.Fabric.Bolts {
			s.OnHand = append(s.OnHand, BoltOnHand{b.ID, b.Lot, measure.OfLength(b.Length, views.ClothUnit(w.Order.Units))})
		}
		s.shorten()
		list = append(list, s)
	}
	return list
}

// linesAtOnce is of how many windows a page says what they lack.
const linesAtOnce = 6

func (s *Shortage) shorten() {
	all := len(s.Missing) + len(s.Mixed)
	s.Missing = s.Missing[:min(len(s.Missing), linesAtOnce)]
	s.Mixed = s.Mixed[:min(len(s.Mixed), linesAtOnce)]
	s.More = all - len(s.Missing) - len(s.Mixed)
}

// missingOf gathers the cuts without a place by window, in the order of the windows.
func missingOf(w *workup.Workup, plan *workup.ClothPlan) []MissingCuts {
	bolts := map[string]string{} // by cut
	for _, p := range plan.Plan.Placements {
		bolts[p.Cut] = p.Bolt
	}
	lots := map[string]string{} // by bolt
	for _, b := range plan.Fabric.Bolts {
		lots[b.ID] = b.Lot
	}
	unplaced := map[string]bool{}
	for _, id := range plan.Plan.Unplaced {
		unplaced[id] = true
	}
	of := make([]MissingCuts, len(w.Treatments))
	longest := make([]measure.Length, len(w.Treatments))
	for _, c := range plan.Cuts {
		if c.Treatment < 0 || c.Treatment >= len(of) {
			continue
		}
		switch m := &of[c.Treatment]; {
		case unplaced[c.ID]:
			m.Count++
			longest[c.Treatment] = max(longest[c.Treatment], c.Length)
		case m.Lot == "":
			m.Lot = lots[bolts[c.ID]]
		}
	}
	var list []MissingCuts
	for i, m := range of {
		if m.Count > 0 {
			m.Window, m.Length = w.Treatments[i].Window, measure.OfLength(longest[i], w.Order.Units)
			list = append(list, m)
		}
	}
	return list
}

func mixedOf(w *workup.Workup, plan *workup.ClothPlan) []string {
	var windows []string
	for _, i := range plan.MixedTreatments() {
		if i < len(w.Treatments) {
			windows = append(windows, w.Treatments[i].Window)
		}
	}
	return windows
}
