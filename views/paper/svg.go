package paper

import (
	"bytes"
	"fmt"
	"html"
	"io"

	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/views/i18n"
)

// drawingStyle is for a drawing that stands alone; a page brings its own.
const drawingStyle = `.cloth{fill:#fffdf7;stroke:#26221c}.tape{fill:#e3e8f7;stroke:#2d3c8f}.pleat{fill:#2d3c8f;fill-opacity:.28;stroke:none}` +
	`.dot{fill:#2d3c8f}.seam{stroke:#9c1c1c;stroke-dasharray:4 2}.hem,.size{stroke:#6b6255;fill:none}text{fill:#26221c;font-family:sans-serif}` +
	`.cloth,.tape,.hem,.seam,.size{vector-effect:non-scaling-stroke;stroke-width:1.2px}`

// WorkupSVG draws the flat panels of an order to scale, one under another, as one document whose unit is the
// order's. Positions run from the return edge, at the left.
func WorkupSVG(w io.Writer, wu *workup.Workup, say *i18n.Printer) error {
	d := &drawing{units: wu.Order.Units, say: say}
	var width, y measure.Length
	for i := range wu.Treatments {
		t := &wu.Treatments[i]
		for k := range t.Panels {
			p := &t.Panels[k]
			d.scaleTo(p)
			title := t.Window + ", " + say.T("panel."+string(p.ID))
			y += d.text * 2
			d.label("window", 0, y-d.text/2, "start", title)
			d.panel(p, y, title)
			y += p.FinishedLength + d.text*5
			width = max(width, p.FlatWidth)
		}
	}
	if width == 0 {
		width, y = measure.Inch, measure.Inch
	}
	return d.write(w, width, y, say.T("paper.drawing.title", "Order", wu.Order.ID), drawingStyle)
}

// PanelSVG draws one flat panel to scale for a page, which styles its classes: cloth, tape, pleat, dot, seam, hem,
// size.
func PanelSVG(w io.Writer, p *workup.Panel, units measure.Unit, say *i18n.Printer) error {
	d := &drawing{units: units, say: say}
	d.scaleTo(p)
	title := say.T("paper.drawing.panel", "Panel", say.T("panel."+string(p.ID)))
	d.panel(p, d.text, title)
	return d.write(w, p.FlatWidth, p.FinishedLength+d.text*5, title, "")
}

// drawing gathers the elements of one SVG document. Everything is a length in the order's unit.
type drawing struct {
	units measure.Unit
	say   *i18n.Printer
	text  measure.Length // height of the lettering
	body  bytes.Buffer
}

// scaleTo sets the lettering in proportion to a panel, so that it reads at any size of the picture.
func (d *drawing) scaleTo(p *workup.Panel) { d.text = max(p.FlatWidth, p.FinishedLength) / 32 }

func (d *drawing) write(w io.Writer, width, height measure.Length, title, style string) error {
	margin := d.text
	var b bytes.Buffer
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" role="img" viewBox="%s %s %s %s"><title>%s</title>`,
		d.n(-margin), d.n(-margin), d.n(width+2*margin), d.n(height+2*margin), html.EscapeString(title))
	if style != "" {
		fmt.Fprintf(&b, "<style>%s</style>", style)
	}
	b.WriteString("\n")
	b.Write(d.body.Bytes())
	b.WriteString("</svg>\n")
	_, err := w.Write(b.Bytes())
	return err
}

// n writes a length as a number of the order's unit.
func (d *drawing) n(l measure.Length) string { return l.Number(d.units, 8) }

func (d *drawing) rect(class string, x, y, width, height measure.Length) {
	fmt.Fprintf(&d.body, `<rect class="%s" x="%s" y="%s" width="%s" height="%s"/>`+"\n", class, d.n(x), d.n(y), d.n(width), d.n(height))
}

func (d *drawing) line(class string, x1, y1, x2, y2 measure.Length) {
	fmt.Fprintf(&d.body, `<line class="%s" x1="%s" y1="%s" x2="%s" y2="%s"/>`+"\n", class, d.n(x1), d.n(y1), d.n(x2), d.n(y2))
}

func (d *drawing) label(class string, x, y measure.Length, anchor, text string) {
	fmt.Fprintf(&d.body, `<text class="%s" x="%s" y="%s" font-size="%s" text-anchor="%s">%s</text>`+"\n",
		class, d.n(x), d.n(y), d.n(d.text), anchor, html.EscapeString(text))
}

// panel draws one panel with its top edge at y.
func (d *drawing) panel(p *workup.Panel, y measure.Length, title string) {
	fmt.Fprintf(&d.body, "<g><desc>%s</desc>\n", html.EscapeString(title))
	bottom := y + p.FinishedLength
	d.rect("cloth", 0, y, p.FlatWidth, p.FinishedLength)
	d.line("hem", p.SideHem, y, p.SideHem, bottom)
	d.line("hem", p.FlatWidth-p.SideHem, y, p.FlatWidth-p.SideHem, bottom)
	d.line("hem", 0, bottom-p.BottomHem, p.FlatWidth, bottom-p.BottomHem)
	d.heading(p, y)
	for _, x := range p.Seams {
		d.line("seam", x, y, x, bottom)
	}
	d.sizes(p, y, bottom)
	d.body.WriteString("</g>\n")
}

// heading draws the tape with its pleats and dots.
func (d *drawing) heading(p *workup.Panel, y measure.Length) {
	top := y + p.TopDrop
	d.rect("tape", 0, top, p.FlatWidth, p.TapeHeight)
	for _, centre := range p.PleatPositions {
		d.rect("pleat", centre-p.TakeUp/2, top, p.TakeUp, p.TapeHeight)
	}
	period := p.TakeUp + p.Space
	for k := 0; k <= p.Pleats; k++ {
		fmt.Fprintf(&d.body, `<circle class="dot" cx="%s" cy="%s" r="%s"/>`+"\n",
			d.n(p.EndMargin+period.Times(k)), d.n(top+p.TapeHeight/2), d.n(d.text/6))
	}
}

// sizes writes what a hand looks for first: the edges' names, the flat to the first pleat, the seams, the whole.
func (d *drawing) sizes(p *workup.Panel, top, bottom measure.Length) {
	words := func(l measure.Length) string { return d.say.Length(l, d.units) }
	under := top + p.TopDrop + p.TapeHeight + d.text*3/2
	d.line("size", 0, under, p.EdgeToPleat, under)
	d.label("size-text", d.text/2, under+d.text*5/4, "start", words(p.EdgeToPleat))
	for i, x := range p.Seams {
		y := bottom - p.BottomHem - d.text.Times(2*(i%2)+1)
		if x < d.text*6 { // no room before it on the cloth
			d.label("seam-text", x+d.text/4, y, "start", words(x))
			continue
		}
		d.label("seam-text", x-d.text/4, y, "end", words(x))
	}
	d.label("edge", 0, bottom+d.text*5/4, "start", d.say.T("paper.drawing.return_edge"))
	d.label("edge", p.FlatWidth, bottom+d.text*5/4, "end", d.say.T("paper.drawing.leading_edge"))
	d.line("size", 0, bottom+d.text*2, p.FlatWidth, bottom+d.text*2)
	d.label("size-text", p.FlatWidth/2, bottom+d.text*13/4, "middle", d.say.T("paper.drawing.flat", "Width", words(p.FlatWidth), "Count", p.Pleats))
}
