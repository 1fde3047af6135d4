package workup

import (
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
	widths := make([]measure.Quantity, len(u.Widths))
	for i, h := range u.Widths {
		widths[i] = measure.OfRatio(h.Ratio())
	}
	s.known["widths"], s.known["quantity"] = measure.OfSum(widths), measure.OfCount(t.Quantity)
	s.given("vertical_repeat", f.VerticalRepeat)
	s.step("cuts", measure.OfCount(u.Cuts), "cuts", sourceWidths, "widths", "quantity")
	switch {
	case u.Use == orderfile.Face:
		s.given("plain_length", u.PlainLength)
		w.faceCutStep(s, f, u)
	default:
		w.linedCutStep(s, t, u)
	}
	switch plain := u.CutLength.Times(u.Cuts); {
	case u.Length == plain:
		s.step("length", s.length(u.Length), "length.cuts", "", "cuts", "cut_length")
	case c.RepeatRule == orderfile.OnPhase:
		s.step("length", s.length(u.Length), "length.on_phase", sourceShop, "cuts", "cut_length", "vertical_repeat")
	default:
		s.step("length", s.length(u.Length), "length.half_drop", sourcePhases, "cuts", "cut_length", "vertical_repeat")
	}
	return s.steps
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
			cuts, lengths, sum = append(cuts, measure.OfCount(u.Cuts)), append(lengths, s.length(u.Length)), sum+u.Length
		}
	})
	s.known["window_cuts"], s.known["window_lengths"] = measure.OfSum(cuts), measure.OfSum(lengths)
	s.given("vertical_repeat", f.VerticalRepeat)
	s.step("cuts", measure.OfCount(total.Cuts), "total.cuts", "", "window_cuts")
	switch {
	case total.Length == sum:
		s.step("length", s.length(total.Length), "total.length", "", "window_lengths")
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
	for i := range w.Order.Tapes {
		if w.Order.Tapes[i].ID == total.Tape {
			s.given("period", w.Order.Tapes[i].Period)
		}
	}
	s.step("pieces", measure.OfCount(total.Pieces), "tape.pieces", "")
	s.step("used", s.length(total.Used), "tape.used", "", "pieces", "period")
	s.step("to_order", s.length(total.ToOrder), "tape.to_order", "", "used", "period")
	return s.steps
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

// WeightTrail explains the order's weights and its weighted cord, as far as it has any.
func (w *Workup) WeightTrail() []Step {
	s := w.totalSheet()
	if w.Totals.Weights > 0 {
		s.step("weights", measure.OfCount(w.Totals.Weights), "weights.total", sourceShop)
	}
	if w.Totals.WeightCord > 0 {
		s.step("weight_cord", s.length(w.Totals.WeightCord), "weight_cord.total", sourceShop)
	}
	return s.steps
}

// ThreadTrail explains the thread of the heading's stitch lines: its length, and its cones where they are counted.
func (w *Workup) ThreadTrail(total *ThreadTotal) []Step {
	s, c := w.totalSheet(), &w.Order.Conventions
	var stitching measure.Length
	w.each(func(p *Panel, quantity int) { stitching += p.Stitching.Times(quantity) })
	s.given("stitching", stitching)
	s.known["seam_thickness"] = measure.OfLengthInFull(c.SeamThickness, s.units)
	s.known["stitch_density"] = measure.OfRatio(c.StitchDensity)
	s.step("length", s.length(total.Length), "thread", sourceThread, "stitching", "seam_thickness", "stitch_density")
	if total.Cones > 0 {
		s.known["cone_length"] = measure.OfLength(c.ConeLength, w.Order.Units.Purchase())
		s.step("cones", measure.OfCount(total.Cones), "cones", sourceShop, "length", "cone_length")
	}
	return s.steps
}
