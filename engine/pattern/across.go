// Package pattern works out where the pattern of a cloth comes to lie: across a panel, where its motifs stand and what is trimmed to bring
// them where they are wanted; down it, at which height of the pattern a cut starts, and what starts at several heights lose between them.
// Everything is exact and rounded to the nanometre once.
package pattern

import "tablehand/engine/measure"

// Cloth is a pattern that repeats across its cloth, right side up.
type Cloth struct {
	Repeat measure.Length // from motif to motif
	Offset measure.Length // from the left usable edge to the middle of the first motif
	Usable measure.Length
	Kept   measure.Ratio // of all three once it has shrunk; the zero value is all of them
}

// Edge is where a panel's return edge hangs, as seen from the room.
type Edge int

const (
	AtLeft Edge = iota
	AtRight
)

// Panel is a panel joined from such cloth. Its joins carry the pattern on, so one motif says where all stand.
type Panel struct {
	Cloth
	Return Edge
	Split  bool // a half width lies at the return edge, its cut edge outside
	// AtReturn and AtLead are the cloth beyond the finished edges: all turns of a hem, or below 0 what something that is joined on has in its
	// place.
	AtReturn, AtLead measure.Length
}

// parts is a length in halves of a nanometre, each again parted as the ratio of what shrinking leaves is.
type parts int64

func (c Cloth) kept() measure.Ratio {
	if c.Kept.Num == 0 {
		return measure.Ratio{Num: 1, Den: 1}
	}
	return c.Kept
}

// shrunk is a length of the cloth, made that of one that doesn't shrink any more, times halves of it.
func (c Cloth) shrunk(l measure.Length, halves int64) parts {
	return parts(int64(l) * halves * c.kept().Num)
}

// made is a length of the panel that is made from it.
func (c Cloth) made(l measure.Length) parts { return parts(2 * int64(l) * c.kept().Den) }

func (c Cloth) length(p parts) measure.Length {
	return measure.Length(p).Div(2 * c.kept().Den)
}

// mod is the remainder of whole repeats, from 0.
func (c Cloth) mod(p parts) parts {
	u := c.shrunk(c.Repeat, 2)
	return p - u*parts(measure.Length(p).FloorDiv(measure.Length(u)))
}

// fromReturn is where a motif stands from the raw return edge, and fromLead from the leading one, give or take whole repeats. A panel that
// is half a width alone has the cloth's own edge at its lead.
func (p Panel) fromReturn() parts {
	at := p.shrunk(p.Offset, 2)
	switch {
	case p.Split && p.Return == AtLeft:
		return at - p.shrunk(p.Usable, 1)
	case p.Split:
		return p.shrunk(p.Usable, 1) - at
	case p.Return == AtRight:
		return p.shrunk(p.Usable, 2) - at
	}
	return at
}

func (p Panel) fromLead() parts {
	if p.Return == AtRight {
		return p.shrunk(p.Offset, 2)
	}
	return p.shrunk(p.Usable-p.Offset, 2)
}

// LeadTrim is the least that is trimmed off the leading edge so that a motif's middle stands so far from the hemmed one. It is under a
// repeat. A print can't be mirrored, but its places in a pair can: both panels with one lead.
func (p Panel) LeadTrim(lead measure.Length) measure.Length {
	return p.length(p.mod(p.fromLead() - p.made(p.AtLead+lead)))
}

// CentreTrim is the least that is trimmed off the left edge so that a motif stands in the middle of a panel so wide, or with between the
// middle lies half-way between two. It is under a repeat.
func (p Panel) CentreTrim(flat measure.Length, between bool) measure.Length {
	left, _ := p.beyond()
	return p.length(p.mod(p.centre(between) - left - p.made(flat)/2))
}

// beyond is the cloth beyond the left edge and beyond the right one.
func (p Panel) beyond() (left, right parts) {
	if p.Return == AtRight {
		return p.made(p.AtLead), p.made(p.AtReturn)
	}
	return p.made(p.AtReturn), p.made(p.AtLead)
}

// centre is where the middle of the panel has to be from its raw left edge, give or take whole repeats.
func (p Panel) centre(between bool) parts {
	at := p.fromReturn()
	if p.Return == AtRight {
		at = p.fromLead()
	}
	if between {
		at -= p.shrunk(p.Repeat, 1)
	}
	return at
}

// Widest is the widest panel that lies so about a motif, or between two, on so much joined cloth, which is given doubled, rounded down. It
// is below 0 where the hems alone take more.
func (p Panel) Widest(joined2 measure.Length, between bool) measure.Length {
	left, right := p.beyond()
	all, u := parts(int64(joined2)*p.kept().Den)-left-right, p.shrunk(p.Repeat, 2) // from edge to edge
	below := all/2 - p.mod(all/2+left-p.centre(between))                           // the last such middle before the cloth's own
	side := max(min(below, all-below), min(below+u, all-below-u))
	return measure.Length(measure.Length(side).FloorDiv(measure.Length(p.kept().Den)))
}

// Motifs are the middles of the motifs along the hemmed panel, from its return edge, when so much is trimmed off there, as far as the cloth
// reaches.
func (p Panel) Motifs(flat, trim measure.Length) []measure.Length {
	var list []measure.Length
	u, from, end := p.shrunk(p.Repeat, 2), p.made(max(0, -p.AtReturn)), p.made(flat-max(0, -p.AtLead))
	for at := from + p.mod(p.fromReturn()-p.made(p.AtReturn+trim)-from); at <= end; at += u {
		list = append(list, p.length(at))
	}
	return list
}
