package workup

import (
	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// stackOfWidth is what a width of cloth takes drawn back (a shop's page of 2008: 5 to 6 in).
const stackOfWidth = 11 * measure.Inch / 2

// farSide is what a one-way panel's rod has beyond the glass where it doesn't stack (98905.com).
const farSide = 6 * measure.Inch

// stack fills in the room that a drawn panel takes on its rod, and the rod that clears the glass then. Rules of thumb differ; cartridges
// that a tape sets have their own.
func (w *window) stack(p *Panel) {
	if w.line.Draw == orderfile.Stationary || w.line.Draw == orderfile.StationaryPair {
		if w.cartridges() {
			p.StackBack = w.tubesStacked()
		}
		return
	}
	if p.StackBack = w.stackBack(p); p.StackBack == 0 || w.line.GlassWidth == 0 {
		return
	}
	p.RodWanted = w.line.GlassWidth + p.StackBack
	if w.line.Draw == orderfile.Pair {
		p.RodWanted += w.otherStack(p)
	} else {
		p.RodWanted += farSide
	}
	if w.line.FaceWidth > 0 && w.line.FaceWidth < p.RodWanted {
		w.tell(engine.Note, "stack_covers_glass", "face_width", map[string]any{
			"Face": w.line.FaceWidth, "Wanted": p.RodWanted, "Stack": p.StackBack, "Glass": w.line.GlassWidth,
		})
	}
}

// otherStack is the stack-back of a pair's other panel, which may turn another corner.
func (w *window) otherStack(p *Panel) measure.Length {
	if w.alike() {
		return p.StackBack
	}
	mate := *w
	mate.problems, mate.side = nil, Left
	if w.side == Left {
		mate.side = Right
	}
	other := mate.hung()
	if !mate.head(&other) {
		return 0
	}
	return mate.stackBack(&other)
}

// cartridges reports whether a tape sets open tubes, which stack badly.
func (w *window) cartridges() bool {
	return w.heading.Family == orderfile.SetByTape && w.heading.Body == orderfile.Tube
}

// tubesStacked is the room of cartridges that a tape sets: their tubes side by side and both flats (from memory: no published figure).
func (w *window) tubesStacked() measure.Length {
	n := w.pulled.pleats
	tubes := w.tape.TakeUp().Times(n).OverPi() + w.face.Thickness.Times(n)
	return tubes + w.pulled.margins + w.tape.Space
}

// stackBack is a drawn panel's by the shop's rule, 0 where that goes by what the order doesn't say.
func (w *window) stackBack(p *Panel) measure.Length {
	if w.cartridges() {
		return w.tubesStacked()
	}
	if w.order.Conventions.StackRule == orderfile.AWidth {
		return stackOfWidth.MulDiv(int64(p.Widths), 2)
	}
	of, share := w.stackShare()
	if w.line.Draw == orderfile.Pair {
		share.Den *= 2
	}
	return of.MulDiv(share.Num, share.Den)
}

// stackShare is what share of the rod, or of the glass, all panels of a window take together.
func (w *window) stackShare() (of measure.Length, share measure.Ratio) {
	switch w.order.Conventions.StackRule {
	case orderfile.GlassThird:
		return w.line.GlassWidth, measure.Ratio{Num: 1, Den: 3}
	case orderfile.Glass30:
		return w.line.GlassWidth, measure.Ratio{Num: 3, Den: 10}
	case orderfile.Build:
		if w.lining != nil {
			return w.line.GlassWidth, measure.Ratio{Num: 1, Den: 4}
		}
		return w.line.GlassWidth, measure.Ratio{Num: 1, Den: 5}
	}
	return w.line.FaceWidth, measure.Ratio{Num: 1, Den: 3}
}

// supports tells of a rod that its maker wants held at more places, and of a middle one that rings of cloth or metal can't pass.
func (w *window) supports() {
	rod := w.rod()
	if rod.Supports == 0 {
		return
	}
	if rod.Span > 0 && w.line.FaceWidth > 0 {
		if wanted := int(w.line.FaceWidth.CeilDiv(rod.Span)) + 1; rod.Supports < wanted {
			w.tell(engine.Warning, "rod_span", "rod", map[string]any{"Rod": rod.ID, "Supports": rod.Supports, "Wanted": wanted, "Span": rod.Span, "Face": w.line.FaceWidth})
		}
	}
	oneWay := w.line.Draw == orderfile.OneWayLeft || w.line.Draw == orderfile.OneWayRight
	threaded := w.line.Heading == orderfile.Eyelet || w.line.Heading == orderfile.Tab || w.line.Heading == orderfile.RodPocket
	if rod.Supports > 2 && oneWay && threaded {
		w.tell(engine.Warning, "support_blocks", "rod", map[string]any{"Rod": rod.ID, "Supports": rod.Supports})
	}
}
