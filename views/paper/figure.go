package paper

import (
	"regexp"
	"strconv"
	"strings"
	"unicode"

	"tablehand/engine/measure"
	"tablehand/stations/plan"
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

func (g *figure) add(p *pen, text string, size float64, st style, raise float64) {
	g.parts = append(g.parts, part{text: text, size: size, style: st, x: g.width, raise: raise})
	g.width += p.plainWidth(text, size, st)
}

// fraction sets num over den: never as digits on one line, where 8 29/32 reads like 829/32.
func (g *figure) fraction(p *pen, num, den string, size float64, st style) {
	small := max(smallest, 0.56*size)
	up := max(capHeight*(size-small), 0.3*small)
	g.add(p, num, small, st, up)
	g.parts = append(g.parts, part{x: g.width, size: size, stroke: true})
	g.width += strokeRoom * size
	g.add(p, den, small, st, min(0, up-0.3*small)-0.02*size)
}

// length sets a length as a rule shows it, without its unit where the next number carries it.
func (g *figure) length(p *pen, f i18n.Figure, size float64, unit bool) {
	if f.About {
		g.add(p, "≈", max(smallest, 0.7*size), plain, 0)
	}
	whole := f.Whole
	if f.Negative {
		whole = "−" + whole
	}
	if whole != "" {
		g.add(p, whole, size, bold, 0)
		g.width += 0.07 * size
	}
	if f.Den != 0 {
		g.fraction(p, strconv.FormatInt(f.Num, 10), strconv.FormatInt(f.Den, 10), size, bold)
	}
	if unit {
		g.width += 0.15 * size
		g.add(p, f.Unit, max(smallest, 0.5*size), plain, 0)
	}
}

// set sets the values that stand in one place with a mark between them: "12in", "4in" and " × " is 12 × 4 in.
func (p *pen) set(values []measure.Quantity, between string, size float64) figure {
	var g figure
	var spoken []string
	for i, v := range values {
		last := i == len(values)-1
		if i > 0 {
			g.add(p, between, max(smallest, 0.7*size), plain, 0)
		}
		if v.IsLength() && !v.Foreign() {
			f := p.say.Figure(v.Length(), v.Unit())
			g.length(p, f, size, last)
			say := f.String()
			if !last {
				say = strings.TrimSuffix(say, " "+f.Unit)
			}
			spoken = append(spoken, say)
			continue
		}
		halves, counted := v.Halves() // widths are counted in halves
		if !counted || halves < 0 || halves%2 == 0 {
			g.add(p, p.say.Quantity(v), size, bold, 0)
			spoken = append(spoken, p.say.Quantity(v))
			continue
		}
		f := i18n.Length(measure.Inch/2, measure.In)
		if halves > 1 {
			f.Whole = measure.Count(int(halves / 2))
		}
		g.length(p, f, size, false)
		spoken = append(spoken, strings.TrimSuffix(f.String(), " "+f.Unit))
	}
	g.spoken = strings.Join(spoken, between)
	return g
}

// setIn is set at the largest size down to the smallest at which it is no wider than room.
func (p *pen) setIn(room float64, values []measure.Quantity, between string, size float64) figure {
	g := p.set(values, between, size)
	for ; g.width > room && size > smallest; g = p.set(values, between, size) {
		size = max(smallest, size-0.5)
	}
	return g
}

// lengthFraction is the fraction of a length in a sentence: that of "12 5/8 in", not that of "Room 3/4".
var lengthFraction = regexp.MustCompile(`(\d+)/(\d+) (?:in|yd)\b`)

func hasFraction(text string) bool {
	return strings.Contains(text, "/") && lengthFraction.MatchString(text)
}

// sentence sets a text with the fractions of its lengths.
func (p *pen) sentence(text string, size float64, st style) figure {
	g := figure{spoken: text}
	at := 0
	for _, m := range lengthFraction.FindAllStringSubmatchIndex(text, -1) {
		before := text[at:m[0]]
		if whole := strings.TrimSuffix(before, " "); whole != before && whole != "" && unicode.IsDigit(rune(whole[len(whole)-1])) {
			g.add(p, whole, size, st, 0)
			g.width += 0.07 * size
		} else {
			g.add(p, before, size, st, 0)
		}
		g.fraction(p, text[m[2]:m[3]], text[m[4]:m[5]], size, st)
		at = m[5]
	}
	g.add(p, text[at:], size, st, 0)
	return g
}

// figure draws a number that was set, on a baseline.
func (p *pen) figure(x, y float64, g figure) {
	p.draw(x, y, g)
	if !keepsLog {
		return
	}
	size := 0.0
	for _, t := range g.parts {
		size = max(size, t.size)
	}
	p.log = append(p.log, printed{page: p.page, text: g.spoken, x: x, y: y, width: g.width, top: y - size, size: size})
}

func (p *pen) draw(x, y float64, g figure) {
	p.pdf.Speak(g.spoken)
	for _, t := range g.parts {
		if t.stroke {
			p.pdf.SetLineWidth(max(0.5, 0.055*t.size))
			p.pdf.Line(x+t.x-0.04*t.size, y+0.05*t.size, x+t.x+(strokeRoom+0.04)*t.size, y-capHeight*t.size)
			p.pdf.SetLineWidth(ruleWidth)
			continue
		}
		p.plainText(x+t.x, y-t.raise, printable(t.text), t.size, t.style)
	}
	p.pdf.Spoken()
}

// chalk is the running marks of a ticket's pleats, laid out: each pleat's number, and where it starts and ends from the
// return edge, in columns that a finger goes along line by line.
type chalk struct {
	title   string
	lines   [][]figure // a pleat each
	first   []int      // the pleat that a line begins with, from 1
	numbers float64    // what a pleat's own number takes before its marks
	column  float64    // what a pleat takes
	height  float64    // of a line
}

const (
	chalkMarks = "pleat_marks"
	chalkGap   = 4.0 // between two pleats
)

// chalked lays out the marks of a step in a room; ok is false where it has none.
func (p *pen) chalked(s plan.Step, room, size float64) (c chalk, ok bool) {
	marks := valueOf(s, chalkMarks).Parts()
	if len(marks) < 2 {
		return c, false
	}
	c.title, _ = p.fit(p.say.T("paper.value."+chalkMarks, "Unit", string(marks[0].Unit())), room, smallest, plain)
	var pleats []figure
	for k := 0; k+1 < len(marks); k += 2 {
		g := p.fromTo(marks[k], marks[k+1], size)
		pleats = append(pleats, g)
		c.column = max(c.column, g.width)
	}
	c.numbers = p.width(pleatNumber(len(pleats)), smallest, plain) + 1.5
	c.column += c.numbers
	each := max(1, int((room+chalkGap)/(c.column+chalkGap)))
	for k := 0; k < len(pleats); k += each {
		c.lines, c.first = append(c.lines, pleats[k:min(k+each, len(pleats))]), append(c.first, k+1)
	}
	c.height = size*leading + 1.5
	return c, true
}

// pleatNumber is a pleat's own, set so that it can't be read as part of its mark: 1 before 3 1/2 is not 13 1/2.
func pleatNumber(n int) string { return measure.Count(n) + ")" }

// fromTo sets where a pleat starts and ends, without the unit that all of them have.
func (p *pen) fromTo(from, to measure.Quantity, size float64) figure {
	var g figure
	var spoken []string
	for _, mark := range []measure.Quantity{from, to} {
		if len(spoken) > 0 {
			g.width += 2
			g.add(p, "–", smallest, plain, 0)
			g.width += 2
		}
		f := p.say.Figure(mark.Length(), mark.Unit())
		g.length(p, f, size, false)
		spoken = append(spoken, strings.TrimSuffix(f.String(), " "+f.Unit))
	}
	g.spoken = strings.Join(spoken, " – ")
	return g
}

// titleRoom is what the title takes.
func (c chalk) titleRoom() float64 { return smallest*leading + 1 }

// tall is the height of all of it.
func (c chalk) tall() float64 { return c.titleRoom() + float64(len(c.lines))*c.height + 3 }

// chalkLine draws one line of marks with its top at y.
func (p *pen) chalkLine(c chalk, line int, x, y float64) {
	base := y + c.height - 4
	for k, g := range c.lines[line] {
		at := x + float64(k)*(c.column+chalkGap)
		p.text(at, base, pleatNumber(c.first[line]+k), smallest, plain)
		p.figure(at+c.numbers, base, g)
	}
}
