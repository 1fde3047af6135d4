package orderfile

import (
	"math/big"
	"slices"
	"unicode/utf8"

	"tablehand/engine/measure"
)

// PieceKind says what a piece that is no panel is.
type PieceKind string

const (
	Cushion    PieceKind = "cushion"
	Valance    PieceKind = "valance"
	Tieback    PieceKind = "tieback"
	Repair     PieceKind = "repair"
	Alteration PieceKind = "alteration"
	OtherPiece PieceKind = "other"
)

// PieceKinds are all of them, in the order in which a person is offered them.
func PieceKinds() []PieceKind {
	return []PieceKind{Cushion, Valance, Tieback, Repair, Alteration, OtherPiece}
}

// IsPieceKind reports whether there is such a kind of piece.
func IsPieceKind(kind string) bool { return slices.Contains(PieceKinds(), PieceKind(kind)) }

// Computed reports whether the cloth of such pieces is worked out from their sizes; of others it is as the order says.
func (k PieceKind) Computed() bool { return k == Cushion || k == Valance }

// Own reports whether such pieces are a customer's own, who brings them in to be worked on.
func (k PieceKind) Own() bool { return k == Repair || k == Alteration }

// Piece is a line of an order that is no window: a cushion, a repair.
type Piece struct {
	Kind     PieceKind
	Text     string // what it is called on tickets and invoices
	Quantity int
	Sizes    []Size         // in the order of the file; what a kind needs has its default
	Fullness *measure.Ratio // of a valance, its cloth to its width: 1 unless the order says; nil of other kinds
	Fabrics  []PieceFabric
	Route    []string // the stations that it passes, by key
	Outside  *Outside // nil: all of it is made in the house
	Notes    string
}

// Size is a length of a piece by its name: "width".
type Size struct {
	Name   string
	Length measure.Length
}

// PieceFabric is cloth of a piece: so many cuts for each, or, of one whose cloth is computed, none where the program works
// them out.
type PieceFabric struct {
	Fabric    string
	Cuts      int            // for each of the quantity; 0: computed
	CutLength measure.Length // 0: computed
}

// Outside says who else works on a piece, and when it is back.
type Outside struct {
	Who  string
	Back string // civil date YYYY-MM-DD, "" where nobody said
}

// Size returns the piece's length of that name, 0 where it has none.
func (p *Piece) Size(name string) measure.Length {
	for _, s := range p.Sizes {
		if s.Name == name {
			return s.Length
		}
	}
	return 0
}

// The stations that pieces' own ways name apart from the others.
const (
	cuttingStation = "cutting"
	sewingStation  = "sewing"
	packingStation = "packing"
)

// PieceStations are the stations that a piece's own route can pass: those of the floor, by key.
func PieceStations() []string {
	return []string{cuttingStation, "joining", "fold", "tape", "pull_up", "heading", "pleating", "tacking", "inserts", "rod_pocket", "eyelets", "tabs", "pressing", sewingStation,
		"outside", packingStation}
}

// MostOwnStations is how many stations a shop can add of its own: our own choice.
const MostOwnStations = 8

// OwnStation is the key of the n-th station, from 1, that a shop adds: own_a, own_b. Whether the shop has it is not the file's to know.
func OwnStation(n int) string { return "own_" + string(rune('a'+n-1)) }

// ownStations are all of them.
func ownStations() (all []string) {
	for n := range MostOwnStations {
		all = append(all, OwnStation(n+1))
	}
	return all
}

// sizesOf are the sizes that a kind of piece has: those that it needs, and those that are 0 where the order leaves them out.
// Other kinds have what sizes the order names.
var sizesOf = map[PieceKind]struct{ needs, may []string }{
	Cushion: {[]string{"width", "depth"}, []string{"thickness", "welt"}},
	Valance: {[]string{"width", "drop"}, nil},
}

func readPiece(m *mapping, o *Order) Piece {
	var p Piece
	kind, known := choice(m.need("piece"), PieceKinds()...)
	p.Kind = kind
	p.Text, _ = m.need("text").name()
	p.Quantity = m.maybe("quantity").countOr(1, 1, 999)
	p.Notes = m.maybe("notes").notes()
	readSizes(m, &p)
	readPieceCloth(m, &p, known, o)
	readRoute(m.maybe("route"), &p)
	p.Outside = readOutside(m.maybe("outside").mapping())
	m.close()
	return p
}

// More sizes of a piece, and longer names of one, have no room on its ticket.
const (
	mostSizes    = 12
	mostSizeName = 24 // runes
)

