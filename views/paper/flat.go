package paper

import (
	"unicode/utf8"

	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/views/i18n"
)

// canvas is what a flat drawing is drawn on: an SVG document or a sheet of paper. Lengths are the cloth's own. A
// class names what a thing is; how it looks is the canvas's.
type canvas interface {
	rect(class string, x, y, width, height measure.Length)
	line(class string, x1, y1, x2, y2 measure.Length)
	dot(x, y, radius measure.Length)
	label(class string, x, y, size measure.Length, anchor, text string)
}

// flat draws a panel lying flat, to scale, its positions from the return edge at the left.
type flat struct {
	canvas
	units measure.Unit
	say   *i18n.Printer
	text  measure.Length // height of the lettering

	panel *workup.Panel
	seams [][]seamLabel // in rows, so that no two stand on each other
}

// seamLabel is a seam's position as it is written under the cloth, from x to end.
type seamLabel struct {
	text   string
	x, end measure.Length
}

const (
	// letterWidth is about that of a letter, in heights of the lettering. Sans-serif types differ little.
	letterWidth = 0.56
	// lineStep is from one line of lettering to the next, in heights, times ten.
	lineStep = 13
)

func newFlat(c canvas, p *workup.Panel, units measure.Unit, text measure.Length, say *i18n.Printer) *flat {
	f := &flat{canvas: c, units: units, say: say, text: text, panel: p}
	for _, x := range p.Seams {
		f.place(x)
	}
	return f
}

// place finds the first row in which a seam's label touches no other; at the right edge it ends at its seam.
func (f *flat) place(x measure.Length) {
	l := seamLabel{text: f.words(x), x: x}
	width := f.wide(l.text)
	if l.x+width > f.panel.FlatWidth {
		l.x -= width
	}
	l.end = l.x + width
	for i, row := range f.seams {
		if last := row[len(row)-1]; last.end+f.text/2 <= l.x {
			f.seams[i] = append(row, l)
			return
		}
	}
	f.seams = append(f.seams, []seamLabel{l})
}

func (f *flat) words(l measure.Length) string { return f.say.Length(l, f.units) }

// wide is about how wide a text is.
func (f *flat) wide(text string) measure.Length {
	return measure.Length(float64(f.text) * letterWidth * float64(utf8.RuneCountInString(text)))
}

// lines is the height of so many lines of lettering.
func (f *flat) lines(n int) measure.Length { return f.text.Times(n*lineStep) / 10 }

// above and below are what the lettering takes over and under the cloth.
func (f *flat) above() measure.Length { return f.lines(f.flatRows()) + f.text/2 }
func (f *flat) below() measure.Length { return f.lines(2+f.edgeRows()+len(f.seams)) + f.text/2 }

func (f *flat) height() measure.Length { return f.above() + f.panel.FinishedLength + f.below() }

// overhang is how far the lettering stands out on either side of narrow cloth.
func (f *flat) overhang() measure.Length { return max(0, f.wide(f.caption())-f.panel.FlatWidth) / 2 }

func (f *flat) edges() (first, last string) {
	return f.say.T("paper.drawing.return_edge"), f.say.T("paper.drawing.leading_edge")
}

// edgeRows is 2 where the names of both edges don't fit beside each other.
func (f *flat) edgeRows() int {
	if first, last := f.edges(); f.wide(first+"  "+last) > f.panel.FlatWidth {
		return 2
	}
	return 1
}

func (f *flat) caption() string {
	p := f.panel
	return f.say.T("paper.drawing.flat", "Panel", f.say.T("paper.ticket.panel."+string(p.ID)), "Width", f.words(p.FlatWidth), "Count", p.Pleats)
}

// draw draws the panel, its lettering and all, with the top of it at y.
func (f *flat) draw(y measure.Length) {
	p := f.panel
	top := y + f.above()
	bottom := top + p.FinishedLength
	f.rect("cloth", 0, top, p.FlatWidth, p.FinishedLength)
	f.line("hem", p.SideHem, top, p.SideHem, bottom)
	f.line("hem", p.FlatWidth-p.SideHem, top, p.FlatWidth-p.SideHem, bottom)
	f.line("hem", 0, bottom-p.BottomHem, p.FlatWidth, bottom-p.BottomHem)
	f.letter(top)
	f.heading(top)
	f.flats(top)
	for _, x := range p.Seams {
		f.line("seam", x, top, x, bottom)
	}
	f.under(bottom)
}

