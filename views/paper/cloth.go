package paper

import (
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/views/paper/room"
)

// What the cloth of a panel lying flat shows beside its seams: bands along its edges, the middles of its motifs, the cord in its hem, the
// way of its pile.

// bands fills the strips along the edges, the top edge at y, and draws what they are sewn along: the seam of one joined on, both edges of
// one on top. Where a strip along a side meets that along the lower edge they are mitred.
func (p *Panel) bands(c ink, y measure.Length) {
	for i := range p.Bands {
		b := &p.Bands[i]
		left, top, wide, high := p.bandAt(b)
		c.rect("band", left, y+top, wide, high)
	}
	for i := range p.Bands {
		b := &p.Bands[i]
		class := "seam"
		if b.Method == orderfile.Applied {
			class = "sewn"
			if b.Offset > 0 {
				p.bandLine(c, class, b, b.Offset, y)
			}
		}
		p.bandLine(c, class, b, b.Offset+b.Width, y)
	}
	p.mitres(c, y)
}

// bandAt is where a band lies on the flat panel, from its return edge and its top.
func (p *Panel) bandAt(b *workup.PanelBand) (left, top, wide, high measure.Length) {
	switch b.Edge {
	case orderfile.BandBottom:
		return 0, p.FinishedLength - b.Offset - b.Width, p.FlatWidth, b.Width
	case orderfile.BandLeading:
		return p.FlatWidth - b.Offset - b.Width, 0, b.Width, p.FinishedLength
	}
	return b.Offset, 0, b.Width, p.FinishedLength
}

// bandLine draws a line of a band so far from its edge, up to where it meets another band's.
func (p *Panel) bandLine(c ink, class string, b *workup.PanelBand, from, y measure.Length) {
	inner := from == b.Offset+b.Width
	upTo := func(edge orderfile.BandEdge) measure.Length {
		other := p.Band(edge)
		switch {
		case other == nil:
			return 0
		case inner:
			return other.Offset + other.Width
		}
		return other.Offset
	}
	switch b.Edge {
	case orderfile.BandBottom:
		at := y + p.FinishedLength - from
		c.line(class, upTo(orderfile.BandReturn), at, p.FlatWidth-upTo(orderfile.BandLeading), at)
	case orderfile.BandLeading:
		c.line(class, p.FlatWidth-from, y, p.FlatWidth-from, y+p.FinishedLength-upTo(orderfile.BandBottom))
	default:
		c.line(class, from, y, from, y+p.FinishedLength-upTo(orderfile.BandBottom))
	}
}

// mitres draws the corners in which bands meet.
func (p *Panel) mitres(c ink, y measure.Length) {
	below := p.Band(orderfile.BandBottom)
	if below == nil {
		return
	}
	outer, inner := y+p.FinishedLength-below.Offset, y+p.FinishedLength-below.Offset-below.Width
	if b := p.Band(orderfile.BandReturn); b != nil {
		c.line("mitre", b.Offset, outer, b.Offset+b.Width, inner)
	}
	if b := p.Band(orderfile.BandLeading); b != nil {
		c.line("mitre", p.FlatWidth-b.Offset, outer, p.FlatWidth-b.Offset-b.Width, inner)
	}
}

// motifs draws a thin line down the middle of each motif, so that it is seen which pleat or space it comes to, with a ring so large over
// the hem.
func (p *Panel) motifs(c ink, y, radius measure.Length) {
	at := y + p.FinishedLength - p.BottomHem - 2*radius
	if b := p.Band(orderfile.BandBottom); b != nil {
		at = min(at, y+p.FinishedLength-b.Offset-b.Width-2*radius)
	}
	for _, x := range p.MotifPositions {
		c.line("motif", x, y, x, at-radius)
		c.circle("motif", x, at, radius)
	}
}

// cord draws the weighted cord in the fold of the hem.
func (p *Panel) cord(c ink, y measure.Length) {
	if p.WeightCord > 0 {
		at := y + p.FinishedLength - p.BottomHem/6
		c.line("cord", 0, at, p.FlatWidth, at)
	}
}

// pile draws an arrow so long that points the way of the pile, near the leading edge.
func (p *Panel) pile(c ink, y, long measure.Length) {
	if p.Pile == "" {
		return
	}
	x, middle := p.FlatWidth-p.FlatWidth/10, y+p.FinishedLength.MulDiv(4, 5)
	tip, back := middle-long/2, long/4
	if p.Pile == orderfile.PileDown {
		tip, back = middle+long/2, -back
	}
	c.line("pile", x, middle-long/2, x, middle+long/2)
	c.line("pile", x-long/7, tip+back, x, tip)
	c.line("pile", x+long/7, tip+back, x, tip)
}

// edgeNames names the edges that bands run along.
var edgeNames = map[orderfile.BandEdge]string{
	orderfile.BandLeading: "paper.drawing.leading_edge", orderfile.BandReturn: "paper.drawing.return_edge", orderfile.BandBottom: "paper.drawing.lower_edge",
}

// notes says below the caption what the letters and signs of a drawing mean, a line each.
func (f *flat) notes() (list []string) {
	p := f.panel
	if room.Lettered(p.Panel) {
		list = append(list, f.sides())
	}
	for i := range p.Bands {
		b := &p.Bands[i]
		key := "paper.drawing.band." + string(b.Method)
		if b.Offset > 0 {
			key = "paper.drawing.band.offset"
		}
		list = append(list, f.say.T(key, "Edge", f.say.T(edgeNames[b.Edge]), "Width", f.words(b.Width), "Offset", f.words(b.Offset)))
	}
	if len(p.MotifPositions) > 0 {
		list = append(list, f.say.T("paper.drawing.motif"))
	}
	if p.MotifTrim > 0 {
		key := "paper.drawing.motif.return"
		if p.MotifTrim == p.TrimLeading && p.MotifTrim != p.TrimReturn {
			key = "paper.drawing.motif.leading"
		}
		list = append(list, f.say.T(key, "Length", f.words(p.MotifTrim)))
	}
	if p.WeightCord > 0 {
		list = append(list, f.say.T("paper.drawing.cord"))
	}
	if p.Pile != "" {
		list = append(list, f.say.T("paper.drawing.pile."+string(p.Pile)))
	}
	if p.Railroaded() {
		list = append(list, f.say.T("paper.drawing.turned"))
	}
	return list
}

// motifLabels are the figures of the motifs that have room beside each other in one row under the cloth.
func (f *flat) motifLabels() (list []seamLabel) {
	for _, x := range f.panel.MotifPositions {
		l := seamLabel{text: "○ " + f.words(x)}
		l.x = min(max(x-f.wide(l.text)/2, 0), f.panel.FlatWidth-f.wide(l.text))
		l.end = l.x + f.wide(l.text)
		if n := len(list); l.x >= 0 && (n == 0 || list[n-1].end+f.text/2 <= l.x) {
			list = append(list, l)
		}
	}
	return list
}
