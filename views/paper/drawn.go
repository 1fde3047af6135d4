package paper

import (
	"slices"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/stations/plan"
	"tablehand/views/paper/pdf"
)

// drawn is a flat drawing on a sheet, with (x, y) the left top of the cloth's own lengths.
type drawn struct {
	*pen
	x, y  float64
	scale float64 // points a nanometre
}

// drawnText is the height of the lettering of a drawing on paper, in points.
const drawnText = 9.0

// leastDrawn is the least width of cloth, in points, that is worth drawing.
const leastDrawn = 45.0

// flatPanel draws a panel to scale, as large as the frame allows, in its middle, and returns the height that it takes. Where so
// little would be cloth, for all the lettering of very many seams, nothing is drawn, and that is 0.
func (p *pen) flatPanel(panel *Panel, units measure.Unit, x, y, width, height float64) float64 {
	d := &drawn{pen: p}
	notes, aside := p.aside(panel, units, width)
	width -= aside
	var below []string
	for _, says := range notes {
		if aside == 0 {
			below = append(below, p.wrap(says, 0.9*width, drawnText, plain, 2)...)
		}
	}
	// What the lettering takes depends on the scale, and the scale on what it takes.
	for d.scale = width / float64(panel.FlatWidth); float64(panel.FlatWidth)*d.scale > leastDrawn; d.scale *= 0.97 {
		f := newFlat(d, panel, units, measure.Length(drawnText/d.scale), p.say)
		f.said = below
		if float64(f.height())*d.scale <= height && float64(panel.FlatWidth+2*f.overhang())*d.scale <= width {
			d.x, d.y = x+(width-float64(panel.FlatWidth)*d.scale)/2, y
			f.draw(0)
			if aside > 0 {
				p.beside(notes, x+width+asideGap, y+float64(f.above())*d.scale)
			}
			return float64(f.height()) * d.scale
		}
	}
	return 0
}

// A frame at least so wide has what is said of a drawing at its right, so that the cloth keeps its height.
const (
	wideFrame = 400.0
	asideGap  = 16.0
)

// aside is what is said beside the drawing of a panel, and how much of the frame's width that takes; 0 where it is said below.
func (p *pen) aside(panel *Panel, units measure.Unit, width float64) (notes []string, takes float64) {
	notes = newFlat(nil, panel, units, panel.FlatWidth/10, p.say).said
	if width < wideFrame {
		return notes, 0
	}
	for _, says := range notes {
		takes = max(takes, p.width(says, drawnText, plain)+asideGap)
	}
	return notes, min(takes, width/2)
}

// beside writes the notes at the right of a drawing.
func (p *pen) beside(notes []string, x, y float64) {
	for n, says := range notes {
		p.text(x, y+float64(n+1)*drawnText*lineStep/10, says, drawnText, plain)
	}
}

func (d *drawn) at(x, y measure.Length) (float64, float64) {
	return d.x + float64(x)*d.scale, d.y + float64(y)*d.scale
}

// How the classes look in black and white: line widths in points, fills from 0, black, to 255.
var (
	drawnLines = map[string]float64{
		"cloth": 1, "tape": 0.6, "seam": 0.8, "hem": 0.4, "size": 0.5, "mark": 0.5,
		"eyelet": 0.8, "hole": 0.5, "ring": 0.9, "tab": 0.8, "hook": 0.9, "pocket": 0.7, "tail": 0.7, "rod": 0.5,
		"sewn": 0.6, "mitre": 0.4, "motif": 0.3, "cord": 1.4, "pile": 1.2,
	}
	drawnFills = map[string]uint8{"tape": 235, "tunnel": 235, "pleat": 205, "front": 205, "eyelet": 170, "hole": 255, "tab": 250, "dot": 0, "band": 200, "motif": 255}
	drawnDash  = map[string]bool{"seam": true, "pocket": true, "cord": true}
)

func (d *drawn) rect(class string, x, y, width, height measure.Length) {
	left, top := d.at(x, y)
	d.painted(class, func(how pdf.Paint) { d.pdf.Rect(left, top, float64(width)*d.scale, float64(height)*d.scale, how) })
}

// painted fills and strokes a shape as its class has it.
func (d *drawn) painted(class string, draw func(pdf.Paint)) {
	if shade, filled := drawnFills[class]; filled {
		d.pdf.SetFillColour(shadeOf(shade))
		draw(pdf.Filled)
	}
	if line, edged := drawnLines[class]; edged {
		d.pdf.SetLineWidth(line)
		draw(pdf.Stroked)
	}
	d.pdf.SetLineWidth(ruleWidth)
}

