package workup

import (
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/pattern"
)

// hung is a panel as far as the order alone says: the size that it hangs at, its hems and fold.
func (w *window) hung() Panel {
	asked := w.finishedWidth()
	p := Panel{
		FinishedWidthAsked: asked, FinishedWidth: asked, FinishedLength: w.finishedLength() + w.line.Puddle,
		SideHem: w.sideHem(), BottomHem: w.bottomHem(), HeadingFold: w.headingFold(),
		Family: w.heading.Family, Holds: w.heading.Holds, Top: w.heading.Top, Ringed: w.heading.Pole == orderfile.OnRings, Body: w.heading.Body, Fingers: w.heading.Fingers, Interlining: w.line.Interlining,
		Sheer: w.face.Sheer, Pile: w.face.Pile,
	}
	if w.face.Relax > 0 {
		p.TableLength = w.tableLength() + w.line.Puddle
	}
	return p
}

// clothKey is the key of the order file that set the panel's widths.
func (w *window) clothKey() string {
	if w.line.Widths != nil {
		return "widths"
	}
	return "face"
}

// joint gathers what decides where the joins of the face fall.
func (w *window) joint(p *Panel) joint {
	conv := &w.order.Conventions
	j := joint{
		halves: p.Widths, usable: usable(w.face), loss: w.joinLoss(), hems: twice(w.beyond(orderfile.BandReturn)), flat: twice(p.FlatWidth),
		clear: twice(conv.EdgeClear), step: conv.Step, shut: w.heading.Seams == orderfile.HiddenInFold,
	}
	if w.heading.Family == orderfile.SetByTape {
		j.first, j.period = w.pulled.first()+doubled(w.tape.Space), twice(w.tape.Period)
		j.takeUp, j.pleats = twice(p.TakeUp), p.Pleats
	}
	return j
}

// joinedFace is the cloth that the joined widths of the face give, or what shrinking leaves of the run of one that is railroaded.
func (w *window) joinedFace(p *Panel) doubled {
	if p.Railroaded() {
		return doubled((2 * p.Run).MulDiv(w.keptAlong(), whole))
	}
	return joined(p.Widths, usable(w.face), w.joinLoss())
}

// keepsSurplus reports whether cloth over the width wanted stays in the panel: as the order says, all of it where the
// order counts the widths, else by the shop's rule.
func (w *window) keepsSurplus() bool {
	switch {
	case w.placed(), w.line.Railroad && w.heading.Family != orderfile.SetByTape: // cut for the fullness asked, there is none
		return false
	case w.line.Surplus != "":
		return w.line.Surplus == orderfile.KeepSurplus
	case w.line.Widths != nil:
		return true
	case w.order.Conventions.Surplus == orderfile.SurplusByHeading:
		return w.heading.KeepsSurplus
	}
	return w.order.Conventions.Surplus == orderfile.KeepSurplus
}

// cloth fills in the cut lengths of face, lining and interlining, and the widths of the latter two.
func (w *window) cloth(p *Panel) bool {
	conv := &w.order.Conventions
	p.TopAllowance = w.topAllowance()
	p.PlainLength = w.plainLength()
	p.CutLength = cutLength(conv, w.face, p.PlainLength)
	if p.Phased = w.phased(); p.Phased {
		p.Phase = w.phase()
	}
	if p.Railroaded() {
		p.CutLength = p.Run
	} else if conv.RepeatRule == orderfile.WholeRepeats {
		p.RepeatsPerCut = repeats(p.PlainLength, w.face.VerticalRepeat)
	}
	ok := true
	if w.lining != nil {
		if p.LiningWidths, ok = w.liningWidths(p); !ok || !w.liningHangs() {
			return false
		}
		p.LiningCutLength, p.LiningHem = w.liningLength(), conv.LiningHem
		if !w.hangLining(p) {
			return false
		}
	}
	if w.interlining != nil {
		p.InterliningWidths, ok = w.backing(w.interlining, p.FlatWidth, "interlining")
		p.InterliningCutLength = w.interliningLength()
	}
	return ok
}

// fabrics adds up what the panels of all such windows take of each cloth.
func (w *window) fabrics(panels []Panel) []FabricUse {
	p := &panels[0] // all are cut alike, but for the runs of railroaded ones
	list := w.uses(w.face, panels, p.PlainLength, func(p *Panel) (measure.Halves, measure.Length) { return p.Widths, p.Run })
	if w.heading.Pole == orderfile.ByTabs {
		list[0].trim(w.tabTrimmings(panels)...)
	}
	list = append(list, w.uses(w.lining, panels, p.LiningCutLength, func(p *Panel) (measure.Halves, measure.Length) { return p.LiningWidths, p.LiningRun })...)
	list = append(list, w.uses(w.interlining, panels, p.InterliningCutLength, func(p *Panel) (measure.Halves, measure.Length) { return p.InterliningWidths, 0 })...)
	return w.cutBands(list, panels)
}

// uses is what the panels of all such windows take of a cloth so long, or so high where it is turned: each takes widths of it, or a run
// along its bolt. It is nothing of a cloth that they don't have.
func (w *window) uses(f *orderfile.Fabric, panels []Panel, length measure.Length, takes func(*Panel) (measure.Halves, measure.Length)) []FabricUse {
	if f == nil {
		return nil
	}
	widths, runs := make([]measure.Halves, len(panels)), make([]measure.Length, len(panels))
	for i := range panels {
		widths[i], runs[i] = takes(&panels[i])
	}
	if runs[0] > 0 {
		return w.turnedUses(f, length, runs)
	}
	return []FabricUse{w.fabricUse(f, widths, length)}
}

