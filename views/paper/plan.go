package paper

import (
	"fmt"
	"html"
	"io"
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"tablehand/engine/measure"
	"tablehand/views/i18n"
)

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
	d.line("hem", p.Panel.SideHem, 0, p.Panel.SideHem, long)
	d.line("hem", wide-p.Panel.SideHem, 0, wide-p.Panel.SideHem, long)
	d.line("hem", 0, long-p.Panel.BottomHem, wide, long-p.Panel.BottomHem)
	p.Panel.heading(d, 0, max(wide, long)/240)
	for _, x := range p.Panel.Seams {
		d.line("seam", x, 0, x, long)
	}
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
