package paper

import (
	"fmt"
	"math"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// places draw a number where it lies.
var places = map[workup.Place]func(*spot, measure.Length){
	workup.OnPanel:     func(s *spot, _ measure.Length) { s.flat() },
	workup.AcrossPanel: func(s *spot, l measure.Length) { s.flat(); s.across(0, l, s.panel.FinishedLength/2) },
	workup.DownPanel:   func(s *spot, l measure.Length) { s.flat(); s.down(0, l, s.panel.FlatWidth/2) },
	workup.AtSeams:     func(s *spot, _ measure.Length) { s.seams() },
	workup.AtMotifs:    func(s *spot, _ measure.Length) { s.motifs() },
	workup.OnCut:       func(s *spot, _ measure.Length) { s.cut(s.panel.FlatWidth, s.panel.CutLength) },
	workup.DownCut:     func(s *spot, l measure.Length) { s.cut(s.panel.FlatWidth, l); s.down(0, l, s.panel.FlatWidth/2) },
	workup.AlongCut:    func(s *spot, l measure.Length) { s.turned(l); s.across(0, l, s.panel.PlainLength.MulDiv(5, 6)) },
	workup.InSideHem: func(s *spot, l measure.Length) {
		s.foot(false, l)
		s.across(0, l, s.panel.FinishedLength-s.tall()/2)
	},
	workup.TurnedAtReturn: func(s *spot, l measure.Length) {
		s.foot(false, s.panel.SideHem+l)
		s.across(s.panel.SideHem, s.panel.SideHem+l, s.panel.FinishedLength-s.tall()/2)
	},
	workup.TurnedAtLead: func(s *spot, l measure.Length) {
		s.foot(true, s.panel.SideHem+l)
		e := s.panel.FlatWidth - s.panel.SideHem
		s.across(e-l, e, s.panel.FinishedLength-s.tall()/2)
	},
	workup.OffReturn: func(s *spot, l measure.Length) { s.offcut(false, l) },
	workup.OffLead:   func(s *spot, l measure.Length) { s.offcut(true, l) },
	workup.InHem: func(s *spot, l measure.Length) {
		s.foot(false, s.panel.BottomHem)
		s.down(s.panel.FinishedLength-l, s.panel.FinishedLength, s.wide()/3)
	},
	workup.InFold:      func(s *spot, l measure.Length) { s.head(l); s.fold(); s.down(0, l, s.wide()/3) },
	workup.DownFromTop: func(s *spot, l measure.Length) { s.head(l); s.heading(); s.down(0, l, s.wide()/3) },
	workup.DownBand: func(s *spot, _ measure.Length) {
		s.head(s.bandFoot())
		s.heading()
		s.down(s.bandTop(), s.bandFoot(), s.wide()/3)
	},
	workup.DownToStitches: func(s *spot, l measure.Length) { s.head(l); s.heading(); s.stitches(); s.down(0, l, s.wide()/3) },
	workup.OnStitches:     func(s *spot, _ measure.Length) { s.strip(); s.stitches() },
	workup.FromReturn:     func(s *spot, l measure.Length) { s.edge(false, l); s.across(0, l, s.bandMiddle()) },
	workup.FromLead: func(s *spot, l measure.Length) {
		s.edge(true, l)
		s.across(s.panel.FlatWidth-l, s.panel.FlatWidth, s.bandMiddle())
	},
	workup.OnHeading:     func(s *spot, _ measure.Length) { s.strip() },
	workup.AcrossHeading: func(s *spot, l measure.Length) { s.strip(); s.across(0, l, s.bandMiddle()) },
	workup.OnMarks:       func(s *spot, _ measure.Length) { s.marks() },
	workup.OnPleat:       func(s *spot, _ measure.Length) { s.pleat(0) },
	workup.OnLastPleat:   func(s *spot, _ measure.Length) { s.pleat(s.panel.Pleats - 1) },
	workup.BetweenPleats: func(s *spot, _ measure.Length) { s.gap() },
	workup.BetweenPoints: func(s *spot, _ measure.Length) { s.pitch() },
	workup.DownPocket: func(s *spot, _ measure.Length) {
		s.head(s.bandFoot())
		s.heading()
		s.down(s.bandTop(), s.bandFoot(), s.wide()/3)
	},
	workup.OnTab:         (*spot).tab,
	workup.AlongTape:     func(s *spot, l measure.Length) { s.tape(l); s.across(0, l, s.panel.TapeHeight/2) },
	workup.AtTapeStart:   func(s *spot, l measure.Length) { s.tape(l.Times(5)); s.across(0, l, s.panel.TapeHeight/2) },
	workup.OnDrawnUp:     func(s *spot, _ measure.Length) { s.drawnUp(s.panel.FinishedWidth) },
	workup.AcrossDrawnUp: func(s *spot, l measure.Length) { s.drawnUp(l); s.across(0, l, s.panel.FinishedLength/2) },
	workup.AcrossFace:    (*spot).face,
	workup.OnCords:       func(s *spot, _ measure.Length) { s.cords(0) },
	workup.AlongCords:    (*spot).cords,
	workup.AcrossInsert:  func(s *spot, l measure.Length) { s.insert(); s.across(0, l, s.panel.InsertHeight/2) },
	workup.DownInsert:    func(s *spot, l measure.Length) { s.insert(); s.down(0, l, s.panel.InsertLength/2) },
	workup.OnTube:        func(s *spot, _ measure.Length) { s.tube() },
	workup.AcrossTube:    func(s *spot, l measure.Length) { s.tube(); s.across(0, l, l/2) },
}

// elsewhere are entries that aren't measured where their target is drawn: at the edges of the panel and in its middle, or from the
// other edge of it.
var elsewhere = map[string]func(*spot, measure.Length){
	"length_return":     func(s *spot, l measure.Length) { s.flat(); s.down(0, l, s.panel.FlatWidth/20) },
	"length_leading":    func(s *spot, l measure.Length) { s.flat(); s.down(0, l, s.panel.FlatWidth-s.panel.FlatWidth/20) },
	"first_dot_leading": places[workup.FromLead],
	// What is turned under in a rod's tunnel lies above its lower line.
	"turn": func(s *spot, l measure.Length) {
		s.head(s.bandFoot())
		s.heading()
		s.line("hem", 0, s.bandFoot()-l, s.panel.FlatWidth, s.bandFoot()-l)
		s.down(s.bandFoot()-l, s.bandFoot(), s.wide()/3)
	},
	"tab_cut_length": func(s *spot, l measure.Length) {
		s.piece("tab", s.panel.TabCutWidth, l)
		s.down(0, l, s.panel.TabCutWidth/2)
	},
	"tab_cut_width": func(s *spot, l measure.Length) {
		s.piece("tab", l, s.panel.TabCutLength)
		s.across(0, l, s.panel.TabCutLength/2)
	},
	"facing_length": func(s *spot, l measure.Length) {
		s.piece("tape", l, s.panel.FacingHeight)
		s.across(0, l, s.panel.FacingHeight/2)
	},
	"facing_height": func(s *spot, l measure.Length) { s.piece("tape", 3*l, l); s.down(0, l, l) },
	"eyelet_drop": func(s *spot, l measure.Length) {
		first := s.panel.EdgeToPoint
		s.window(max(3*s.panel.Eyelet.Outer, measure.Length(float64(l)*2*spotWidth/spotHeight)), first, 0, spotWidth/2, 0.2*spotHeight)
		s.rect("cloth", 0, 0, s.panel.FlatWidth, s.panel.FinishedLength)
		s.heading()
		s.down(0, l, first)
	},
}

// flat shows the whole panel lying flat.
func (s *spot) flat() {
	p := s.panel
	s.named(p.FlatWidth, p.FinishedLength, p.rises())
	s.rect("cloth", 0, 0, p.FlatWidth, p.FinishedLength)
	p.bands(onSpot{s}, 0)
	s.line("hem", 0, p.FinishedLength-p.BottomHem, p.FlatWidth, p.FinishedLength-p.BottomHem)
	p.cord(onSpot{s}, 0)
	p.pile(onSpot{s}, 0, p.FinishedLength/4)
	if p.Pleated() {
		s.band("tape")
	} else {
		s.heading()
	}
	for _, x := range p.Seams {
		s.line("seam", x, 0, x, p.FinishedLength)
	}
	s.edges(p.FlatWidth)
}

// edges names both edges of a panel shown whole, so that left isn't taken for right: L and R lie alike on the table. The names
// stand under it, each led to its edge; in two lines where they don't fit beside each other.
func (s *spot) edges(width measure.Length) {
	first, last := s.edgeNames()
	foot := s.y(s.shown) + 2
	leftEnd, rightStart := spotPad+wide(first)/2, spotWidth-spotPad-wide(last)/2
	for _, lead := range [][2]float64{{s.x(0), min(leftEnd, s.x(0))}, {s.x(width), max(rightStart, s.x(width))}} {
		s.stroke("hem", lead[0], foot, lead[1], spotHeight-float64(s.names)*spotStep+4)
	}
	s.text(spotPad, spotHeight-float64(s.names-1)*spotStep-6, "start", first)
	s.text(spotWidth-spotPad, spotHeight-6, "end", last)
}

func (s *spot) edgeNames() (first, last string) {
	return s.say.T("paper.drawing.return_edge"), s.say.T("paper.drawing.leading_edge")
}

// named readies a drawing whose edges are named, and shows a thing whole, with what stands so high above it.
func (s *spot) named(width, height, above measure.Length) {
	first, last := s.edgeNames()
	s.names = 1
	if wide(first)+wide(last)+4*spotPad > spotWidth {
		s.names = 2
	}
	s.shown = height
	s.risen(width, height, above)
}

func (s *spot) seams() {
	s.flat()
	for _, x := range s.panel.Seams {
		s.line("spot", x, 0, x, s.panel.FinishedLength)
	}
}

func (s *spot) motifs() {
	s.flat()
	for _, x := range s.panel.MotifPositions {
		s.line("spot", x, 0, x, s.panel.FinishedLength)
	}
}

// cut shows a width as it is cut, with the folds of hem and heading.
func (s *spot) cut(width, length measure.Length) {
	p := s.panel
	s.whole(width, length)
	s.rect("cloth", 0, 0, width, length)
	top := p.HeadingFold.Times(p.Top.Turns())
	if p.Top.Turns() == 0 {
		top = p.TopAllowance
	}
	for _, y := range []measure.Length{top, length - 2*p.BottomHem} {
		s.line("hem", 0, y, width, y)
	}
	for _, x := range p.Seams {
		s.line("seam", x, 0, x, length)
	}
	p.pile(onSpot{s}, 0, length/4)
	s.text(spotPad, spotText, "start", s.say.T("paper.spot.top"))
}

// turned shows a cut whose width runs along the bolt: the bolt goes on at both sides, and one edge of it is the panel's top.
func (s *spot) turned(run measure.Length) {
	p := s.panel
	s.whole(run.MulDiv(6, 5), p.PlainLength.MulDiv(6, 5))
	s.from = [2]measure.Length{-run / 10, -p.PlainLength / 8}
	s.rect("cloth", -run, 0, 2*run, p.PlainLength.MulDiv(21, 20))
	s.rect("tape", 0, 0, run, p.PlainLength)
	s.line("hem", 0, p.PlainLength-2*p.BottomHem, run, p.PlainLength-2*p.BottomHem)
	s.text(spotPad, spotText, "start", s.say.T("paper.spot.turned"))
	s.down(0, p.PlainLength, run/6)
}

// near shows a corner of the panel, x and y of it at the places left and top of the drawing, seen from its left; the name of its edge
// stands at the foot, or where the cloth goes on there at the head.
func (s *spot) near(leading bool, width, y measure.Length, top float64) {
	name, anchor, beside := "paper.drawing.return_edge", "start", spotPad
	if leading {
		name, anchor, beside = "paper.drawing.leading_edge", "end", spotWidth-spotPad
	}
	x, left := measure.Length(0), 0.2*spotWidth
	if leading {
		x, left = s.panel.FlatWidth, spotWidth-left
	}
	s.window(width, x, y, left, top)
	s.rect("cloth", 0, 0, s.panel.FlatWidth, s.panel.FinishedLength)
	at := spotHeight - 6
	if y == 0 {
		at = spotText
	}
	s.text(beside, at, anchor, s.say.T(name))
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
	s.heading()
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
	s.text(spotPad, spotHeight-6, "start", s.say.T("paper.spot.trimmed"))
}

// The heading's band, from the top edge down.
func (s *spot) bandTop() measure.Length {
	top, _ := s.panel.band()
	return top
}
func (s *spot) bandFoot() measure.Length {
	top, height := s.panel.band()
	return top + height
}
func (s *spot) bandMiddle() measure.Length { return (s.bandTop() + s.bandFoot()) / 2 }

func (s *spot) band(class string) { s.rect(class, 0, s.bandTop(), s.panel.FlatWidth, s.bandFoot()) }

// fold shows the double fold of the heading from behind.
func (s *spot) fold() {
	s.rect("tape", 0, 0, s.panel.FlatWidth, s.panel.HeadingFold)
	s.line("hem", 0, s.panel.HeadingFold, s.panel.FlatWidth, s.panel.HeadingFold)
}

// heading shows the top of the panel: the band with its pleats and the tape's dots, or what holds it.
func (s *spot) heading() { s.panel.heading(onSpot{s}, 0, 0) }

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
	s.named(s.panel.FlatWidth, 2*s.bandFoot(), s.panel.rises())
	s.rect("cloth", 0, 0, s.panel.FlatWidth, 2*s.bandFoot())
	s.heading()
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
	centre, takes := s.panel.PleatPositions[k], s.panel.takes(k)
	s.window(4*takes, centre, s.bandMiddle(), spotWidth/2, spotHeight/2)
	s.rect("cloth", 0, 0, s.panel.FlatWidth, s.panel.FinishedLength)
	s.heading()
	s.across(centre-takes/2, centre+takes/2, s.bandMiddle())
}

