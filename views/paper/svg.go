package paper

import (
	"bytes"
	"fmt"
	"html"
	"io"
	"strings"

	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/views/i18n"
)

// drawingStyle is for a drawing that stands alone; a page brings its own.
const drawingStyle = `.cloth{fill:#fffdf7;stroke:#26221c}.tape{fill:#e3e8f7;stroke:#2d3c8f}.pleat{fill:#2d3c8f;fill-opacity:.28;stroke:none}` +
	`.tunnel{fill:#e3e8f7}.front{fill:#2d3c8f;fill-opacity:.18}.dot{fill:#2d3c8f}.eyelet{fill:#b9b3a6;stroke:#26221c}.hole{fill:#fffdf7;stroke:#26221c}` +
	`.tab{fill:#fffdf7;stroke:#26221c}.rod{fill:#b98a4a;fill-opacity:.3;stroke:#6b4f2a}.ring{fill:none;stroke:#26221c}.hook,.tail{stroke:#26221c;fill:none}` +
	`.pocket{stroke:#2d3c8f;stroke-dasharray:7 4}.seam{stroke:#9c1c1c;stroke-dasharray:4 2}.hem,.size,.mark{stroke:#6b6255;fill:none}text{fill:#26221c;font-family:sans-serif}` +
	`.panel-letter{fill-opacity:.25;font-weight:bold}.cloth,.tape,.hem,.seam,.size,.mark,.eyelet,.hole,.tab,.rod,.ring,.hook,.tail,.pocket{vector-effect:non-scaling-stroke;stroke-width:1.2px}`

// WorkupSVG draws the flat panels of an order to scale, one under another, as one document whose unit is the
// order's. Positions run from the return edge, at the left.
func WorkupSVG(w io.Writer, wu *workup.Workup, say *i18n.Printer) error {
	d := &svg{units: wu.Order.Units}
	for i := range wu.Treatments {
		t := &wu.Treatments[i]
		for k := range t.Panels {
			f := d.flat(hungOf(wu, t, k), say)
			title := t.Window + ", " + say.T("panel."+string(t.Panels[k].ID))
			d.height += f.text * 2
			d.label("window", 0, d.height-f.text/2, f.text, "start", title)
			d.add(f, title)
		}
	}
	if d.width == 0 {
		d.width, d.height = measure.Inch, measure.Inch
	}
	return d.write(w, say.T("paper.drawing.title", "Order", wu.Order.ID), drawingStyle)
}

// svg is one document. Everything is a length in the order's unit.
type svg struct {
	units         measure.Unit
	width, height measure.Length
	margin        measure.Length // on every side
	body          bytes.Buffer
}

// flat readies a panel. Its lettering is in proportion, so that it is 16 px high on the smallest phone that shows all of it.
func (d *svg) flat(p *Panel, say *i18n.Printer) *flat {
	return newFlat(d, p, d.units, max(p.FlatWidth, p.FinishedLength)/12, say)
}

// add draws a panel under what is there.
func (d *svg) add(f *flat, title string) {
	fmt.Fprintf(&d.body, "<g><desc>%s</desc>\n", html.EscapeString(title))
	f.draw(d.height)
	d.body.WriteString("</g>\n")
	d.height += f.height()
	d.width = max(d.width, f.panel.FlatWidth)
	d.margin = max(d.margin, f.text, f.overhang())
}

func (d *svg) write(w io.Writer, title, style string) error {
	var b bytes.Buffer
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" role="img" viewBox="%s 0 %s %s"><title>%s</title>`,
		d.n(-d.margin), d.n(d.width+2*d.margin), d.n(d.height), html.EscapeString(title))
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
func (d *svg) n(l measure.Length) string { return l.Number(d.units, 8) }

func (d *svg) rect(class string, x, y, width, height measure.Length) {
	fmt.Fprintf(&d.body, `<rect class="%s" x="%s" y="%s" width="%s" height="%s"/>`+"\n", class, d.n(x), d.n(y), d.n(width), d.n(height))
}

func (d *svg) line(class string, x1, y1, x2, y2 measure.Length) {
	fmt.Fprintf(&d.body, `<line class="%s" x1="%s" y1="%s" x2="%s" y2="%s"/>`+"\n", class, d.n(x1), d.n(y1), d.n(x2), d.n(y2))
}

func (d *svg) circle(class string, x, y, radius measure.Length) {
	fmt.Fprintf(&d.body, `<circle class="%s" cx="%s" cy="%s" r="%s"/>`+"\n", class, d.n(x), d.n(y), d.n(radius))
}

func (d *svg) label(class string, x, y, size measure.Length, anchor, text string) {
	fmt.Fprintf(&d.body, `<text class="%s" x="%s" y="%s" font-size="%s" text-anchor="%s">%s</text>`+"\n",
		class, d.n(x), d.n(y), d.n(size), anchor, withFractions(text))
}

// withFractions sets the fractions of the lengths in a text: raised over a stroke, smaller. Read aloud or copied it
// is "12 5⁄8 in".
func withFractions(text string) string {
	var b strings.Builder
	at := 0
	for _, m := range lengthFraction.FindAllStringSubmatchIndex(text, -1) {
		b.WriteString(html.EscapeString(text[at:m[0]]))
		// The shifts are in sizes of their own letters and add up to none.
		fmt.Fprintf(&b, `<tspan font-size="0.7em" dy="-0.4em">%s</tspan><tspan dy="0.28em">⁄</tspan><tspan font-size="0.7em" dy="0.1em">%s</tspan><tspan dy="-0.07em">`,
			text[m[2]:m[3]], text[m[4]:m[5]])
		at = m[5]
		rest := text[at:]
		if next := lengthFraction.FindStringIndex(rest); next != nil {
			rest = rest[:next[0]]
		}
		b.WriteString(html.EscapeString(rest) + "</tspan>")
		at += len(rest)
	}
	b.WriteString(html.EscapeString(text[at:]))
	return b.String()
}
