package room

import (
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
