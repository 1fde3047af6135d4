package room

import (
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// Hardware is what a panel without pleats hangs by and from: sizes of the order that a drawing shows and no number of the panel has.
// What the order doesn't say is 0.
type Hardware struct {
	Eyelet    orderfile.EyeletSize
	TabWidth  measure.Length
	Pole      measure.Length // its diameter; 0 of a track and of a flat rod
	RingInner measure.Length
}

// HardwareOf is that of a window.
func HardwareOf(o *orderfile.Order, line *orderfile.Treatment) Hardware {
	h := Hardware{Eyelet: line.Eyelet, TabWidth: line.Tab.Width}
	if rod := o.Rod(line.Rod); rod != nil {
		h.RingInner = rod.RingInner
		if rod.Kind == orderfile.Pole {
			h.Pole = rod.Through()
		}
	}
	return h
}

// Band is the strip along the top of a panel: its tape, its buckram, a rod's tunnel, or the facing of tabs. It begins below the top edge.
func Band(p *workup.Panel) (top, height measure.Length) {
	switch {
	case p.Pocket > 0:
		return p.Stand, p.Pocket
	case p.TabLoop > 0:
		return 0, p.FacingHeight
	case p.BuckramHeight > 0:
		return p.TopDrop, p.BuckramHeight
	}
	return p.TopDrop, p.TapeHeight
}

// Rises is how far tabs or rings stand above the top edge of a panel that lies flat or hangs; 0 of others.
func (h Hardware) Rises(p *workup.Panel) measure.Length {
	switch {
	case p.TabLoop > 0 && p.BearingKnown:
		return -p.Bearing
	case p.TabLoop > 0: // nobody knows the pole: the loop laid together
		return p.TabLoop.Div(2)
	case p.Ringed:
		middle, radius := h.Ring(p)
		return max(middle+radius, -p.Bearing)
	}
	return 0
}

// Ring is how far above the top edge the middle of a ring stands, and how large it is inside. It hangs on the top of its pole. Where the
// order gives one measure of it alone, it reaches down to the panel's edge; where it gives none, there is no ring to draw to scale, and
// its size is a quarter of the way to the next.
func (h Hardware) Ring(p *workup.Panel) (middle, radius measure.Length) {
	drop := -p.Bearing
	switch {
	case h.RingInner > 0 && p.BearingKnown:
		return drop - h.RingInner.Div(2), h.RingInner.Div(2)
	case h.RingInner > 0:
		return h.RingInner.Div(2), h.RingInner.Div(2)
	case p.BearingKnown:
		return drop.Div(2), drop.Div(2)
	}
	return p.Pitch.Div(8), p.Pitch.Div(8)
}

// HeldBy names what holds a panel without pleats: "eyelet", "tab", "ring", "hook", and "" where it has pleats or the rod gathers it.
func HeldBy(p *workup.Panel) string {
	switch {
	case p.EyeletDrop > 0:
		return "eyelet"
	case p.TabLoop > 0:
		return "tab"
	case p.Ringed:
		return "ring"
	case !p.Pleated() && p.TapeID != "":
		return "hook"
	}
	return ""
}

// HungPlaces are where the points of a panel that hangs so wide stand, from its return edge. An open wave's are as far apart as its
// carriers reach; what is flat before the first of them stays so.
func HungPlaces(p *workup.Panel, width measure.Length) []measure.Length {
	open, flat := p.FinishedWidth, measure.Length(0)
	if p.Reach > 0 {
		open = p.Reach
	}
	if p.Points > 0 && p.Places[0] == p.Positions[0] && p.Places[0] < min(width, open) {
		flat = p.Places[0]
	}
	places := make([]measure.Length, 0, len(p.Places))
	for _, x := range p.Places {
		places = append(places, flat+(x-flat).MulDiv(int64(width-flat), int64(open-flat)))
	}
	return places
}

// Lettered reports whether the folds between a panel's points stand to the room and to the window by turns: not of tabs, between which
// the cloth hangs as it falls.
func Lettered(p *workup.Panel) bool { return p.Points > 1 && p.TabLoop == 0 }