// patterned reports whether motifs stand side by side across the panel. In one whose cloth is turned they stand one above the other.
func (w *window) patterned() bool { return w.face.HorizontalRepeat > 0 && !w.line.Railroad }

// placed reports whether the order has the panel's motifs stand in a place, whatever that trims. A single has no other to be mirrored by.
func (w *window) placed() bool {
	switch w.line.Motif {
	case orderfile.Mirrored:
		return w.patterned() && w.line.Draw.Paired()
	case orderfile.CentredOn, orderfile.CentredBetween:
		return w.patterned()
	}
	return false
}

// motifLead is how far from both leads of a mirrored pair the first motif's middle stands: unless given half a repeat, so that it is whole.
func (w *window) motifLead() measure.Length {
	return first(keptAcross(w.face).of(w.face.HorizontalRepeat).Div(2), w.line.MotifLead)
}

// motifs is the pattern across a panel of so many widths.
func (w *window) motifs(side PanelID, h measure.Halves) pattern.Panel {
	f := w.face
	p := pattern.Panel{
		Cloth: pattern.Cloth{Repeat: f.HorizontalRepeat, Offset: f.MotifOffset, Usable: f.UsableWidth, Kept: measure.Ratio(keptAcross(f))},
		Split: h%2 == 1, AtReturn: w.beyond(orderfile.BandReturn), AtLead: w.beyond(orderfile.BandLeading),
	}
	if w.atRight(side) {
		p.Return = pattern.AtRight
	}
	return p
}

// motifTrim is what is trimmed off a flat panel of so many widths to place its motifs, and whether that is at its leading edge.
func (w *window) motifTrim(side PanelID, h measure.Halves, flat measure.Length) (trim measure.Length, leading bool) {
	m := w.motifs(side, h)
	if w.line.Motif == orderfile.Mirrored {
		return m.LeadTrim(w.motifLead()), true
	}
	return m.CentreTrim(flat, w.line.Motif == orderfile.CentredBetween), m.Return == pattern.AtRight
}

// withMate are the panels that have as many widths and lie as flat as the one in hand: of a pair both, but for one that is uneven, whose
// panels are each centred by itself.
func (w *window) withMate() []PanelID {
	if w.line.Motif == orderfile.Mirrored || w.alike() {
		return w.panels()
	}
	return []PanelID{w.side}
}

// motifCost is the width of cloth that placing the motifs of a flat panel takes.
func (w *window) motifCost(h measure.Halves, flat measure.Length) (cost measure.Length) {
	if !w.placed() {
		return 0
	}
	for _, side := range w.withMate() {
		trim, _ := w.motifTrim(side, h, flat)
		cost = max(cost, trim)
	}
	return cost
}

// mostFlat is what the panel's widths may lie flat, hems taken off.
func (w *window) mostFlat(p *Panel) doubled {
	if w.placed() {
		return w.widest(p.Widths)
	}
	return w.joinedFace(p) - twice(w.besides())
}

// widest is what so many widths may lie flat, hems taken off and motifs in their places.
func (w *window) widest(h measure.Halves) doubled {
	all := joined(h, usable(w.face), w.joinLoss())
	most := all - twice(w.besides())
	switch {
	case !w.placed():
	case w.line.Motif == orderfile.Mirrored:
		most -= twice(w.motifCost(h, 0))
	default:
		for _, side := range w.withMate() {
			most = min(most, twice(w.motifs(side, h).Widest(measure.Length(all), w.line.Motif == orderfile.CentredBetween)))
		}
	}
	return most
}

// roomy adds what placing the motifs of a flat panel takes to widths that it would do without.
func (w *window) roomy(h measure.Halves, flat measure.Length, key string) (measure.Halves, bool) {
	if !w.placed() {
		return h, true
	}
	by := measure.Halves(2)
	if w.countsHalves(w.face) {
		by = 1
	}
	rest := w.besides() + w.order.Conventions.WidthAllowance
	for joined(h, usable(w.face), w.joinLoss()) < twice(flat+rest+w.motifCost(h, flat)) {
		if h += by; !w.joinable(h, w.face, w.joinLoss(), key) || w.tooManyPieces(w.face, h) {
			return 0, false
		}
	}
	return h, true
}

// over is the cloth that the panel's widths have over its flat width and its hems.
func (w *window) over(p *Panel, flat measure.Length) doubled {
	return max(0, w.joinedFace(p)-twice(flat+w.besides()))
}

// together are the panels for which one count of pleats or points is chosen, by how all their seams lie: both of a pair whose motifs are
// placed, since a customer sees at once where they differ. The seams of any other pair lie alike in both, and an uneven one is worked out
// panel by panel.
func (w *window) together() []PanelID {
	if w.placed() && w.alike() {
		return w.panels()
	}
	return []PanelID{w.side}
}

// settle says of a joint whose panel has its motifs placed where its surplus is trimmed.
func (w *window) settle(side PanelID, j *joint) {
	if !w.placed() {
		return
	}
	trim, leading := w.motifTrim(side, j.halves, j.flat.half())
	if leading {
		trim = max(0, (j.surplus - twice(trim)).half())
	}
	j.settled, j.at = true, trim
}

// layMotifs fills in where the panel's motifs come to stand, and what was trimmed for that.
func (w *window) layMotifs(p *Panel) {
	if !w.patterned() {
		return
	}
	p.MotifPositions = w.motifs(w.side, p.Widths).Motifs(p.FlatWidth, p.TrimReturn+p.TurnedReturn)
	if w.placed() {
		p.MotifPlaced, p.MotifTrim = true, p.TrimReturn
		if _, leading := w.motifTrim(w.side, p.Widths, p.FlatWidth); leading {
			p.MotifTrim = p.TrimLeading
		}
	}
}
