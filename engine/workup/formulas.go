package workup

import (
	"tablehand/engine/orderfile"
)

// Which formula a number of a panel goes by, where it isn't always the same: of its width, pleats, lengths and cloth. Those of what it hangs on
// and by are in hungformulas.go.

func askedRule(w *window, _ *Panel) reason {
	switch {
	case w.ordered():
		return because("asked.ordered", sourceOrder, "ordered_width")
	case w.line.Draw == orderfile.Pair:
		return because("asked."+string(w.order.Conventions.OverlapBasis), sourceShop, w.eased("face_width", "overlap", "return")...)
	}
	return because("asked.one_way", "", w.eased("face_width", "return", "return_other")...)
}

// eased adds what the shop gives a panel on a pole, where it gives any.
func (w *window) eased(inputs ...string) []string {
	if w.poleEase() > 0 {
		inputs = append(inputs, "pole_ease")
	}
	return inputs
}

func reachedRule(w *window, _ *Panel) reason {
	switch {
	case w.heading.Family != orderfile.SetByTape:
		return because("reached.hand", "", "finished_width_asked")
	case w.pulled.rule == "above":
		return because("reached.above", sourceReached, "pleats", "space", "pleat_base", "end_margin", "finished_width_asked")
	case w.pulled.atCorners():
		return because("reached.corners", sourceTape, "pleats", "space", "pleat_base", "return", "lead_flat")
	case w.pulled.rule == "opened":
		return because("reached.opened", sourceTape, "finished_width_asked", "ease_per_pleat")
	}
	return because("reached.fits", "", "finished_width_asked")
}

// pleatsFrom are what the count of pleats set by hand is worked out from, by its rule.
var pleatsFrom = map[string][]string{
	"per_width": {"pleats_per_width", "widths", "usable_width", "count_width", "preferred_space"},
	"by_cloth":  {"pleats_per_width", "flat_width", "side_hem", "count_width"},
	"ranges":    {"finished_width", "return", "lead_flat", "flat_width", "space_min", "space_max", "take_up_min", "take_up_max"},
	"best":      {"finished_width", "return", "lead_flat", "space_min", "space_max", "take_up_min", "take_up_max", "pleats_per_width", "count_width"},
	"in_range":  {"finished_width", "return", "lead_flat", "space_min", "space_max", "take_up_min", "take_up_max", "preferred_space"},
}

func pleatsRule(w *window, _ *Panel) reason {
	switch {
	case w.pulled.rule == "corners_given":
		return because("pleats.given", sourceOrder)
	case w.pulled.rule == "corners":
		return because("pleats.corners", sourceTape, "finished_width_asked", "space", "pleat_base", "return", "lead_flat")
	case w.tape != nil:
		return because("pleats."+w.pulled.rule, sourceTape, "finished_width_asked", "space", "pleat_base", "end_margin_min", "end_margin_max", "end_margin_nominal")
	case w.hand.rule == "given":
		return because("pleats.hand.given", sourceOrder)
	}
	formula := "pleats.hand." + w.hand.rule
	if w.hand.rule == "best" || w.hand.rule == "in_range" {
		formula = w.shared(formula)
	}
	return because(formula, w.cited().Count, pleatsFrom[w.hand.rule]...)
}

// shared is a formula for a count, as it is where that goes by the seams of both panels of a pair.
func (w *window) shared(formula string) string {
	if len(w.together()) > 1 {
		return formula + ".pair"
	}
	return formula
}

func tightRule(w *window, _ *Panel) reason {
	if w.pulled.atCorners() {
		return because("tight_width.corners", "", "pleats", "space", "pleat_base", "return", "lead_flat")
	}
	return because("tight_width", "", "pleats", "space", "pleat_base", "end_margin")
}

func alternativeRule(w *window, _ *Panel) reason {
	if w.pulled.atCorners() {
		return because("alternative.corners", "", "finished_width", "space", "pleat_base")
	}
	return because("alternative", "", "finished_width_asked", "space", "pleat_base", "end_margin_max")
}

