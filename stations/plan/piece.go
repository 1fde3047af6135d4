package plan

import (
	"slices"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// PieceRoute is the way of pieces among the routes: its stations are those of a piece that says no others, and what is asked there of a piece
// is asked on any way of its own.
const PieceRoute = "piece"

// Beginnings of names among the values of a piece's ticket, so that none is taken for a number of a panel: its sizes, and the parts that it
// is sewn from.
const (
	SizePrefix = "size_"
	PartPrefix = "part_"
)

// pieceTicket is the ticket of a piece, without copy and code yet.
func pieceTicket(w *workup.Workup, l Layout, p *workup.PieceWork) Ticket {
	line := &w.Order.Pieces[p.Index]
	t := Ticket{
		Kind: PieceTicket, Treatment: p.Line, Window: p.Text, Copies: p.Quantity, Units: w.Order.Units, Edition: edition,
		Notes: written(w.Order.Notes, line.Notes), Piece: p.Kind,
	}
	for _, f := range line.Fabrics {
		if !slices.Contains(t.Fabrics, f.Fabric) {
			t.Fabrics = append(t.Fabrics, f.Fabric)
		}
	}
	t.Outside = OutsideOf(line)
	sizes, cloth := PieceSizes(line, w.Order.Units), append(PieceParts(p, w.Order.Units), cutLengths(p, w.Order.Units)...)
	way := l.with(PieceRoute, stationsOf(line))
	for _, s := range way {
		if l.Off(s) {
			continue
		}
		c := l.row(s)
		step := Step{Station: c.Station, Cautions: namesOf(c.Cautions, ""), Minutes: c.Minutes, Values: slices.Clone(sizes)}
		if c.Station == Cutting || c.Station == Sewing || c.Station == Joining {
			step.Values = append(step.Values, cloth...)
		}
		for _, k := range c.Checks {
			if k.Piece {
				step.Checks = append(step.Checks, k.Name)
			}
		}
		t.Steps = append(t.Steps, step)
	}
	l.keepSafe(way, t.Steps, func(k check) bool { return k.Piece }, nil)
	return t
}

// stationsOf are the stations that a piece passes, by its order's file.
func stationsOf(p *orderfile.Piece) []Station {
	way := make([]Station, len(p.Route))
	for i, key := range p.Route {
		way[i] = Station(key)
	}
	return way
}

// Lost are the pieces of an order, by their place among them, that a shop can't make: their way passes a station that it hasn't, or none
// after cutting that isn't off.
func (l Layout) Lost(o *orderfile.Order) []int {
	var lost []int
	for i := range o.Pieces {
		way := stationsOf(&o.Pieces[i])
		open := slices.DeleteFunc(l.way(PieceRoute, way), func(s Station) bool { return s == Cutting })
		if len(open) == 0 || slices.ContainsFunc(way, func(s Station) bool { return !l.Has(s) }) {
			lost = append(lost, i)
		}
	}
	return lost
}

// OutsideOf says who outside the shop works on a piece of an order, nil for nobody.
func OutsideOf(p *orderfile.Piece) *Outside {
	if p.Outside == nil {
		return nil
	}
	return &Outside{p.Outside.Who, p.Outside.Back}
}

// PieceSizes are a piece's sizes; those that say nothing, as a welt of 0, are left out.
func PieceSizes(p *orderfile.Piece, units measure.Unit) []Value {
	var values []Value
	for _, s := range p.Sizes {
		if s.Length > 0 {
			values = append(values, Value{SizePrefix + s.Name, measure.OfLength(s.Length, units)})
		}
	}
	if p.Fullness != nil && p.Fullness.Num != p.Fullness.Den {
		values = append(values, Value{SizePrefix + "fullness", measure.OfRatio(*p.Fullness)})
	}
	return values
}

// PieceParts are what one piece is sewn from: the parts of a cushion, the widths of a valance.
func PieceParts(p *workup.PieceWork, units measure.Unit) []Value {
	var values []Value
	for _, s := range p.Parts {
		values = append(values, Value{PartPrefix + s.Name, measure.OfSize(s.Length, s.Width, units)})
	}
	if p.Widths > 0 {
		values = append(values, Value{"widths", measure.OfRatio(p.Widths.Ratio())})
	}
	return values
}

// cutLengths are the lengths of a piece's cuts, each once.
func cutLengths(p *workup.PieceWork, units measure.Unit) []Value {
	var lengths []measure.Quantity
	for _, u := range p.Fabrics {
		if l := measure.OfLength(u.CutLength, units); !slices.Contains(lengths, l) {
			lengths = append(lengths, l)
		}
	}
	switch len(lengths) {
	case 0:
		return nil
	case 1:
		return []Value{{"cut_length", lengths[0]}}
	}
	return []Value{{"cut_length", measure.OfSum(lengths)}}
}
