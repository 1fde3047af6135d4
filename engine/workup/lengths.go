package workup

import (
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// whole is the shrink convention's 100 %.
const whole = 10_000

// plainLength is the cut length before any repeat: finished length, puddle, fold and hem (or the shop's one
// allowance for both), grown for shrinkage, squared, rounded up to the step. The tape's drop changes nothing: the
// top edge is the fold. The division is exact up to that one rounding.
func (w *window) plainLength() measure.Length {
	c := &w.order.Conventions
	sum := w.finishedLength() + w.line.Puddle
	if c.LengthAllowance != nil {
		sum += *c.LengthAllowance
	} else {
		sum += 2*w.headingFold() + 2*w.bottomHem()
	}
	kept := max(1, whole-int64(c.Shrink))
	step := max(1, c.Step)
	grown := sum*whole + c.Squaring*measure.Length(kept) // × kept
	return step * measure.Length(grown.CeilDiv(step*measure.Length(kept)))
}

// repeats counts the whole vertical repeats that each cut takes, 0 on plain cloth. Rounding the cut up to whole
// repeats is the trade's usual rule (published examples W05, W07, W12, W14 and W16).
func repeats(plain, vertical measure.Length) int {
	if vertical <= 0 {
		return 0
	}
	return int(plain.CeilDiv(vertical))
}

// liningLength is the lining's cut: a lift above the face's hem, its own double hem, what is turned in at the top
// and trimmed, or a plain allowance on the finished length.
func (w *window) liningLength() measure.Length {
	c := &w.order.Conventions
	if c.LiningRule == "allowance" {
		return (w.finishedLength() + c.LiningAllowance).CeilTo(c.Step)
	}
	return (w.finishedLength() - c.LiningLift + 2*c.LiningHem + c.LiningTop + c.LiningTrim).CeilTo(c.Step)
}

// interliningLength is the finished length: interlining ends at the folds.
func (w *window) interliningLength() measure.Length {
	return w.finishedLength().CeilTo(w.order.Conventions.Step)
}

// halfDropped reports whether neighbouring widths of the cloth start half a repeat apart.
func halfDropped(f *orderfile.Fabric) bool { return f.Match == orderfile.HalfDrop && !f.Plain() }

// fabricUse adds up what the treatment takes of a fabric. Of a half-drop cut in whole repeats the second class
// starts half a repeat later, once a treatment.
func (w *window) fabricUse(f *orderfile.Fabric, h measure.Halves, plain measure.Length) FabricUse {
	u := FabricUse{Fabric: f.ID, Use: f.Use, Widths: h, PlainLength: plain, CutLength: plain}
	panels := len(w.panels()) * w.line.Quantity
	u.Cuts = (int(h)*panels + 1) / 2
	if f.Use == orderfile.Face && !f.Plain() {
		u.CutLength = f.VerticalRepeat.Times(repeats(plain, f.VerticalRepeat))
		u.HalfDrop = halfDropped(f)
	}
	u.Length = u.CutLength.Times(u.Cuts)
	if u.HalfDrop && pieces(h) > 1 {
		u.Length += f.VerticalRepeat.Div(2)
	}
	return u
}
