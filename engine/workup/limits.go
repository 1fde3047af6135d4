package workup

import (
	"fmt"
	"strings"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

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
		w.Treatments[i] = Treatment{Index: i, Window: line.Window, Room: line.Room, Heading: line.Heading, Quantity: line.Quantity}
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
	if w.line.Widths != nil {
		return *w.line.Widths + w.reckonedBacking(flat)
	}
	halves := fewest(flat+4*w.sideHem(), w.face.UsableWidth, w.joinLoss(), w.countsHalves(w.face))
	if w.tooManyPieces(w.face, halves) || w.order.Conventions.WidthsRounding != orderfile.NearestWhole {
		return halves + w.reckonedBacking(flat)
	}
	least := measure.Halves(2) // the nearest is at most a width less, of a pair's total half a one in each panel
	if w.splitsTotal() {
		least = 1
	}
	halves = max(least, halves-least)
	flat = min(flat, joined(halves, w.face.UsableWidth, w.joinLoss()).half()-4*w.sideHem())
	return halves + w.reckonedBacking(flat)
}

func (w *window) reckonedBacking(flat measure.Length) (halves measure.Halves) {
	for _, f := range []*orderfile.Fabric{w.lining, w.interlining} {
		if f != nil {
			halves += fewest(flat, f.UsableWidth, w.liningLoss(), w.countsHalves(f))
		}
	}
	return halves
}

// positive reports whether a length that was worked out is one, and tells the key that makes it none.
func (w *window) positive(l measure.Length, kind, where string, args map[string]any) bool {
	if l > 0 {
		return true
	}
	args["Length"] = l
	w.tellAt(engine.Error, "not_positive."+kind, where, args)
	return false
}

// tellImplausible warns of lengths that each may be right and hardly go together (common practice, from memory): a unit
// that slipped, a figure in the wrong place.
func (w *window) tellImplausible() {
	face, length := w.line.FaceWidth, w.finishedLength()
	for _, side := range []struct {
		key   string
		width measure.Length
		used  bool
	}{
		{"return", w.line.Return, !w.ordered()},
		{"return_other", first(0, w.line.ReturnOther), !w.ordered()},
		{"overlap", w.line.Overlap, !w.ordered() && w.line.Draw == orderfile.Pair},
	} {
		if side.used && 2*side.width > face {
			w.implausible("half", side.key, map[string]any{"Key": side.key, "Width": side.width, "Face": face})
		}
	}
	for _, turn := range []struct {
		key   string
		depth measure.Length
		given bool // by the treatment
	}{
		{"heading_fold", w.headingFold(), w.line.HeadingFold != nil},
		{"bottom_hem", w.bottomHem(), w.line.BottomHem != nil},
		{"side_hem", w.sideHem(), w.line.SideHem != nil},
	} {
		where := turn.key
		if !turn.given {
			where = w.lengthKey()
		}
		args := map[string]any{"Key": turn.key, "Depth": turn.depth, "Length": length, "Most": deepestTurn}
		switch {
		case 3*turn.depth > length:
			w.implausible("third", where, args)
		case turn.depth > deepestTurn:
			w.implausible("deep", where, args)
		}
	}
}

// deepestTurn is as deep as a hem or a heading fold is ever turned (from memory).
const deepestTurn = 12 * measure.Inch

func (w *window) implausible(kind, key string, args map[string]any) {
	w.tell(engine.Warning, "implausible."+kind, key, args)
}

// lengthKey is the key of the order file that set the panel's length.
func (w *window) lengthKey() string {
	if w.line.Hang != nil {
		return "hang"
	}
	return "finished_length"
}

// sameNames warns of windows that have a name twice in a room: nobody could tell their tickets apart.
func sameNames(o *orderfile.Order) []engine.Problem {
	var list []engine.Problem
	seen := map[[2]string]int{}
	for i := range o.Treatments {
		t := &o.Treatments[i]
		name := [2]string{strings.ToLower(t.Room), strings.ToLower(t.Window)}
		if before, twice := seen[name]; twice {
			where := fmt.Sprintf("treatments[%d].window", i)
			line, column := o.Position(where)
			list = append(list, engine.Problem{
				Severity: engine.Warning, Code: "implausible", Key: "problem.implausible.window", Where: where, Line: line, Column: column,
				Args: map[string]any{"Window": t.Window, "Room": t.Room, "Nth": before + 1}, Units: o.Units,
			})
			continue
		}
		seen[name] = i
	}
	return list
}
