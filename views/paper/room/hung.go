package room

import (
	"slices"

	"tablehand/engine/measure"
)

// panel draws the cloth of a panel, its top at y.
func (f *figure) panel(pen Pen, p *Panel, x, y float64) {
	left, wide, long := x+f.at(p.Left), f.high(p.Width), f.high(p.Length)
	right := left + wide
	pen.Rect("cloth", left, y, wide, long)
	for _, turned := range [][2]float64{{left, f.high(p.ReturnLeft)}, {right - f.high(p.ReturnRight), f.high(p.ReturnRight)}} {
		if turned[1] > 0 {
			pen.Rect("turned", turned[0], y, turned[1], long)
		}
	}
	f.backs(pen, p, left, y)
	heading := f.high(p.Heading)
	f.bands(pen, p, left, y)
	pen.Rect("heading", left, y, wide, heading)
	f.pleats(pen, p, left, y)
	fold := "fold"
	if p.Sheer {
		fold = "fold-sheer"
	}
	for _, at := range f.folds(pen, p, left, y) {
		pen.Line(fold, at, y+heading, at, y+long)
	}
	for _, m := range p.Motifs {
		for _, at := range m.At {
			pen.Line("motif", left+f.high(m.From), y+f.high(at), left+f.high(m.To), y+f.high(at))
		}
	}
	f.middles(pen, p, left, y)
	if puddle := f.high(f.window.Puddle); puddle > 0 {
		pen.Line("corner", left, y+long-puddle, right, y+long-puddle)
	}
	for _, corner := range []float64{left + f.high(p.ReturnLeft), right - f.high(p.ReturnRight)} {
		if corner > left && corner < right {
			pen.Line("corner", corner, y, corner, y+long)
		}
	}
}

// middles draws a small ring at the middle of each motif: on each line where its pattern starts, or on the hem where nobody knows those.
func (f *figure) middles(pen Pen, p *Panel, left, y float64) {
	const radius, apart = 0.17, 0.5 // sizes of the letters
	s := f.sheet.Letters
	if len(p.Middles) > 1 && f.high(p.Middles[1]-p.Middles[0]) < apart*s {
		return
	}
	for _, x := range p.Middles {
		lines := []measure.Length{p.Length}
		for _, m := range p.Motifs {
			if x >= m.From && x <= m.To {
				lines = m.At
				break
			}
		}
		for _, at := range lines {
			if at > p.Heading {
				pen.Circle("middle", left+f.high(x), y+min(f.high(at), f.high(p.Length)-radius*s), radius*s)
			}
		}
	}
}

// bands draws the bands with a hatch of their own, so that they are told from the face in black and white.
func (f *figure) bands(pen Pen, p *Panel, left, y float64) {
	for _, b := range p.Bands {
		pen.Rect("band", left+f.high(b.Left), y+f.high(b.Top), f.high(b.Width), f.high(b.Height))
	}
}

// hatched draws the hatch, below the heading.
func (f *figure) hatched(pen Pen, p *Panel, left, y float64) {
	step := 0.5 * f.sheet.Letters
	for _, b := range p.Bands {
		top := max(b.Top, p.Heading)
		x1, y1 := left+f.high(b.Left), y+f.high(top)
		wide, high := f.high(b.Width), f.high(b.Height-(top-b.Top))
		for c := step; c < wide+high; c += step { // from lower left to upper right
			fromX, fromY := x1+max(0, c-high), y1+min(c, high)
			toX, toY := x1+min(c, wide), y1+max(0, c-wide)
			pen.Line("hatch", fromX, fromY, toX, toY)
		}
	}
}

// pleats draws the pleats of a heading: a fold as one line, a tube or the face of a box as two, a goblet as its cup, pinched at its waist.
func (f *figure) pleats(pen Pen, p *Panel, left, y float64) {
	heading, half, waist := f.high(p.Heading), f.high(p.Across)/2, f.high(p.Waist)
	for _, fold := range p.Folds {
		at := left + f.high(fold)
		switch {
		case waist > 0:
			for _, side := range []float64{-half, half} {
				pen.Line("pleat", at+side, y, at+0.75*side, y+0.6*waist)
				pen.Line("pleat", at+0.75*side, y+0.6*waist, at+waistWide*side, y+waist)
			}
			pen.Line("pleat", at-waistWide*half, y+waist, at+waistWide*half, y+waist)
		case half > 0:
			pen.Line("pleat", at-half, y, at-half, y+heading)
			pen.Line("pleat", at+half, y, at+half, y+heading)
		default:
			pen.Line("pleat", at, y, at, y+heading)
		}
	}
}

