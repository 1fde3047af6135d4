package workup

import (
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// Sources, as catalogue keys: where a rule comes from that is no plain geometry.
const (
	sourceOrder    = "source.order"            // the order says so
	sourceTape     = "source.tape"             // the tape's own data
	sourceShop     = "source.convention"       // a convention of the shop, common practice by default
	sourceWidths   = "source.ufgs_widths"      // UFGS 12 22 00: full or half widths, at least the fullness asked
	sourceReached  = "source.ufgs_tolerance"   // UFGS 12 22 00: ±6 mm on the tabled size
	sourceRepeats  = "source.whole_repeats"    // W05, W07, W12, W14, W16
	sourceAddOne   = "source.add_one"          // M08, W16
	sourceDrop     = "source.half_drop"        // M10
	sourcePhases   = "source.half_drop_phases" // ideas-for-home-decorating.com, half-drop page
	sourceThread   = "source.thread"           // T03
	sourceHalf     = "source.half_repeat"      // Merrick & Day, p. 119
	sourceNearest  = "source.nearest_whole"    // M06
	sourceTotal    = "source.pair_total"       // W10, M06
	sourceHookDrop = "source.hook_drop"        // University of Minnesota, Territorial Hall draperies
	sourceWeights  = "source.weights"          // K. Stein's list of fabrication practices
	sourceCorners  = "source.corner_weights"   // University of Minnesota, Territorial Hall draperies
	sourcePractice = "source.common_practice"  // no published source
)

// Named is one number under its JSON key.
type Named struct {
	Name  string
	Value measure.Quantity
}

// Values returns every number of the panel in the order of the JSON.
func (p *Panel) Values() []Named {
	list := make([]Named, len(p.Trail))
	for i, s := range p.Trail {
		list[i] = Named{s.Name, s.Value}
	}
	return list
}

// sheet gathers the steps of one panel and what they were worked out from.
type sheet struct {
	units measure.Unit
	known map[string]measure.Quantity // values by name: what was given, and every step so far
	steps []Step
}

func (s *sheet) length(l measure.Length) measure.Quantity { return measure.OfLength(l, s.units) }

func (s *sheet) lengths(list []measure.Length) measure.Quantity {
	return measure.OfLengths(list, s.units)
}

// given notes an input that no step works out.
func (s *sheet) given(name string, l measure.Length) { s.known[name] = s.length(l) }

// step notes a number, its formula, and its inputs by name.
func (s *sheet) step(name string, value measure.Quantity, formula, source string, inputs ...string) {
	st := Step{Name: name, Value: value, Formula: "formula." + formula, Source: source, Inputs: make([]Input, len(inputs))}
	for i, in := range inputs {
		st.Inputs[i] = Input{in, s.known[in]}
	}
	s.known[name] = value
	s.steps = append(s.steps, st)
}

// Room for a panel's numbers and what they come from.
const (
	roomForKnown = 96
	roomForSteps = 48
)

// trail explains every number of a panel, in the order of the JSON.
func (w *window) trail(p *Panel) []Step {
	s := &sheet{units: w.order.Units, known: make(map[string]measure.Quantity, roomForKnown), steps: make([]Step, 0, roomForSteps)}
	w.givens(s, p)
	w.askedStep(s, p)
	if w.tape == nil {
		w.handSteps(s, p)
		w.clothSteps(s, p)
		w.lengthSteps(s, p)
		w.buckramSteps(s, p)
		w.fittingSteps(s, p)
		return s.steps
	}
	w.pulledSteps(s, p)
	w.pleatSteps(s, p)
	w.clothSteps(s, p)
	w.lengthSteps(s, p)
	w.tapeSteps(s, p)
	w.insertSteps(s, p)
	w.fittingSteps(s, p)
	return s.steps
}

// givens notes what the order, its tape and fabric, and the shop's conventions bring.
func (w *window) givens(s *sheet, p *Panel) {
	c := &w.order.Conventions
	if w.tape != nil {
		w.tapeGivens(s)
	} else {
		w.handGivens(s)
	}
	for name, l := range map[string]measure.Length{
		"face_width": w.line.FaceWidth, "return": w.ret(), "return_other": w.line.OtherReturn(), "overlap": w.line.Overlap,
		"ordered_width": w.line.FinishedWidth, "width_allowance": c.WidthAllowance, "usable_width": w.face.UsableWidth, "join_loss": w.joinLoss(),
		"vertical_repeat": w.face.VerticalRepeat, "thickness": w.face.Thickness, "side_hem": p.SideHem,
		"bottom_hem": p.BottomHem, "heading_fold": p.HeadingFold, "puddle": w.line.Puddle, "squaring": c.Squaring,
		"step": c.Step, "edge_clear": c.EdgeClear, "finished_length": w.finishedLength(),
	} {
		s.given(name, l)
	}
	s.known["shrink"] = measure.OfPercent(measure.Ratio{Num: int64(c.Shrink), Den: 100})
	if c.LengthAllowance != nil {
		s.given("length_allowance", *c.LengthAllowance)
	}
}

func (w *window) tapeGivens(s *sheet) {
	t := w.tape
	for name, l := range map[string]measure.Length{
		"period": t.Period, "pleat_base": t.PleatBase, "end_margin_min": t.EndMargin.Min, "end_margin_max": t.EndMargin.Max,
		"end_margin_nominal": t.EndMargin.Nominal, "ease_per_pleat": w.easePerPleat(), "tape_height": t.Height,
		"top_drop": t.TopDrop, "trim_beyond": t.TrimBeyond, "insert_length": t.InsertLength,
	} {
		s.given(name, l)
	}
}

func (w *window) handGivens(s *sheet) {
	d := w.heading
	for name, l := range map[string]measure.Length{
		"space_min": d.Space.Min, "space_max": d.Space.Max, "preferred_space": d.PreferredSpace,
		"take_up_min": d.TakeUp.Min, "take_up_max": d.TakeUp.Max,
	} {
		s.given(name, l)
	}
	s.known["pleats_per_width"] = measure.OfCount(w.order.Conventions.PleatsPerWidth)
	s.known["fullness_asked"] = measure.OfRatio(w.fullness())
	s.known["fullness_slack"] = measure.OfPercent(measure.Ratio{Num: int64(w.order.Conventions.FullnessSlack), Den: 100})
	s.given("lead_flat", w.leadFlat())
	s.given("single_lead", w.order.Conventions.SingleLead)
	s.given("space", w.hand.spaces.Div(int64(w.hand.gaps())))
}

func (w *window) askedStep(s *sheet, p *Panel) {
	asked := s.length(p.FinishedWidthAsked)
	switch {
	case w.ordered():
		s.step("finished_width_asked", asked, "asked.ordered", sourceOrder, "ordered_width")
	case w.line.Draw == orderfile.Pair:
		s.step("finished_width_asked", asked, "asked."+string(w.order.Conventions.OverlapBasis), sourceShop, "face_width", "overlap", "return")
	default:
		s.step("finished_width_asked", asked, "asked.one_way", "", "face_width", "return", "return_other")
	}
}

func (w *window) pulledSteps(s *sheet, p *Panel) {
	// Pleats and margin are solved first but told after the widths, so their values are noted ahead.
	s.known["pleats"], s.known["end_margin"] = measure.OfCount(p.Pleats), s.length(p.EndMargin)
	s.known["space"] = s.length(p.Space)
	switch w.pulled.rule {
	case "above":
		s.step("finished_width", s.length(p.FinishedWidth), "reached.above", sourceReached, "pleats", "space", "pleat_base", "end_margin", "finished_width_asked")
	case "opened":
		s.step("finished_width", s.length(p.FinishedWidth), "reached.opened", sourceTape, "finished_width_asked", "ease_per_pleat")
	default:
		s.step("finished_width", s.length(p.FinishedWidth), "reached.fits", "", "finished_width_asked")
	}
	s.step("tight_width", s.length(p.TightWidth), "tight_width", "", "pleats", "space", "pleat_base", "end_margin")
	s.step("deviation", s.length(p.Deviation), "deviation", "", "finished_width", "finished_width_asked")
	if a := p.Alternative; a != nil {
		s.step("alternative", measure.OfAlternative(a.Pleats, a.EndMargin, a.FinishedWidth, s.units),
			"alternative", "", "finished_width_asked", "space", "pleat_base", "end_margin_max")
	}
}

func (w *window) pleatSteps(s *sheet, p *Panel) {
	rule := w.pulled.rule
	s.step("pleats", measure.OfCount(p.Pleats), "pleats."+rule, sourceTape,
		"finished_width_asked", "space", "pleat_base", "end_margin_min", "end_margin_max", "end_margin_nominal")
	s.step("end_margin", s.length(p.EndMargin), "end_margin."+rule, sourceTape, "finished_width_asked", "pleats", "space", "pleat_base")
	s.step("edge_to_pleat", s.length(p.EdgeToPleat), "edge_to_pleat", "", "end_margin", "space")
	s.step("take_up", s.length(p.TakeUp), "take_up", sourceTape, "period", "space")
	s.step("space", s.length(p.Space), "space", sourceTape)
	s.step("flat_width", s.length(p.FlatWidth), "flat_width", "", "pleats", "period", "end_margin")
	s.step("fullness", measure.OfRatio(p.Fullness), "fullness", "", "flat_width", "finished_width")
}

func (w *window) clothSteps(s *sheet, p *Panel) {
	w.widthsStep(s, p)
	atReturn := p.TrimReturn + p.TurnedReturn
	s.given("surplus", atReturn+p.TrimLeading+p.TurnedLeading)
	off := "trim_return"
	if p.Turned {
		off = "turned_return"
	}
	s.known[off] = s.length(atReturn)
	s.step("seams", s.lengths(p.Seams), "seams", sourcePractice, "usable_width", "join_loss", off, "side_hem")
	s.step("seams_in_pleats", measure.OfCount(p.SeamsInPleats), "seams_in_pleats", sourcePractice, "seams", "take_up")
	s.step("seams_hidden", measure.OfCount(p.SeamsHidden), "seams_hidden", sourcePractice, "seams", "take_up")
	w.surplusSteps(s, p)
	if w.tape == nil {
		s.step("pleat_positions", s.lengths(p.PleatPositions), "pleat_positions.hand", "", "edge_to_pleat", "space", "take_ups")
		s.step("pleat_marks", s.lengths(p.PleatMarks), "pleat_marks", sourcePractice, "edge_to_pleat", "space", "take_ups", "step")
		return
	}
	s.step("pleat_positions", s.lengths(p.PleatPositions), "pleat_positions", "", "end_margin", "period", "pleats")
}

// surplusSteps tells where the surplus goes: trimmed off, turned into a tape's side hems, or none left.
func (w *window) surplusSteps(s *sheet, p *Panel) {
	if w.keepsSurplus() {
		s.step("trim_return", s.length(p.TrimReturn), "trim.kept", sourceShop)
		s.step("trim_leading", s.length(p.TrimLeading), "trim.kept", sourceShop)
		if w.tape != nil {
			s.step("turned_return", s.length(p.TurnedReturn), "trim_return", sourcePractice, "surplus", "step", "edge_clear")
			s.step("turned_leading", s.length(p.TurnedLeading), "turned_leading", "", "surplus", "turned_return")
		}
		return
	}
	s.step("trim_return", s.length(p.TrimReturn), "trim_return", sourcePractice, "surplus", "step", "edge_clear")
	s.step("trim_leading", s.length(p.TrimLeading), "trim_leading", "", "surplus", "trim_return")
}

// widthsStep names the rule that rounded the widths, and for a heading set by hand what the fullness asked for.
func (w *window) widthsStep(s *sheet, p *Panel) {
	c := &w.order.Conventions
	rule, source := string(c.WidthsRounding), sourceWidths
	switch nearest := c.WidthsRounding == orderfile.NearestWhole; {
	case nearest && w.splitsTotal():
		rule, source = "nearest_total", sourceNearest
	case nearest:
		source = sourceNearest
	case w.splitsTotal():
		rule, source = "total", sourceTotal
	}
	inputs := []string{"flat_width", "side_hem", "usable_width", "join_loss"}
	if c.WidthAllowance > 0 {
		inputs = append(inputs, "width_allowance")
	}
	if w.tape == nil {
		s.given("flat_asked", w.wantedFlat())
		inputs[0] = "flat_asked"
		if c.FullnessSlack > 0 {
			inputs = append(inputs, "fullness_slack")
		}
	}
	if w.line.Widths != nil {
		rule, source, inputs = "given", sourceOrder, nil
	}
	s.step("widths", measure.OfRatio(p.Widths.Ratio()), "widths."+rule, source, inputs...)
}

func (w *window) lengthSteps(s *sheet, p *Panel) {
	inputs := []string{"finished_length"}
	if h := w.line.Hang; h != nil { // shown as the sum that it is
		s.given("bearing_to_floor", h.BearingToFloor)
		s.given("heading_above_bearing", h.HeadingAboveBearing)
		s.given("clearance", h.Clearance)
		inputs = append(inputs, "bearing_to_floor", "heading_above_bearing", "clearance")
	}
	formula, hems := "plain_length.hems", []string{"heading_fold", "bottom_hem"}
	if w.order.Conventions.LengthAllowance != nil {
		formula, hems = "plain_length.allowance", []string{"length_allowance"}
	}
	inputs = append(append(append(inputs, "puddle"), hems...), "shrink", "squaring", "step")
	s.step("plain_length", s.length(p.PlainLength), formula, sourceShop, inputs...)
	w.cutSteps(s, p)
}

// cutRule is the formula and source of a face's cut.
func cutRule(c *orderfile.Conventions, f *orderfile.Fabric) (formula, source string) {
	if f.Plain() {
		return "cut_length.plain", ""
	}
	source = map[orderfile.RepeatRule]string{orderfile.AddOne: sourceAddOne, orderfile.OnPhase: sourceShop}[c.RepeatRule]
	if source == "" {
		source = sourceRepeats
	}
	formula = "cut_length." + string(c.RepeatRule)
	if halfDropped(f) && c.HalfDrop == orderfile.HalfRepeatACut {
		formula += ".half_drop"
		source = sourceHalf
	}
	return formula, source
}

// cutSteps names the rule that the cut follows, and half a repeat more of a half-drop where the shop allows for it so.
func (w *window) cutSteps(s *sheet, p *Panel) {
	c := &w.order.Conventions
	formula, source := cutRule(c, w.face)
	inputs := []string{"plain_length"}
	if !w.face.Plain() {
		inputs = append(inputs, "vertical_repeat")
	}
	s.step("cut_length", s.length(p.CutLength), formula, source, inputs...)
	if p.RepeatsPerCut > 0 {
		s.step("repeats_per_cut", measure.OfCount(p.RepeatsPerCut), "repeats_per_cut", sourceRepeats, "plain_length", "vertical_repeat")
	}
}

func (w *window) tapeSteps(s *sheet, p *Panel) {
	s.step("tape_piece", s.length(p.TapePiece), "tape_piece", "", "flat_width", "trim_beyond")
	s.step("tape_start", s.length(p.TapeStart), "tape_start", "", "end_margin", "trim_beyond")
	s.step("tape_pitch", s.length(p.TapePitch), "tape_pitch", "", "tape_piece", "period")
	s.step("stitching", s.length(p.Stitching), "stitching", "", "flat_width")
	s.step("stitch_line", s.length(p.StitchLine), "stitch_line", sourcePractice, "top_drop", "tape_height")
	s.step("cord_pull_out", s.length(p.CordPullOut), "cord_pull_out", "", "flat_width", "finished_width")
	s.step("cord_in_hand", s.length(p.CordInHand), "cord_in_hand", "", "cord_pull_out", "trim_beyond")
	s.step("cords", measure.OfCount(p.Cords), "cords", sourceTape)
	s.step("cord_total", s.length(p.CordTotal), "cord_total", "", "cords", "cord_in_hand")
	s.step("cord_end", measure.OfWord(string(p.CordEnd)), "cord_end", sourceOrder)
}

func (w *window) insertSteps(s *sheet, p *Panel) {
	s.step("inserts", measure.OfCount(p.Inserts), "inserts", "", "pleats")
	s.step("insert_piece", measure.OfSize(p.InsertLength, p.InsertHeight, s.units), "insert_piece", sourceTape, "insert_length", "tape_height")
	s.step("insert_turns", measure.OfRatio(p.InsertTurns), "insert_turns", "", "insert_length", "take_up")
	s.step("tube_diameter", s.length(p.TubeDiameter), "tube_diameter", "", "take_up")
	s.step("tube_gap", s.length(p.TubeGap), "tube_gap", "", "space", "pleat_base", "tube_diameter", "thickness")
	s.step("stack_back", s.length(p.StackBack), "stack_back", sourcePractice, "pleats", "tube_diameter", "thickness", "edge_to_pleat")
	s.step("corner_to_pleat", s.length(p.CornerToPleat), "corner_to_pleat", "", "return", "pleats", "finished_width", "end_margin")
}
