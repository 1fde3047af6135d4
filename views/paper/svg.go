package paper

import (
	"bytes"
	"fmt"
	"html"
	"io"
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/views/i18n"
)

// drawingStyle is for a drawing that stands alone; a page brings its own.
const drawingStyle = `.cloth{fill:#fffdf7;stroke:#26221c}.tape{fill:#e3e8f7;stroke:#2d3c8f}.pleat{fill:#2d3c8f;fill-opacity:.28;stroke:none}` +
	`.tunnel{fill:#e3e8f7}.front{fill:#2d3c8f;fill-opacity:.18}.dot{fill:#2d3c8f}.eyelet{fill:#b9b3a6;stroke:#26221c}.hole{fill:#fffdf7;stroke:#26221c}` +
	`.tab{fill:#fffdf7;stroke:#26221c}.rod{fill:#b98a4a;fill-opacity:.3;stroke:#6b4f2a}.ring{fill:none;stroke:#26221c}.hook,.tail{stroke:#26221c;fill:none}` +
	`.pocket{stroke:#2d3c8f;stroke-dasharray:7 4}.seam{stroke:#9c1c1c;stroke-dasharray:4 2}.hem,.size,.mark{stroke:#6b6255;fill:none}text{fill:#26221c;font-family:sans-serif}` +
	`.panel-letter{fill-opacity:.25;font-weight:bold}.cloth,.tape,.hem,.seam,.size,.mark,.eyelet,.hole,.tab,.rod,.ring,.hook,.tail,.pocket{vector-effect:non-scaling-stroke;stroke-width:1.2px}` +
	`.band{fill:#b98a4a;fill-opacity:.22}.sewn,.mitre,.motif,.cord,.pile{stroke:#26221c;fill:#fffdf7;vector-effect:non-scaling-stroke}.motif{stroke-width:.7px}.cord{stroke-width:3px;stroke-dasharray:3 3}.pile{stroke-width:2px}`

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

// Plan is what PlanHTML draws: a panel, and what else the drawing shows of it.
type Plan struct {
	Panel   *Panel
	Letters string // on the cloth: "L", "L R" of a pair alike, "" for none
	Units   measure.Unit
}

// shape is how a plan stands on a page: its class, the part of its width, in hundredths, that two letterings need
// between them so that 16 px letters beside each other part on the smallest phone, and how many pixels wide its cloth is there.
type shape struct {
	class  string
	gap    float64
	pixels int64
}

// shapes go by how much longer than wide the cloth is: a long panel is drawn narrower, or it would fill the screen.
var shapes = []struct {
	ratio float64 // length by width, at most
	shape
}{{1.2, shape{"wide", 7, 260}}, {2, shape{"tall", 9, 260}}, {1000, shape{"long", 12, 200}}}

// PlanHTML draws a panel lying flat, to scale, for a page of any width. The cloth scales with the page; the lettering
// doesn't, so that it reads on a phone: over it where pleats or points are, under it where seams are, as running lengths from
// the return edge. Of many pleats those are lettered that have room. The page styles its classes.
func PlanHTML(w io.Writer, p Plan, say *i18n.Printer) error {
	d := &svg{units: p.Units}
	width, length := p.Panel.FlatWidth, p.Panel.FinishedLength
	if width <= 0 || length <= 0 {
		return nil
	}
	var stands shape
	for _, s := range slices.Backward(shapes) {
		if float64(length) <= s.ratio*float64(width) {
			stands = s.shape
		}
	}
	d.cloth(p)
	f := &flat{canvas: d, say: say, text: width.MulDiv(letterPixels, stands.pixels), panel: p.Panel}
	f.folds(0)
	l := lettering{units: p.Units, say: say, width: width, gap: stands.gap}
	title := say.T("paper.drawing.panel", "Panel", say.T("panel."+string(p.Panel.ID)))
	_, err := fmt.Fprintf(w, `<div class="plan %s">%s<svg class="plan-cloth" role="img" viewBox="0 %s %s %s"><title>%s</title>%s</svg>%s<p class="plan-edges"><span>%s</span> <span>%s</span> <span>%s</span></p></div>`,
		stands.class, l.row(slices.Concat(p.Panel.PleatPositions, p.Panel.Positions), true), d.n(-p.Panel.rises()), d.n(width), d.n(length+p.Panel.rises()), html.EscapeString(title), d.body.String(), l.row(p.Panel.Seams, false),
		html.EscapeString(say.T("paper.drawing.return_edge")), html.EscapeString(say.T("plan.unit", "Unit", string(p.Units))), html.EscapeString(say.T("paper.drawing.leading_edge")))
	return err
}