func (d *drawn) line(class string, x1, y1, x2, y2 measure.Length) {
	d.pdf.SetLineWidth(drawnLines[class])
	fromX, fromY := d.at(x1, y1)
	toX, toY := d.at(x2, y2)
	draw := func() { d.pdf.Line(fromX, fromY, toX, toY) }
	if drawnDash[class] {
		d.dashed(draw)
	} else {
		draw()
	}
	d.pdf.SetLineWidth(ruleWidth)
}

func (d *drawn) circle(class string, x, y, radius measure.Length) {
	left, top := d.at(x, y)
	d.painted(class, func(how pdf.Paint) { d.pdf.Circle(left, top, float64(radius)*d.scale, how) })
}

func (d *drawn) label(class string, x, y, size measure.Length, anchor, text string) {
	left, top := d.at(x, y)
	points, st := float64(size)*d.scale, plain
	if class == "panel-letter" {
		st = bold
		d.pdf.SetTextColour(shadeOf(150))
		defer d.pdf.SetTextColour(shadeOf(0))
	}
	switch anchor {
	case "middle":
		d.centre(left, top, text, points, st)
	case "end":
		d.right(left, top, text, points, st)
	default:
		d.text(left, top, text, points, st)
	}
}

// zoom is the heading at the return edge, where the tape is set on: how far below the fold it lies, and how far the
// first dot and the first pleat are from the edge.
type zoom struct {
	drop, dot, pleat measure.Length
	units            measure.Unit
}

// zoomOf takes a zoom from a ticket's tape station; ok is false where it has none.
func zoomOf(t *plan.Ticket) (z zoom, ok bool) {
	for _, s := range t.Steps {
		if s.Station != plan.Tape {
			continue
		}
		z.units, ok = t.Units, true
		for name, l := range map[string]*measure.Length{"top_drop": &z.drop, "end_margin": &z.dot, "edge_to_pleat": &z.pleat} {
			value := valueOf(s, name)
			*l, ok = value.Length(), ok && value.IsLength()
		}
	}
	return z, ok
}

// zoomHeight is what a zoom needs on a ticket, in points.
const zoomHeight = 50.0

// zoom draws the heading at the return edge to scale in a frame; the cloth goes on to the right and below.
func (p *pen) zoom(z zoom, x, y, width, height float64) {
	const letters = 9.0
	scale := width / (2 * float64(z.pleat))
	fold, bottom := y+letters*leading+3, y+height
	top := fold + float64(z.drop)*scale
	dotX, pleatX, right := x+float64(z.dot)*scale, x+float64(z.pleat)*scale, x+width
	p.shade("tape", x, top, width, bottom-top)
	p.shade("pleat", pleatX, top, right-pleatX, bottom-top)
	p.pdf.Line(x, top, right, top)
	p.pdf.SetLineWidth(1.2)
	p.pdf.Line(x, fold, right, fold)
	p.pdf.Line(x, fold, x, bottom)
	p.pdf.SetLineWidth(ruleWidth)

	say := func(key string, l measure.Length) string {
		return p.say.T(key, "Length", p.say.Length(l, z.units))
	}
	over := fold - letters/2
	p.size(x, pleatX, over, top)
	p.fitted(pleatX+4, over+letters/3, right-pleatX-4, say("paper.zoom.pleat", z.pleat), letters, plain)
	middle := top + (bottom-top)/2
	p.pdf.SetFillColour(shadeOf(0))
	p.pdf.Circle(dotX, middle, 3, pdf.Filled)
	p.pdf.Line(x, middle, dotX, middle)
	p.fitted(dotX+6, middle+letters/3, pleatX-dotX-8, say("paper.zoom.dot", z.dot), letters, plain)
	if height > 1.2*zoomHeight {
		p.fitted(x+4, bottom-3, pleatX-x-8, p.say.T("paper.zoom.title"), smallest, plain)
	}
	// The drop lies between the fold and the tape: two arrows show where.
	p.arrow(right-5, fold-8, fold)
	p.arrow(right-5, top+8, top)
	p.fitted(pleatX+4, middle+letters/3, right-pleatX-12, say("paper.zoom.drop", z.drop), letters, plain)
}

func (p *pen) shade(class string, x, y, width, height float64) {
	shade := drawnFills[class]
	p.pdf.SetFillColour(shadeOf(shade))
	p.pdf.Rect(x, y, width, height, pdf.Filled)
}