// gap shows the space between the first two pleats.
func (s *spot) gap() {
	if len(s.panel.PleatPositions) < 2 {
		return
	}
	from := s.panel.PleatPositions[0] + s.panel.takes(0)/2
	to := s.panel.PleatPositions[1] - s.panel.takes(1)/2
	s.window(4*(to-from), (from+to)/2, s.bandMiddle(), spotWidth/2, spotHeight/2)
	s.rect("cloth", 0, 0, s.panel.FlatWidth, s.panel.FinishedLength)
	s.heading()
	s.across(from, to, s.bandMiddle())
}

// pitch shows the first two points and the way from one to the other.
func (s *spot) pitch() {
	p := s.panel
	if len(p.Positions) < 2 {
		return
	}
	from, to := p.Positions[0], p.Positions[1]
	s.window((to-from).MulDiv(11, 5), (from+to)/2, s.bandMiddle(), spotWidth/2, spotHeight/2)
	s.rect("cloth", 0, 0, p.FlatWidth, p.FinishedLength)
	s.heading()
	s.across(from, to, s.bandMiddle())
}

// tab shows a tab laid open, from seam to seam, and where it lies over the pole.
func (s *spot) tab(loop measure.Length) {
	wide := s.panel.TabWidth
	s.piece("tab", wide, loop)
	s.line("hem", 0, loop/2, wide, loop/2)
	s.down(0, loop, wide/2)
}

