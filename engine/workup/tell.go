package workup

import (
	"fmt"
	"slices"
	"strings"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// What a person is told to look at. None has a published source.
const (
	fewestPleats  = 3                // under it a panel hardly looks pleated (from memory)
	fewestTurns   = 2                // of buckram: fewer don't hold a tube round (common practice)
	mostTurns     = 5                // of buckram: more don't go in (common practice)
	shortestCord  = 4 * measure.Inch // a shorter tail can't be tied (common practice)
	leastTubesGap = quarter          // between two tubes: closer ones rub (from memory)
)

// tellTable tells once a treatment what a person should look at before the panels are made.
func (w *window) tellTable(p *Panel) {
	if w.heading.Family == orderfile.Continuous { // see hangs
		if p.CordEnd == orderfile.Wound {
			w.tell(engine.Note, "cord_hazard", "cord_end", nil)
		}
		if w.tape != nil {
			w.tellTape(p)
		}
		return
	}
	if p.TubeDiameter > 0 {
		w.tellTubes(p)
	}
	if p.Pleats < fewestPleats {
		w.tell(engine.Warning, "few_pleats", w.widthKey(), map[string]any{"Count": p.Pleats, "Least": fewestPleats})
	}
	if w.tape != nil {
		w.tellTape(p)
	}
	if shown := len(p.Seams) - p.SeamsInPleats; shown > 0 {
		w.tellSeams(p, shown)
	}
	if w.tape == nil && w.line.Widths != nil {
		w.tellFullness(p)
	}
	if w.tape != nil && p.StitchLine > p.HeadingFold {
		w.tell(engine.Note, "stitch_below_fold", "tape", map[string]any{"Line": p.StitchLine, "Fold": p.HeadingFold})
	}
	w.tellEdges(p)
	if w.tape != nil && p.CordEnd == orderfile.Wound {
		w.tell(engine.Note, "cord_hazard", "cord_end", nil)
	}
}

// tellSeams tells of seams in a space, and what trimming has done for them or would do.
func (w *window) tellSeams(p *Panel, shown int) {
	args := map[string]any{"Count": shown, "Fabric": w.face.ID}
	code := "seam_shows"
	switch cloth := w.handCloth; {
	case w.tape == nil && cloth.keep && cloth.most > twice(cloth.asked):
		cloth.keep = false
		trimmed, laid := w.bestLaid(p, cloth, w.counted(p, cloth))
		left := laid[0].inSpaces() // there is no other panel: of one whose motifs are placed nothing is kept
		args["Flat"], args["Fullness"], args["Left"] = trimmed.flat, measure.Over(trimmed.flat, p.FinishedWidth), left
		switch {
		case left == 0:
			code += ".kept.none"
		case left < shown:
			code += ".kept.fewer"
		default:
			code += ".kept"
		}
	case w.placed():
		code += ".motif"
	case !w.trimmed(p):
		code += ".exact"
	}
	w.tell(engine.Note, code, "face", args)
}

// trimmed reports whether there was cloth enough over to try another trim, or to turn it in otherwise.
func (w *window) trimmed(p *Panel) bool {
	over := p.TrimReturn + p.TrimLeading + p.TurnedReturn + p.TurnedLeading
	if w.tape == nil && !w.handCloth.keep {
		over = max(over, w.handCloth.most.half()-w.handCloth.least)
	}
	return over >= w.order.Conventions.Step
}

// tellFullness tells where the widths that the order gives make an unusual fullness. Of a heading that has only one end of a range the
// other end is what any heading can be.
func (w *window) tellFullness(p *Panel) {
	least, most := w.heading.FullnessMin, w.heading.FullnessMax
	if least.Num == 0 && most.Num == 0 {
		return
	}
	if least.Num == 0 {
		least = measure.Ratio{Num: 1, Den: 1}
	}
	if most.Num == 0 {
		most = measure.Ratio{Num: orderfile.MostFullness, Den: 1}
	}
	if p.Fullness.Cmp(least) >= 0 && p.Fullness.Cmp(most) <= 0 {
		return
	}
	w.tell(engine.Warning, "widths_out_of_range", "widths", map[string]any{
		"Widths": p.Widths, "Fullness": p.Fullness, "Min": least, "Max": most,
	})
}

// tellTape tells of inserts that won't hold and cords too short to tie.
func (w *window) tellTape(p *Panel) {
	if p.InsertLength > 0 && (p.InsertLength < fewestTurns*p.TakeUp || p.InsertLength > mostTurns*p.TakeUp) {
		w.tell(engine.Warning, "insert_turns", "tape", map[string]any{
			"Tape": p.TapeID, "Length": p.InsertLength, "Turns": p.InsertTurns, "Least": fewestTurns, "Most": mostTurns,
		})
	}
	if p.Cords > 0 && p.CordInHand < shortestCord {
		w.tell(engine.Warning, "tail_short", w.widthKey(), map[string]any{"Length": p.CordInHand, "Least": shortestCord})
	}
}

// tellTubes tells where the tubes stand too close to hang, or can't be made at all.
func (w *window) tellTubes(p *Panel) {
	args := map[string]any{"Gap": p.TubeGap, "Pitch": p.Space, "Outside": p.TubeDiameter + w.face.Thickness}
	of, key := ".hand", w.pleatsKey(w.hand)
	if w.tape != nil {
		of, key = "", "tape"
		args["Tape"], args["Pitch"] = p.TapeID, pitch(w.tape)
	}
	switch {
	case p.TubeGap <= 0:
		w.fail("tubes_collide"+of, key, args)
	case p.TubeGap < leastTubesGap:
		w.tell(engine.Warning, "tubes_close"+of, key, args)
	}
}

// tellEdges counts the pleats inside the lap, and tells of those and of pleats that begin inside the side hem or stand inside the lap of a pair.
func (w *window) tellEdges(p *Panel) {
	if p.EdgeToPleat < p.SideHem {
		key := "tape"
		if w.tape == nil {
			key = "return"
		}
		w.tell(engine.Note, "pleat_in_hem", key, map[string]any{"Flat": p.EdgeToPleat, "Hem": p.SideHem})
	}
	if w.line.Draw != orderfile.Pair {
		return
	}
	within := w.hand.within
	if w.tape != nil {
		within = w.pulled.pleatsWithin
	}
	if p.PleatsInLap = within(w.lap()); p.PleatsInLap > 0 {
		w.tell(engine.Note, "pleat_in_lap", "overlap", map[string]any{"Count": p.PleatsInLap, "Lap": w.lap()})
	}
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

// longestDrag is as much as may lie on the floor of a panel that is drawn: more is trodden on and has to be laid anew each time (from memory).
const longestDrag = 6 * measure.Inch

// tellCloth tells what the order's cloth, and how it is asked to lie, mean for the window.
func (w *window) tellCloth() {
	still := w.line.Draw == orderfile.Stationary || w.line.Draw == orderfile.StationaryPair
	if w.line.Puddle > longestDrag && !still {
		w.tell(engine.Warning, "puddle_draws", "puddle", map[string]any{"Puddle": w.line.Puddle, "Most": longestDrag})
	}
	if w.face.Sheer && w.lining != nil {
		w.tell(engine.Note, "sheer_lined", "lining", map[string]any{"Fabric": w.face.ID, "Lining": w.lining.ID})
	}
	if w.line.Railroad {
		w.tell(engine.Note, "price_by_width", "railroad", nil)
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

// idle tells of conventions that the file names and nothing on the order goes by: hooks stand apart by hook_spacing along
// a gathered heading alone.
func idle(o *orderfile.Order) []engine.Problem {
	const where = "conventions.hook_spacing"
	gathered := slices.ContainsFunc(o.Treatments, func(t orderfile.Treatment) bool {
		d := o.Heading(t.Heading)
		return d != nil && d.Tape == orderfile.PencilKind
	})
	if gathered || !o.Says(where) {
		return nil
	}
	line, column := o.Position(where)
	return []engine.Problem{{
		Severity: engine.Note, Code: "not_used", Key: "problem.not_used.hook_spacing", Where: where, Line: line, Column: column, Units: o.Units,
	}}
}

// standing are notes that come with the heading itself, as good as always. The ticket says them at the station where
// they matter; among what a person should look at before the cloth is cut they would only hide the rest.
var standing = []string{"cord_hazard", "pleat_in_lap"}

// Noteworthy returns the problems that a person should look at. Standing notes are left out, and what several windows
// have from one tape and fold is told once, of the first, with how many more there are as More.
func Noteworthy(problems []engine.Problem) []engine.Problem {
	var list []engine.Problem
	for _, p := range problems {
		if slices.Contains(standing, p.Code) {
			continue
		}
		at := slices.IndexFunc(list, func(q engine.Problem) bool { return sameStitches(p, q) })
		if at < 0 {
			list = append(list, p)
			continue
		}
		args := map[string]any{}
		for name, v := range list[at].Args {
			args[name] = v
		}
		more, _ := args["More"].(int)
		args["More"] = more + 1
		list[at].Args = args
	}
	return list
}

// sameStitches reports whether both are of stitches that lie alike below alike folds.
func sameStitches(p, q engine.Problem) bool {
	const code = "stitch_below_fold"
	return p.Code == code && q.Code == code && p.Args["Line"] == q.Args["Line"] && p.Args["Fold"] == q.Args["Fold"]
}
