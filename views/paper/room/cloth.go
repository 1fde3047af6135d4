package room

import (
	"slices"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// fold places the pleats, or the points of a heading without, where they stand on the finished heading.
func (p *Panel) fold(worked *workup.Panel) {
	if worked.Body != orderfile.FlatBack { // its folds meet in front, and what they cover lies behind
		p.Across = worked.Across()
	}
	for _, place := range worked.PleatPlaces {
		if p.fromRight {
			place = p.Width - place
		}
		p.Folds = append(p.Folds, place)
	}
	for _, place := range HungPlaces(worked, p.Width) {
		if p.fromRight {
			place = p.Width - place
		}
		p.Points = append(p.Points, place)
	}
	slices.Sort(p.Folds)
	slices.Sort(p.Points)
}

// pattern places the lines at which the face's pattern starts again. A cut starts with the pattern at its raw top; what
// is turned over of it at the top stands above the first line. Where the shop allows for the top otherwise, or the
// cloth is squared or shrinks first, the order doesn't say where the lines come to stand, and there are none.
func (p *Panel) pattern(worked *workup.Panel, face *orderfile.Fabric, o *orderfile.Order, line *orderfile.Treatment) {
	c := &o.Conventions
	if face.Plain() || c.LengthAllowance != nil || c.Squaring != 0 || c.Shrink != 0 {
		return
	}
	turned := worked.TopAllowance
	edges := append(append([]measure.Length{0}, worked.Seams...), worked.FlatWidth)
	for i := range len(edges) - 1 {
		m := Motif{From: p.hung(edges[i], worked), To: p.hung(edges[i+1], worked)}
		if m.From > m.To {
			m.From, m.To = m.To, m.From
		}
		start := -turned
		if i < len(worked.Pieces) && worked.Pieces[i].Class == 1 {
			start += face.VerticalRepeat.Div(2)
		}
		for at := start; at < p.Length; at += face.VerticalRepeat {
			if at > 0 {
				m.At = append(m.At, at)
			}
		}
		p.Motifs = append(p.Motifs, m)
	}
	if p.fromRight {
		slices.Reverse(p.Motifs)
	}
}

// hung is where a place of the flat panel, from its return edge, comes to hang, from its left edge: the cloth between
// is taken up evenly.
func (p *Panel) hung(flat measure.Length, worked *workup.Panel) measure.Length {
	at := p.Width.MulDiv(int64(flat), int64(worked.FlatWidth))
	if p.fromRight {
		return p.Width - at
	}
	return at
}
