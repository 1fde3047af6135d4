package paper

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"unicode/utf8"

	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
	"tablehand/views/i18n"
)

// A spot is a drawing of where on the cloth one number is: the place to scale, the number drawn into it. Its sizes are
// pixels of a drawing that a page shows as wide as a phone or wider; its letters are 16 px or more on the smallest phone.
const (
	spotWidth  = 320.0
	spotHeight = 208.0
	spotMargin = 12.0 // around what is shown whole
	spotText   = 20.0
	spotStep   = 24.0 // from one line of letters to the next
	spotTick   = 8.0
	spotBold   = 0.66 // how wide a letter is, in their size: they are half bold, in the widest type
)

// SpotSVG draws where the number or entry of a name is on a panel, in the classes of PlanHTML and in "spot", the number
// itself, and "spot-text". ok is false where there is nothing to draw, as for a count of cuts.
func SpotSVG(w io.Writer, p *Panel, name string, units measure.Unit, say *i18n.Printer) (ok bool, err error) {
	n := workup.NumberOf(plan.Target(name))
	if n == nil {
		return false, nil
	}
	if instead := workup.NumberOf(plan.Instead(name)); instead != nil && !instead.Of(p.Panel, units).IsZero() {
		n = instead
	}
	draw := places[n.Place]
	if special := elsewhere[name]; special != nil {
		draw = special
	}
	value := n.Of(p.Panel, units)
	if draw == nil || value.IsZero() && n.Kind() != measure.List {
		return false, nil
	}
	s := &spot{panel: p, units: units, say: say}
	draw(s, value.Length())
	if s.body.Len() == 0 || s.scale <= 0 || math.IsInf(s.scale, 0) {
		return false, nil // a number that is nothing on this panel lies nowhere
	}
	s.body.Write(s.texts.Bytes())
	_, err = fmt.Fprintf(w, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %g %g" aria-hidden="true" focusable="false">%s</svg>`, spotWidth, spotHeight, s.body.String())
	return true, err
}

// spot is one drawing. A window of the cloth is shown at a scale, its left top at (left, top) of the drawing.
type spot struct {
	body  bytes.Buffer
	texts bytes.Buffer // over everything
	panel *Panel
	units measure.Unit
	say   *i18n.Printer

	shown     measure.Length    // the height of a thing shown whole with its edges named
	names     int               // lines of the edges' names under what is shown whole
	from      [2]measure.Length // of the cloth, at the window's left top
	scale     float64           // pixels a nanometre
	left, top float64
}

// whole shows a thing as large as there is room for over the names of its edges.
func (s *spot) whole(width, height measure.Length) {
	room := spotHeight - float64(s.names)*spotStep
	s.scale = min((spotWidth-2*spotMargin)/float64(width), (room-2*spotMargin)/float64(height))
	s.from = [2]measure.Length{}
	s.left, s.top = (spotWidth-s.scale*float64(width))/2, (room-s.scale*float64(height))/2
}

// risen shows it with what stands so high above its top edge.
func (s *spot) risen(width, height, above measure.Length) {
	s.whole(width, height+above)
	s.from[1] = -above
}

// window shows so much of the cloth's width that a length of it is seen well, from x, y at the place (left, top).
func (s *spot) window(width, x, y measure.Length, left, top float64) {
	s.scale = spotWidth / float64(width)
	s.from, s.left, s.top = [2]measure.Length{x, y}, left, top
}

// wide and tall are how much of the cloth the drawing shows.
func (s *spot) wide() measure.Length { return measure.Length(spotWidth / s.scale) }
func (s *spot) tall() measure.Length { return measure.Length(spotHeight / s.scale) }

func (s *spot) x(l measure.Length) float64 { return s.left + float64(l-s.from[0])*s.scale }
func (s *spot) y(l measure.Length) float64 { return s.top + float64(l-s.from[1])*s.scale }

// px writes a place of the drawing; what lies far outside is cut off by the drawing's edge.
func px(v float64) string { return fmt.Sprintf("%.1f", near(v)) }

func near(v float64) float64 { return min(max(v, -8*spotWidth), 8*spotWidth) }

func (s *spot) rect(class string, x1, y1, x2, y2 measure.Length) {
	left, top := near(s.x(x1)), near(s.y(y1))
	fmt.Fprintf(&s.body, `<rect class="%s" x="%.1f" y="%.1f" width="%.1f" height="%.1f"/>`, class, left, top, near(s.x(x2))-left, near(s.y(y2))-top)
}

// onSpot draws a heading's shapes on a spot, those that can be seen in it.
type onSpot struct{ *spot }

func (s onSpot) rect(class string, x, y, width, height measure.Length) {
	if s.x(x) < spotWidth && s.x(x+width) > 0 {
		s.spot.rect(class, x, y, x+width, y+height)
	}
}

// circle draws a tape's dot as large as it is well seen, and others to scale.
func (s onSpot) circle(class string, x, y, radius measure.Length) {
	r := float64(radius) * s.scale
	if class == "dot" {
		r = 3.5
	}
	if at := s.x(x); at > -r-spotTick && at < spotWidth+r+spotTick {
		fmt.Fprintf(&s.body, `<circle class="%s" cx="%s" cy="%s" r="%s"/>`, class, px(at), px(s.y(y)), px(r))
	}
}

func (s *spot) line(class string, x1, y1, x2, y2 measure.Length) {
	s.stroke(class, s.x(x1), s.y(y1), s.x(x2), s.y(y2))
}

func (s *spot) stroke(class string, x1, y1, x2, y2 float64) {
	fmt.Fprintf(&s.body, `<line class="%s" x1="%s" y1="%s" x2="%s" y2="%s"/>`, class, px(x1), px(y1), px(x2), px(y2))
}

// text writes a text, moved so far that nothing of it is cut off at the drawing's edges.
func (s *spot) text(x, y float64, anchor, text string) {
	left := x - map[string]float64{"middle": 0.5, "end": 1}[anchor]*wide(text)
	x += max(0, spotPad-left) - max(0, left+wide(text)-(spotWidth-spotPad))
	y = min(max(y, spotText), spotHeight-spotPad-2)
	fmt.Fprintf(&s.texts, `<text class="spot-text" x="%s" y="%s" font-size="%g" text-anchor="%s">%s</text>`, px(x), px(y), spotText, anchor, withFractions(text))
}

const spotPad = 4.0 // that letters keep clear of the drawing's edges

// wide is about how wide a text is. Of a fraction the figures are smaller and the stroke is narrow: see withFractions.
func wide(text string) float64 {
	letters := float64(utf8.RuneCountInString(text))
	for _, m := range lengthFraction.FindAllStringSubmatchIndex(text, -1) {
		letters -= 0.3*float64(m[3]-m[2]+m[5]-m[4]) + 0.5
	}
	return spotBold * spotText * letters
}

// across draws the number as a length from left to right at a height, its size beside or under it.
func (s *spot) across(x1, x2, y measure.Length) {
	a, b, at := s.x(x1), s.x(x2), min(max(s.y(y), 2*spotText), spotHeight-2*spotText)
	s.stroke("spot", a, at, b, at)
	s.stroke("spot", a, at-spotTick, a, at+spotTick)
	s.stroke("spot", b, at-spotTick, b, at+spotTick)
	s.size(x2-x1, a, b, at)
}

// size writes a length over the middle of its line, or beside a line that is too short for it.
func (s *spot) size(l measure.Length, a, b, at float64) {
	text := s.say.Length(l, s.units)
	need := wide(text)
	switch {
	case b-a > need+spotText:
		s.text((a+b)/2, at-spotTick-4, "middle", text)
	case b+spotText/2+need < spotWidth:
		s.text(b+spotText/2, at+spotText/3, "start", text)
	default:
		s.text(a-spotText/2, at+spotText/3, "end", text)
	}
}

// down draws the number as a length from top to bottom at a place.
func (s *spot) down(y1, y2, x measure.Length) {
	a, b, at := s.y(y1), s.y(y2), s.x(x)
	s.stroke("spot", at, a, at, b)
	s.stroke("spot", at-spotTick, a, at+spotTick, a)
	s.stroke("spot", at-spotTick, b, at+spotTick, b)
	text, anchor, beside := s.say.Length((y2-y1).Abs(), s.units), "start", spotTick+4
	if at > 0.72*spotWidth {
		anchor, beside = "end", -beside
	}
	s.text(at+beside, min(max((a+b)/2+spotText/3, spotText), spotHeight-4), anchor, text)
}
