package workup

import (
	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// The turns of buckram that hold a tube round without filling it, and the shortest tail of cord that a hand can
// tie (common practice).
const (
	fewestPleats  = 3
	fewestTurns   = 2
	mostTurns     = 5
	shortestCord  = 4 * measure.Inch
	leastTubesGap = quarter
)

// tellTable tells once a treatment what a person should look at before the panels are made.
func (w *window) tellTable(p *Panel) {
	if w.tape != nil {
		w.tellTubes(p)
	}
	if p.Pleats < fewestPleats {
		w.tell(engine.Warning, "few_pleats", w.widthKey(), map[string]any{"Count": p.Pleats, "Least": fewestPleats})
	}
	if w.tape != nil {
		w.tellTape(p)
	}
	if shown := len(p.Seams) - p.SeamsInPleats; shown > 0 {
		w.tell(engine.Note, "seam_shows", "face", map[string]any{"Count": shown, "Fabric": w.face.ID})
	}
	if w.tape != nil && p.StitchLine > p.HeadingFold {
		w.tell(engine.Note, "stitch_below_fold", "tape", map[string]any{"Line": p.StitchLine, "Fold": p.HeadingFold})
	}
	w.tellEdges(p)
	if w.tape != nil && p.CordEnd == orderfile.Wound {
		w.tell(engine.Note, "cord_hazard", "cord_end", nil)
	}
}

// tellTape tells of inserts that won't hold and cords too short to tie.
func (w *window) tellTape(p *Panel) {
	if p.InsertLength < fewestTurns*p.TakeUp || p.InsertLength > mostTurns*p.TakeUp {
		w.tell(engine.Warning, "insert_turns", "tape", map[string]any{
			"Tape": p.TapeID, "Length": p.InsertLength, "Turns": p.InsertTurns, "Least": fewestTurns, "Most": mostTurns,
		})
	}
	if p.CordInHand < shortestCord {
		w.tell(engine.Warning, "tail_short", w.widthKey(), map[string]any{"Length": p.CordInHand, "Least": shortestCord})
	}
}

// tellTubes tells where the tubes stand too close to hang, or can't be made at all.
func (w *window) tellTubes(p *Panel) {
	args := map[string]any{
		"Tape": p.TapeID, "Gap": p.TubeGap, "Pitch": pitch(w.tape), "Outside": p.TubeDiameter + w.face.Thickness,
	}
	switch {
	case p.TubeGap <= 0:
		w.fail("tubes_collide", "tape", args)
	case p.TubeGap < leastTubesGap:
		w.tell(engine.Warning, "tubes_close", "tape", args)
	}
}

// tellEdges tells of pleats that begin inside the side hem or stand inside the lap of a pair.
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
	if n := within(w.lap()); n > 0 {
		w.tell(engine.Note, "pleat_in_lap", "overlap", map[string]any{"Count": n, "Lap": w.lap()})
	}
}
