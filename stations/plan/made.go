package plan

import (
	"slices"

	"tablehand/engine/workup"
)

// MadeBy reports whether a panel's ticket has the numbers that a work-up gives its panel at a treatment. One that was
// released under other rules of the calculation has its own, and a drawing of the work-up would say others. Numbers that
// only one of them has are no matter.
func (s *Ticket) MadeBy(w *workup.Workup, treatment int) bool {
	if s.Kind == PieceTicket {
		return s.pieceBy(w, treatment)
	}
	if treatment < 0 || treatment >= len(w.Treatments) {
		return false
	}
	t := &w.Treatments[treatment]
	i := slices.IndexFunc(t.Panels, func(p workup.Panel) bool { return string(p.ID) == s.Panel })
	if i < 0 {
		return false
	}
	now := panelTicket(w, nil, t, &t.Panels[i])
	return s.agrees(&now)
}

// pieceBy is MadeBy for the ticket of a piece.
func (s *Ticket) pieceBy(w *workup.Workup, line int) bool {
	i := line - len(w.Treatments)
	if i < 0 || i >= len(w.Pieces) {
		return false
	}
	now := pieceTicket(w, nil, &w.Pieces[i])
	return s.agrees(&now)
}

// agrees reports whether the numbers that two tickets of one panel have in common are alike.
func (s *Ticket) agrees(now *Ticket) bool {
	for k := range s.Steps {
		step := now.At(s.Steps[k].Station)
		for _, v := range s.Steps[k].Values {
			if step != nil && !step.Value(v.Name).IsZero() && step.Value(v.Name) != v.Value {
				return false
			}
		}
	}
	return true
}

// CutBy reports whether a cutting ticket has as many cuts and as much cloth as a work-up gives its fabric.
func (s *Ticket) CutBy(w *workup.Workup) bool {
	for i := range w.Cloth {
		if w.Cloth[i].Fabric.ID == s.Fabric {
			step := ClothOf(w, &w.Cloth[i]).step()
			return step.Value("cuts") == s.Steps[0].Value("cuts") && step.Value("length") == s.Steps[0].Value("length")
		}
	}
	return false
}
