package paper

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf16"

	"tablehand/engine/measure"
	"tablehand/views/i18n"
)

// figure is a number set in type: its digits, real fractions with a raised numerator and a lowered denominator, a
// small unit. A program that reads the page finds it as people type it: "126 1/2 in".
type figure struct {
	width  float64
	parts  []part
	spoken string
}

// part is a text at x, raised over the baseline, or the stroke of a fraction.
type part struct {
	text     string
	size     float64
	style    style
	x, raise float64
	stroke   bool
}

const (
	capHeight = 0.73 // of DejaVu Sans, digits too, in sizes
	// strokeRoom is what a fraction's stroke takes between numerator and denominator, in sizes.
	strokeRoom = 0.2
)

func (g *figure) add(l *label, text string, size float64, st style, raise float64) {
	g.parts = append(g.parts, part{text: text, size: size, style: st, x: g.width, raise: raise})
	g.width += l.width(text, size, st)
}

// fraction sets num over den: never as digits on one line, where 8 29/32 reads like 829/32.
func (g *figure) fraction(l *label, num, den int64, size float64) {
	small := max(smallest, 0.56*size)
	up := max(capHeight*(size-small), 0.3*small)
	g.add(l, strconv.FormatInt(num, 10), small, bold, up)
	g.parts = append(g.parts, part{x: g.width, size: size, stroke: true})
	g.width += strokeRoom * size
	g.add(l, strconv.FormatInt(den, 10), small, bold, min(0, up-0.3*small)-0.02*size)
}

// length sets a length as a rule shows it, without its unit where the next number carries it.
func (g *figure) length(l *label, f i18n.Figure, size float64, unit bool) {
	if f.About {
		g.add(l, "≈", max(smallest, 0.7*size), plain, 0)
	}
	whole := f.Whole
	if f.Negative {
		whole = "−" + whole
	}
	if whole != "" {
		g.add(l, whole, size, bold, 0)
		g.width += 0.07 * size
	}
	if f.Den != 0 {
		g.fraction(l, f.Num, f.Den, size)
	}
	if unit {
		g.width += 0.15 * size
		g.add(l, f.Unit, max(smallest, 0.5*size), plain, 0)
	}
}

// set sets the values that stand in one place with a mark between them: "12in", "4in" and " × " is 12 × 4 in.
func (l *label) set(values []string, between string, size float64) figure {
	var g figure
	var spoken []string
	for i, v := range values {
		last := i == len(values)-1
		if i > 0 {
			g.add(l, between, max(smallest, 0.7*size), plain, 0)
		}
		if length, unit, ok := i18n.ParseValue(v); ok {
			f := i18n.Length(length, unit)
			g.length(l, f, size, last)
			say := f.String()
			if !last {
				say = strings.TrimSuffix(say, " "+f.Unit)
			}
			spoken = append(spoken, say)
			continue
		}
		whole, half := strings.CutSuffix(v, ".5") // widths are counted in halves
		if !half {
			g.add(l, l.say.Value(v), size, bold, 0)
			spoken = append(spoken, l.say.Value(v))
			continue
		}
		f := i18n.Length(measure.Inch/2, measure.In)
		if f.Whole = whole; whole == "0" {
			f.Whole = ""
		}
		g.length(l, f, size, false)
		spoken = append(spoken, strings.TrimSuffix(f.String(), " "+f.Unit))
	}
	g.spoken = strings.Join(spoken, between)
	return g
}

// setIn is set at the largest size down to the smallest at which it is no wider than room.
func (l *label) setIn(room float64, values []string, between string, size float64) figure {
	g := l.set(values, between, size)
	for ; g.width > room && size > smallest; g = l.set(values, between, size) {
		size = max(smallest, size-0.5)
	}
	return g
}

// figure draws a number that was set, on a baseline.
func (l *label) figure(x, y float64, g figure) {
	l.pdf.RawWriteStr("/Span <</ActualText <" + textString(g.spoken) + ">>> BDC")
	for _, p := range g.parts {
		if p.stroke {
			l.pdf.SetLineWidth(max(0.5, 0.055*p.size))
			l.pdf.Line(x+p.x-0.04*p.size, y+0.05*p.size, x+p.x+(strokeRoom+0.04)*p.size, y-capHeight*p.size)
			l.pdf.SetLineWidth(ruleWidth)
			continue
		}
		l.text(x+p.x, y-p.raise, p.text, p.size, p.style)
	}
	l.pdf.RawWriteStr("EMC")
}

// textString writes a text string of PDF in hexadecimal: UTF-16, high byte first, after its mark.
func textString(s string) string {
	var b strings.Builder
	b.WriteString("FEFF")
	for _, u := range utf16.Encode([]rune(s)) {
		fmt.Fprintf(&b, "%04X", u)
	}
	return b.String()
}