// ClothHTML draws a panel lying flat, to scale, without any measure: small, beside others of its window.
func ClothHTML(w io.Writer, p Plan) error {
	d := &svg{units: p.Units}
	d.cloth(p)
	_, err := fmt.Fprintf(w, `<svg class="plan-cloth" aria-hidden="true" focusable="false" viewBox="0 %s %s %s">%s</svg>`,
		d.n(-p.Panel.rises()), d.n(p.Panel.FlatWidth), d.n(p.Panel.FinishedLength+p.Panel.rises()), d.body.String())
	return err
}

// cloth draws the panel without any measure.
func (d *svg) cloth(p Plan) {
	wide, long := p.Panel.FlatWidth, p.Panel.FinishedLength
	d.rect("cloth", 0, 0, wide, long)
	p.Panel.bands(d, 0)
	d.line("hem", p.Panel.SideHem, 0, p.Panel.SideHem, long)
	d.line("hem", wide-p.Panel.SideHem, 0, wide-p.Panel.SideHem, long)
	d.line("hem", 0, long-p.Panel.BottomHem, wide, long-p.Panel.BottomHem)
	p.Panel.heading(d, 0, max(wide, long)/240)
	for _, x := range p.Panel.Seams {
		d.line("seam", x, 0, x, long)
	}
	p.Panel.cord(d, 0)
	p.Panel.motifs(d, 0, max(wide, long)/120)
	p.Panel.pile(d, 0, long/5)
	if size := min(wide/4, long/3); p.Letters != "" {
		d.label("panel-letter", wide/2, long/2+size/2, size, "middle", p.Letters)
	}
}

// lettering writes lengths along an edge of the cloth.
type lettering struct {
	units measure.Unit
	say   *i18n.Printer
	width measure.Length
	gap   float64
}

// letterPixels is about the height of a letter, baseline how far to the right of its mark the foot of an upright one
// stands, tickPixels the mark between it and the cloth.
const (
	letterPixels = 17
	baseline     = 6
	tickPixels   = 8
)

// row writes the places along one edge, upright as there are many: over the cloth, or under it. A place that has no
// room beside the one before is left out, but never the first and the last.
func (l lettering) row(places []measure.Length, over bool) string {
	places = l.roomy(places)
	if len(places) == 0 {
		return ""
	}
	var texts []string
	longest := 0
	for _, x := range places {
		f := l.say.Figure(x, l.units)
		texts = append(texts, setFraction(f))
		f.Unit = ""
		longest = max(longest, utf8.RuneCountInString(strings.TrimSpace(f.String())))
	}
	height := 2*tickPixels + longest*letterPixels*58/100
	y, tick, x, anchor := height, -tickPixels, tickPixels+3, "start"
	if !over {
		y, tick, x, anchor = 0, tickPixels, -tickPixels-3, "end"
	}
	var b strings.Builder
	fmt.Fprintf(&b, `<svg class="plan-places" width="100%%" height="%d" aria-hidden="true" focusable="false">`, height)
	for i, text := range texts {
		fmt.Fprintf(&b, `<svg x="%.2f%%" y="%d" overflow="visible"><path class="size" d="M0 0v%d"/><text transform="rotate(-90)" x="%d" y="%d" font-size="%d" text-anchor="%s">%s</text></svg>`,
			l.percent(places[i]), y, tick, x, baseline+l.inward(places[i]), letterPixels, anchor, text)
	}
	b.WriteString("</svg>")
	return b.String()
}

// inward returns by how many pixels the lettering of x stands off its mark so that none of it leaves the drawing: to
// the right (positive) at the left end, to the left at the right end, and not at all (0) between.
func (l lettering) inward(x measure.Length) int {
	return int(math.Round((l.stand(x) - l.percent(x)) / l.gap * (letterPixels + baseline/2)))
}

// stand returns where the middle of the lettering of x is, in hundredths of the width: at x, but half a lettering off
// either end.
func (l lettering) stand(x measure.Length) float64 {
	return min(max(l.percent(x), l.gap/2), 100-l.gap/2)
}

func (l lettering) percent(x measure.Length) float64 { return 100 * float64(x) / float64(l.width) }

// roomy leaves out places that stand too near the one before, or the last.
func (l lettering) roomy(places []measure.Length) []measure.Length {
	var kept []measure.Length
	for i, x := range places {
		last := i == len(places)-1
		for last && len(kept) > 1 && l.stand(x)-l.stand(kept[len(kept)-1]) < l.gap {
			kept = kept[:len(kept)-1]
		}
		if len(kept) == 0 || l.stand(x)-l.stand(kept[len(kept)-1]) >= l.gap {
			kept = append(kept, x)
		}
	}
	return kept
}

// setFraction writes a length without its unit, its fraction raised and lowered around a stroke.
func setFraction(f i18n.Figure) string {
	text := html.EscapeString(f.Lead())
	if f.Den != 0 {
		text += fmt.Sprintf(` <tspan font-size="0.75em" dy="-0.35em">%d</tspan><tspan dy="0.26em">⁄</tspan><tspan font-size="0.75em" dy="0.1em">%d</tspan>`, f.Num, f.Den)
	}
	return text
}
