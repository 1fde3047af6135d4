package paper

import (
	"bytes"
	"fmt"

	"io"
	"math"
	"unicode/utf8"

	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/views/i18n"
)

// A spot is a small drawing of where on the cloth one number is: the place to scale, the number drawn into it. Its
// sizes are pixels of a drawing that a page shows as wide as a phone.
const (
	spotWidth  = 320.0
	spotHeight = 132.0
	spotMargin = 24.0 // around what is shown whole
	spotText   = 13.0
	spotTick   = 6.0
)

// SpotSVG draws where the number or entry of a name is on a panel, in the classes of PanelSVG and in "spot", the number
// itself, and "spot-text". ok is false where there is nothing to draw, as for a count of cuts.
func SpotSVG(w io.Writer, p *workup.Panel, name string, units measure.Unit, say *i18n.Printer) (ok bool, err error) {
	draw := spots[name]
	if draw == nil {
		return false, nil
	}
	s := &spot{panel: p, units: units, say: say}
	draw(s)
	if s.body.Len() == 0 || s.scale <= 0 || math.IsInf(s.scale, 0) {
		return false, nil // a number that is nothing on this panel lies nowhere
	}
	s.body.Write(s.texts.Bytes())
	_, err = fmt.Fprintf(w, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %g %g" aria-hidden="true" focusable="false">%s</svg>`, spotWidth, spotHeight, s.body.String())
	return true, err
}

// spots draw each number in its place.
var spots = map[string]func(*spot){
	"flat_width":      func(s *spot) { s.flat(); s.across(0, s.panel.FlatWidth, s.panel.FinishedLength/2) },
	"finished_length": func(s *spot) { s.flat(); s.down(0, s.panel.FinishedLength, s.panel.FlatWidth/2) },
	"length_return":   func(s *spot) { s.flat(); s.down(0, s.panel.FinishedLength, s.panel.FlatWidth/20) },
	"length_middle":   func(s *spot) { s.flat(); s.down(0, s.panel.FinishedLength, s.panel.FlatWidth/2) },
	"length_leading":  func(s *spot) { s.flat(); s.down(0, s.panel.FinishedLength, s.panel.FlatWidth-s.panel.FlatWidth/20) },
	"widths":          (*spot).flat,
	"lining_widths":   (*spot).flat,
	"seams":           (*spot).seams,
	"cut_length":      func(s *spot) { s.cut(s.panel.CutLength); s.down(0, s.panel.CutLength, s.panel.FlatWidth/2) },
	"plain_length":    func(s *spot) { s.cut(s.panel.PlainLength); s.down(0, s.panel.PlainLength, s.panel.FlatWidth/2) },
	"repeats_per_cut": func(s *spot) { s.cut(s.panel.CutLength) },
	"side_hem": func(s *spot) {
		s.foot(false, s.panel.SideHem)
		s.across(0, s.panel.SideHem, s.panel.FinishedLength-s.tall()/2)
	},
	"turned_return": func(s *spot) {
		s.foot(false, s.panel.SideHem+s.panel.TurnedReturn)
		s.across(s.panel.SideHem, s.panel.SideHem+s.panel.TurnedReturn, s.panel.FinishedLength-s.tall()/2)
	},
	"turned_leading": func(s *spot) {
		s.foot(true, s.panel.SideHem+s.panel.TurnedLeading)
		e := s.panel.FlatWidth - s.panel.SideHem
		s.across(e-s.panel.TurnedLeading, e, s.panel.FinishedLength-s.tall()/2)
	},
	"trim_return":  func(s *spot) { s.offcut(false, s.panel.TrimReturn) },
	"trim_leading": func(s *spot) { s.offcut(true, s.panel.TrimLeading) },
	"bottom_hem": func(s *spot) {
		s.foot(false, s.panel.BottomHem)
		s.down(s.panel.FinishedLength-s.panel.BottomHem, s.panel.FinishedLength, s.wide()/3)
	},
	"lining_hem": func(s *spot) {
		s.foot(false, s.panel.BottomHem)
		s.down(s.panel.FinishedLength-s.panel.LiningHem, s.panel.FinishedLength, s.wide()/3)
	},
	"heading_fold": func(s *spot) {
		s.head(false, s.panel.HeadingFold)
		s.fold()
		s.down(0, s.panel.HeadingFold, s.wide()/3)
	},
	"fold_depth": func(s *spot) {
		s.head(false, s.panel.HeadingFold)
		s.fold()
		s.down(0, s.panel.HeadingFold, s.wide()/3)
	},
	"top_drop":       func(s *spot) { s.head(false, s.panel.TopDrop); s.taped(); s.down(0, s.panel.TopDrop, s.wide()/3) },
	"drop":           func(s *spot) { s.head(false, s.panel.TopDrop); s.taped(); s.down(0, s.panel.TopDrop, s.wide()/3) },
	"tape_height":    func(s *spot) { s.head(false, s.bandFoot()); s.taped(); s.down(s.bandTop(), s.bandFoot(), s.wide()/3) },
	"buckram_height": func(s *spot) { s.head(false, s.bandFoot()); s.taped(); s.down(s.bandTop(), s.bandFoot(), s.wide()/3) },
	"stitch_line": func(s *spot) {
		s.head(false, s.panel.StitchLine)
		s.taped()
		s.stitches()
		s.down(0, s.panel.StitchLine, s.wide()/3)
	},
	"stitching":        func(s *spot) { s.strip(); s.stitches() },
	"end_margin":       func(s *spot) { s.edge(false, s.panel.EndMargin); s.across(0, s.panel.EndMargin, s.bandMiddle()) },
	"first_dot_return": func(s *spot) { s.edge(false, s.panel.EndMargin); s.across(0, s.panel.EndMargin, s.bandMiddle()) },
	"first_dot_leading": func(s *spot) {
		s.edge(true, s.panel.EndMargin)
		s.across(s.panel.FlatWidth-s.panel.EndMargin, s.panel.FlatWidth, s.bandMiddle())
	},
	"edge_to_pleat":      func(s *spot) { s.edge(false, s.panel.EdgeToPleat); s.across(0, s.panel.EdgeToPleat, s.bandMiddle()) },
	"first_pleat_return": func(s *spot) { s.edge(false, s.panel.EdgeToPleat); s.across(0, s.panel.EdgeToPleat, s.bandMiddle()) },
	"first_pleat_leading": func(s *spot) {
		s.edge(true, s.panel.LeadToPleat)
		s.across(s.panel.FlatWidth-s.panel.LeadToPleat, s.panel.FlatWidth, s.bandMiddle())
	},
	"lead_flat": func(s *spot) {
		s.edge(true, s.panel.LeadFlat)
		s.across(s.panel.FlatWidth-s.panel.LeadFlat, s.panel.FlatWidth, s.bandMiddle())
	},
	"take_up":        func(s *spot) { s.pleat(0) },
	"space":          func(s *spot) { s.gap() },
	"take_ups":       (*spot).strip,
	"dots":           (*spot).strip,
	"buckram_length": func(s *spot) { s.strip(); s.across(0, s.panel.BuckramLength, s.bandMiddle()) },
	"tape_piece":     func(s *spot) { s.tape(s.panel.TapePiece); s.across(0, s.panel.TapePiece, s.panel.TapeHeight/2) },
	"tape_start": func(s *spot) {
		s.tape(s.panel.TapeStart.Times(5))
		s.across(0, s.panel.TapeStart, s.panel.TapeHeight/2)
	},
	"pleats":  func(s *spot) { s.drawnUp(s.panel.FinishedWidth) },
	"fingers": func(s *spot) { s.drawnUp(s.panel.FinishedWidth) },
	"inserts": func(s *spot) { s.drawnUp(s.panel.FinishedWidth) },
	"finished_width": func(s *spot) {
		s.drawnUp(s.panel.FinishedWidth)
		s.across(0, s.panel.FinishedWidth, s.panel.FinishedLength/2)
	},
	"tight_width": func(s *spot) {
		s.drawnUp(s.panel.TightWidth)
		s.across(0, s.panel.TightWidth, s.panel.FinishedLength/2)
	},
	"stack_back":    func(s *spot) { s.drawnUp(s.panel.StackBack); s.across(0, s.panel.StackBack, s.panel.FinishedLength/2) },
	"cords":         func(s *spot) { s.cords(0) },
	"cord_end":      func(s *spot) { s.cords(0) },
	"cord_total":    func(s *spot) { s.cords(0) },
	"cord_pull_out": func(s *spot) { s.cords(s.panel.CordPullOut) },
	"cord_in_hand":  func(s *spot) { s.cords(s.panel.CordInHand) },
	"insert_length": func(s *spot) { s.insert(); s.across(0, s.panel.InsertLength, s.panel.InsertHeight/2) },
	"insert_height": func(s *spot) { s.insert(); s.down(0, s.panel.InsertHeight, s.panel.InsertLength/2) },
	"insert_turns":  (*spot).tube,
	"tube_diameter": func(s *spot) { s.tube(); s.across(0, s.panel.TubeDiameter, s.panel.TubeDiameter/2) },
}

// spot is one drawing. A window of the cloth is shown at a scale, its left top at (left, top) of the drawing.
type spot struct {
	body  bytes.Buffer
	texts bytes.Buffer // over everything
	panel *workup.Panel
	units measure.Unit
	say   *i18n.Printer

	from      [2]measure.Length // of the cloth, at the window's left top
	scale     float64           // pixels a nanometre
	left, top float64
}

// whole shows a thing as large as there is room for.
func (s *spot) whole(width, height measure.Length) {
	s.scale = min((spotWidth-2*spotMargin)/float64(width), (spotHeight-2*spotMargin)/float64(height))
	s.from = [2]measure.Length{}
	s.left, s.top = (spotWidth-s.scale*float64(width))/2, (spotHeight-s.scale*float64(height))/2
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
func px(v float64) string {
	return fmt.Sprintf("%.1f", min(max(v, -3*spotWidth), 4*spotWidth))
}

func (s *spot) rect(class string, x1, y1, x2, y2 measure.Length) {
	left, top := px(s.x(x1)), px(s.y(y1))
	fmt.Fprintf(&s.body, `<rect class="%s" x="%s" y="%s" width="%s" height="%s"/>`, class, left, top, px(s.x(x2)-s.x(x1)), px(s.y(y2)-s.y(y1)))
}

func (s *spot) line(class string, x1, y1, x2, y2 measure.Length) {
	s.stroke(class, s.x(x1), s.y(y1), s.x(x2), s.y(y2))
}

func (s *spot) stroke(class string, x1, y1, x2, y2 float64) {
	fmt.Fprintf(&s.body, `<line class="%s" x1="%s" y1="%s" x2="%s" y2="%s"/>`, class, px(x1), px(y1), px(x2), px(y2))
}

func (s *spot) text(x, y float64, anchor, text string) {
	fmt.Fprintf(&s.texts, `<text class="spot-text" x="%s" y="%s" font-size="%g" text-anchor="%s">%s</text>`, px(x), px(y), spotText, anchor, withFractions(text))
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
	need := letterWidth * spotText * float64(utf8.RuneCountInString(text))
	switch {
	case b-a > need+spotText:
		s.text((a+b)/2, at-spotTick-3, "middle", text)
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

// flat shows the whole panel lying flat.
func (s *spot) flat() {
	p := s.panel
	s.whole(p.FlatWidth, p.FinishedLength)
	s.rect("cloth", 0, 0, p.FlatWidth, p.FinishedLength)
	s.line("hem", 0, p.FinishedLength-p.BottomHem, p.FlatWidth, p.FinishedLength-p.BottomHem)
	s.band("tape")
	for _, x := range p.Seams {
		s.line("seam", x, 0, x, p.FinishedLength)
	}
	s.edges(p.FlatWidth)
}

// edges names both edges of a panel shown whole, so that left isn't taken for right: L and R lie alike on the table.
// The names stand beside a narrow panel, else under it.
func (s *spot) edges(width measure.Length) {
	first, last := s.say.T("paper.drawing.return_edge"), s.say.T("paper.drawing.leading_edge")
	need := letterWidth * spotText * float64(max(utf8.RuneCountInString(first), utf8.RuneCountInString(last)))
	if left := s.x(0); left > need+8 {
		foot := spotHeight - spotMargin // beside the hem, clear of the number in the middle
		s.text(left-6, foot, "end", first)
		s.text(s.x(width)+6, foot, "start", last)
		return
	}
	s.text(4, spotHeight-6, "start", first)
	s.text(spotWidth-4, spotHeight-6, "end", last)
}

func (s *spot) seams() {
	s.flat()
	for _, x := range s.panel.Seams {
		s.line("spot", x, 0, x, s.panel.FinishedLength)
	}
}

// cut shows a width as it is cut, with the folds of hem and heading.
func (s *spot) cut(length measure.Length) {
	p := s.panel
	s.whole(p.FlatWidth, length)
	s.rect("cloth", 0, 0, p.FlatWidth, length)
	for _, y := range []measure.Length{2 * p.HeadingFold, length - 2*p.BottomHem} {
		s.line("hem", 0, y, p.FlatWidth, y)
	}
	for _, x := range p.Seams {
		s.line("seam", x, 0, x, length)
	}
	s.text(4, spotText, "start", s.say.T("paper.spot.top"))
}

// near shows a corner of the panel: at is the place of its edge in the drawing.
func (s *spot) near(leading bool, width, y measure.Length, top float64) {
	name, anchor, beside := "paper.drawing.return_edge", "start", 4.0
	if leading {
		name, anchor, beside = "paper.drawing.leading_edge", "end", spotWidth-4
	}
	// The name of the edge stands beside it.
	x, left := measure.Length(0), max(0.2*spotWidth, 12+letterWidth*spotText*float64(utf8.RuneCountInString(s.say.T(name))))
	if leading {
		x, left = s.panel.FlatWidth, spotWidth-left
	}
	s.window(width, x, y, left, top)
	s.rect("cloth", 0, 0, s.panel.FlatWidth, s.panel.FinishedLength)
	s.text(beside, spotHeight-6, anchor, s.say.T(name))
}

// head is the corner at the top, with so much of it that a length down is well seen.
func (s *spot) head(leading bool, seen measure.Length) {
	s.near(leading, measure.Length(float64(seen)*1.9*spotWidth/spotHeight), 0, 0.2*spotHeight)
}

// foot is the corner at the bottom.
func (s *spot) foot(leading bool, seen measure.Length) {
	p := s.panel
	s.near(leading, measure.Length(float64(max(seen, p.BottomHem))*1.9*spotWidth/spotHeight), p.FinishedLength, 0.78*spotHeight)
	s.line("hem", 0, p.FinishedLength-p.BottomHem, p.FlatWidth, p.FinishedLength-p.BottomHem)
	s.line("hem", p.SideHem, 0, p.SideHem, p.FinishedLength)
	s.line("hem", p.FlatWidth-p.SideHem, 0, p.FlatWidth-p.SideHem, p.FinishedLength)
}

// edge is the heading at an edge, with a length across that is well seen.
func (s *spot) edge(leading bool, seen measure.Length) {
	most := measure.Length(float64(s.bandFoot()) * 1.6 * spotWidth / spotHeight)
	width := max(min(most, 7*seen), 2*seen)
	s.near(leading, width, s.bandMiddle(), spotHeight/2)
	s.taped()
}

// offcut shows what is trimmed off beyond an edge.
func (s *spot) offcut(leading bool, trim measure.Length) {
	if trim <= 0 {
		return
	}
	p := s.panel
	s.near(leading, 6*trim, p.FinishedLength, 0.7*spotHeight)
	x := -trim
	if leading {
		x = p.FlatWidth
	}
	s.body.Reset() // the cloth goes on under the trim
	s.texts.Reset()
	s.rect("cloth", min(x, 0), 0, max(p.FlatWidth, x+trim), p.FinishedLength)
	s.rect("pleat", x, 0, x+trim, p.FinishedLength)
	s.across(x, x+trim, p.FinishedLength-s.tall()/3)
	s.text(4, spotHeight-6, "start", s.say.T("paper.spot.trimmed"))
}

// The heading's band: the tape, or the buckram of one set by hand.
func (s *spot) bandTop() measure.Length {
	return s.panel.TopDrop
}
func (s *spot) bandFoot() measure.Length {
	if s.panel.SetByHand() {
		return s.panel.TopDrop + s.panel.BuckramHeight
	}
	return s.panel.TopDrop + s.panel.TapeHeight
}
func (s *spot) bandMiddle() measure.Length { return (s.bandTop() + s.bandFoot()) / 2 }

func (s *spot) band(class string) { s.rect(class, 0, s.bandTop(), s.panel.FlatWidth, s.bandFoot()) }

// fold shows the double fold of the heading from behind.
func (s *spot) fold() {
	s.rect("tape", 0, 0, s.panel.FlatWidth, s.panel.HeadingFold)
	s.line("hem", 0, s.panel.HeadingFold, s.panel.FlatWidth, s.panel.HeadingFold)
}

// taped shows the band with its pleats, and the tape's dots.
func (s *spot) taped() {
	p := s.panel
	s.band("tape")
	for k, centre := range p.PleatPositions {
		takes := s.takes(k)
		if s.x(centre+takes/2) > 0 && s.x(centre-takes/2) < spotWidth {
			s.rect("pleat", centre-takes/2, s.bandTop(), centre+takes/2, s.bandFoot())
		}
	}
	if p.SetByHand() {
		return
	}
	for k := 0; k <= p.Pleats; k++ {
		x := s.x(p.EndMargin + (p.TakeUp + p.Space).Times(k))
		if x > -spotTick && x < spotWidth+spotTick {
			fmt.Fprintf(&s.body, `<circle class="dot" cx="%s" cy="%s" r="3.5"/>`, px(x), px(s.y(s.bandMiddle())))
		}
	}
}

// takes is what the pleat k takes up.
func (s *spot) takes(k int) measure.Length {
	if k < len(s.panel.TakeUps) {
		return s.panel.TakeUps[k]
	}
	return s.panel.TakeUp
}

// stitches shows the tape's two stitch lines.
func (s *spot) stitches() {
	p := s.panel
	upper := p.TopDrop + (p.TopDrop + p.TapeHeight - p.StitchLine)
	for _, y := range []measure.Length{upper, p.StitchLine} {
		s.line("spot stitch", 0, y, p.FlatWidth, y)
	}
}

// strip shows the whole heading.
func (s *spot) strip() {
	s.whole(s.panel.FlatWidth, 2*s.bandFoot())
	s.rect("cloth", 0, 0, s.panel.FlatWidth, 2*s.bandFoot())
	s.taped()
	s.edges(s.panel.FlatWidth)
}

// pleat shows one pleat of the heading and what it takes up.
func (s *spot) pleat(k int) {
	if k >= len(s.panel.PleatPositions) {
		return
	}
	centre, takes := s.panel.PleatPositions[k], s.takes(k)
	s.window(4*takes, centre, s.bandMiddle(), spotWidth/2, spotHeight/2)
	s.rect("cloth", 0, 0, s.panel.FlatWidth, s.panel.FinishedLength)
	s.taped()
	s.across(centre-takes/2, centre+takes/2, s.bandMiddle())
}

// gap shows the space between the first two pleats.
func (s *spot) gap() {
	if len(s.panel.PleatPositions) < 2 {
		return
	}
	from := s.panel.PleatPositions[0] + s.takes(0)/2
	to := s.panel.PleatPositions[1] - s.takes(1)/2
	s.window(4*(to-from), (from+to)/2, s.bandMiddle(), spotWidth/2, spotHeight/2)
	s.rect("cloth", 0, 0, s.panel.FlatWidth, s.panel.FinishedLength)
	s.taped()
	s.across(from, to, s.bandMiddle())
}

// tape shows the tape as it is cut, so much of it as seen, with its dots.
func (s *spot) tape(seen measure.Length) {
	p := s.panel
	s.whole(min(seen, p.TapePiece), p.TapeHeight)
	s.rect("tape", 0, 0, p.TapePiece, p.TapeHeight)
	for k := 0; k <= p.Pleats; k++ {
		x := s.x(p.TapeStart + (p.TakeUp + p.Space).Times(k))
		if x < spotWidth+spotTick {
			fmt.Fprintf(&s.body, `<circle class="dot" cx="%s" cy="%s" r="3.5"/>`, px(x), px(s.y(p.TapeHeight/2)))
		}
	}
}

// drawnUp shows the panel with its pleats made, so wide. The pleats stand evenly.
func (s *spot) drawnUp(width measure.Length) {
	p := s.panel
	s.whole(width, p.FinishedLength)
	s.rect("cloth", 0, 0, width, p.FinishedLength)
	edge := min(p.EdgeToPleat, width/measure.Length(p.Pleats+2))
	for k := range p.Pleats {
		x := edge
		if p.Pleats > 1 {
			x += (width - 2*edge).Times(k) / measure.Length(p.Pleats-1)
		}
		at := s.x(x)
		fmt.Fprintf(&s.body, `<rect class="tube" x="%s" y="%s" width="3" height="%s" rx="1.5"/>`, px(at-1.5), px(s.y(0)), px(math.Max(6, float64(s.bandFoot())*s.scale)))
		s.stroke("hem", at, s.y(s.bandFoot())+3, at, s.y(p.FinishedLength))
	}
	s.edges(width)
}

// cords shows the cords at the return edge; so much of each is drawn out.
func (s *spot) cords(out measure.Length) {
	p := s.panel
	seen := max(out, p.TapeHeight)
	width := measure.Length(float64(seen) * 1.5)
	s.window(width, 0, s.bandMiddle(), 0.78*spotWidth, spotHeight/2)
	s.rect("cloth", 0, 0, p.FlatWidth, p.FinishedLength)
	s.taped()
	for k := range p.Cords {
		y := s.bandTop() + (s.bandFoot()-s.bandTop()).Times(k+1)/measure.Length(p.Cords+1)
		s.line("cord", -seen, y, 0, y)
	}
	if out > 0 {
		s.across(-out, 0, s.bandFoot()+s.tall()/4)
	}
	s.text(spotWidth-4, spotHeight-6, "end", s.say.T("paper.drawing.return_edge"))
}

// insert shows the buckram of one pleat, flat.
func (s *spot) insert() {
	s.whole(s.panel.InsertLength, s.panel.InsertHeight)
	s.rect("tape", 0, 0, s.panel.InsertLength, s.panel.InsertHeight)
}

// tube shows the buckram rolled, from its end.
func (s *spot) tube() {
	d := s.panel.TubeDiameter
	if d <= 0 {
		return
	}
	s.whole(d, d)
	r := float64(d) * s.scale / 2
	fmt.Fprintf(&s.body, `<circle class="tape" cx="%s" cy="%s" r="%s"/>`, px(s.x(d/2)), px(s.y(d/2)), px(r))
	fmt.Fprintf(&s.body, `<circle class="hem" cx="%s" cy="%s" r="%s"/>`, px(s.x(d/2)), px(s.y(d/2)), px(0.8*r))
}