// waistWide is how wide a goblet is drawn where it is pinched, in parts of its cup.
const waistWide = 0.3

// backs shades the folds between points that turn to the window.
func (f *figure) backs(pen Pen, p *Panel, left, y float64) {
	for k := 1; k+1 < len(p.Points) && p.Lettered; k += 2 {
		pen.Rect("back", left+f.high(p.Points[k]), y, f.high(p.Points[k+1]-p.Points[k]), f.high(p.Length))
	}
}

// folds returns where lines run down the cloth: under each pleat, between points, or of a gathered top a few, nobody counting its folds.
// Where they would run together there are none.
func (f *figure) folds(pen Pen, p *Panel, left, y float64) []float64 {
	const tooClose = 0.16 // sizes of the letters
	s := f.sheet.Letters
	if p.Gathered {
		return f.gathers(pen, p, left, y)
	}
	places := append(slices.Clone(p.Folds), p.Points...)
	if len(places) > 1 && f.high(places[1]-places[0]) < tooClose*s {
		return nil
	}
	var at []float64
	for _, place := range places {
		at = append(at, left+f.high(place))
	}
	return at
}

// gathers draws the gathers of a top that is drawn up: short strokes in the heading, and returns every second one's place.
func (f *figure) gathers(pen Pen, p *Panel, left, y float64) (folds []float64) {
	const apart = 0.4 // sizes of the letters
	n := max(2, int(f.high(p.Width)/(apart*f.sheet.Letters)))
	for k := 1; k < n; k++ {
		at := left + f.high(p.Width)*float64(k)/float64(n)
		pen.Line("pleat", at, y, at, y+f.high(p.Heading))
		if k%2 == 1 {
			folds = append(folds, at)
		}
	}
	if p.By == "" { // the lines that the tunnel is sewn along
		for _, at := range []measure.Length{p.Stand, p.Heading} {
			pen.Line("pocket", left, y+f.high(at), left+f.high(p.Width), y+f.high(at))
		}
	}
	return folds
}

// held draws what holds a panel on its rod: the folds of eyelets that stand to the room, behind which the rod runs, and the eyelets; tabs
// over it; rings on it.
func (f *figure) held(pen Pen, p *Panel, x, y float64) {
	left := x + f.at(p.Left)
	w := f.window
	narrow := f.high(p.Width)
	for k := 1; k < len(p.Points); k++ {
		narrow = min(narrow, f.high(p.Points[k]-p.Points[k-1]))
	}
	if p.By == "eyelet" {
		for k := 0; k+1 < len(p.Points); k += 2 {
			pen.Rect("heading", left+f.high(p.Points[k]), y, f.high(p.Points[k+1]-p.Points[k]), f.high(p.Heading))
		}
	}
	const apart = 0.45 // of the way to the next
	for _, place := range p.Points {
		at := left + f.high(place)
		switch p.By {
		case "eyelet":
			pen.Circle("eyelet", at, y+f.high(w.Eyelet.Drop), min(f.high(w.Eyelet.Outer)/2, apart*narrow))
		case "tab":
			half, rises := min(f.high(w.TabWidth)/2, apart*narrow), f.high(p.Rises)
			pen.Rect("tab", min(max(at-half, left), left+f.high(p.Width)-2*half), y-rises, 2*half, rises)
		case "ring":
			pen.Circle("ring", at, y-f.high(p.RingAbove), min(f.high(p.RingRadius), apart*narrow))
		}
	}
}

// hidesRod reports whether the rod runs inside of the cloth.
func (w *Window) hidesRod() bool { return w.Panels[0].Gathered && w.Panels[0].By == "" }

// lap shades where the leading edges of a pair lie over each other.
func (f *figure) lap(pen Pen, x, y float64) {
	first, last := &f.window.Panels[0], f.window.last()
	if from, to := last.Left, first.Left+first.Width; len(f.window.Panels) > 1 && to > from {
		pen.Rect("lap", x+f.at(from), y, f.high(to-from), f.high(f.window.long()))
	}
}

// rod draws the rod from corner to corner at its height, the panels' top edge at y: a pole as thick as it is, and a line where the order
// doesn't say that; dashed where it doesn't give how wide the rod is.
func (f *figure) rod(pen Pen, x, y float64) {
	y += f.high(f.window.Below)
	left, right := f.window.corners()
	switch {
	case f.window.Rod == 0:
		pen.Line("rod-unknown", x+f.at(left), y, x+f.at(right), y)
	case f.window.Pole > 0:
		pen.Rect("pole", x+f.at(left), y, f.high(right-left), f.high(f.window.Pole))
	default:
		pen.Line("rod", x+f.at(left), y, x+f.at(right), y)
	}
}