func tapePitchRule(w *window, p *Panel) reason {
	if p.Holds == orderfile.OnCarriers {
		return because("tape_pitch.wave", "", "tape_piece", "pocket_pitch")
	}
	return because("tape_pitch", "", "tape_piece", "period")
}

func startRule(w *window, _ *Panel) reason {
	if w.pulled.atCorners() {
		return because("tape_start.corners", "", "return", "space", "trim_beyond", "period")
	}
	return because("tape_start", "", "end_margin", "trim_beyond")
}

func fingersRule(w *window, _ *Panel) reason {
	if w.tape != nil {
		return because("fingers", sourceTape)
	}
	return because("fingers.hand", "")
}

func marginRule(w *window, _ *Panel) reason {
	return because("end_margin."+w.pulled.rule, sourceTape, "finished_width_asked", "pleats", "space", "pleat_base")
}

func edgeRule(w *window, _ *Panel) reason {
	formula := "edge_to_pleat." + string(w.order.Conventions.PleatEnds)
	switch {
	case w.pulled.atCorners():
		return because("edge_to_pleat.at_edges", "", "return")
	case w.tape != nil:
		return because("edge_to_pleat", "", "end_margin", "space")
	case w.hand.halves:
		return because(formula, "", "return", "space")
	}
	return because(formula, "", "return")
}

// cited are the sources of the heading's own row, as keys of the catalogue.
func (w *window) cited() orderfile.HeadingSources {
	s := w.heading.Sources
	for _, end := range []*string{&s.Fullness, &s.Count, &s.TakeUp, &s.Space, &s.Lead, &s.Pitch} {
		*end = "source." + *end
	}
	return s
}

// leadRule names what decides the flat at the lead.
func leadRule(w *window, _ *Panel) reason {
	switch {
	case w.line.LeadFlat != nil:
		return because("lead_flat.given", sourceOrder)
	case w.line.Draw == orderfile.Pair:
		return because("lead_flat", w.cited().Lead, "overlap")
	case w.line.OtherReturn() > 0:
		return because("lead_flat.return", sourcePractice, "return_other")
	}
	return because("lead_flat.single", sourceShop, "single_lead")
}

func takeUpRule(w *window, _ *Panel) reason {
	if w.tape != nil {
		return because("take_up", sourceTape, "period", "space")
	}
	return because("take_up.hand", w.cited().TakeUp, "flat_width", "finished_width", "pleats")
}

func spaceRule(w *window, _ *Panel) reason {
	if w.tape != nil {
		return because("space", sourceTape)
	}
	return because("space."+string(w.order.Conventions.PleatEnds), w.cited().Space, "finished_width", "return", "lead_flat", "pleats")
}

// flatRule says how the flat width came about: by the tape; or all that the widths give, trimmed to the fullness asked, less than
// that for the take-ups or for the seams, or more for the take-ups.
func flatRule(w *window, p *Panel) reason {
	switch {
	case w.pulled.atCorners():
		return because("flat_width.corners", "", "pleats", "period", "take_up", "return", "lead_flat")
	case w.heading.Holds == orderfile.OnCarriers:
		return because("flat_width.carriers", "", "points", "pitch", "edge_to_point")
	case w.heading.Family == orderfile.SetByTape:
		return because("flat_width", "", "pleats", "period", "end_margin")
	}
	source := sourceShop
	if w.keepsSurplus() {
		source = sourcePractice
	}
	switch c := w.handCloth; {
	case p.Railroaded(): // just what is asked
	case w.placed() && p.FlatWidth == c.most.half() && p.FlatWidth < c.asked:
		return because("flat_width.motif", sourceOrder, "widths", "usable_width", "join_loss", w.edges(), "motif_cost")
	case p.TrimReturn+p.TrimLeading == 0:
		return because("flat_width.kept", source, "widths", "usable_width", "join_loss", w.edges())
	case w.heading.Family == orderfile.Continuous: // neither fuller nor leaner: it has no take-ups
	case p.FlatWidth > c.flat():
		return because("flat_width.fuller", source, "finished_width", "pleats", "take_up_min")
	case p.FlatWidth == p.FinishedWidth+w.heading.TakeUp.Max.Times(p.Pleats):
		return because("flat_width.leaner", source, "finished_width", "pleats", "take_up_max", "fullness_slack")
	case p.FlatWidth < c.flat():
		return because("flat_width.seams", source, "widths", "usable_width", "join_loss", w.edges(), "fullness_slack")
	}
	return because("flat_width.trimmed."+string(w.order.Conventions.FullnessBasis), source, "finished_width", "face_width", "return", "overlap", "fullness_asked")
}

