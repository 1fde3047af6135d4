package workup

import (
	"slices"
	"strings"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// Compute works out every window of an order that orderfile.Parse accepted. It is pure: the same order gives the
// same work-up. What is wrong with a treatment leaves that treatment out and is told in Problems; Compute itself
// never fails.
func Compute(o *orderfile.Order) *Workup {
	result := &Workup{Order: o, Treatments: make([]Treatment, len(o.Treatments))}
	pieces, pieceCuts, pieceProblems := workPieces(o)
	result.Pieces = pieces
	if cuts, problems := reckon(o); cuts+pieceCuts > mostCuts {
		return result.refused(cuts+pieceCuts, append(problems, pieceProblems...))
	}
	cuts, shared := pieceCuts, map[[2]string]bool{}
	for i := range o.Treatments {
		w, ok := setUp(o, i)
		t := &result.Treatments[i]
		*t = Treatment{
			Index: i, Window: w.line.Window, Room: w.line.Room, Heading: w.line.Heading, Made: w.heading.Made(), Quantity: w.line.Quantity,
		}
		if ok {
			w.work(t)
		}
		for _, u := range t.Fabrics {
			cuts += u.AllCuts()
		}
		for _, p := range w.problems {
			cause := [2]string{p.Code, p.Where}
			if !strings.HasPrefix(p.Where, "treatments[") { // a cloth's or a tape's is told once for all its windows
				if shared[cause] {
					continue
				}
				shared[cause] = true
			}
			result.Problems = append(result.Problems, p)
		}
	}
	result.Problems = append(result.Problems, pieceProblems...)
	if cuts > mostCuts {
		return result.refused(cuts, result.Problems)
	}
	result.Problems = append(append(result.Problems, sameNames(o)...), idle(o)...)
	result.Cloth = layCloth(result)
	result.Problems = append(result.Problems, clothProblems(result)...)
	result.Totals = addUp(result)
	return result
}

// work fills in the treatment's panels and fabrics, or tells why there are none.
func (w *window) work(t *Treatment) {
	panels, ok := w.workPanels()
	if !ok {
		return
	}
	t.Panels, t.Fabrics = panels, w.fabrics(panels)
	w.tellHeavy(panels)
	t.Collision = engine.AnyError(w.problems)
}

// workPanels works out the panels of one window, false where one of them can't be made. Those that are alike but for
// their side, and for which half of a split width each has, are worked out once.
func (w *window) workPanels() ([]Panel, bool) {
	var panels []Panel
	whole := true
	for _, id := range w.panels() {
		w.side = id
		if !w.alike() || w.patterned() || len(panels) == 0 {
			told := w.problems
			w.problems = nil
			p, ok := w.panel()
			whole = whole && ok
			panels = append(panels, p)
			w.problems = once(told, w.problems)
		} else {
			panels = append(panels, panels[0])
		}
		p := &panels[len(panels)-1]
		p.ID, p.AtRight = id, w.atRight(id)
		p.Pieces = layPieces(p.Widths, p.AtRight, halfDropped(w.face))
	}
	return panels, whole
}

// panel works out the panel in hand.
func (w *window) panel() (Panel, bool) {
	p := w.hung()
	w.tellImplausible()
	w.tellCloth()
	if !w.mayTurn() || !w.head(&p) || !w.bands(&p) || !w.cloth(&p) {
		return p, false
	}
	w.layMotifs(&p)
	if p.Sheer && len(p.Seams) > 0 {
		w.tell(engine.Note, "sheer_seams", "face", map[string]any{"Fabric": w.face.ID, "Count": len(p.Seams)})
	}
	w.fit(&p)
	w.weigh(&p)
	w.stack(&p)
	w.supports()
	w.tellTable(&p)
	p.Trail = w.trail(&p)
	return p, true
}

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

// head works out the panel's heading and its widths, by the heading's family.
func (w *window) head(p *Panel) bool {
	switch w.heading.Family {
	case orderfile.SetByTape:
		return w.setByTape(p)
	case orderfile.SetByHand:
		return w.setByHand(p)
	}
	return w.continuous(p)
}

func graver(a, b engine.Severity) bool {
	order := []engine.Severity{engine.Note, engine.Warning, engine.Error}
	return slices.Index(order, a) > slices.Index(order, b)
}

// once adds the problems of a panel to those of its mate: what both have is told once, as the graver.
func once(told, more []engine.Problem) []engine.Problem {
	for _, p := range more {
		i := slices.IndexFunc(told, func(q engine.Problem) bool { return q.Code == p.Code && q.Where == p.Where })
		switch {
		case i < 0:
			told = append(told, p)
		case graver(p.Severity, told[i].Severity):
			told[i] = p
		}
	}
	return told
}

// What one file may ask to be worked out, far beyond any drapery (from memory): more is a slip in a width, a quantity
// or a tape's data. It is found before the work, whose time and memory these bound.
const (
	mostPieces = 60      // of one cloth in a panel
	mostPleats = 400     // of a panel
	mostCuts   = 100_000 // of an order
)

// tooManyPieces tells where a panel would be joined from more pieces than anybody means.
func (w *window) tooManyPieces(f *orderfile.Fabric, h measure.Halves) bool {
	if pieces(h) <= mostPieces {
		return false
	}
	w.fail("absurd.pieces", w.widthKey(), map[string]any{"Count": pieces(h), "Fabric": f.ID, "Most": mostPieces})
	return true
}

// tooManyPleats tells where a panel would have more pleats than anybody means.
func (w *window) tooManyPleats(n int, key string) bool {
	if n <= mostPleats {
		return false
	}
	args := map[string]any{"Count": n, "Most": mostPleats, "Tape": ""}
	if w.tape != nil {
		args["Tape"] = w.tape.ID
	}
	w.fail("absurd.pleats", key, args)
	return true
}

// refused leaves every line of an order out that would be cut in more pieces than anybody means.
func (w *Workup) refused(cuts int, problems []engine.Problem) *Workup {
	o := w.Order
	for i := range o.Treatments {
		line := &o.Treatments[i]
		w.Treatments[i] = Treatment{Index: i, Window: line.Window, Room: line.Room, Heading: line.Heading, Made: o.Heading(line.Heading).Made(), Quantity: line.Quantity}
	}
	for i := range w.Pieces {
		p := &w.Pieces[i]
		p.Fabrics, p.Parts, p.Widths, p.Failed = nil, nil, 0, true
	}
	line, column := o.Position("treatments")
	w.Problems = append(problems, engine.Problem{
		Severity: engine.Error, Code: "absurd", Key: "problem.absurd.cuts", Args: map[string]any{"Count": cuts, "Most": mostCuts},
		Units: o.Units, Where: "treatments", Line: line, Column: column,
	})
	w.Totals = addUp(w)
	return w
}

// reckon is about how many cuts an order makes, never more than it does, and what is wrong with its windows as far as
// that shows.
func reckon(o *orderfile.Order) (cuts int, problems []engine.Problem) {
	for i := range o.Treatments {
		w, ok := setUp(o, i)
		halves := measure.Halves(0)
		for _, id := range w.panels() {
			if w.side = id; ok {
				halves += w.reckonedHalves()
			}
		}
		cuts += int(halves) * w.line.Quantity / 2
		problems = append(problems, once(nil, w.problems)...)
	}
	return cuts, problems
}

// leastFlat is the share of the flat width asked that a heading set by hand keeps at the least: the convention takes no
// more than a fifth off.
var leastFlat = measure.Ratio{Num: 4, Den: 5}

// reckonedHalves is how many half widths of all its cloths a panel takes at the least; 0 where it can't be made.
func (w *window) reckonedHalves() measure.Halves {
	var flat measure.Length
	if w.heading.Holds == orderfile.OnCarriers {
		flat = w.carriers(w.finishedWidth()).flat.half()
	} else if w.heading.Family != orderfile.SetByTape {
		flat = w.wantedFlat().MulDiv(leastFlat.Num, leastFlat.Den)
	} else if pulled, ok := w.pullUp(w.finishedWidth()); ok {
		flat = pulled.flat(w.tape)
	} else {
		return 0
	}
	if w.line.Railroad {
		return 2 + w.reckonedBacking(flat)
	}
	if w.line.Widths != nil {
		return *w.line.Widths + w.reckonedBacking(flat)
	}
	halves := fewest(flat+w.besides(), usable(w.face), w.joinLoss(), w.countsHalves(w.face))
	if w.tooManyPieces(w.face, halves) || w.order.Conventions.WidthsRounding != orderfile.NearestWhole {
		return halves + w.reckonedBacking(flat)
	}
	least := measure.Halves(2) // the nearest is at most a width less, of a pair's total half a one in each panel
	if w.splitsTotal() {
		least = 1
	}
	halves = max(least, halves-least)
	flat = min(flat, joined(halves, usable(w.face), w.joinLoss()).half()-w.besides())
	return halves + w.reckonedBacking(flat)
}

func (w *window) reckonedBacking(flat measure.Length) (halves measure.Halves) {
	for _, f := range []*orderfile.Fabric{w.lining, w.interlining} {
		switch {
		case f == nil:
		case f == w.lining && w.line.RailroadLining:
			halves += 2
		default:
			halves += fewest(flat, usable(f), w.liningLoss(), w.countsHalves(f))
		}
	}
	return halves
}

// Outcome is what an order would take under one named rule, all else being as it is.
type Outcome struct {
	Convention string
	Value      string
	InForce    bool // the order's own rule
	Fabrics    []FabricTotal
	Incomplete bool // the rule leaves a window out
}

// Differing gives the outcomes convention by convention, those left out under which every rule orders the same.
func Differing(list []Outcome) [][]Outcome {
	var all [][]Outcome
	for i, o := range list {
		if i == 0 || list[i-1].Convention != o.Convention {
			all = append(all, nil)
		}
		all[len(all)-1] = append(all[len(all)-1], o)
	}
	return slices.DeleteFunc(all, func(rules []Outcome) bool {
		return !slices.ContainsFunc(rules, func(o Outcome) bool { return !o.orders(rules[0]) })
	})
}

// orders reports whether the outcome orders what another does.
func (o Outcome) orders(as Outcome) bool {
	return o.Incomplete == as.Incomplete && slices.EqualFunc(o.Fabrics, as.Fabrics, func(a, b FabricTotal) bool {
		return a.Fabric == b.Fabric && a.ToOrder == b.ToOrder
	})
}

// Outcomes works an order out under each value of each convention that decides how much cloth is ordered, one
// changed at a time: what each rule of the trade would have bought. A stated overlap keeps its figure under
// either reading of it.
func Outcomes(o *orderfile.Order) []Outcome {
	var list []Outcome
	for _, choice := range orderfile.Choices() {
		if !choice.Rules {
			continue
		}
		for _, value := range choice.Words() {
			under := *o
			under.Conventions = choice.Under(o.Conventions, value)
			t := Compute(&under).Totals
			list = append(list, Outcome{
				Convention: choice.Key, Value: value, InForce: choice.Text(&o.Conventions, o.Units) == value, Fabrics: t.Fabrics, Incomplete: t.Incomplete,
			})
		}
	}
	return list
}
