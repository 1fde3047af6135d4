package room

import (
	"slices"

	"tablehand/engine/measure"
	"tablehand/engine/workup"
)

// figure is a window drawn to scale, with its name above and its measures around it. Its places are in the sheet's unit from the
// left end of what hangs.
type figure struct {
	sheet  *Sheet
	window *Window
	units  measure.Unit
	scale  float64 // a nanometre in the sheet's unit
	left   measure.Length
	cloth  float64   // how wide it is from end to end
	inner  float64   // how wide cloth and measures are
	name   []string  // bold
	kind   []string  // its heading and how many there are
	top    []written // measures above, and below
	bottom []written
}

// written is a measure along the cloth: its words, and the line that it is of, in a row of its own where two would touch.
type written struct {
	text     string
	from, to float64
	middle   float64 // of the words
	row      int     // from the cloth outwards
}

func (s *Sheet) figure(w *Window, units measure.Unit, scale float64) figure {
	f := figure{sheet: s, window: w, units: units, scale: scale}
	left, right := w.ends()
	f.left, f.cloth = left, float64(right-left)*scale
	f.measures()
	f.inner = f.cloth
	for _, m := range append(append([]written{}, f.top...), f.bottom...) {
		f.inner = max(f.inner, s.Wide(m.text, false))
	}
	const least = 9 // sizes, for the name
	f.inner = min(max(f.inner, least*s.Letters), s.Width-f.before()-side*s.Letters)
	f.top, f.bottom = f.apart(f.top), f.apart(f.bottom)
	f.name = s.wrap(w.Name, f.wide(), true)
	kind := s.Say.Heading(string(w.Heading), w.Called)
	if w.Quantity > 1 {
		kind += " · " + s.Say.N("page.order.quantity", w.Quantity)
	}
	f.kind = s.wrap(kind, f.wide(), false)
	return f
}

// measures lists what is written along the cloth.
func (f *figure) measures() {
	w := f.window
	length := func(l measure.Length) string { return f.sheet.Say.Length(l, f.units) }
	above := func(key string, from, to measure.Length) {
		f.top = append(f.top, written{text: f.sheet.Say.T(key, "Length", length(to-from)), from: f.at(from), to: f.at(to)})
	}
	for i := range w.Panels {
		p := &w.Panels[i]
		right := p.Left + p.Width
		if p.ReturnLeft > 0 {
			above("room.return", p.Left, p.Left+p.ReturnLeft)
		}
		if p.ReturnRight > 0 {
			above("room.return", right-p.ReturnRight, right)
		}
		text := length(p.Width)
		if p.ID != workup.Single {
			text = f.sheet.Say.T("page.panel."+string(p.ID)) + " " + text
		}
		f.bottom = append(f.bottom, written{text: text, from: f.at(p.Left), to: f.at(right)})
	}
	if middle := w.middle(); w.Overlap > 0 {
		// What the order asks for; panels that their tapes make a little narrower lap by a little less.
		half := w.Overlap.Div(2)
		f.top = append(f.top, written{text: f.sheet.Say.T("room.overlap", "Length", length(w.Overlap)), from: f.at(middle - half), to: f.at(middle + half)})
	}
	if w.Rod > 0 {
		above("room.rod", 0, w.Rod)
	}
}

// middle is where the leading edges of a pair meet.
func (w *Window) middle() measure.Length {
	return (w.last().Left + w.Panels[0].Left + w.Panels[0].Width).Div(2)
}

// apart puts measures into rows in which neither words nor lines touch, and keeps the words above the figure.
func (f *figure) apart(all []written) []written {
	spare := (f.inner - f.cloth) / 2
	space := gap * f.sheet.Letters
	ends := func(m written) (from, to float64) {
		half := f.sheet.Wide(m.text, false) / 2
		return min(m.from, m.middle-half), max(m.to, m.middle+half)
	}
	for i := range all {
		m := &all[i]
		half := f.sheet.Wide(m.text, false) / 2
		m.middle = min(max((m.from+m.to)/2, half-spare), f.inner-spare-half)
		for taken := true; taken; {
			taken = false
			from, to := ends(*m)
			for _, other := range all[:i] {
				if a, b := ends(other); other.row == m.row && a < to+space && from < b+space {
					m.row, taken = m.row+1, true
					break
				}
			}
		}
	}
	return all
}

func rows(all []written) (n int) {
	for _, m := range all {
		n = max(n, m.row+1)
	}
	return n
}

// at is a place of the window from the left end of what hangs.
func (f *figure) at(x measure.Length) float64 { return float64(x-f.left) * f.scale }

func (f *figure) high(l measure.Length) float64 { return float64(l) * f.scale }

