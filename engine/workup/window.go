package workup

import (
	"fmt"
	"strings"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/pattern"
)

// Constants inside the rules are inches and convert exactly, whatever unit the order is written in.
const (
	eighth  = measure.Inch / 8
	quarter = measure.Inch / 4

	halfInch = measure.Inch / 2
)

// doubled is a length counted in half nanometres. What is half of something (an end margin, half a face width, the middle of a join) is
// worked with so, and rounded to a nanometre once, at its end.
type doubled measure.Length

func twice(l measure.Length) doubled { return 2 * doubled(l) }

// half is the length itself, to the nearest nanometre.
func (d doubled) half() measure.Length { return measure.Length(d).Div(2) }

func (d doubled) times(r measure.Ratio) doubled {
	return doubled(measure.Length(d).MulDiv(r.Num, r.Den))
}

func (d doubled) floorDiv(by doubled) int64 { return measure.Length(d).FloorDiv(measure.Length(by)) }

// window is one treatment on the table: the order's lines that rule it, looked up, and what is found wrong.
type window struct {
	order       *orderfile.Order
	list        string // of the order file: treatments, or pieces
	index       int
	line        *orderfile.Treatment
	side        PanelID // the panel in hand
	heading     *orderfile.HeadingData
	tape        *orderfile.Tape // nil: none
	tapeIndex   int
	face        *orderfile.Fabric
	lining      *orderfile.Fabric // nil: unlined
	interlining *orderfile.Fabric
	pulled      pull       // of a tape
	hand        pleating   // of a heading set by hand
	laid        laidPanels // with it, of the panels that have one count
	handCloth   handCloth  // of a heading that no tape sets
	carried     carriers   // of a wave
	problems    []engine.Problem
}

// setUp looks up what the treatment refers to. An order that orderfile.Parse accepts always passes; one made by
// hand may not.
func setUp(o *orderfile.Order, index int) (*window, bool) {
	w := &window{order: o, list: "treatments", index: index, line: &o.Treatments[index], tapeIndex: -1}
	if w.heading = o.HeadingOf(w.line); w.heading == nil {
		w.fail("not_supported", "heading", map[string]any{"Value": string(w.line.Heading)})
		return w, false
	}
	if w.heading.Tape != "" {
		w.lookUpTape()
	}
	w.face = w.fabric("face", w.line.Face, true)
	w.lining = w.fabric("lining", w.line.Lining, false)
	w.interlining = w.fabric("interlining", w.line.Interlining, false)
	if w.line.Railroad && w.line.Widths != nil {
		w.fail("bad_value.railroad_widths", "widths", map[string]any{"Widths": *w.line.Widths})
	}
	for i := range w.line.Bands {
		w.fabric(fmt.Sprintf("bands[%d].fabric", i), w.line.Bands[i].Fabric, true)
	}
	if w.splitsTotal() && !w.alike() {
		w.fail("bad_value.pair_total", "return_other", map[string]any{"Return": w.line.Return, "Other": w.line.OtherReturn()})
	}
	return w, !engine.AnyError(w.problems) && (w.tape == nil || w.tapeWorks())
}

func (w *window) lookUpTape() {
	for i := range w.order.Tapes {
		if w.order.Tapes[i].ID == w.line.Tape {
			w.tape, w.tapeIndex = &w.order.Tapes[i], i
		}
	}
	if w.tape == nil {
		w.fail("unknown_reference", "tape", map[string]any{"Value": w.line.Tape})
	}
}

func (w *window) fabric(key, id string, required bool) *orderfile.Fabric {
	if id == "" && !required {
		return nil
	}
	f := w.order.Fabric(id)
	if f == nil {
		w.fail("unknown_reference", key, map[string]any{"Value": id})
	}
	return f
}

// tapeWorks refuses a tape that can't make pleats: no space at all, or a base that takes more than the pleat.
func (w *window) tapeWorks() bool {
	t := w.tape
	if w.heading.Holds == orderfile.OnCarriers {
		return w.carries()
	}
	if !w.heading.Tape.Pleats() || pitch(t) > 0 && t.PleatBase >= 0 && t.TakeUp() > t.PleatBase {
		return true
	}
	w.tellAt(engine.Error, "bad_value.tape", fmt.Sprintf("tapes[%d].space", w.tapeIndex), map[string]any{
		"Tape": t.ID, "Period": t.Period, "Space": t.Space, "Base": t.PleatBase,
	})
	return false
}

// carries refuses a wave whose track or tape doesn't say how far its carriers and pockets are apart.
func (w *window) carries() bool {
	if w.rod().CarrierPitch > 0 && w.tape.PocketPitch > 0 && w.tape.Pockets > 0 {
		return true
	}
	w.fail("missing_key.rod", "rod", map[string]any{"Key": "rod", "Rod": w.line.Rod, "Needs": "carrier_pitch", "Heading": w.heading.Called()})
	return false
}

