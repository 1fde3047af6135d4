package pattern

import (
	"cmp"
	"slices"

	"tablehand/engine/measure"
)

// Fall is a cut of cloth with a vertical repeat, as far as it decides at which height of the pattern the cut has to start.
type Fall struct {
	Repeat measure.Length
	Top    measure.Length // cloth above the finished length: what the heading turns to the back
	Length measure.Length // the finished one, as it lies on the table
	Hem    measure.Length // of the panel's hem above the lowest one of its room
	Motif  measure.Length // where a full pattern begins: above that lowest hem, or below the top edge
	Kept   measure.Ratio  // of the length once the cloth has shrunk; the zero value is all of it
}

// FromHem is how far behind the pattern's own height a cut starts whose panels have a full pattern at one height above the lowest hem of a
// room. It is from 0 to under a repeat (Merrick & Day, curtain encyclopaedia, p. 119: full patterns at the hem).
func (f Fall) FromHem() measure.Length { return f.start(f.Motif - f.Hem - f.Top - f.Length) }

// FromTop is the same of panels that have one at one height below their top edges (K. Stein's list of fabrication practices).
func (f Fall) FromTop() measure.Length { return f.start(-f.Top - f.Motif) }

// start is a length of the finished cloth on the bolt, less whole repeats.
func (f Fall) start(l measure.Length) measure.Length {
	kept := f.Kept
	if kept.Num == 0 {
		kept = measure.Ratio{Num: 1, Den: 1}
	}
	on, repeat := l*measure.Length(kept.Den), f.Repeat*measure.Length(kept.Num)
	return (on - repeat*measure.Length(on.FloorDiv(repeat))).Div(kept.Num) % f.Repeat
}

// Start is the height of the pattern at which cuts start: behind its own, and of the second widths of a half-drop half a repeat more.
type Start struct {
	Behind  measure.Length
	Dropped bool
}

// doubled is the start in halves of a nanometre, from 0 to under two repeats.
func (s Start) doubled(repeat measure.Length) measure.Length {
	at := 2 * s.Behind
	if s.Dropped {
		at += repeat
	}
	return at - at.FloorTo(2*repeat)
}

// On is the start on cloth of that repeat, from 0 to under it.
func (s Start) On(repeat measure.Length) measure.Length {
	return s.doubled(repeat).Div(2) % repeat
}

// Lost is the cloth that cuts of whole repeats lose when all that start at one height are cut before those of the next: a repeat less the
// widest way, around the repeat, from one of the heights to the next. Of one height that is nothing, of a half-drop half a repeat.
func Lost(repeat measure.Length, starts []Start) measure.Length {
	if len(starts) == 0 {
		return 0
	}
	first, last := order(repeat, starts)
	return (last - first + repeat) % repeat
}

// First is the height that is cut first so that no more is lost: the one behind the widest way. Of several it is the lowest.
func First(repeat measure.Length, starts []Start) measure.Length {
	first, _ := order(repeat, starts)
	return first
}

// order finds the heights on both sides of the widest way from one to the next: the one behind it, and the one before.
func order(repeat measure.Length, starts []Start) (first, last measure.Length) {
	heights := slices.Clone(starts)
	slices.SortFunc(heights, func(a, b Start) int { return cmp.Compare(a.doubled(repeat), b.doubled(repeat)) })
	widest := measure.Length(-1)
	for i, at := range heights {
		before := heights[(i+len(heights)-1)%len(heights)]
		way := at.doubled(repeat) - before.doubled(repeat)
		if i == 0 {
			way += 2 * repeat
		}
		if way > widest {
			first, last, widest = at.On(repeat), before.On(repeat), way
		}
	}
	return first, last
}

// Step is how far behind the start of a cut of that length the next one can start: the least that isn't less and is of the next's height.
func Step(repeat, length measure.Length, from, next Start) measure.Length {
	aside := next.On(repeat) - from.On(repeat)
	return aside + (length - aside).CeilTo(repeat)
}
