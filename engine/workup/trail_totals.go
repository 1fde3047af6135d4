package workup

import (
	"slices"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// The numbers of a treatment's fabrics and of the order's totals are explained as a panel's are, when somebody asks.

// totalSheet begins a trail of totals.
func (w *Workup) totalSheet() *sheet {
	return &sheet{units: w.Order.Units, known: map[string]measure.Quantity{}}
}

// UseTrail explains what a treatment takes of a fabric: cuts, cut_length and length.
func (w *Workup) UseTrail(t *Treatment, u *FabricUse) []Step {
	s, c, f := w.totalSheet(), &w.Order.Conventions, w.Order.Fabric(u.Fabric)
	var widths []measure.Quantity
	for i, h := range u.Widths {
		if h > 0 { // a panel that runs otherwise is another entry's
			widths = append(widths, measure.OfRatio(h.Ratio()))
			s.given("flat_width", t.Panels[i].FlatWidth)
			s.given("side_hem", t.Panels[i].SideHem)
		}
	}
	if u.Cuts == 0 { // of bands alone
		s.lengthStep(c, u)
		return s.steps
	}
	s.given("width_allowance", c.WidthAllowance)
	s.given("step", c.Step)
	s.known["widths"], s.known["quantity"] = measure.OfSum(widths), measure.OfCount(t.Quantity)
	s.given("vertical_repeat", f.VerticalRepeat)
	if u.Railroaded {
		s.known["panels"] = measure.OfCount(len(widths))
		s.step("cuts", measure.OfCount(u.Cuts), "cuts.railroaded", "", "panels", "quantity")
	} else {
		s.step("cuts", measure.OfCount(u.Cuts), "cuts", sourceWidths, "widths", "quantity")
	}
	switch {
	case u.Railroaded && u.Use == orderfile.Face:
		on := &window{order: w.Order, list: "treatments", line: &w.Order.Treatments[t.Index], face: f}
		s.given("edge_cloth", on.besides())
		s.known["shrink_along"] = percent((*window).shrinkAlong)(on, nil)
		s.because("cut_length", s.length(u.CutLength), on.turnedRule())
	case u.Railroaded:
		s.step("cut_length", s.length(u.CutLength), "cut_length.railroaded_lining", sourceTurned, "flat_width", "step")
	case u.Use == orderfile.Face:
		s.given("plain_length", u.PlainLength)
		w.faceCutStep(s, f, u)
	default:
		w.linedCutStep(s, t, u)
	}
	s.lengthStep(c, u)
	return s.steps
}

// lengthStep explains what the cuts take in a row on the cloth, with the rows of trimmings beside them.
func (s *sheet) lengthStep(c *orderfile.Conventions, u *FabricUse) {
	own, more := u.Length, ""
	inputs := []string{"cuts", "cut_length"}
	if len(u.Trimmings) > 0 {
		var rows []measure.Quantity
		for _, t := range u.Trimmings {
			rows, own = append(rows, s.length(t.Length())), own-t.Length()
		}
		s.known["trimmings"] = measure.OfSum(rows)
		if u.Cuts == 0 {
			s.step("length", s.length(u.Length), "length.trimmings", "", "trimmings")
			return
		}
		inputs, more = append(inputs, "trimmings"), ".trimmed"
	}
	switch plain := u.CutLength.Times(u.Cuts); {
	case own == plain:
		s.step("length", s.length(u.Length), "length.cuts"+more, "", inputs...)
	case c.RepeatRule == orderfile.OnPhase:
		s.step("length", s.length(u.Length), "length.on_phase"+more, sourceShop, append(inputs, "vertical_repeat")...)
	default:
		s.step("length", s.length(u.Length), "length.half_drop"+more, sourcePhases, append(inputs, "vertical_repeat")...)
	}
}

// partInputs are what each part of a cushion is as large as: its sizes, and the seams around it. A welt is sewn in flat.
var partInputs = map[string][]string{
	"face":   {"size_width", "size_depth", "seam"},
	"boxing": {"size_width", "size_depth", "size_thickness", "seam"},
	"welt":   {"size_width", "size_depth", "size_welt"},
}

// PieceTrail explains one piece: the parts of a cushion, the widths and the plain length of a valance. Other pieces have nothing that
// is worked out.
func (w *Workup) PieceTrail(p *PieceWork) []Step {
	s, line := w.totalSheet(), &w.Order.Pieces[p.Index]
	for _, size := range line.Sizes {
		s.given("size_"+size.Name, size.Length)
	}
	s.given("seam", w.Order.Conventions.Seam)
	for _, part := range p.Parts {
		s.step("part_"+part.Name, measure.OfSize(part.Length, part.Width, s.units), "cushion."+part.Name, sourcePractice, partInputs[part.Name]...)
	}
	if i := slices.IndexFunc(p.Fabrics, func(u FabricUse) bool { return len(u.Widths) > 0 }); i >= 0 {
		on := pieceWindow(w.Order, p.Index)
		on.face = w.Order.Fabric(p.Fabrics[i].Fabric)
		s.valanceSteps(on, &p.Fabrics[i])
	}
	return s.steps
}

// valanceSteps explain a valance by the rules of a stationary panel.
func (s *sheet) valanceSteps(on *window, u *FabricUse) {
	s.known["size_fullness"] = measure.OfRatio(*on.line.Fullness)
	s.given("table_length", on.tableLength())
	s.given("side_hem", on.sideHem())
	s.given("heading_fold", on.headingFold())
	s.given("bottom_hem", on.bottomHem())
	s.step("flat_asked", s.length(twice(on.line.FinishedWidth).times(*on.line.Fullness).half()), "valance.flat", "", "size_width", "size_fullness")
	p := &Panel{FullnessAsked: *on.line.Fullness}
	widths := widthsRule(on, p)
	widths.inputs = slices.DeleteFunc(widths.inputs, func(name string) bool { return name == "fullness_slack" }) // it is all asked for
	s.panelStep("widths", measure.OfRatio(u.Widths[0].Ratio()), on, widths)
	s.panelStep("plain_length", s.length(u.PlainLength), on, plainRule(on, p))
}

// panelStep explains a number by a panel's rule, whose givens it looks up where the sheet doesn't know them.
func (s *sheet) panelStep(name string, value measure.Quantity, on *window, r reason) {
	for _, in := range r.inputs {
		if g, ok := byName[in]; ok {
			if _, known := s.known[in]; !known {
				s.known[in] = g.of(on, nil)
			}
		}
	}
	s.because(name, value, r)
}

// PieceUseTrail explains what a piece takes of a fabric: cuts, cut_length and length, and of a cushion the plain_length of a row.
func (w *Workup) PieceUseTrail(p *PieceWork, u *FabricUse) []Step {
	s, c, f := w.totalSheet(), &w.Order.Conventions, w.Order.Fabric(u.Fabric)
	s.known["quantity"] = measure.OfCount(p.Quantity)
	s.given("vertical_repeat", f.VerticalRepeat)
	if each := w.typedCuts(p, u); each > 0 {
		s.known["cuts_each"] = measure.OfCount(each)
		s.step("cuts", measure.OfCount(u.Cuts), "typed.cuts", sourceOrder, "cuts_each", "quantity")
		s.step("cut_length", s.length(u.CutLength), "typed.cut_length", sourceOrder)
		if u.Length != u.CutLength.Times(u.Cuts) {
			s.step("length", s.length(u.Length), "typed.length", sourceRepeats, "cuts", "cut_length", "vertical_repeat")
			return s.steps
		}
		s.lengthStep(c, u)
		return s.steps
	}
	if len(u.Widths) > 0 {
		s.known["widths"] = measure.OfRatio(u.Widths[0].Ratio())
		s.step("cuts", measure.OfCount(u.Cuts), "cuts", sourceWidths, "widths", "quantity")
		s.given("plain_length", u.PlainLength)
	} else {
		s.given("usable_width", f.UsableWidth)
		s.given("step", c.Step)
		s.step("cuts", measure.OfCount(u.Cuts), "cushion.rows", sourcePractice, "quantity", "usable_width")
		s.step("plain_length", s.length(u.PlainLength), "cushion.row", sourcePractice, "step")
	}
	w.faceCutStep(s, f, u)
	s.lengthStep(c, u)
	return s.steps
}

// typedCuts is how many cuts of a length of a fabric the order says for each piece, 0 where the program works them out.
func (w *Workup) typedCuts(p *PieceWork, u *FabricUse) int {
	for _, cloth := range w.Order.Pieces[p.Index].Fabrics {
		if cloth.Fabric == u.Fabric && cloth.CutLength == u.CutLength && cloth.Cuts*p.Quantity == u.Cuts {
			return cloth.Cuts
		}
	}
	return 0
}

// faceCutStep explains a face's cut as the panel's own trail does.
func (w *Workup) faceCutStep(s *sheet, f *orderfile.Fabric, u *FabricUse) {
	r := faceCutRule(&w.Order.Conventions, f)
	s.because("cut_length", s.length(u.CutLength), r)
}

// linedCutStep explains the cut of a lining or interlining.
func (w *Workup) linedCutStep(s *sheet, t *Treatment, u *FabricUse) {
	c := &w.Order.Conventions
	for name, l := range map[string]measure.Length{
		"backed_length": w.backedLength(t), "lining_lift": c.LiningLift, "lining_hem": c.LiningHem, "lining_top": c.LiningTop,
		"lining_trim": c.LiningTrim, "lining_allowance": c.LiningAllowance, "step": c.Step,
	} {
		s.given(name, l)
	}
	value := s.length(u.CutLength)
	switch {
	case u.Use == orderfile.Interlining:
		s.step("cut_length", value, "cut_length.interlining", sourceShop, "backed_length", "step")
	case c.LiningRule == orderfile.LiningByAllowance:
		s.step("cut_length", value, "cut_length.lining_allowance", sourceShop, "backed_length", "lining_allowance", "step")
	default:
		s.step("cut_length", value, "cut_length.lining", sourceShop, "backed_length", "lining_lift", "lining_hem", "lining_top", "lining_trim", "step")
	}
}

// backedLength is the length that a treatment's linings hang by; see window.backed.
func (w *Workup) backedLength(t *Treatment) measure.Length {
	line := &w.Order.Treatments[t.Index]
	return (&window{order: w.Order, line: line}).backed()
}

// FabricTrail explains a fabric's totals: cuts, length, to_order, and of bolts what is listed or would do.
func (w *Workup) FabricTrail(total *FabricTotal) []Step {
	s, c, f := w.totalSheet(), &w.Order.Conventions, w.Order.Fabric(total.Fabric)
	unit := w.Order.Units.Purchase()
	var cuts, lengths []measure.Quantity
	var sum measure.Length
	w.uses(func(u *FabricUse) {
		if u.Fabric == total.Fabric {
			cuts, lengths, sum = append(cuts, measure.OfCount(u.AllCuts())), append(lengths, s.length(u.Length)), sum+u.Length
		}
	})
	s.known["window_cuts"], s.known["window_lengths"] = measure.OfSum(cuts), measure.OfSum(lengths)
	s.given("vertical_repeat", f.VerticalRepeat)
	s.step("cuts", measure.OfCount(total.Cuts), "total.cuts", "", "window_cuts")
	switch {
	case total.Length == sum:
		s.step("length", s.length(total.Length), "total.length", "", "window_lengths")
	case c.RoomPhase == orderfile.TogetherPhase && c.RepeatRule != orderfile.OnPhase:
		s.step("length", s.length(total.Length), "total.length.rooms", sourcePractice, "window_lengths", "vertical_repeat")
	case c.RepeatRule == orderfile.OnPhase:
		s.step("length", s.length(total.Length), "total.length.on_phase", sourceShop, "window_lengths", "vertical_repeat")
	case c.HalfDrop == orderfile.DropPhases:
		s.step("length", s.length(total.Length), "total.length.phases", sourcePhases, "window_lengths", "vertical_repeat")
	default:
		s.step("length", s.length(total.Length), "total.length.repeat", sourceDrop, "window_lengths", "vertical_repeat")
	}
	w.orderSteps(s, total, f)
	if total.OnBolts != nil {
		s.step("on_bolts", s.length(*total.OnBolts), "on_bolts", sourceOrder)
	}
	if total.BoltLength > 0 {
		s.step("bolt_length", measure.OfLength(total.BoltLength, unit), "bolt_length", sourceShop)
	}
	if total.Bolts > 0 {
		s.step("bolts", measure.OfCount(total.Bolts), "bolts", "", "cuts", "bolt_length", "vertical_repeat")
		s.step("bolts_come_to", measure.OfLength(total.BoltsComeTo, unit), "bolts_come_to", "", "bolts", "bolt_length")
	}
	return s.steps
}

// orderSteps explains what of a fabric is to be ordered.
func (w *Workup) orderSteps(s *sheet, total *FabricTotal, f *orderfile.Fabric) {
	c := &w.Order.Conventions
	inputs := []string{"length"}
	if f.Use == orderfile.Face && f.VerticalRepeat > 0 && c.OrderRepeats > 0 {
		s.known["order_repeats"] = measure.OfCount(c.OrderRepeats)
		inputs = append(inputs, "order_repeats", "vertical_repeat")
	}
	if c.OrderRounding != orderfile.OrderAsItFell {
		s.known["order_step"] = measure.OfLength(c.OrderStep, w.Order.Units.Purchase())
		inputs = append(inputs, "order_step")
	}
	s.step("to_order", measure.OfLength(total.ToOrder, w.Order.Units.Purchase()), "to_order."+string(c.OrderRounding), sourceShop, inputs...)
}

// TapeTrail explains a tape's totals: pieces, used and to_order.
func (w *Workup) TapeTrail(total *TapeTotal) []Step {
	s := w.totalSheet()
	rule, input := "", "period"
	switch tape := w.tape(total.Tape); {
	case tape.Kind == orderfile.WaveKind:
		rule, input = ".pockets", "pocket_pitch"
		s.given(input, tape.PocketPitch)
	case !tape.Kind.Pleats():
		rule, input = ".plain", "tape_pieces"
		s.known[input] = w.tapePieces(total.Tape)
	default:
		s.given(input, tape.Period)
	}
	s.step("pieces", measure.OfCount(total.Pieces), "tape.pieces", "")
	s.step("used", s.length(total.Used), "tape.used"+rule, "", "pieces", input)
	if rule == ".plain" {
		s.step("to_order", s.length(total.ToOrder), "tape.to_order.plain", "", "used")
	} else {
		s.step("to_order", s.length(total.ToOrder), "tape.to_order"+rule, "", "used", input)
	}
	return s.steps
}

func (w *Workup) tape(id string) *orderfile.Tape {
	i := slices.IndexFunc(w.Order.Tapes, func(t orderfile.Tape) bool { return t.ID == id })
	return &w.Order.Tapes[i]
}

// tapePieces are a tape's pieces, one for each panel of one window.
func (w *Workup) tapePieces(id string) measure.Quantity {
	var list []measure.Quantity
	w.each(func(p *Panel, _ int) {
		if p.TapeID == id {
			list = append(list, measure.OfLength(p.TapePiece, w.Order.Units))
		}
	})
	return measure.OfSum(list)
}

// BuckramTrail explains the totals of buckram of one height: pieces and length.
func (w *Workup) BuckramTrail(total *BuckramTotal) []Step {
	s := w.totalSheet()
	s.step("height", s.length(total.Height), "buckram.height", "")
	s.step("pieces", measure.OfCount(total.Pieces), "buckram.pieces", "")
	s.step("length", s.length(total.Length), "buckram.length", "", "pieces")
	return s.steps
}

// HookTrail explains the hooks of one drop: the drop and their count.
func (w *Workup) HookTrail(total *HookTotal) []Step {
	s := w.totalSheet()
	s.step("drop", s.length(total.Drop), "hooks.drop", sourceHookDrop)
	s.step("count", measure.OfCount(total.Count), "hooks.count", "")
	return s.steps
}

// EyeletTrail explains the eyelets of one size: inner and outer diameter, and their count.
func (w *Workup) EyeletTrail(total *EyeletTotal) []Step {
	s := w.totalSheet()
	s.step("inner", s.length(total.Inner), "eyelets.size", sourceShop)
	s.step("outer", s.length(total.Outer), "eyelets.size", sourceShop)
	s.step("count", measure.OfCount(total.Count), "eyelets.count", "")
	return s.steps
}

// TrimmingTrail explains what a treatment cuts besides its panels: pieces, cuts, cut_length and length.
func (w *Workup) TrimmingTrail(t *Treatment, u *FabricUse, trim *Trimming) []Step {
	s, f := w.totalSheet(), w.Order.Fabric(u.Fabric)
	each, of := make([]measure.Quantity, len(trim.Each)), "."+string(trim.For)
	for i, n := range trim.Each {
		each[i] = measure.OfCount(n)
	}
	s.known["each"], s.known["quantity"] = measure.OfSum(each), measure.OfCount(t.Quantity)
	s.given("usable_width", usable(f))
	p := &t.Panels[0]
	if trim.For == ForBand {
		return s.bandSteps(trim)
	}
	s.given("facing_length", p.FacingLength)
	s.given("seam", w.Order.Conventions.Seam)
	s.given("tab_cut_length", p.TabCutLength)
	s.given("tab_cut_width", p.TabCutWidth)
	s.given("facing_height", p.FacingHeight)
	if trim.For == ForTabs {
		s.step("pieces", measure.OfCount(trim.Pieces), "trimming.pieces"+of, "", "each", "quantity")
		s.step("cuts", measure.OfCount(trim.Rows), "trimming.cuts"+of, sourcePractice, "pieces", "usable_width", "tab_cut_width")
		s.step("cut_length", s.length(trim.CutLength), "trimming.cut_length"+of, "", "tab_cut_length")
	} else {
		s.step("pieces", measure.OfCount(trim.Pieces), "trimming.pieces"+of, sourcePractice, "each", "quantity", "facing_length", "usable_width", "seam")
		s.step("cuts", measure.OfCount(trim.Rows), "trimming.cuts"+of, "", "pieces")
		s.step("cut_length", s.length(trim.CutLength), "trimming.cut_length"+of, "", "facing_height")
	}
	s.step("length", s.length(trim.Length()), "length.cuts", "", "cuts", "cut_length")
	return s.steps
}

// bandSteps explain strips of bands: those for the sides lie lengthwise side by side, those for the lower edge right across.
func (s *sheet) bandSteps(trim *Trimming) []Step {
	s.step("pieces", measure.OfCount(trim.Pieces), "trimming.pieces.band", "", "each", "quantity")
	if trim.Across > 0 {
		s.given("band_cut", trim.Across)
		s.step("cuts", measure.OfCount(trim.Rows), "trimming.cuts.band", sourcePractice, "pieces", "usable_width", "band_cut")
		s.step("cut_length", s.length(trim.CutLength), "trimming.cut_length.band", "")
	} else {
		s.step("cuts", measure.OfCount(trim.Rows), "trimming.cuts.facing", "", "pieces")
		s.step("cut_length", s.length(trim.CutLength), "trimming.cut_length.band.bottom", "")
	}
	s.step("length", s.length(trim.Length()), "length.cuts", "", "cuts", "cut_length")
	return s.steps
}

// MassTrail explains what a window weighs on its rod: mass, and the rod's limit where it is known.
func (w *Workup) MassTrail(total *MassTotal) []Step {
	s, t := w.totalSheet(), &w.Treatments[total.Treatment]
	inputs := []string{"panel_mass", "panel_mass_other"}[:len(t.Panels)]
	for i, name := range inputs {
		s.known[name] = measure.OfMass(t.Panels[i].Mass, s.units)
	}
	s.step("mass", measure.OfMass(total.Mass, s.units), "mass.window", "", inputs...)
	if total.Limit > 0 {
		s.step("limit", measure.OfMass(total.Limit, s.units), "mass.limit", sourceOrder)
	}
	return s.steps
}

// FittingTrail explains the order's rings and tabs, its weights and its weighted cord, as far as it has any.
func (w *Workup) FittingTrail() []Step {
	s := w.totalSheet()
	if w.Totals.Rings > 0 {
		s.step("rings", measure.OfCount(w.Totals.Rings), "rings.total", "")
	}
	if w.Totals.Tabs > 0 {
		s.step("tabs", measure.OfCount(w.Totals.Tabs), "tabs.total", "")
	}
	if w.Totals.Weights > 0 {
		s.step("weights", measure.OfCount(w.Totals.Weights), "weights.total", sourceShop)
	}
	if w.Totals.WeightCord > 0 {
		s.step("weight_cord", s.length(w.Totals.WeightCord), "weight_cord.total", sourceShop)
	}
	return s.steps
}

// ThreadTrail explains the thread of one kind of seam: its length, and its cones where they are counted.
func (w *Workup) ThreadTrail(total *ThreadTotal) []Step {
	s, c := w.totalSheet(), &w.Order.Conventions
	sewn := "stitching"
	if total.For == "pocket" {
		sewn = "pocket_stitching"
	}
	s.given(sewn, w.stitching(total.For))
	s.known["seam_thickness"] = measure.OfLengthInFull(c.SeamThickness, s.units)
	s.known["stitch_density"] = measure.OfRatio(c.StitchDensity)
	s.step("length", s.length(total.Length), "thread", sourceThread, sewn, "seam_thickness", "stitch_density")
	if total.Cones > 0 {
		s.known["cone_length"] = measure.OfLength(c.ConeLength, w.Order.Units.Purchase())
		s.step("cones", measure.OfCount(total.Cones), "cones", sourceShop, "length", "cone_length")
	}
	return s.steps
}