// tape shows the tape as it is cut, so much of it as seen, with its dots.
func (s *spot) tape(seen measure.Length) {
	p := s.panel
	s.whole(min(seen, p.TapePiece), p.TapeHeight)
	s.rect("tape", 0, 0, p.TapePiece, p.TapeHeight)
	for k := 0; k <= p.Pleats && p.Pleated(); k++ {
		x := s.x(p.TapeStart + (p.TakeUp + p.Space).Times(k))
		if x < spotWidth+spotTick {
			fmt.Fprintf(&s.body, `<circle class="dot" cx="%s" cy="%s" r="3.5"/>`, px(x), px(s.y(p.TapeHeight/2)))
		}
	}
}

// drawnUp shows the panel as it hangs, so wide: its pleats made, or drawn up, or between its points.
func (s *spot) drawnUp(width measure.Length) {
	p := s.panel
	s.named(width, p.FinishedLength, p.rises())
	s.rect("cloth", 0, 0, width, p.FinishedLength)
	if p.Pleated() {
		s.pleated(width)
	} else {
		s.hung(width)
	}
	s.edges(width)
}

// pleated shows the pleats of a panel that has come to be so wide.
func (s *spot) pleated(width measure.Length) {
	p := s.panel
	for _, place := range p.PleatPlaces {
		x := place.MulDiv(int64(width), int64(p.FinishedWidth))
		at, half := s.x(x), math.Max(1.5, float64(p.Across())*s.scale/2)
		fmt.Fprintf(&s.body, `<rect class="%s" x="%s" y="%s" width="%s" height="%s" rx="1.5"/>`,
			bodyClass(p.Panel), px(at-half), px(s.y(0)), px(2*half), px(math.Max(6, float64(s.bandFoot())*s.scale)))
		s.stroke("hem", at, s.y(s.bandFoot())+3, at, s.y(p.FinishedLength))
	}
}

