package revision

import (
	"cmp"
	"iter"
	"slices"

	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
)

// Piece is a loom width of a panel as it is cut, or half of one, or the tabs, facing or bands that are cut for it.
type Piece struct {
	length   measure.Length
	Half     bool
	class    string
	phase    measure.Length
	trimming workup.TrimmingUse
	turned   bool
	across   measure.Length // of strips of bands
	count    int            // tabs, or strips
}

// pieceOf is what a cut has for one of its panels.
func pieceOf(l *plan.Cut, part *plan.CutPart) Piece {
	piece := Piece{length: l.Length.Length(), Half: part.Half != "", class: l.Class, phase: l.Phase.Length(), trimming: l.Trimming, turned: l.Railroaded, count: part.Count}
	if l.Trimming == workup.ForBand {
		piece.across = l.Across.Length()
	}
	return piece
}

// Pieces are what panels have or are to have of each fabric: widths in order of length, and trimmings, of one length together, since any tab is
// as good as another.
type Pieces map[plan.Code]map[string][]Piece

// Add takes the cuts of a fabric in.
func (p Pieces) Add(fabric string, lines []plan.Cut) {
	for i := range lines {
		l := &lines[i]
		for k := range l.For {
			part := &l.For[k]
			if p[part.Ticket] == nil {
				p[part.Ticket] = map[string][]Piece{}
			}
			list, piece := p[part.Ticket][fabric], pieceOf(l, part)
			same := slices.IndexFunc(list, func(o Piece) bool {
				return piece.trimming != "" && o.trimming == piece.trimming && o.length == piece.length && o.across == piece.across
			})
			if same >= 0 {
				list[same].count += piece.count
			} else {
				p[part.Ticket][fabric] = append(list, piece)
			}
		}
	}
}

// Of returns a panel's pieces of a fabric, sorted: whole widths, halves, trimmings.
func (p Pieces) Of(panel plan.Code, fabric string) []Piece {
	list := slices.Clone(p[panel][fabric])
	slices.SortFunc(list, func(a, b Piece) int {
		return cmp.Or(cmp.Compare(a.trimming, b.trimming), cmp.Compare(a.across, b.across), cmp.Compare(a.halves(), b.halves()), cmp.Compare(b.length, a.length), cmp.Compare(a.class, b.class), cmp.Compare(a.phase, b.phase))
	})
	return list
}

func (p Piece) halves() int {
	if p.Half {
		return 1
	}
	return 0
}

// Many is how many pieces there are, every tab and every strip counted.
func Many(pieces iter.Seq[Piece]) int {
	n := 0
	for p := range pieces {
		n += p.Count()
	}
	return n
}

// Spot is where in its panel a piece goes: its place, or of trimmings what they are.
type Spot struct {
	place    int
	trimming workup.TrimmingUse
	length   measure.Length // of trimmings: those of one length go together,
	across   measure.Length // and of strips of bands of one width
}

// SpotOf is where a part of a cut goes that is so long, and cut so wide.
func SpotOf(use workup.TrimmingUse, length, across measure.Length, place int) Spot {
	switch use {
	case "":
		return Spot{place: place}
	case workup.ForBand:
		return Spot{trimming: use, length: length, across: across}
	}
	return Spot{trimming: use, length: length}
}

// Count is how many tabs or strips there are, 1 of a width.
func (p Piece) Count() int { return max(1, p.count) }

// Places are what panels have or are to have of each fabric, by the pieces' places in them.
type Places map[plan.Code]map[string]map[Spot]Piece

// Add takes in what a cut of a fabric has for those panels of which that is asked.
func (p Places) Add(fabric string, l *plan.Cut, of func(panel plan.Code) bool) {
	for k := range l.For {
		part := &l.For[k]
		if !of(part.Ticket) {
			continue
		}
		if p[part.Ticket] == nil {
			p[part.Ticket] = map[string]map[Spot]Piece{}
		}
		if p[part.Ticket][fabric] == nil {
			p[part.Ticket][fabric] = map[Spot]Piece{}
		}
		spot, piece := SpotOf(l.Trimming, l.Length.Length(), l.Across.Length(), part.Place), pieceOf(l, part)
		if l.Trimming != "" {
			piece.count += p[part.Ticket][fabric][spot].count
		}
		p[part.Ticket][fabric][spot] = piece
	}
}

// Of returns a panel's pieces of a fabric: read only.
func (p Places) Of(panel plan.Code, fabric string) map[Spot]Piece { return p[panel][fabric] }

// Wanted reports whether pieces that are cut are wanted just so: each in its place, of trimmings no more than there are to be.
func Wanted(cut, asked map[Spot]Piece) bool {
	for spot, c := range cut {
		a := asked[spot]
		if spot.trimming != "" && a.count > c.count {
			a.count = c.count
		}
		if a != c {
			return false
		}
	}
	return true
}

// Fit reports whether pieces that are asked for can be had from those that are cut: each from one as long or longer that starts alike, a half from a
// half, as many tabs from as many.
func Fit(asked, cut []Piece) bool {
	for _, kind := range asked {
		want, has := kind.alike(asked), kind.alike(cut)
		if len(want) > len(has) {
			return false
		}
		for i, w := range want {
			if w.length > has[i].length || w.class != has[i].class || w.phase != has[i].phase || w.count > has[i].count {
				return false
			}
		}
	}
	return true
}

// alike are the pieces of a sorted list that may stand for one another as far as they are long enough.
func (p Piece) alike(list []Piece) []Piece {
	return slices.DeleteFunc(slices.Clone(list), func(o Piece) bool { return o.Half != p.Half || o.trimming != p.trimming || o.across != p.across })
}