// tell notes a problem at a key of the treatment, or piece. What stands after a point in its code chooses among the sentences of
// the code: "too_narrow.hand".
func (w *window) tell(severity engine.Severity, code, key string, args map[string]any) {
	w.tellAt(severity, code, fmt.Sprintf("%s[%d].%s", w.list, w.index, key), args)
}

func (w *window) fail(code, key string, args map[string]any) { w.tell(engine.Error, code, key, args) }

func (w *window) tellAt(severity engine.Severity, code, where string, args map[string]any) {
	if args == nil {
		args = map[string]any{}
	}
	args["Window"] = w.line.Window
	p := engine.Problem{Severity: severity, Code: code, Args: args, Units: w.order.Units, Where: where}
	p.Line, p.Column = w.order.Position(where)
	if bare, _, several := strings.Cut(code, "."); several {
		p.Code, p.Key = bare, "problem."+code
	}
	w.problems = append(w.problems, p)
}

// widthKey is the key of the order file that set the panel's width.
func (w *window) widthKey() string {
	switch {
	case w.list == "pieces":
		return "sizes.width"
	case w.ordered():
		return "finished_width"
	}
	return "face_width"
}

// ordered reports whether the panel's own width is what the order gives.
func (w *window) ordered() bool { return w.line.FinishedWidth > 0 || w.line.FaceWidth == 0 }

// finishedWidth is the width asked of a panel across its pulled-up heading. An overlap is the lap of the two
// leading edges, each passing the centre by half of it, unless the shop states what each passes.
func (w *window) finishedWidth() measure.Length { return w.finished().half() }

// finished is the finished width before it is rounded: half a face width may be half a nanometre.
func (w *window) finished() doubled {
	t := w.line
	switch {
	case w.ordered():
		return twice(t.FinishedWidth)
	case t.Draw == orderfile.OneWayLeft || t.Draw == orderfile.OneWayRight:
		return twice(t.FaceWidth + t.Return + t.OtherReturn() + w.poleEase())
	}
	return doubled(t.FaceWidth+w.lap()) + twice(w.ret()+w.poleEase())
}

// poleEase is what the shop adds to the width of each panel on a pole.
func (w *window) poleEase() measure.Length {
	if w.heading.Pole != "" {
		return w.order.Conventions.PoleEase
	}
	return 0
}

// track is the span of rod that one panel covers; of a panel ordered by its own width that.
func (w *window) track() doubled {
	switch {
	case w.ordered():
		return twice(w.line.FinishedWidth)
	case w.line.Draw.Paired():
		return doubled(w.line.FaceWidth)
	}
	return twice(w.line.FaceWidth)
}

// ret is the return of the panel in hand. A pair's right one may turn another corner: bays, corners.
func (w *window) ret() measure.Length {
	if w.line.Draw == orderfile.Pair && w.side == Right {
		return w.line.OtherReturn()
	}
	return w.line.Return
}

// alike reports whether the panels of the window are alike but for their side.
func (w *window) alike() bool {
	return w.line.Draw != orderfile.Pair || w.line.OtherReturn() == w.line.Return
}

// lap is how far the two leading edges of a pair lie over each other.
func (w *window) lap() measure.Length {
	if w.order.Conventions.OverlapBasis == orderfile.PastCentre {
		return 2 * w.line.Overlap
	}
	return w.line.Overlap
}

// finishedLength runs from the top edge of the heading to the bottom of the hem, without puddle.
func (w *window) finishedLength() measure.Length {
	if h := w.line.Hang; h != nil {
		return h.BearingToFloor + h.HeadingAboveBearing - h.Clearance
	}
	return w.line.FinishedLength
}

// tableLength is the finished length before the panel hangs and its cloth grows, without puddle.
func (w *window) tableLength() measure.Length {
	return w.finishedLength().MulDiv(whole, whole+int64(w.face.Relax))
}

// shrink is what the face shrinks by along the panel's length, which of one that is railroaded lies across the bolt.
func (w *window) shrink() orderfile.Percent {
	if w.line.Railroad {
		return w.face.ShrinkWidth
	}
	return w.shrinkAlong()
}

// shrinkAlong is what the face shrinks by along its bolt.
func (w *window) shrinkAlong() orderfile.Percent {
	if w.face.Shrink != nil {
		return *w.face.Shrink
	}
	return w.order.Conventions.Shrink
}

// Precedence of a value that several may set: treatment, sheer cloth, tape, heading, convention.

func (w *window) headingFold() measure.Length {
	switch {
	case w.tape == nil:
		return first(w.order.Conventions.HeadingFold, w.line.HeadingFold, w.heading.HeadingFold)
	case w.heading.Holds == orderfile.OnCarriers: // as deep as its tape is high
		return first(w.tape.Height, w.line.HeadingFold, w.tape.HeadingFold, w.heading.HeadingFold)
	}
	return first(w.order.Conventions.HeadingFold, w.line.HeadingFold, w.tape.HeadingFold, w.heading.HeadingFold)
}

func (w *window) bottomHem() measure.Length {
	hem := w.order.Conventions.BottomHem
	if w.sheer() {
		hem = orderfile.Sheers(w.order.Units).BottomHem
	}
	return first(hem, w.line.BottomHem)
}

