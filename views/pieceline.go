package views

import (
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/stations"
	"tablehand/stations/plan"
)

// PieceLine is a line of an order that is no window: a cushion, a repair.
type PieceLine struct {
	Text     string
	Kind     orderfile.PieceKind
	Quantity int
	Sizes    []plan.Value // and the parts that it is sewn from
	Cuts     []PieceCut
	Steps    []workup.Step // how its parts came about, each explained
	Outside  *plan.Outside
	Notes    string
}

// PieceCut is cloth of a piece, its whole quantity's.
type PieceCut struct {
	Fabric string
	Count  int
	Length measure.Quantity // of each
	Steps  []workup.Step
}

// PieceLinesOf lists the pieces of an order.
func PieceLinesOf(w *workup.Workup) []PieceLine {
	var list []PieceLine
	for i := range w.Pieces {
		p := &w.Pieces[i]
		line := &w.Order.Pieces[p.Index]
		o := PieceLine{Text: p.Text, Kind: p.Kind, Quantity: p.Quantity, Notes: line.Notes, Outside: plan.OutsideOf(line),
			Sizes: append(plan.PieceSizes(line, w.Order.Units), plan.PieceParts(p, w.Order.Units)...)}
		o.Steps = w.PieceTrail(p)
		for k := range p.Fabrics {
			u := &p.Fabrics[k]
			o.Cuts = append(o.Cuts, PieceCut{u.Fabric, u.Cuts, measure.OfLength(u.CutLength, w.Order.Units), w.PieceUseTrail(p, u)})
		}
		list = append(list, o)
	}
	return list
}

// OwnPiece is a customer's own piece: a repair, an alteration. On is the day on which it came in, "" while it is still to come.
type OwnPiece struct {
	Text     string
	Kind     orderfile.PieceKind
	Copy, Of int // which of those that are called so
	Ticket   plan.Code
	Released bool // its ticket is there, not only its tag
	Receipt  *stations.Receipt

	CanTakeBack bool // the receipt can be: nobody has worked on it
	On          string
}
