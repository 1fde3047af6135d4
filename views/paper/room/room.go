// Package room draws the windows of one room as they hang, seen from the middle of it: an elevation, of what the order
// knows and nothing else. It decides what stands where and what is written beside it; on what it is drawn is the pen's.
package room

import (
	"slices"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// Room is a room of an order with its windows, in the file's order.
type Room struct {
	Name    string // "" of windows that name none
	Units   measure.Unit
	Windows []Window
}

// Window is a treatment as it hangs. Places across run from the rod's left corner to the right, seen from the room.
type Window struct {
	Name     string
	Heading  orderfile.Heading
	Called   string // the heading, where it is the shop's own
	Draw     orderfile.Draw
	Quantity int
	Rod      measure.Length  // corner to corner; 0 where the order doesn't give it
	Overlap  measure.Length  // of the leading edges of a pair, 0 of others
	Return   measure.Length  // of a single stationary panel, whose side the order doesn't give; 0 of others
	Hang     *orderfile.Hang // nil where the order doesn't give the rod's height
	Puddle   measure.Length  // part of the panels' length
	Repeat   measure.Length  // of the face's pattern; 0 plain
	Across   measure.Length  // from motif to motif on the flat face, 0 where it has none
	Motif    orderfile.Motif // where the order wants them
	Bands    []workup.PanelBand
	Sheer    bool
	Panels   []Panel
	Below    measure.Length // the rod's top below the panels' top edge, below 0 above it; 0 where the order doesn't say
	Rises    measure.Length // what holds the panels and the rod above their top edge
	Hardware                // what they hang by and from
}

// Panel is a panel as it hangs, its returns opened out to the sides.
type Panel struct {
	ID            workup.PanelID
	Left          measure.Length // its left edge: below 0 where it turns back to the wall there
	Width, Length measure.Length // finished, the returns and the puddle within
	ReturnLeft    measure.Length // what of the width turns back at its left edge, and its right
	ReturnRight   measure.Length
	Heading       measure.Length // of the tape or buckram, below the top, or down to the foot of a rod's tunnel
	Stand         measure.Length // of the cloth above that
	Waist         measure.Length // of a goblet, below the top: there its cup is pinched; 0 of others
	Pleats        int
	By            string           // what holds a panel without pleats (HeldBy)
	Points        []measure.Length // where, from the left edge
	Lettered      bool             // between them the cloth turns to the room and to the window by turns
	Gathered      bool             // evenly, by nobody's count
	Rises         measure.Length   // what tabs stand above the top edge
	RingAbove     measure.Length   // the middle of a ring above it
	RingRadius    measure.Length
	Folds         []measure.Length // the pleats, from the left edge
	Across        measure.Length   // how wide each stands in front of the heading; 0 of a fold
	Widths        measure.Halves   // of cloth
	Motifs        []Motif
	Middles       []measure.Length // of the motifs, from the left edge: the cloth between them is taken up evenly
	Bands         []Strip
	Sheer         bool

	fromRight bool // its return edge, from which the work-up's places run, is its right one
}

// Strip is a band of another cloth as it hangs, from the panel's left edge and its top.
type Strip struct{ Left, Top, Width, Height measure.Length }

// Motif is the lines at which a pattern starts again across a width of cloth. Of a half-drop every other width has them half a
// repeat lower.
type Motif struct {
	From, To measure.Length // from the left edge
	At       []measure.Length
}

// Names are the rooms of an order that have a window with numbers, each once, in the file's order; "" stands for those
// that name none.
func Names(w *workup.Workup) []string {
	var names []string
	for i := range w.Treatments {
		if t := &w.Treatments[i]; len(t.Panels) > 0 && !slices.Contains(names, t.Room) {
			names = append(names, t.Room)
		}
	}
	return names
}

// Of returns a room of an order; without windows where no window with numbers names it.
func Of(w *workup.Workup, name string) Room {
	r := Room{Name: name, Units: w.Order.Units}
	for i := range w.Treatments {
		if t := &w.Treatments[i]; t.Room == name && len(t.Panels) > 0 {
			r.Windows = append(r.Windows, windowOf(w.Order, t))
		}
	}
	return r
}

func windowOf(o *orderfile.Order, t *workup.Treatment) Window {
	line := &o.Treatments[t.Index]
	w := Window{
		Name: t.Window, Heading: t.Heading, Called: t.HeadingName, Draw: line.Draw, Quantity: t.Quantity, Rod: line.FaceWidth, Hang: line.Hang, Puddle: line.Puddle,
		Hardware: HardwareOf(o, line),
	}
	w.Rises = w.Hardware.Rises(&t.Panels[0])
	switch {
	case w.Hang != nil:
		w.Below = w.Hang.HeadingAboveBearing
	case t.Panels[0].BearingKnown:
		w.Below = t.Panels[0].Bearing
	default:
		w.Below = -w.Rises
	}
	w.Rises = max(w.Rises, -w.Below)
	if line.Draw == orderfile.Pair {
		w.Overlap = line.Overlap
		if o.Conventions.OverlapBasis == orderfile.PastCentre {
			w.Overlap = 2 * line.Overlap
		}
	}
	face := o.Fabric(line.Face)
	if face != nil {
		w.Repeat, w.Across, w.Motif, w.Sheer = face.VerticalRepeat, face.HorizontalRepeat, line.Motif, face.Sheer
	}
	w.Bands = t.Panels[0].Bands
	for i := range t.Panels {
		hung := panelOf(&t.Panels[i])
		hung.Rises = w.Hardware.Rises(&t.Panels[i])
		hung.RingAbove, hung.RingRadius = w.Ring(&t.Panels[i])
		if line.Inserts == orderfile.Stuffed { // cups are pinched at their feet
			hung.Waist = t.Panels[i].HeadingFold - measure.Inch/2
		}
		hung.fromRight = t.Panels[i].AtRight
		w.Panels = append(w.Panels, hung)
	}
	w.turn(line)
	w.hangUp()
	for i := range w.Panels {
		w.Panels[i].fold(&t.Panels[i])
		w.Panels[i].band(&t.Panels[i])
		if face != nil {
			w.Panels[i].pattern(&t.Panels[i], face, o, line)
		}
	}
	return w
}

func panelOf(p *workup.Panel) Panel {
	hung := Panel{
		ID: p.ID, Width: p.FinishedWidth, Length: p.FinishedLength, Pleats: p.Pleats, Widths: p.Widths,
		By: HeldBy(p), Sheer: p.Sheer, Lettered: Lettered(p), Gathered: p.Holds == orderfile.Gathered, Stand: p.Stand,
	}
	_, hung.Heading = Band(p)
	switch {
	case p.Pocket > 0:
		hung.Heading += p.Stand
	case p.TabLoop > 0: // their facing is behind
		hung.Heading = 0
	}
	return hung
}

// turn says which edges of the panels turn back to the wall.
func (w *Window) turn(line *orderfile.Treatment) {
	first := &w.Panels[0]
	switch {
	case line.Draw == orderfile.Pair:
		first.ReturnLeft, w.last().ReturnRight = line.Return, line.OtherReturn()
	case line.Draw == orderfile.StationaryPair:
		first.ReturnLeft, w.last().ReturnRight = line.Return, line.Return
	case line.Draw == orderfile.OneWayLeft:
		first.ReturnLeft, first.ReturnRight = line.Return, line.OtherReturn()
	case line.Draw == orderfile.OneWayRight:
		first.ReturnLeft, first.ReturnRight = line.OtherReturn(), line.Return
	default:
		w.Return = line.Return
	}
}

func (w *Window) last() *Panel { return &w.Panels[len(w.Panels)-1] }

// hangUp puts the panels on the rod: the first from its left corner on, the second up to its right one. Where the order
// doesn't give the rod, a pair that closes meets with its overlap, and what is stationary stands apart by a gap that is
// only drawn.
func (w *Window) hangUp() {
	first, last := &w.Panels[0], w.last()
	first.Left = -first.ReturnLeft
	if len(w.Panels) == 1 {
		return
	}
	corner := w.Rod
	if corner == 0 {
		corner = first.front() + last.front() - w.Overlap
		if w.Draw == orderfile.StationaryPair {
			corner += (first.front() + last.front()) / 4
		}
	}
	last.Left = corner - last.front()
}

// front is what of a panel is in front of the rod.
func (p *Panel) front() measure.Length { return p.Width - p.ReturnLeft - p.ReturnRight }

// ends are the left and right ends of what hangs, the rod's corners within.
func (w *Window) ends() (left, right measure.Length) {
	right = w.Rod
	for i := range w.Panels {
		left, right = min(left, w.Panels[i].Left), max(right, w.Panels[i].Left+w.Panels[i].Width)
	}
	return left, right
}

// corners are the rod's. Where the order doesn't give it they are where the cloth turns.
func (w *Window) corners() (left, right measure.Length) {
	if w.Rod > 0 {
		return 0, w.Rod
	}
	last := w.last()
	return 0, last.Left + last.Width - last.ReturnRight
}

// long is the longest panel.
func (w *Window) long() measure.Length {
	var most measure.Length
	for i := range w.Panels {
		most = max(most, w.Panels[i].Length)
	}
	return most
}

// alike reports whether the panels are alike but for their side.
func (w *Window) alike() bool {
	first, last := &w.Panels[0], w.last()
	return first.Width == last.Width && first.Length == last.Length && first.Pleats == last.Pleats && len(first.Points) == len(last.Points) && first.Widths == last.Widths
}
