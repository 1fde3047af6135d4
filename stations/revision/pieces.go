package revision

import (
	"slices"
	"strings"

	"tablehand/engine/measure"
	"tablehand/stations/plan"
)

// Piece is a loom width of a panel as it is cut, or half of one.
type Piece struct {
	length measure.Length
	Half   bool
	class  string
}

// Pieces are what panels have or are to have of each fabric, in order of length.
type Pieces map[plan.Code]map[string][]Piece

// Add takes the cuts of a fabric in.
func (p Pieces) Add(fabric string, lines []plan.Cut) {
	for i := range lines {
		l := &lines[i]
		for _, part := range l.For {
			if p[part.Ticket] == nil {
				p[part.Ticket] = map[string][]Piece{}
			}
			p[part.Ticket][fabric] = append(p[part.Ticket][fabric], Piece{l.Length.Length(), part.Half != "", l.Class})
		}
	}
}

// Of returns a panel's pieces of a fabric, sorted.
func (p Pieces) Of(panel plan.Code, fabric string) []Piece {
	list := slices.Clone(p[panel][fabric])
	slices.SortFunc(list, func(a, b Piece) int {
		switch {
		case a.Half != b.Half && a.Half:
			return 1
		case a.Half != b.Half:
			return -1
		case a.length != b.length && a.length < b.length:
			return 1
		case a.length != b.length:
			return -1
		}
		return strings.Compare(a.class, b.class)
	})
	return list
}

// Places are what panels have or are to have of each fabric, by the pieces' places in them.
type Places map[plan.Code]map[string]map[int]Piece

// Add takes in what a cut of a fabric has for those panels of which that is asked.
func (p Places) Add(fabric string, l *plan.Cut, of func(panel plan.Code) bool) {
	for _, part := range l.For {
		if !of(part.Ticket) {
			continue
		}
		if p[part.Ticket] == nil {
			p[part.Ticket] = map[string]map[int]Piece{}
		}
		if p[part.Ticket][fabric] == nil {
			p[part.Ticket][fabric] = map[int]Piece{}
		}
		p[part.Ticket][fabric][part.Place] = Piece{l.Length.Length(), part.Half != "", l.Class}
	}
}

// Of returns a panel's pieces of a fabric: read only.
func (p Places) Of(panel plan.Code, fabric string) map[int]Piece { return p[panel][fabric] }

// Fit reports whether pieces that are asked for can be had from those that are cut: each from one as long or longer, a
// half from a half.
func Fit(asked, cut []Piece) bool {
	halves := func(list []Piece) int { return slices.IndexFunc(list, func(p Piece) bool { return p.Half }) }
	split := func(list []Piece) (whole, half []Piece) {
		if i := halves(list); i >= 0 {
			return list[:i], list[i:]
		}
		return list, nil
	}
	longEnough := func(asked, cut []Piece) bool {
		if len(asked) > len(cut) {
			return false
		}
		for i := range asked {
			if asked[i].length > cut[i].length || asked[i].class != cut[i].class {
				return false
			}
		}
		return true
	}
	askedWhole, askedHalf := split(asked)
	cutWhole, cutHalf := split(cut)
	return longEnough(askedWhole, cutWhole) && longEnough(askedHalf, cutHalf)
}
