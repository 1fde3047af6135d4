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

// band places the bands. One that is no wider than what lies flat at its edge hangs as wide as it is, any other is taken up with the cloth.
func (p *Panel) band(worked *workup.Panel) {
	for i := range worked.Bands {
		b := &worked.Bands[i]
		if b.Edge == orderfile.BandBottom {
			p.Bands = append(p.Bands, Strip{0, p.Length - b.Offset - b.Width, p.Width, b.Width})
			continue
		}
		flat := worked.EdgeToPleat + worked.EdgeToPoint
		from, to := b.Offset, b.Offset+b.Width
		if b.Edge == orderfile.BandLeading {
			flat = max(worked.LeadFlat, worked.LeadToPoint)
		}
		if to > flat {
			from, to = p.Width.MulDiv(int64(from), int64(worked.FlatWidth)), p.Width.MulDiv(int64(to), int64(worked.FlatWidth))
		}
		if atRight := (b.Edge == orderfile.BandReturn) == p.fromRight; atRight {
			from, to = p.Width-to, p.Width-from
		}
		p.Bands = append(p.Bands, Strip{from, 0, to - from, p.Length})
	}
}

// pattern places the lines at which the face's pattern starts again, and the middles of its motifs.
func (p *Panel) pattern(worked *workup.Panel, face *orderfile.Fabric, o *orderfile.Order, line *orderfile.Treatment) {
	for _, x := range worked.MotifPositions {
		p.Middles = append(p.Middles, p.hung(x, worked))
	}
	slices.Sort(p.Middles)
	first, repeat, known := starts(worked, face, o, line)
	if !known {
		return
	}
	edges := append(append([]measure.Length{0}, worked.Seams...), worked.FlatWidth)
	for i := range len(edges) - 1 {
		m := Motif{From: p.hung(edges[i], worked), To: p.hung(edges[i+1], worked)}
		if m.From > m.To {
			m.From, m.To = m.To, m.From
		}
		start := first
		if i < len(worked.Pieces) && worked.Pieces[i].Class == 1 {
			start += repeat.Div(2)
		}
		for at := start - start.FloorTo(repeat); at < p.Length; at += repeat {
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

// starts is a line at which the pattern starts, below the panel's top, and from one such line to the next. A cut starts with the pattern
// at its raw top; what is turned over of it at the top stands above the first line. Where the patterns of a room are brought to one height,
// that is the order's own, above the hem or below the top, and the cloth's shrinking is reckoned with. Else, where the shop allows for the
// top otherwise, or the cloth is squared, shrinks or grows first, the order doesn't say where the lines come to stand.
func starts(worked *workup.Panel, face *orderfile.Fabric, o *orderfile.Order, line *orderfile.Treatment) (first, repeat measure.Length, known bool) {
	c := &o.Conventions
	shrink := c.Shrink
	if face.Shrink != nil {
		shrink = *face.Shrink
	}
	if face.Plain() || worked.Railroaded() || c.LengthAllowance != nil || c.Squaring != 0 {
		return 0, 0, false
	}
	const whole = 10_000
	switch {
	case worked.Phased && c.MotifFrom == orderfile.MotifFromTop:
		first = line.MotifHeight
	case worked.Phased:
		first = worked.FinishedLength - line.Puddle - line.MotifHeight + line.HemHeight
	case shrink != 0 || face.Relax != 0:
		return 0, 0, false
	default:
		first = -worked.TopAllowance
	}
	repeat = face.VerticalRepeat.MulDiv(whole-int64(shrink), whole).MulDiv(whole+int64(face.Relax), whole)
	return first, repeat, repeat > 0
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
