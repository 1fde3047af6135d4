package workup

import (
	"slices"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/pattern"
)

// whole is 100 % of what shrinks or grows.
const whole = 10_000

// plainLength is the cut length before any repeat: finished length as it lies on the table, puddle, fold and hem (or the shop's one
// allowance for both), grown for shrinkage, squared, rounded up to the step. The tape's drop changes nothing: the
// top edge is the fold. The division is exact up to that one rounding.
func (w *window) plainLength() measure.Length {
	if w.joinedBand(orderfile.BandBottom) != nil {
		return w.cutFor(w.topAllowance() + w.beyond(orderfile.BandBottom))
	}
	return w.wholeLength()
}

// wholeLength is the plain length of a face without a band at its lower edge.
func (w *window) wholeLength() measure.Length {
	if both := w.order.Conventions.LengthAllowance; both != nil {
		return w.cutFor(*both)
	}
	return w.cutFor(w.topAllowance() + 2*w.bottomHem())
}

// cutFor is the plain length with so much turned in above and below.
func (w *window) cutFor(turns measure.Length) measure.Length {
	c := &w.order.Conventions
	sum := w.tableLength() + w.line.Puddle + turns
	kept := max(1, whole-int64(w.shrink()))
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

// backed is the length that lining and interlining hang by: the puddle is part of it unless the shop stops them at
// the floor (common practice, both).
func (w *window) backed() measure.Length {
	if w.order.Conventions.LiningPuddle == orderfile.LiningStops {
		return w.finishedLength()
	}
	return w.finishedLength() + w.line.Puddle
}

// liningHangs tells where the lift above the face's hem leaves nothing of the lining.
func (w *window) liningHangs() bool {
	c := &w.order.Conventions
	return c.LiningRule == orderfile.LiningByAllowance || w.positive(w.backed()-c.LiningLift, "lining", "conventions.lining_lift", map[string]any{
		"Lift": c.LiningLift, "Finished": w.backed(),
	})
}

// liningLength is the lining's cut: a lift above the face's hem, its own double hem, what is turned in at the top
// and trimmed, or a plain allowance on the finished length.
func (w *window) liningLength() measure.Length {
	c := &w.order.Conventions
	if c.LiningRule == orderfile.LiningByAllowance {
		return (w.backed() + c.LiningAllowance).CeilTo(c.Step)
	}
	return (w.backed() - c.LiningLift + 2*c.LiningHem + c.LiningTop + c.LiningTrim).CeilTo(c.Step)
}

// interliningLength is the finished length: interlining ends at the folds.
func (w *window) interliningLength() measure.Length {
	return w.backed().CeilTo(w.order.Conventions.Step)
}

// turned railroads a panel: its width runs along the bolt, in one piece without a join, so long that it gives what is wanted. A width
// says nothing of its size then. A track maker's sheet buys so (M03). What the cloth shrinks by along the bolt is the panel's width
// here (common practice, no source).
func (w *window) turned(p *Panel, wanted measure.Length) measure.Halves {
	kept, step := measure.Length(w.keptAlong()), w.order.Conventions.Step
	p.Run = step * measure.Length((wanted * whole).CeilDiv(step*kept))
	return 2
}

// keptAlong is what shrinking leaves of the face's length on its bolt, of whole.
func (w *window) keptAlong() int64 { return max(1, whole-int64(w.shrinkAlong())) }

// liningWidths are the fewest that cover the flat width, or one whose width runs along the bolt.
func (w *window) liningWidths(p *Panel) (measure.Halves, bool) {
	if !w.line.RailroadLining {
		return w.backing(w.lining, p.FlatWidth, "lining")
	}
	p.LiningRun = p.FlatWidth.CeilTo(w.order.Conventions.Step)
	return 2, true
}

// turnedUses add up cloth of which each panel is one piece across the whole bolt: an entry for each length that they run.
func (w *window) turnedUses(f *orderfile.Fabric, across measure.Length, runs []measure.Length) (list []FabricUse) {
	for i, length := range runs {
		k := slices.IndexFunc(list, func(u FabricUse) bool { return u.CutLength == length })
		if k < 0 {
			k = len(list)
			list = append(list, FabricUse{
				Fabric: f.ID, Use: f.Use, Widths: make([]measure.Halves, len(runs)), PlainLength: length, CutLength: length, Railroaded: true, Across: across,
			})
		}
		u := &list[k]
		u.Widths[i] = 2
		u.Cuts += w.line.Quantity
		u.Classes[0], u.Length = u.Cuts, u.CutLength.Times(u.Cuts)
	}
	return list
}

// mayTurn refuses cloth that isn't wide enough to be railroaded, or whose pile, direction or pattern would lie on its side.
func (w *window) mayTurn() bool {
	if f := w.face; w.line.Railroad {
		if oneWay(f) {
			w.fail("railroad_one_way", "railroad", map[string]any{"Fabric": f.ID})
		}
		if patterned(f) && !f.Railroads {
			w.fail("railroad_pattern", "railroad", map[string]any{"Fabric": f.ID})
		}
		w.wideEnough("railroad_short", "railroad", f, f.UsableWidth, w.plainLength()) // that is grown for what shrinks across
	}
	if w.lining != nil && w.line.RailroadLining {
		w.wideEnough("railroad_short.lining", "railroad_lining", w.lining, usable(w.lining), w.liningLength())
	}
	return !engine.AnyError(w.problems)
}

func (w *window) wideEnough(code, key string, f *orderfile.Fabric, usable, across measure.Length) {
	if usable < across {
		w.fail(code, key, map[string]any{"Fabric": f.ID, "Usable": usable, "Length": across})
	}
}

// oneWay reports whether the cloth has a top and a bottom.
func oneWay(f *orderfile.Fabric) bool { return f.OneWay || f.Pile != "" }

// patterned reports whether the cloth has anything that would lie on its side.
func patterned(f *orderfile.Fabric) bool {
	return !f.Plain() || f.HorizontalRepeat > 0 || f.MatchWidth > 0
}

// halfDropped reports whether neighbouring widths of the cloth start half a repeat apart.
func halfDropped(f *orderfile.Fabric) bool { return f.Match == orderfile.HalfDrop && !f.Plain() }

// cutLength is a face cut. Without a repeat it is the plain length. Published rules differ: up to whole repeats (W05, W07, W12, W14), one
// repeat more than the plain length (M08, W16's easy rule), or the plain length where only the starts are on phase.
// Half a repeat more a cut lets either class start on the same phase (Merrick & Day, p. 119).
func cutLength(c *orderfile.Conventions, f *orderfile.Fabric, plain measure.Length) measure.Length {
	v := f.VerticalRepeat
	cut := plain
	if f.Plain() {
		return cut
	}
	switch c.RepeatRule {
	case orderfile.OnPhase:
	case orderfile.AddOne:
		cut += v
	default:
		cut = v.Times(repeats(plain, v))
	}
	if halfDropped(f) && c.HalfDrop == orderfile.HalfRepeatACut {
		cut += v.Div(2)
	}
	return cut
}

// spares reports whether a cut is long enough over its plain length to hold either class of a half-drop.
func spares(f *orderfile.Fabric, cut, plain measure.Length) bool {
	return 2*(cut-plain) >= f.VerticalRepeat
}

// fabricUse adds up what the treatment takes of a fabric. A lining is cut without regard to a repeat.
func (w *window) fabricUse(f *orderfile.Fabric, widths []measure.Halves, plain measure.Length) FabricUse {
	c := &w.order.Conventions
	u := FabricUse{Fabric: f.ID, Use: f.Use, Widths: widths, PlainLength: plain, CutLength: plain}
	u.HalfDrop = f.Use == orderfile.Face && halfDropped(f)
	u.Classes = w.classes(u, Sided(f))
	u.Cuts = u.Classes[0] + u.Classes[1]
	if f.Use != orderfile.Face || f.Plain() {
		u.Length = u.CutLength.Times(u.Cuts)
		return u
	}
	u.CutLength = cutLength(c, f, plain)
	u.Length = u.run(c, f)
	if w.phased() {
		u.Phase = w.phase()
	}
	return u
}

// phased reports whether the panel's cuts start where the patterns of its room come to hang at one height. A piece hangs in no room.
func (w *window) phased() bool {
	together := w.order.Conventions.RoomPhase == orderfile.TogetherPhase && w.list == "treatments"
	return together && w.face.Use == orderfile.Face && !w.face.Plain() && !w.line.Railroad
}

// phase is how far behind the pattern's height on the bolt the panel's first widths start then. What lies on the table counts, before it has
// grown and after it has shrunk; a puddle lies below the hem's height.
func (w *window) phase() measure.Length {
	fall := pattern.Fall{
		Repeat: w.face.VerticalRepeat, Top: w.topAllowance(), Length: w.tableLength(), Hem: w.line.HemHeight, Motif: w.line.MotifHeight,
		Kept: measure.Ratio{Num: max(1, whole-int64(w.shrink())), Den: whole},
	}
	if w.order.Conventions.MotifFrom == orderfile.MotifFromTop {
		return fall.FromTop()
	}
	return fall.FromHem()
}

// classes counts a treatment's cuts of each class; all are of the first but in a half-drop. A whole width is a cut, and two
// halves, which lie at the return edge, are one: not of both classes, since those start at different heights, and of sided
// cloth a left one and a right one.
func (w *window) classes(u FabricUse, sided bool) (cuts [2]int) {
	var halves [2]map[Half]int
	for i, h := range u.Widths {
		for _, piece := range layPieces(h, w.atRight(w.panels()[i]), u.HalfDrop) {
			if piece.Half == Whole {
				cuts[piece.Class] += w.line.Quantity
				continue
			}
			if halves[piece.Class] == nil {
				halves[piece.Class] = map[Half]int{}
			}
			halves[piece.Class][piece.Half] += w.line.Quantity
		}
	}
	for class, n := range halves {
		if sided {
			cuts[class] += max(n[LeftHalf], n[RightHalf])
		} else {
			cuts[class] += (n[LeftHalf] + n[RightHalf] + 1) / 2
		}
	}
	return cuts
}

// run is the length of the treatment's cuts one after another. Only the phases of a half-drop cut in whole repeats
// or on phase lose cloth between the classes; the other rules allow for it a cut or an order.
func (u *FabricUse) run(c *orderfile.Conventions, f *orderfile.Fabric) measure.Length {
	v := f.VerticalRepeat
	phases := u.HalfDrop && c.HalfDrop == orderfile.DropPhases && u.Classes[0] > 0 && u.Classes[1] > 0
	switch {
	case c.RepeatRule == orderfile.OnPhase && phases:
		return halfDropRun(u.Classes, u.CutLength, v)
	case c.RepeatRule == orderfile.OnPhase:
		return u.CutLength.CeilTo(v).Times(u.Cuts-1) + u.CutLength
	case phases && c.RepeatRule == orderfile.WholeRepeats:
		return u.CutLength.Times(u.Cuts) + v.Div(2)
	}
	return u.CutLength.Times(u.Cuts)
}

// halfDropRun is the run of a and b equal cuts of the two classes with only their starts on phase: from one start to
// the next of the same class R = V⌈L/V⌉, of the other D = V⌈(L − V/2)/V⌉ + V/2, and the last cut its own length. The
// classes alternate as often as they can where D is the less, else once.
func halfDropRun(cuts [2]int, l, v measure.Length) measure.Length {
	a, b := cuts[0], cuts[1]
	same := pattern.Step(v, l, pattern.Start{}, pattern.Start{})
	other := pattern.Step(v, l, pattern.Start{}, pattern.Start{Dropped: true})
	changes := 1
	if other < same {
		if changes = 2 * min(a, b); a == b {
			changes = a + b - 1
		}
	}
	return same.Times(a+b-1-changes) + other.Times(changes) + l
}
