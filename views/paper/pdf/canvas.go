package pdf

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"unicode/utf16"
)

// Point is a place on a page.
type Point struct{ X, Y float64 }

// Colour has parts from 0 to 255. The zero value is black.
type Colour struct{ R, G, B uint8 }

// Paint is what is done with a shape.
type Paint string

const (
	Filled   Paint = "f"
	Stroked  Paint = "S"
	Edged    Paint = "B"          // filled, with its edge drawn
	kappa          = 0.5522847498 // of a circle's quarter, the arms of its Bézier curve: 4/3 (√2 − 1)
	noWeight       = -1           // of a font: none is set
)

// pen is how shapes and texts are drawn.
type pen struct {
	width  float64 // of lines
	fill   Colour
	dashed bool
	font   int
	size   float64
}

// canvas is a page's content on its way. What is wanted of the pen is written only where something is drawn with it.
type canvas struct {
	height  float64
	content bytes.Buffer
	wanted  pen
	set     pen
	outside []pen // of the transformations begun
	text    Colour
	scratch []byte
}

// begin clears the canvas. A page knows nothing of the one before it.
func (c *canvas) begin() {
	c.content.Reset()
	c.set, c.outside = pen{width: 1, font: noWeight}, nil
}

// SetLineWidth, SetFillColour, SetTextColour and SetDashed hold until they are set otherwise, on later pages too.
func (c *canvas) SetLineWidth(w float64) { c.wanted.width = w }

func (c *canvas) SetFillColour(colour Colour) { c.wanted.fill = colour }

func (c *canvas) SetTextColour(colour Colour) { c.text = colour }

// SetDashed breaks lines into dashes of 2 points, 3 apart, or no more.
func (c *canvas) SetDashed(dashed bool) { c.wanted.dashed = dashed }

// op writes an operator behind its numbers.
func (c *canvas) op(operator string, numbers ...float64) {
	b := c.scratch[:0]
	for _, n := range numbers {
		b = append(appendNumber(b, n), ' ')
	}
	c.scratch = append(append(b, operator...), '\n')
	c.content.Write(c.scratch)
}

func (c *canvas) lines() {
	if c.set.width != c.wanted.width {
		c.op("w", c.wanted.width)
		c.set.width = c.wanted.width
	}
	if c.set.dashed != c.wanted.dashed {
		pattern := "[] 0 d\n"
		if c.wanted.dashed {
			pattern = "[2 3] 0 d\n"
		}
		c.content.WriteString(pattern)
		c.set.dashed = c.wanted.dashed
	}
}

func (c *canvas) filledWith(colour Colour) {
	if c.set.fill == colour {
		return
	}
	c.set.fill = colour
	if colour.R == colour.G && colour.G == colour.B {
		c.fine("g", float64(colour.R)/255)
	} else {
		c.fine("rg", float64(colour.R)/255, float64(colour.G)/255, float64(colour.B)/255)
	}
}

// fine is op for numbers of which hundredths aren't enough: colours and matrices.
func (c *canvas) fine(operator string, numbers ...float64) {
	b := c.scratch[:0]
	for _, n := range numbers {
		b = append(strconv.AppendFloat(b, n, 'f', 5, 64), ' ')
	}
	c.scratch = append(append(b, operator...), '\n')
	c.content.Write(c.scratch)
}

// ready sets what a shape is painted with.
func (c *canvas) ready(paint Paint) {
	if paint == Stroked {
		c.lines()
	} else {
		c.filledWith(c.wanted.fill)
	}
}

// Line draws a line.
func (c *canvas) Line(x1, y1, x2, y2 float64) {
	c.lines()
	c.op("m", x1, c.height-y1)
	c.op("l", x2, c.height-y2)
	c.op("S")
}

// Rect draws a rectangle with its left top at (x, y).
func (c *canvas) Rect(x, y, w, h float64, paint Paint) {
	c.ready(paint)
	c.op("re", x, c.height-y, w, -h)
	c.op(string(paint))
}

// Polygon draws a closed shape of straight sides.
func (c *canvas) Polygon(corners []Point, paint Paint) {
	for i, p := range corners {
		if i == 0 {
			c.MoveTo(p.X, p.Y)
		} else {
			c.LineTo(p.X, p.Y)
		}
	}
	c.ClosePath()
	c.Draw(paint)
}