// before is what the rod's height takes at the left.
func (f *figure) before() float64 {
	if f.window.Hang == nil {
		return 0
	}
	return side * f.sheet.Letters
}

func (f *figure) wide() float64 { return f.before() + f.inner + side*f.sheet.Letters }

// topEdge is where the cloth begins, above the floor or below the line that it hangs from.
func (f *figure) topEdge() float64 {
	if h := f.window.Hang; h != nil {
		return -f.high(h.BearingToFloor + h.HeadingAboveBearing)
	}
	return 0
}

func (f *figure) bottomEdge() float64 { return f.topEdge() + f.high(f.window.long()) }

// above and below are what the figure takes over and under the floor, or the line that it hangs from.
func (f *figure) above() float64 {
	s := f.sheet.Letters
	return -f.topEdge() + f.high(f.window.Rises) + s*(float64(rows(f.top))*measured+line*float64(len(f.name)+len(f.kind))+2*gap)
}

func (f *figure) below() float64 {
	return f.underCloth() + f.sheet.Letters*float64(rows(f.bottom))*measured
}

// underCloth is where the measures below begin: under the floor, the hem, and the length beside it where that is longer than the
// cloth.
func (f *figure) underCloth() float64 {
	return max(f.bottomEdge(), 0, f.topEdge()+f.sheet.Wide(f.length(), false)) + gap*f.sheet.Letters
}

func (f *figure) length() string { return f.sheet.Say.Length(f.window.long(), f.units) }

// tall is what a window takes from its top to the floor, or to its hem.
func (w *Window) tall() measure.Length {
	if w.Hang == nil {
		return w.long() + w.Rises
	}
	return max(w.long(), w.Hang.BearingToFloor+max(0, w.Hang.HeadingAboveBearing))
}

// draw draws the figure with its left end at x and the floor, or the line that it hangs from, at y.
func (f *figure) draw(pen Pen, x, y float64) {
	s := f.sheet.Letters
	middle := x + f.wide()/2
	down := y - f.above()
	for n, text := range append(append([]string{}, f.name...), f.kind...) {
		pen.Centre(middle, down+s, text, n < len(f.name))
		down += line * s
	}
	inside := x + f.before() + (f.inner-f.cloth)/2
	top, bottom := y+f.topEdge(), y+f.bottomEdge()
	if f.window.hidesRod() {
		f.rod(pen, inside, top)
	}
	for i := range f.window.Panels {
		f.panel(pen, &f.window.Panels[i], inside, top)
	}
	f.lap(pen, inside, top)
	for i := range f.window.Panels { // bands in the lap too
		p := &f.window.Panels[i]
		f.hatched(pen, p, inside+f.at(p.Left), top)
	}
	for i := range f.window.Panels {
		p := &f.window.Panels[i]
		outline := "outline"
		if p.Sheer {
			outline = "outline-sheer"
		}
		pen.Rect(outline, inside+f.at(p.Left), top, f.high(p.Width), f.high(p.Length))
	}
	if !f.window.hidesRod() {
		f.rod(pen, inside, top)
	}
	for i := range f.window.Panels {
		f.held(pen, &f.window.Panels[i], inside, top)
	}
	for _, m := range f.top {
		f.along(pen, m, inside, top-f.high(f.window.Rises)-gap*s-measured*s*float64(m.row+1))
	}
	for _, m := range f.bottom {
		f.along(pen, m, inside, y+f.underCloth()+measured*s*float64(m.row))
	}
	right := inside + f.cloth
	f.upright(pen, right+0.5*s, right+1.6*s, top, bottom, f.length())
	if h := f.window.Hang; h != nil {
		f.upright(pen, inside-0.5*s, inside-0.8*s, y-f.high(h.BearingToFloor), y, f.sheet.Say.Length(h.BearingToFloor, f.units))
	}
}

// along writes a measure over its line, the words' top at y.
func (f *figure) along(pen Pen, m written, x, y float64) {
	s := f.sheet.Letters
	pen.Centre(x+m.middle, y+0.9*s, m.text, false)
	y += 1.25 * s
	pen.Line("size", x+m.from, y, x+m.to, y)
	for _, end := range []float64{m.from, m.to} {
		pen.Line("size", x+end, y-0.2*s, x+end, y+0.2*s)
	}
}

// upright draws a line down with its measure beside it on the baseline words. One longer than the line goes on below it.
func (f *figure) upright(pen Pen, x, words, from, to float64, text string) {
	s := f.sheet.Letters
	pen.Line("size", x, from, x, to)
	for _, end := range []float64{from, to} {
		pen.Line("size", x-0.2*s, end, x+0.2*s, end)
	}
	pen.Upward(words, max((from+to)/2, from+f.sheet.Wide(text, false)/2), text)
}

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