func fullnessRule(w *window, _ *Panel) reason {
	if w.line.Fullness != nil {
		return because("fullness_asked", sourceOrder)
	}
	return because("fullness_asked", w.cited().Fullness)
}

// widthsRule names the rule that rounded the widths, and for a heading set by hand what the fullness asked for.
func widthsRule(w *window, p *Panel) reason {
	c := &w.order.Conventions
	if p.Railroaded() {
		return because("widths.railroaded", "")
	}
	if w.line.Widths != nil {
		return because("widths.given", sourceOrder)
	}
	rule, source := string(c.WidthsRounding), sourceWidths
	switch nearest := c.WidthsRounding == orderfile.NearestWhole; {
	case nearest && w.splitsTotal():
		rule, source = "nearest_total", sourceNearest
	case nearest:
		source = sourceNearest
	case w.splitsTotal():
		rule, source = "total", sourceTotal
	}
	inputs := []string{"flat_width", w.edges(), "usable_width", "join_loss"}
	if w.face.ShrinkWidth > 0 {
		inputs = append(inputs, "shrink_width")
	}
	if c.WidthAllowance > 0 {
		inputs = append(inputs, "width_allowance")
	}
	if w.heading.Family != orderfile.SetByTape && w.heading.Holds != orderfile.OnCarriers {
		inputs[0] = "flat_asked"
		if c.FullnessSlack > 0 {
			inputs = append(inputs, "fullness_slack")
		}
	}
	if w.placed() {
		inputs = append(inputs, "motif_cost")
	}
	return because("widths."+rule, source, inputs...)
}

// motifsRule says how the first motif lies from the return edge: where the fabric has it, or in the other half of a width.
func motifsRule(w *window, p *Panel) reason {
	off, edge := "trim_return", "side_hem"
	if p.Turned {
		off = "turned_return"
	}
	if w.joinedBand(orderfile.BandReturn) != nil {
		edge = "edge_inside"
	}
	return because("motif_positions", "", "motif_offset", "usable_width", edge, off, "horizontal_repeat")
}

func motifTrimRule(w *window, _ *Panel) reason {
	inputs := []string{"motif_offset", "usable_width", "horizontal_repeat", w.edges()}
	if w.line.Motif == orderfile.Mirrored {
		inputs = append(inputs, "motif_lead")
	} else {
		inputs = append(inputs, "flat_width")
	}
	return because("motif_trim."+string(w.line.Motif), sourcePractice, inputs...)
}

func seamsRule(w *window, p *Panel) reason {
	off, edge := "trim_return", "side_hem"
	if p.Turned {
		off = "turned_return"
	}
	if w.joinedBand(orderfile.BandReturn) != nil {
		edge = "edge_inside"
	}
	return because("seams", sourcePractice, "usable_width", "join_loss", off, edge)
}

// edges is the input for what the face has beyond its edges: four turns of side hem, or something else where a band is joined on.
func (w *window) edges() string {
	if w.joinedBand(orderfile.BandReturn) != nil || w.joinedBand(orderfile.BandLeading) != nil {
		return "edge_cloth"
	}
	return "side_hem"
}

func trimReturnRule(w *window, p *Panel) reason {
	if w.placed() {
		return w.placedTrimRule(p, false)
	}
	if w.keepsSurplus() {
		return because("trim.kept", sourceShop)
	}
	return because("trim_return", sourcePractice, "surplus", "step", "edge_clear")
}