// hung shows a panel without pleats hanging so wide: its folds between what holds it, or its gathers, which nobody counts.
func (s *spot) hung(width measure.Length) {
	p := s.panel
	h := p.hanging(width)
	h.heading(onSpot{s}, 0, 0)
	folds := h.Positions
	for x := gathers * width / 100; p.Holds == orderfile.Gathered && x < width; x += gathers * width / 100 {
		folds = append(folds, x)
	}
	for _, x := range folds {
		s.line("hem", x, s.bandFoot(), x, p.FinishedLength)
	}
}

// gathers is from one gather that is drawn to the next, in hundredths of the width.
const gathers = 5

// bodyClass is the style of what a pleat is made into: "behind" lies behind the cloth.
func bodyClass(p *workup.Panel) string {
	if p.Body == orderfile.FlatBack {
		return "tube behind"
	}
	return "tube"
}

// face shows the first pleat pressed flat, of the heading with its pleats made.
func (s *spot) face(across measure.Length) {
	p := s.panel
	if across <= 0 {
		return
	}
	middle := p.PleatPlaces[0]
	s.window(4*across, middle, s.bandMiddle(), spotWidth/2, spotHeight/2)
	s.rect("cloth", 0, 0, p.FinishedWidth, p.FinishedLength)
	s.rect("tape", 0, s.bandTop(), p.FinishedWidth, s.bandFoot())
	for _, place := range p.PleatPlaces {
		if s.x(place-across/2) < spotWidth && s.x(place+across/2) > 0 {
			s.rect(bodyClass(p.Panel), place-across/2, s.bandTop(), place+across/2, s.bandFoot())
			s.line("hem", place, s.bandTop(), place, s.bandFoot())
		}
	}
	s.across(middle-across/2, middle+across/2, s.bandMiddle())
}

// cords shows the cords at the return edge; so much of each is drawn out.
func (s *spot) cords(out measure.Length) {
	p := s.panel
	seen := max(out, p.TapeHeight)
	width := measure.Length(float64(seen) * 1.5)
	s.window(width, 0, s.bandMiddle(), 0.78*spotWidth, spotHeight/2)
	s.rect("cloth", 0, 0, p.FlatWidth, p.FinishedLength)
	s.heading()
	for k := range p.Cords {
		y := s.bandTop() + (s.bandFoot()-s.bandTop()).Times(k+1)/measure.Length(p.Cords+1)
		s.line("cord", -seen, y, 0, y)
	}
	if out > 0 {
		s.across(-out, 0, s.bandFoot()+s.tall()/4)
	}
	s.text(spotWidth-spotPad, spotHeight-6, "end", s.say.T("paper.drawing.return_edge"))
}

// insert shows the buckram of one pleat, flat.
func (s *spot) insert() { s.piece("tape", s.panel.InsertLength, s.panel.InsertHeight) }

// piece shows one piece by itself, as it is cut.
func (s *spot) piece(class string, width, height measure.Length) {
	s.whole(width, height)
	s.rect(class, 0, 0, width, height)
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
