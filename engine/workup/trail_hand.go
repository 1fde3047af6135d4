package workup

import (
	"tablehand/engine/measure"
)

// handSteps explains a heading set by hand: pleats, spaces and take-ups from the flat width that its widths give.
func (w *window) handSteps(s *sheet, p *Panel) {
	s.step("finished_width", s.length(p.FinishedWidth), "reached.hand", "", "finished_width_asked")
	s.step("deviation", s.length(p.Deviation), "deviation", "", "finished_width", "finished_width_asked")
	s.known["widths"] = p.Widths.String() // told further down, with the cloth
	s.known["flat_width"] = s.length(p.FlatWidth)
	inputs := []string{"pleats_per_width", "widths", "preferred_space"}
	switch w.hand.rule {
	case "given":
		inputs = nil
	case "ranges":
		inputs = []string{"finished_width", "return", "lead_flat", "flat_width", "space_min", "space_max", "take_up_min", "take_up_max"}
	}
	s.step("pleats", measure.Count(p.Pleats), "pleats.hand."+w.hand.rule, w.countSource(), inputs...)
	s.step("edge_to_pleat", s.length(p.EdgeToPleat), "edge_to_pleat."+w.order.Conventions.PleatEnds, "", w.edgeInputs()...)
	source := sourcePractice
	if w.line.LeadFlat != nil {
		source = sourceOrder
	}
	s.step("lead_flat", s.length(p.LeadFlat), "lead_flat", source, "overlap")
	s.step("take_up", s.length(p.TakeUp), "take_up.hand", sourceWoodcock, "flat_width", "finished_width", "pleats")
	s.step("take_ups", s.lengths(p.TakeUps), "take_ups", sourcePractice, "take_up")
	s.known["space"] = s.length(p.Space)
	s.step("space", s.length(p.Space), "space."+w.order.Conventions.PleatEnds, sourceSinger, "finished_width", "return", "lead_flat", "pleats")
	s.step("flat_width", s.length(p.FlatWidth), "flat_width."+w.flatRule(p), w.flatSource(), w.flatInputs()...)
	s.step("fullness", p.Fullness.String(), "fullness", "", "flat_width", "finished_width")
	source = sourceCotswold
	if w.line.Fullness != nil {
		source = sourceOrder
	}
	s.step("fullness_asked", p.FullnessAsked.String(), "fullness_asked", source)
}

// countSource names where the rule of the number of pleats comes from.
func (w *window) countSource() string {
	if w.hand.rule == "given" {
		return sourceOrder
	}
	return sourceWoodcock
}

func (w *window) edgeInputs() []string {
	if w.hand.halves {
		return []string{"return", "space"}
	}
	return []string{"return"}
}

// flatRule says how the flat width came about: all that the widths give, or trimmed to the fullness asked.
func (w *window) flatRule(p *Panel) string {
	if p.TrimReturn+p.TrimLeading > 0 {
		return "trimmed." + w.order.Conventions.FullnessBasis
	}
	return "kept"
}

func (w *window) flatSource() string {
	if w.keepsSurplus() {
		return sourcePractice
	}
	return sourceShop
}

func (w *window) flatInputs() []string {
	if w.keepsSurplus() {
		return []string{"widths", "usable_width", "join_loss", "side_hem"}
	}
	return []string{"finished_width", "face_width", "return", "overlap", "fullness_asked"}
}

// buckramSteps explains the stiffening of a heading set by hand, and where its first pleat stands.
func (w *window) buckramSteps(s *sheet, p *Panel) {
	s.step("buckram_piece", s.length(p.BuckramLength)+" × "+s.length(p.BuckramHeight), "buckram_piece", sourcePractice, "flat_width", "heading_fold")
	s.step("corner_to_pleat", s.length(p.CornerToPleat), "corner_to_pleat.hand", "", "return", "edge_to_pleat")
}
