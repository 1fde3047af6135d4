package workup

import (
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// handSteps explains a heading set by hand: pleats, spaces and take-ups from the flat width that its widths give.
func (w *window) handSteps(s *sheet, p *Panel) {
	s.step("finished_width", s.length(p.FinishedWidth), "reached.hand", "", "finished_width_asked")
	s.step("deviation", s.length(p.Deviation), "deviation", "", "finished_width", "finished_width_asked")
	s.known["widths"] = measure.OfRatio(p.Widths.Ratio()) // told further down, with the cloth
	s.known["flat_width"] = s.length(p.FlatWidth)
	s.given("count_width", ofWidth)
	inputs := map[string][]string{
		"per_width": {"pleats_per_width", "widths", "usable_width", "count_width", "preferred_space"},
		"by_cloth":  {"pleats_per_width", "flat_width", "side_hem", "count_width"},
		"ranges":    {"finished_width", "return", "lead_flat", "flat_width", "space_min", "space_max", "take_up_min", "take_up_max"},
		"best":      {"finished_width", "return", "lead_flat", "space_min", "space_max", "take_up_min", "take_up_max", "pleats_per_width", "count_width"},
	}[w.hand.rule]
	s.step("pleats", measure.OfCount(p.Pleats), "pleats.hand."+w.hand.rule, w.countSource(), inputs...)
	s.step("edge_to_pleat", s.length(p.EdgeToPleat), "edge_to_pleat."+string(w.order.Conventions.PleatEnds), "", w.edgeInputs()...)
	w.leadStep(s, p)
	s.step("take_up", s.length(p.TakeUp), "take_up.hand", w.cited().TakeUp, "flat_width", "finished_width", "pleats")
	s.step("take_ups", s.lengths(p.TakeUps), "take_ups", sourcePractice, "take_up")
	s.known["space"] = s.length(p.Space)
	s.step("space", s.length(p.Space), "space."+string(w.order.Conventions.PleatEnds), w.cited().Space, "finished_width", "return", "lead_flat", "pleats")
	flat := w.flatRule(p)
	s.step("flat_width", s.length(p.FlatWidth), "flat_width."+flat, w.flatSource(), w.flatInputs(flat)...)
	s.step("fullness", measure.OfRatio(p.Fullness), "fullness", "", "flat_width", "finished_width")
	source := w.cited().Fullness
	if w.line.Fullness != nil {
		source = sourceOrder
	}
	s.step("fullness_asked", measure.OfRatio(p.FullnessAsked), "fullness_asked", source)
}

// cited are the sources of the heading's own row, as keys of the catalogue.
func (w *window) cited() orderfile.HeadingSources {
	s := w.heading.Sources
	for _, end := range []*string{&s.Fullness, &s.Count, &s.TakeUp, &s.Space, &s.Lead} {
		*end = "source." + *end
	}
	return s
}

// leadStep names what decides the flat at the lead.
func (w *window) leadStep(s *sheet, p *Panel) {
	formula, source, input := "lead_flat", w.cited().Lead, "overlap"
	switch {
	case w.line.LeadFlat != nil:
		formula, source, input = "lead_flat.given", sourceOrder, ""
	case w.line.Draw == orderfile.Pair:
	case w.line.OtherReturn() > 0:
		formula, source, input = "lead_flat.return", sourcePractice, "return_other"
	default:
		formula, source, input = "lead_flat.single", sourceShop, "single_lead"
	}
	inputs := []string{input}
	if input == "" {
		inputs = nil
	}
	s.step("lead_flat", s.length(p.LeadFlat), formula, source, inputs...)
}

// countSource names where the rule of the number of pleats comes from.
func (w *window) countSource() string {
	if w.hand.rule == "given" {
		return sourceOrder
	}
	return w.cited().Count
}

func (w *window) edgeInputs() []string {
	if w.hand.halves {
		return []string{"return", "space"}
	}
	return []string{"return"}
}

// flatRule says how the flat width came about: all that the widths give, trimmed to the fullness asked, less than that
// for the take-ups or for the seams, or more for the take-ups.
func (w *window) flatRule(p *Panel) string {
	c := w.handCloth
	switch {
	case p.TrimReturn+p.TrimLeading == 0:
		return "kept"
	case p.FlatWidth > c.flat():
		return "fuller"
	case p.FlatWidth == p.FinishedWidth+w.heading.TakeUp.Max.Times(p.Pleats):
		return "leaner"
	case p.FlatWidth < c.flat():
		return "seams"
	}
	return "trimmed." + string(w.order.Conventions.FullnessBasis)
}

func (w *window) flatSource() string {
	if w.keepsSurplus() {
		return sourcePractice
	}
	return sourceShop
}

func (w *window) flatInputs(rule string) []string {
	switch rule {
	case "kept":
		return []string{"widths", "usable_width", "join_loss", "side_hem"}
	case "seams":
		return []string{"widths", "usable_width", "join_loss", "side_hem", "fullness_slack"}
	case "fuller":
		return []string{"finished_width", "pleats", "take_up_min"}
	case "leaner":
		return []string{"finished_width", "pleats", "take_up_max", "fullness_slack"}
	}
	return []string{"finished_width", "face_width", "return", "overlap", "fullness_asked"}
}

// buckramSteps explains the stiffening of a heading set by hand, and where its first pleat stands.
func (w *window) buckramSteps(s *sheet, p *Panel) {
	s.step("buckram_piece", measure.OfSize(p.BuckramLength, p.BuckramHeight, s.units), "buckram_piece", sourcePractice, "flat_width", "heading_fold")
	s.step("corner_to_pleat", s.length(p.CornerToPleat), "corner_to_pleat.hand", "", "return", "edge_to_pleat")
}