// Circle draws a circle around (x, y).
func (c *canvas) Circle(x, y, r float64, paint Paint) {
	k := kappa * r
	c.MoveTo(x+r, y)
	c.CurveTo(x+r, y+k, x+k, y+r, x, y+r)
	c.CurveTo(x-k, y+r, x-r, y+k, x-r, y)
	c.CurveTo(x-r, y-k, x-k, y-r, x, y-r)
	c.CurveTo(x+k, y-r, x+r, y-k, x+r, y)
	c.ClosePath()
	c.Draw(paint)
}

// MoveTo begins a path; LineTo, CurveTo and ClosePath go on with it, Draw paints it. Nothing else may come between.
func (c *canvas) MoveTo(x, y float64) {
	c.lines()
	c.filledWith(c.wanted.fill)
	c.op("m", x, c.height-y)
}

func (c *canvas) LineTo(x, y float64) { c.op("l", x, c.height-y) }

// CurveTo goes on by a cubic Bézier curve.
func (c *canvas) CurveTo(x1, y1, x2, y2, x, y float64) {
	c.op("c", x1, c.height-y1, x2, c.height-y2, x, c.height-y)
}

func (c *canvas) ClosePath() { c.op("h") }

// Draw paints the path.
func (c *canvas) Draw(paint Paint) { c.op(string(paint)) }

// Run is a stretch of dark modules in a row of a symbol.
type Run struct{ Row, Column, Length uint8 }

// Modules draws the dark modules of a symbol with its left top at (x, y), each module side points wide, as one shape. A row
// is a little higher than it should be, so that no hairline shows between rows.
func (c *canvas) Modules(x, y, side float64, dark []Run) {
	c.Save()
	c.filledWith(c.wanted.fill)
	c.fine("cm", side, 0, 0, -side, x, c.height-y)
	for _, r := range dark {
		c.op("re", float64(r.Column), float64(r.Row), float64(r.Length), 1.02)
	}
	c.op("f")
	c.Restore()
}

// Save begins transformations, Restore ends them.
func (c *canvas) Save() {
	c.outside = append(c.outside, c.set)
	c.op("q")
}

func (c *canvas) Restore() {
	last := len(c.outside) - 1
	c.set, c.outside = c.outside[last], c.outside[:last]
	c.op("Q")
}

// Translate moves what is drawn to the right and down.
func (c *canvas) Translate(x, y float64) { c.fine("cm", 1, 0, 0, 1, x, -y) }

// Rotate turns what is drawn around (x, y), by degrees against the clock.
func (c *canvas) Rotate(degrees, x, y float64) {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	y = c.height - y
	c.fine("cm", cos, sin, -sin, cos, x+sin*y-cos*x, y-cos*y-sin*x)
}

// Speak has readers that speak, search and copy take the text for what is drawn until Spoken.
func (c *canvas) Speak(text string) {
	c.content.WriteString("/Span <</ActualText " + textString(text) + ">> BDC\n")
}

// Spoken ends Speak.
func (c *canvas) Spoken() { c.content.WriteString("EMC\n") }

// appendNumber writes a number with at most two decimals.
func appendNumber(b []byte, n float64) []byte {
	hundredths := int64(math.Round(n * 100))
	if hundredths < 0 {
		b, hundredths = append(b, '-'), -hundredths
	}
	b = strconv.AppendInt(b, hundredths/100, 10)
	switch rest := hundredths % 100; {
	case rest == 0:
		return b
	case rest%10 == 0:
		return append(b, '.', byte('0'+rest/10))
	default:
		return append(b, '.', byte('0'+rest/10), byte('0'+rest%10))
	}
}

func number(n float64) string { return string(appendNumber(nil, n)) }

// textString writes a text string of PDF in hexadecimal: UTF-16, high byte first, after its mark.
func textString(s string) string {
	b := []byte("<FEFF")
	for _, u := range utf16.Encode([]rune(s)) {
		b = fmt.Appendf(b, "%04X", u)
	}
	return string(append(b, '>'))
}