// letter writes L or R large on the cloth, where it has room for it.
func (f *flat) letter(top measure.Length) {
	size := min(f.text.Times(4), f.panel.FinishedLength/3)
	if f.panel.ID != workup.Single && size > f.text {
		f.label("panel-letter", f.panel.FlatWidth/2, top+f.panel.FinishedLength/2+size/2, size, "middle", f.say.T("page.panel."+string(f.panel.ID)))
	}
}

// heading draws the tape or the buckram with its pleats, each as wide as it takes up, and the tape's dots.
func (f *flat) heading(top measure.Length) {
	p := f.panel
	y, height := top+p.TopDrop, p.TapeHeight
	if p.SetByHand() {
		height = p.BuckramHeight
	}
	f.rect("tape", 0, y, p.FlatWidth, height)
	for k, centre := range p.PleatPositions {
		takes := p.TakeUp
		if len(p.TakeUps) > 0 {
			takes = p.TakeUps[k]
		}
		f.rect("pleat", centre-takes/2, y, takes, height)
	}
	for _, x := range p.PleatMarks {
		f.line("mark", x, y, x, y+height)
	}
	if p.SetByHand() {
		return
	}
	period := p.TakeUp + p.Space
	for k := 0; k <= p.Pleats; k++ {
		f.dot(p.EndMargin+period.Times(k), y+height/2, min(f.text/6, height/4))
	}
}

// flats says over the cloth how far the first pleat is from the return edge: what a hand looks for first. Set by
// hand, the flat at the leading edge is another.
func (f *flat) flats(top measure.Length) {
	p := f.panel
	f.span(0, p.EdgeToPleat, top, top-f.text/2)
	y := top - f.text/3
	if p.SetByHand() {
		f.span(p.FlatWidth-p.LeadFlat, p.FlatWidth, top, top-f.text/2)
		f.label("size-text", p.FlatWidth-p.LeadFlat-f.text/2, y, f.text, "end", f.lead())
		y -= f.lines(f.flatRows() - 1)
	}
	f.label("size-text", p.EdgeToPleat+f.text/2, y, f.text, "start", f.first())
}

// span draws a size over the top edge.
func (f *flat) span(from, to, top, y measure.Length) {
	f.line("size", from, y, to, y)
	f.line("size", from, y-f.text/4, from, top)
	f.line("size", to, y-f.text/4, to, top)
}

func (f *flat) first() string {
	return f.say.T("paper.drawing.first", "Length", f.words(f.panel.EdgeToPleat))
}

func (f *flat) lead() string {
	return f.say.T("paper.drawing.lead_flat", "Length", f.words(f.panel.LeadFlat))
}

// flatRows is 2 where what is flat at both edges can't be told on one line.
func (f *flat) flatRows() int {
	p := f.panel
	if p.SetByHand() && p.EdgeToPleat+p.LeadFlat+f.wide(f.first()+"   "+f.lead()) > p.FlatWidth {
		return 2
	}
	return 1
}

// under writes the seams, the edges' names and the whole width under the cloth.
func (f *flat) under(bottom measure.Length) {
	p, y := f.panel, bottom
	for _, x := range p.Seams {
		f.line("size", x, bottom, x, bottom+f.text/4)
	}
	for _, row := range f.seams {
		y += f.lines(1)
		for _, l := range row {
			f.label("seam-text", l.x, y, f.text, "start", l.text)
		}
	}
	y += f.lines(1)
	first, last := f.edges()
	f.label("edge", 0, y, f.text, "start", first)
	y += f.lines(f.edgeRows() - 1)
	f.label("edge", p.FlatWidth, y, f.text, "end", last)
	y += f.text / 2
	f.line("size", 0, y, p.FlatWidth, y)
	f.label("size-text", p.FlatWidth/2, y+f.lines(1), f.text, "middle", f.caption())
}

// PanelOf finds a panel of a work-up by its treatment, from 0, and its id; nil where there is none.
func PanelOf(w *workup.Workup, treatment int, panel string) *workup.Panel {
	for i := range w.Treatments {
		for k := range w.Treatments[i].Panels {
			if p := &w.Treatments[i].Panels[k]; w.Treatments[i].Index == treatment && string(p.ID) == panel {
				return p
			}
		}
	}
	return nil
}
