package order

import (
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/stations/plan"
)

// Other is a piece of the order that is no panel: a cushion, a repair.
type Other struct {
	Text     string
	Kind     orderfile.PieceKind
	Quantity int
	Sizes    []plan.Value // and the parts that it is sewn from
	Cuts     []PieceCut
	Outside  *plan.Outside
	Notes    string
}

// PieceCut is cloth of a piece, its whole quantity's.
type PieceCut struct {
	Fabric string
	Count  int
	Length measure.Quantity // of each
}

// OthersOf lists the pieces of an order.
func OthersOf(w *workup.Workup) []Other {
	var list []Other
	for i := range w.Pieces {
		p := &w.Pieces[i]
		line := &w.Order.Pieces[p.Index]
		o := Other{Text: p.Text, Kind: p.Kind, Quantity: p.Quantity, Notes: line.Notes, Outside: plan.OutsideOf(line),
			Sizes: append(plan.PieceSizes(line, w.Order.Units), plan.PieceParts(p, w.Order.Units)...)}
		for _, u := range p.Fabrics {
			o.Cuts = append(o.Cuts, PieceCut{u.Fabric, u.Cuts, measure.OfLength(u.CutLength, w.Order.Units)})
		}
		list = append(list, o)
	}
	return list
}
