package paper

import (
	"fmt"
	"math"
	"unicode/utf8"

	"tablehand/engine/measure"
)

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
		s.head(s.panel.HeadingFold)
		s.fold()
		s.down(0, s.panel.HeadingFold, s.wide()/3)
	},
	"fold_depth": func(s *spot) {
		s.head(s.panel.HeadingFold)
		s.fold()
		s.down(0, s.panel.HeadingFold, s.wide()/3)
	},
	"top_drop":       func(s *spot) { s.head(s.panel.TopDrop); s.taped(); s.down(0, s.panel.TopDrop, s.wide()/3) },
	"drop":           func(s *spot) { s.head(s.panel.TopDrop); s.taped(); s.down(0, s.panel.TopDrop, s.wide()/3) },
	"tape_height":    func(s *spot) { s.head(s.bandFoot()); s.taped(); s.down(s.bandTop(), s.bandFoot(), s.wide()/3) },
	"buckram_height": func(s *spot) { s.head(s.bandFoot()); s.taped(); s.down(s.bandTop(), s.bandFoot(), s.wide()/3) },
	"stitch_line": func(s *spot) {
		s.head(s.panel.StitchLine)
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
	"take_up": func(s *spot) { s.pleat(0) },
	"pleats_in_lap": func(s *spot) {
		if s.panel.PleatsInLap > 0 {
			s.pleat(s.panel.Pleats - 1)
		}
	},
	"space":          func(s *spot) { s.gap() },
	"take_ups":       (*spot).strip,
	"pleat_marks":    (*spot).marks,
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

// head is the corner at the return edge and the top, with so much of it that a length down is well seen.
func (s *spot) head(seen measure.Length) {
	s.near(false, measure.Length(float64(seen)*1.9*spotWidth/spotHeight), 0, 0.2*spotHeight)
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

// marks shows the whole heading with a stroke at the start and the end of each pleat.
func (s *spot) marks() {
	s.strip()
	for _, x := range s.panel.PleatMarks {
		s.line("spot", x, s.bandTop(), x, s.bandFoot())
	}
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