func (w *window) sideHem() measure.Length {
	hem := w.order.Conventions.SideHem
	if w.sheer() {
		hem = orderfile.Sheers(w.order.Units).SideHem
	}
	return first(hem, w.line.SideHem)
}

// sheer reports whether a panel's face is a sheer. A valance has the shop's own hems, whatever it is of.
func (w *window) sheer() bool { return w.list == "treatments" && w.face.Sheer }

// joinedBand is the band that is joined on at an edge, nil without one.
func (w *window) joinedBand(edge orderfile.BandEdge) *orderfile.Band {
	for i := range w.line.Bands {
		if b := &w.line.Bands[i]; b.Edge == edge && b.Method == orderfile.Joined {
			return b
		}
	}
	return nil
}

// beyond is the cloth of the face beyond a finished edge: both turns of its hem, or below 0 what a band that is joined on covers, less the
// seam.
func (w *window) beyond(edge orderfile.BandEdge) measure.Length {
	if b := w.joinedBand(edge); b != nil {
		return w.order.Conventions.Seam - b.Width
	}
	if edge == orderfile.BandBottom {
		return 2 * w.bottomHem()
	}
	return 2 * w.sideHem()
}

// besides is the cloth of the face beyond its flat width, at both edges.
func (w *window) besides() measure.Length {
	return w.beyond(orderfile.BandReturn) + w.beyond(orderfile.BandLeading)
}

func (w *window) easePerPleat() measure.Length {
	return first(w.order.Conventions.EasePerPleat, w.tape.EasePerPleat)
}

// first returns the first value given, the convention where none is.
func first(convention measure.Length, given ...*measure.Length) measure.Length {
	for _, g := range given {
		if g != nil {
			return *g
		}
	}
	return convention
}

// panels lists the panels of one window.
func (w *window) panels() []PanelID {
	if w.line.Draw.Paired() {
		return []PanelID{Left, Right}
	}
	return []PanelID{Single}
}

// patterned reports whether motifs stand side by side across the panel. In one whose cloth is turned they stand one above the other.
func (w *window) patterned() bool { return w.face.HorizontalRepeat > 0 && !w.line.Railroad }

// placing is where the order has the panels' motifs stand. A single has no other to be mirrored by.
func (w *window) placing() pattern.Placing {
	switch motif := w.line.Motif; {
	case motif == orderfile.Mirrored && w.patterned() && w.line.Draw.Paired():
		return pattern.Placing{Want: pattern.Mirrored, Lead: w.motifLead()}
	case motif == orderfile.CentredOn && w.patterned():
		return pattern.Placing{Want: pattern.Centred}
	case motif == orderfile.CentredBetween && w.patterned():
		return pattern.Placing{Want: pattern.Between}
	}
	return pattern.Placing{}
}

// placed reports whether the order has them stand in a place, whatever that trims.
func (w *window) placed() bool { return w.placing().Want != pattern.AsTheyFall }

// motifLead is how far from both leads of a mirrored pair the first motif's middle stands: unless given half a repeat, so that it is whole.
func (w *window) motifLead() measure.Length {
	return first(keptAcross(w.face).of(w.face.HorizontalRepeat).Div(2), w.line.MotifLead)
}

// motifsOf is the pattern across a panel of so many widths.
func (w *window) motifsOf(side PanelID, h measure.Halves) pattern.Panel {
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

// motifs is that across each panel that has as many widths and lies as flat as the one in hand: of a pair both, but for one that is uneven,
// whose panels are each centred by itself.
func (w *window) motifs(h measure.Halves) (list []pattern.Panel) {
	if w.line.Motif != orderfile.Mirrored && !w.alike() {
		return []pattern.Panel{w.motifsOf(w.side, h)}
	}
	for _, side := range w.panels() {
		list = append(list, w.motifsOf(side, h))
	}
	return list
}

// motifTrim is what is trimmed off a flat panel of so many widths to place its motifs, and whether that is at its leading edge.
func (w *window) motifTrim(side PanelID, h measure.Halves, flat measure.Length) (trim measure.Length, leading bool) {
	return w.placing().Trim(w.motifsOf(side, h), flat)
}

// motifCost is the width of cloth that placing the motifs of a flat panel takes.
func (w *window) motifCost(h measure.Halves, flat measure.Length) measure.Length {
	return w.placing().Cost(w.motifs(h), flat)
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

// layMotifs fills in where the panel's motifs come to stand, and what was trimmed for that.
func (w *window) layMotifs(p *Panel) {
	if !w.patterned() {
		return
	}
	p.MotifPositions = w.motifsOf(w.side, p.Widths).Motifs(p.FlatWidth, p.TrimReturn+p.TurnedReturn)
	if w.placed() {
		p.MotifPlaced, p.MotifTrim = true, p.TrimReturn
		if _, leading := w.motifTrim(w.side, p.Widths, p.FlatWidth); leading {
			p.MotifTrim = p.TrimLeading
		}
	}
}
