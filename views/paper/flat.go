package paper

import (
	"strings"
	"unicode/utf8"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/views/i18n"
	"tablehand/views/paper/room"
)

// canvas is what a flat drawing is drawn on: an SVG document or a sheet of paper. Lengths are the cloth's own. A
// class names what a thing is; how it looks is the canvas's.
type canvas interface {
	ink
	label(class string, x, y, size measure.Length, anchor, text string)
}

// flat draws a panel lying flat, to scale, its positions from the return edge at the left.
type flat struct {
	canvas
	units measure.Unit
	say   *i18n.Printer
	text  measure.Length // height of the lettering

	panel *Panel
	seams [][]seamLabel // in rows, so that no two stand on each other
	said  []string      // what is said below the caption
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

func newFlat(c canvas, p *Panel, units measure.Unit, text measure.Length, say *i18n.Printer) *flat {
	f := &flat{canvas: c, units: units, say: say, text: text, panel: p}
	f.said = f.notes()
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

// above and below are what the lettering takes over and under the cloth, with what holds it there.
func (f *flat) above() measure.Length {
	return f.panel.rises() + f.lines(f.overRows()) + f.text/2
}
func (f *flat) below() measure.Length {
	rows := 2 + f.edgeRows() + len(f.seams) + len(f.said)
	if len(f.motifLabels()) > 0 {
		rows++
	}
	return f.lines(rows) + f.text/2
}

func (f *flat) height() measure.Length { return f.above() + f.panel.FinishedLength + f.below() }

// overhang is how far the lettering stands out on either side of narrow cloth, and cords and rings of any.
func (f *flat) overhang() measure.Length {
	p := f.panel
	out := max(0, f.wide(f.caption())-p.FlatWidth) / 2
	for _, says := range f.said {
		out = max(out, (f.wide(says)-p.FlatWidth)/2)
	}
	first, last := f.flats()
	for says, flat := range map[string]measure.Length{first: f.firstFlat(), last: f.lastFlat()} {
		if says != "" {
			out = max(out, flat+f.text/2+f.wide(says)-p.FlatWidth)
		}
	}
	for _, says := range f.hung() {
		out = max(out, f.wide(says)-p.FlatWidth)
	}
	if p.Cords > 0 && !p.Pleated() {
		out = max(out, p.TapeHeight/2)
	}
	if _, radius := p.Ring(p.Panel); p.Ringed {
		out = max(out, radius-p.EdgeToPoint, radius-p.LeadToPoint)
	}
	return out
}

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
	says := []any{"Panel", f.say.T("paper.ticket.panel." + string(p.ID)), "Width", f.words(p.FlatWidth)}
	by, count := room.HeldBy(p.Panel), p.Points
	if by == "hook" {
		count = len(p.HookPlaces)
	}
	switch {
	case p.Pleated():
		return f.say.T("paper.drawing.flat", append(says, "Count", p.Pleats)...)
	case by != "":
		return f.say.T("paper.drawing.flat.held", append(says, "Held", f.say.N("room.says."+by+"s", count))...)
	}
	return f.say.T("paper.drawing.flat.plain", says...)
}

// sides says what the letters of the folds mean.
func (f *flat) sides() string {
	return f.say.T("paper.drawing.folds", "Front", f.letterOf(1), "Back", f.letterOf(2))
}

// letterOf is the letter of a gap between two points, from 1: of one that stands to the room, or to the window.
func (f *flat) letterOf(gap int) string {
	if gap%2 == 1 {
		return f.say.T("paper.drawing.front")
	}
	return f.say.T("paper.drawing.back")
}

// draw draws the panel, its lettering and all, with the top of it at y.
func (f *flat) draw(y measure.Length) {
	p := f.panel
	top := y + f.above()
	bottom := top + p.FinishedLength
	f.rect("cloth", 0, top, p.FlatWidth, p.FinishedLength)
	p.bands(f, top)
	f.line("hem", p.SideHem, top, p.SideHem, bottom)
	f.line("hem", p.FlatWidth-p.SideHem, top, p.FlatWidth-p.SideHem, bottom)
	f.line("hem", 0, bottom-p.BottomHem, p.FlatWidth, bottom-p.BottomHem)
	p.cord(f, top)
	f.letter(top)
	f.panel.heading(f, top, f.text/6)
	f.folds(top)
	f.over(top)
	for _, x := range p.Seams {
		f.line("seam", x, top, x, bottom)
	}
	p.motifs(f, top, f.text/4)
	p.pile(f, top, min(f.text.Times(5), p.FinishedLength/4))
	f.under(bottom)
}

// letter writes L or R large on the cloth, where it has room for it.
func (f *flat) letter(top measure.Length) {
	p := f.panel
	from := f.foldsFoot()
	size := min(f.text.Times(4), p.FinishedLength/3, (p.FinishedLength-from)/2)
	if p.ID != workup.Single && size > f.text {
		middle := max(p.FinishedLength/2, (from+p.FinishedLength)/2)
		f.label("panel-letter", p.FlatWidth/2, top+middle+size/2, size, "middle", f.say.T("page.panel."+string(p.ID)))
	}
}

// folds writes under the band which folds stand to the room and which to the window, by turns in two rows: all of them, or where the
// letters are too wide for that every second or third of each.
func (f *flat) folds(top measure.Length) {
	p := f.panel
	if f.foldsFoot() == 0 {
		return
	}
	foot, height := p.band()
	wide := f.text * 74 / 100 // a letter, and what keeps it off the next
	every := 2 * int(max(1, wide.CeilDiv(2*p.Pitch)))
	for row := range 2 {
		for gap := 1 + row; gap < p.Points; gap += every {
			middle := (p.Positions[gap-1] + p.Positions[gap]).Div(2)
			f.label("gap", middle, top+foot+height+f.lines(1+row), f.text, "middle", f.letterOf(gap))
		}
	}
}

// foldsFoot is how far below the top edge the letters of the folds reach; 0 where there are none, or no room for them on the cloth.
func (f *flat) foldsFoot() measure.Length {
	foot, height := f.panel.band()
	if reach := foot + height + f.lines(2) + f.text/4; room.Lettered(f.panel.Panel) && reach <= f.panel.FinishedLength {
		return reach
	}
	return 0
}

// over says over the cloth how far the first pleat or point is from the return edge: what a hand looks for first. Set by hand, the flat
// at the leading edge is another, and so is that of points. Of a top that is drawn up it says where its hooks go then.
func (f *flat) over(top measure.Length) {
	p := f.panel
	y := top - p.rises() - f.text/3
	size := top - p.rises() - f.text/2
	first, last := f.flats()
	if last != "" {
		f.span(p.FlatWidth-f.lastFlat(), p.FlatWidth, top, size)
		f.label("size-text", p.FlatWidth-f.lastFlat()-f.text/2, y, f.text, "end", last)
		y -= f.lines(f.overRows() - 1)
	}
	if first != "" {
		f.span(0, f.firstFlat(), top, size)
		f.label("size-text", f.firstFlat()+f.text/2, y, f.text, "start", first)
	}
	for k, says := range f.hung() {
		f.label("size-text", 0, y-f.lines(len(f.hung())-1-k), f.text, "start", says)
	}
}

// span draws a size over the top edge.
func (f *flat) span(from, to, top, y measure.Length) {
	f.line("size", from, y, to, y)
	f.line("size", from, y-f.text/4, from, top)
	f.line("size", to, y-f.text/4, to, top)
}

// firstFlat and lastFlat are what is flat outside the first pleat or point and the last.
func (f *flat) firstFlat() measure.Length {
	if f.panel.Pleated() {
		return f.panel.EdgeToPleat
	}
	return f.panel.EdgeToPoint
}

func (f *flat) lastFlat() measure.Length {
	if f.panel.Pleated() {
		return f.panel.LeadFlat
	}
	return f.panel.LeadToPoint
}

// flats says what is flat at both edges; "" where nothing is said of one.
func (f *flat) flats() (first, last string) {
	p := f.panel
	from := []any{"Length", f.words(f.firstFlat())}
	to := []any{"Length", f.words(f.lastFlat())}
	switch {
	case p.SetByHand():
		return f.say.T("paper.drawing.first", from...), f.say.T("paper.drawing.lead_flat", to...)
	case p.Pleated():
		return f.say.T("paper.drawing.first", from...), ""
	case p.Points > 0:
		return f.say.T("paper.drawing.first."+room.HeldBy(p.Panel), from...), f.say.T("paper.drawing.last."+room.HeldBy(p.Panel), to...)
	}
	return "", ""
}

// hung says where the hooks of a top that is drawn up go: in a row of their own the places of the first three and of the last.
func (f *flat) hung() []string {
	p := f.panel
	if p.Holds != orderfile.Gathered || len(p.HookPlaces) == 0 {
		return nil
	}
	var places []string
	last := len(p.HookPlaces) - 1
	for _, x := range p.HookPlaces[:min(3, last)] {
		places = append(places, f.words(x))
	}
	between := ", "
	if last > 3 {
		between = " … "
	}
	says := strings.Join(places, ", ")
	if says != "" {
		says += between
	}
	return []string{f.say.T("paper.drawing.hooks"), says + f.words(p.HookPlaces[last])}
}

// overRows is how many lines stand over the cloth: 2 where what is flat at both edges can't be told on one.
func (f *flat) overRows() int {
	if says := f.hung(); len(says) > 0 {
		return len(says)
	}
	first, last := f.flats()
	switch {
	case first == "":
		return 0
	case last != "" && f.firstFlat()+f.lastFlat()+f.wide(first+"   "+last) > f.panel.FlatWidth:
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
	y = f.motifRow(y)
	y += f.lines(1)
	first, last := f.edges()
	f.label("edge", 0, y, f.text, "start", first)
	y += f.lines(f.edgeRows() - 1)
	f.label("edge", p.FlatWidth, y, f.text, "end", last)
	y += f.text / 2
	f.line("size", 0, y, p.FlatWidth, y)
	y += f.lines(1)
	f.label("size-text", p.FlatWidth/2, y, f.text, "middle", f.caption())
	for _, says := range f.said {
		y += f.lines(1)
		f.label("size-text", p.FlatWidth/2, y, f.text, "middle", says)
	}
}

// motifRow writes the places of the motifs, each under its ring as far as there is room, and returns the line that it stands on.
func (f *flat) motifRow(y measure.Length) measure.Length {
	list := f.motifLabels()
	if len(list) > 0 {
		y += f.lines(1)
	}
	for _, l := range list {
		f.label("motif-text", l.x, y, f.text, "start", l.text)
	}
	return y
}