func trimLeadingRule(w *window, p *Panel) reason {
	if w.placed() {
		return w.placedTrimRule(p, true)
	}
	if w.keepsSurplus() {
		return because("trim.kept", sourceShop)
	}
	return because("trim_leading", "", "surplus", "trim_return")
}

// placedTrimRule says what is trimmed at an edge of a panel whose motifs have their places.
func (w *window) placedTrimRule(p *Panel, leading bool) reason {
	if _, there := w.motifTrim(w.side, p.Widths, p.FlatWidth); there == leading {
		return because("trim.motif", sourceOrder, "motif_trim")
	}
	return because("trim.rest", "", "surplus", "motif_trim")
}

func positionsRule(w *window, _ *Panel) reason {
	if w.tape != nil {
		return because("pleat_positions", "", "end_margin", "period", "pleats")
	}
	return because("pleat_positions.hand", "", "edge_to_pleat", "space", "take_ups")
}

func placesRule(w *window, _ *Panel) reason {
	switch {
	case w.pulled.atCorners():
		return because("pleat_places.corners", "", "edge_to_pleat", "space", "pleat_base", "pleats")
	case w.tape != nil:
		return because("pleat_places", "", "end_margin", "finished_width", "pleats")
	}
	return because("pleat_places.hand", "", "edge_to_pleat", "space")
}

func plainRule(w *window, _ *Panel) reason {
	if w.face.Relax > 0 && w.joinedBand(orderfile.BandBottom) == nil {
		return because("plain_length.relaxed", sourceShop, append([]string{"table_length"}, w.lengthTurns("shrink", "squaring", "step")...)...)
	}
	if w.face.Relax > 0 {
		return because("plain_length.banded", sourceShop, append([]string{"table_length"}, w.lengthTurns("shrink", "squaring", "step")...)...)
	}
	inputs := []string{"finished_length"}
	if w.line.Hang != nil { // shown as the sum that it is
		edge := "heading_above_bearing"
		if w.line.Hang.HeadingAboveBearing < 0 {
			edge = "heading_below_bearing"
		}
		inputs = append(inputs, "bearing_to_floor", edge, "clearance")
	}
	formula := "plain_length.hems"
	switch {
	case w.joinedBand(orderfile.BandBottom) != nil:
		formula = "plain_length.banded"
	case w.order.Conventions.LengthAllowance != nil:
		formula = "plain_length.allowance"
	case w.heading.Family == orderfile.Continuous:
		formula = "plain_length.top"
	}
	source := sourceShop
	if w.sheer() && w.line.BottomHem == nil && w.order.Conventions.LengthAllowance == nil {
		source = sourceSheerHem
	}
	return because(formula, source, append(append(inputs, "puddle"), w.lengthTurns("shrink", "squaring", "step")...)...)
}

// lengthTurns are the inputs for what is turned in above and below the finished length, with more behind them.
func (w *window) lengthTurns(more ...string) []string {
	if w.joinedBand(orderfile.BandBottom) != nil {
		top := "heading_fold"
		if w.heading.Family == orderfile.Continuous {
			top = "top_allowance"
		}
		return append([]string{top, "band_bottom_width", "seam"}, more...)
	}
	switch {
	case w.order.Conventions.LengthAllowance != nil:
		return append([]string{"length_allowance"}, more...)
	case w.heading.Family == orderfile.Continuous:
		return append([]string{"top_allowance", "bottom_hem"}, more...)
	}
	return append([]string{"heading_fold", "bottom_hem"}, more...)
}

func cutRule(w *window, p *Panel) reason {
	if p.Railroaded() {
		return w.turnedRule()
	}
	return faceCutRule(&w.order.Conventions, w.face)
}

// turnedRule says how long a railroaded panel is along the bolt, with that at its edges.
func (w *window) turnedRule() reason {
	inputs := []string{"flat_width", w.edges()}
	if w.order.Conventions.WidthAllowance > 0 {
		inputs = append(inputs, "width_allowance")
	}
	if w.shrinkAlong() > 0 {
		inputs = append(inputs, "shrink_along")
	}
	return because("cut_length.railroaded", sourceTurned, append(inputs, "step")...)
}

