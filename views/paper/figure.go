package paper

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode/utf16"

	"tablehand/views/i18n"
)

// figure is a number set in type: its digits, real fractions with a raised numerator and a lowered denominator, a
// small unit. A program that reads the page gets it as people would type it.
type figure struct {
	width  float64
	parts  []part
	spoken string
}

// part is a text at x, raised over the baseline; slash is the stroke of a fraction instead.
type part struct {
	text     string
	face     face
	x, raise float64
	slash    float64 // its height, 0 for a text
}

func (g *figure) add(c *canvas, f face, raise float64, text string) {
	g.parts = append(g.parts, part{text: text, face: f, x: g.width, raise: raise})
	g.width += c.width(f, text)
}

func (g *figure) space(of float64) { g.width += of }

// fractionSize is the size of a fraction's digits beside a number's.
func fractionSize(size float64) float64 { return max(smallest, 0.58*size) }

func (g *figure) fraction(c *canvas, size float64, num, den int64) {
	small := bold(fractionSize(size))
	up := 0.73 * (size - small.size) // the numerator's top level with the digits'
	g.add(c, small, max(up, 0.28*small.size), strconv.FormatInt(num, 10))
	g.parts = append(g.parts, part{face: bold(size), x: g.width - 0.05*size, slash: 0.73 * size})
	g.width += 0.2 * size
	g.add(c, small, min(0, up-0.28*small.size), strconv.FormatInt(den, 10))
}

// length sets a length as a rule shows it; without its unit where the next one carries it.
func (g *figure) length(c *canvas, size float64, l i18n.Figure, unit bool) {
	if l.About {
		g.add(c, plain(max(smallest, 0.7*size)), 0, "≈")
	}
	whole := l.Whole
	if l.Negative {
		whole = "−" + whole
	}
	if whole != "" {
		g.add(c, bold(size), 0, whole)
		g.space(0.06 * size)
	}
	if l.Den != 0 {
		g.fraction(c, size, l.Num, l.Den)
	}
	if unit {
		g.space(0.14 * size)
		g.add(c, plain(max(smallest, 0.5*size)), 0, l.Unit)
	}
}

// set sets the values of the work-up that stand in one place, with a mark between them: "12in" "4in" and " × " is
// 12 × 4 in. One value may itself be several, a space apart.
func (c *canvas) set(size float64, between string, values ...string) figure {
	var all []string
	for _, v := range values {
		all = append(all, strings.Fields(v)...)
	}
	var g figure
	var spoken []string
	for i, v := range all {
		if i > 0 {
			g.add(c, plain(max(smallest, 0.7*size)), 0, between)
		}
		last := i == len(all)-1
		if l, u, ok := i18n.ParseValue(v); ok {
			f := i18n.Length(l, u)
			g.length(c, size, f, last)
			say := f.String()
			if !last {
				say = strings.TrimSuffix(say, " "+f.Unit)
			}
			spoken = append(spoken, say)
			continue
		}
		if whole, half := strings.CutSuffix(v, ".5"); half {
			if whole != "0" {
				g.add(c, bold(size), 0, whole)
				g.space(0.06 * size)
			}
			g.fraction(c, size, 1, 2)
			spoken = append(spoken, strings.TrimPrefix(whole+" 1/2", "0 "))
			continue
		}
		g.add(c, bold(size), 0, v)
		spoken = append(spoken, v)
	}
	g.spoken = strings.Join(spoken, between)
	return g
}

// figure draws a number that was set. The marked text lets readers find "126 1/2 in" though its digits stand at
// three heights.
func (c *canvas) figure(x, baseline float64, g figure) {
	c.pdf.RawWriteStr(fmt.Sprintf("/Span <</ActualText <%s>>> BDC", utf16Hex(g.spoken)))
	for _, p := range g.parts {
		if p.slash > 0 {
			c.rule(x+p.x, baseline+0.04*p.face.size, x+p.x+0.3*p.face.size, baseline-p.slash, math.Max(0.5, 0.06*p.face.size))
			continue
		}
		c.text(x+p.x, baseline-p.raise, p.face, p.text)
	}
	c.pdf.RawWriteStr("EMC")
}

// utf16Hex writes a PDF text string in hexadecimal: UTF-16, big end first, with its mark.
func utf16Hex(s string) string {
	var b strings.Builder
	b.WriteString("FEFF")
	for _, u := range utf16.Encode([]rune(s)) {
		fmt.Fprintf(&b, "%04X", u)
	}
	return b.String()
}