// size draws a measuring line at y from one place to another, with a stroke down from its end.
func (p *pen) size(from, to, y, down float64) {
	p.pdf.SetLineWidth(drawnLines["size"])
	p.pdf.Line(from, y, to, y)
	p.pdf.Line(from, y-3, from, y+3)
	p.dashed(func() { p.pdf.Line(to, y-3, to, down) })
	p.pdf.SetLineWidth(ruleWidth)
}

// arrow draws a small arrow to (x, to) from above or below.
func (p *pen) arrow(x, from, to float64) {
	back := 3.0
	if from > to {
		back = -back
	}
	p.pdf.SetFillColour(shadeOf(0))
	p.pdf.Line(x, from, x, to)
	p.pdf.Polygon([]point{{X: x, Y: to}, {X: x - 2, Y: to - back}, {X: x + 2, Y: to - back}}, pdf.Filled)
}

// boltHeight is a bolt's in a drawing, in points.
const boltHeight = 15.0

// strips draws the bolts that a cutting ticket cuts from, all to one scale: cuts numbered as in the list, flaws black.
type strips struct {
	*pen
	ticket *plan.Ticket
	bolts  []orderfile.Bolt
	x      float64
	width  float64 // of the longest bolt
	scale  float64 // points a nanometre
}

func (d *TicketsDoc) strips(p *pen, t *plan.Ticket, x, width float64) strips {
	s := strips{pen: p, ticket: t, x: x, width: width}
	var longest measure.Length
	if fabric := d.fabric(t.Fabric); fabric != nil {
		for _, b := range fabric.Bolts {
			if slices.ContainsFunc(t.Cuts, func(c plan.Cut) bool { return c.Bolt == b.ID }) {
				s.bolts, longest = append(s.bolts, b), max(longest, b.Length)
			}
		}
	}
	s.scale = width / float64(longest)
	return s
}

// draw draws a bolt with what it says over it, from y down, and returns where what is next begins.
func (s strips) draw(b orderfile.Bolt, y float64) float64 {
	y = s.lines(s.x, y, s.width, s.says(b), smallest, plain, 2) + 1
	s.pdf.Rect(s.x, y, float64(b.Length)*s.scale, boltHeight, pdf.Stroked)
	if b.From > 0 { // what another order has is crossed out
		width := float64(b.From) * s.scale
		s.pdf.Line(s.x, y, s.x+width, y+boltHeight)
		s.pdf.Line(s.x, y+boltHeight, s.x+width, y)
		s.pdf.Line(s.x+width, y, s.x+width, y+boltHeight)
	}
	for _, c := range s.ticket.Cuts {
		if c.Bolt == b.ID && c.From.IsLength() && c.Length.IsLength() {
			s.cut(c, y)
		}
	}
	s.pdf.SetFillColour(shadeOf(0))
	for _, f := range b.Flaws { // a short one still shows, taller than the bolt
		width := max(2.5, float64(f.To-f.From)*s.scale)
		s.pdf.Rect(min(s.x+float64(f.From)*s.scale, s.x+s.width-width), y-2, width, boltHeight+4, pdf.Filled)
	}
	return y + boltHeight + 5
}

func (s strips) cut(c plan.Cut, y float64) {
	x, width := s.x+float64(c.From.Length())*s.scale, float64(c.Length.Length())*s.scale
	s.pdf.Rect(x, y, width, boltHeight, pdf.Stroked)
	if c.Railroaded { // the panel's top lies along this edge
		s.pdf.SetLineWidth(2)
		s.pdf.Line(x+1, y+1, x+width-1, y+1)
		s.pdf.SetLineWidth(ruleWidth)
	}
	if w := s.pen.width(c.Cut, smallest, plain); w < width {
		s.text(x+(width-w)/2, y+boltHeight/2+3, c.Cut, smallest, plain)
	}
}

// says names a bolt and tells its length, where its flaws lie, and what the cuts leave of it.
func (s strips) says(b orderfile.Bolt) string {
	units := s.ticket.Units
	says := b.ID
	if b.Lot != "" {
		says = s.say.T("paper.cutting.lot", "Bolt", b.ID, "Lot", b.Lot)
	}
	says = join(says, s.say.Length(b.Length, units))
	if b.From > 0 {
		says = join(says, s.say.T("paper.cutting.part", "From", s.say.Length(b.From, units)))
	}
	for _, r := range s.ticket.Remnants {
		if r.Bolt == b.ID {
			says = join(says, s.say.T("paper.cutting.remnant", "Length", s.say.Quantity(r.Length)))
		}
	}
	for _, f := range b.Flaws {
		says = join(says, s.say.T("paper.cutting.flaw", "From", s.say.Length(f.From, units), "To", s.say.Length(f.To, units)))
	}
	return says
}