// faceCutRule names the rule that a face's cut follows, and half a repeat more of a half-drop where the shop allows for it so.
func faceCutRule(c *orderfile.Conventions, f *orderfile.Fabric) reason {
	if f.Plain() {
		return because("cut_length.plain", "", "plain_length")
	}
	formula, source := "cut_length."+string(c.RepeatRule), sourceRepeats
	switch c.RepeatRule {
	case orderfile.AddOne:
		source = sourceAddOne
	case orderfile.OnPhase:
		source = sourceShop
	}
	if halfDropped(f) && c.HalfDrop == orderfile.HalfRepeatACut {
		formula, source = formula+".half_drop", sourceHalf
	}
	return because(formula, source, "plain_length", "vertical_repeat")
}

func cornerRule(w *window, _ *Panel) reason {
	switch {
	case w.pulled.atCorners():
		return because("corner_to_pleat.corners", "", "pleat_base")
	case w.tape != nil:
		return because("corner_to_pleat", "", "return", "pleats", "finished_width", "end_margin")
	}
	return because("corner_to_pleat.hand", "", "return", "edge_to_pleat")
}

// hiddenRule says where in a pleat a seam is out of sight.
func hiddenRule(w *window, _ *Panel) reason {
	rule := "seams_hidden"
	switch {
	case w.heading.Seams == orderfile.HiddenInFold:
		rule = "seams_hidden.fold"
	case w.tape == nil:
		rule = "seams_hidden.quarter"
	}
	return because(rule, sourcePractice, "seams", "take_up")
}

func insertsRule(w *window, p *Panel) reason {
	if p.InsertLength == 0 {
		return because("inserts.stuffed", "", "pleats")
	}
	return because("inserts", "", "pleats")
}

func insertRule(w *window, _ *Panel) reason {
	if w.tape != nil {
		return because("insert_piece", sourceTape, "insert_length", "tape_height")
	}
	return because("insert_piece.hand", sourcePractice, "take_up", "step", "heading_fold")
}

func tubeGapRule(w *window, _ *Panel) reason {
	if w.tape != nil {
		return because("tube_gap", "", "space", "pleat_base", "tube_diameter", "thickness")
	}
	return because("tube_gap.hand", "", "space", "tube_diameter", "thickness")
}

func liftRule(w *window, _ *Panel) reason {
	if w.puddleUnbacked() == 0 {
		return because("lining_lift", sourceShop)
	}
	return because("lining_lift.stop", sourceShop, "lining_lift_usual", "puddle")
}

// bandRule says how the strip along an edge is cut.
func bandRule(edge orderfile.BandEdge) func(*window, *Panel) reason {
	return func(w *window, p *Panel) reason {
		hem, along, formula := "side_hem", "whole_length", "band."+string(p.Band(edge).Method)
		if edge == orderfile.BandBottom {
			hem, along, formula = "bottom_hem", "band_reach", formula+".bottom"
		}
		width := "band_" + string(edge) + "_width"
		if p.Band(edge).Method == orderfile.Applied {
			return because(formula, sourcePractice, width, "band_turn", along)
		}
		return because(formula, sourcePractice, width, "seam", hem, along)
	}
}

// phaseRule says at which height of the pattern the cuts of a panel start so that its room's patterns hang at one height.
func phaseRule(w *window, _ *Panel) reason {
	above := "heading_fold"
	if w.heading.Family == orderfile.Continuous {
		above = "top_allowance"
	}
	from, source, inputs := orderfile.MotifFromHem, sourceHem, []string{"motif_height", "hem_height", above}
	if w.order.Conventions.MotifFrom == orderfile.MotifFromTop {
		from, source, inputs = orderfile.MotifFromTop, sourceTop, []string{"motif_height", above}
	} else if w.face.Relax > 0 {
		inputs = append(inputs, "length_on_table")
	} else {
		inputs = append(inputs, "finished_length")
	}
	if w.shrink() > 0 {
		inputs = append(inputs, "shrink")
	}
	return because("phase."+string(from), source, append(inputs, "vertical_repeat")...)
}