func readSizes(m *mapping, p *Piece) {
	own, computed := sizesOf[p.Kind]
	sizes := m.maybe("sizes")
	if computed {
		sizes = m.need("sizes")
	}
	s := sizes.mapping()
	if s == nil {
		return
	}
	if !computed {
		if len(s.order) > mostSizes {
			s.wrong("absurd", "list", "Most", mostSizes)
			return
		}
		for _, f := range s.order {
			if utf8.RuneCountInString(f.key) > mostSizeName {
				f.wrong("absurd", "text", "Most", mostSizeName)
			}
			if l, ok := s.maybe(f.key).length(limits{}); ok {
				p.Sizes = append(p.Sizes, Size{f.key, l})
			}
		}
		return
	}
	for _, name := range own.needs {
		l, _ := s.need(name).length(above0)
		p.Sizes = append(p.Sizes, Size{name, l})
	}
	for _, name := range own.may {
		p.Sizes = append(p.Sizes, Size{name, s.maybe(name).lengthOr(0, limits{})})
	}
	if p.Kind == Valance {
		p.Fullness = readFlatness(s.maybe("fullness"))
	}
	s.close()
}

// readFlatness reads a valance's fullness: 1, the default, hangs flat.
func readFlatness(v *value) *measure.Ratio {
	flat := &measure.Ratio{Num: 1, Den: 1}
	text, ok := v.scalar()
	if !ok {
		return flat
	}
	n, ok := v.decimal(text, MostFullness)
	switch {
	case !ok:
	case n.Cmp(big.NewRat(1, 1)) < 0:
		v.wrong("bad_value", "fullness_flat")
	default:
		return &measure.Ratio{Num: n.Num().Int64(), Den: n.Denom().Int64()}
	}
	return flat
}

// readPieceCloth reads a piece's fabrics. One whose cloth is computed needs name none where the order has only one face.
func readPieceCloth(m *mapping, p *Piece, known bool, o *Order) {
	fabrics := m.maybe("fabrics")
	computed := 0
	for _, f := range fabrics.mappings(mostOthers) {
		cuts, length := f.maybe("cuts"), f.maybe("cut_length")
		var cloth PieceFabric
		switch {
		case cuts == nil && length == nil && p.Kind.Computed():
			if computed++; computed > 1 {
				f.wrong("bad_value", "piece_cloth")
			}
			cloth.Fabric = readCloth(f.need("fabric"), Face, o)
		case known:
			cloth.Fabric = readAnyCloth(f.need("fabric"), o)
			cloth.Cuts, _ = f.need("cuts").count(1, 999)
			cloth.CutLength, _ = f.need("cut_length").length(above0)
		}
		f.close()
		p.Fabrics = append(p.Fabrics, cloth)
	}
	if !p.Kind.Computed() || len(p.Fabrics) > 0 || m.unreadable("fabrics") || fabrics != nil && !fabrics.emptyList() {
		return
	}
	switch faces := o.fabricsFor(Face); len(faces) {
	case 0:
		m.missing("fabrics", "piece_face_none")
	case 1:
		p.Fabrics = []PieceFabric{{Fabric: faces[0]}}
	default:
		m.missing("fabrics", "piece_face_which", "Known", few(faces))
	}
}

// readAnyCloth returns the id of a fabric of the order, whatever it is for.
func readAnyCloth(v *value, o *Order) string {
	id, ok := v.name()
	if ok && o.Fabric(id) == nil {
		var ids []string
		for _, f := range o.Fabrics {
			ids = append(ids, f.ID)
		}
		v.unknown(ids)
	}
	return id
}

// readRoute reads the stations that a piece passes. Cloth is cut first, by its fabric's ticket; a piece without any is not cut.
func readRoute(v *value, p *Piece) {
	if v == nil {
		if p.Route = []string{sewingStation, packingStation}; len(p.Fabrics) > 0 {
			p.Route = append([]string{cuttingStation}, p.Route...)
		}
		return
	}
	stations := append(PieceStations(), ownStations()...)
	for i, item := range v.items(len(stations)) {
		station, ok := choice(item, stations...)
		switch {
		case !ok:
		case slices.Contains(p.Route, station):
			item.wrong("duplicate", "station")
		case station == cuttingStation && len(p.Fabrics) == 0:
			item.wrong("bad_value", "route_uncut")
		case station == cuttingStation && i > 0:
			item.wrong("bad_value", "route_cutting")
		}
		p.Route = append(p.Route, station)
	}
	switch {
	case len(p.Route) == 0 && v.emptyList():
		v.wrong("bad_value", "route_empty")
	case len(p.Fabrics) > 0 && len(p.Route) > 0 && !slices.Contains(p.Route, cuttingStation):
		v.wrong("bad_value", "route_cutting")
	case len(p.Fabrics) > 0 && len(p.Route) == 1:
		v.wrong("bad_value", "route_short")
	}
}

func readOutside(m *mapping) *Outside {
	if m == nil {
		return nil
	}
	var o Outside
	o.Who, _ = m.need("who").name()
	o.Back = m.maybe("back").date()
	m.close()
	return &o
}
