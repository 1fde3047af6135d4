package workup

import (
	"slices"
	"strconv"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/rows"
)

// PieceWork is a piece that is no panel, worked out. Fabrics is empty where it has no cloth, and when an error left it out
// (Failed).
type PieceWork struct {
	Index    int // among the order's pieces, from 0
	Line     int // among all lines of the order, its pieces behind its windows: what its cuts and tickets go by
	Kind     orderfile.PieceKind
	Text     string
	Quantity int
	Parts    []rows.Shape   // of one cushion, in the order in which they are laid
	Widths   measure.Halves // of a valance
	Fabrics  []FabricUse    // an entry for each length of cut, the quantity included
	Failed   bool
}

// pieceLine is the place of a piece among all lines of an order.
func pieceLine(o *orderfile.Order, index int) int { return len(o.Treatments) + index }

// Line names a line of the order by its place among all of them, windows first, and says how many such it has.
func (w *Workup) Line(line int) (name string, quantity int) {
	if line >= len(w.Treatments) {
		p := &w.Pieces[line-len(w.Treatments)]
		return p.Text, p.Quantity
	}
	t := &w.Order.Treatments[line]
	return t.Window, t.Quantity
}

// uses calls f for the cloth of each line.
func (w *Workup) uses(f func(u *FabricUse)) {
	for i := range w.Treatments {
		for k := range w.Treatments[i].Fabrics {
			f(&w.Treatments[i].Fabrics[k])
		}
	}
	for i := range w.Pieces {
		for k := range w.Pieces[i].Fabrics {
			f(&w.Pieces[i].Fabrics[k])
		}
	}
}

// workPieces works out an order's pieces, and how many cuts they make; their cuts aren't listed yet.
func workPieces(o *orderfile.Order) (list []PieceWork, cuts int, problems []engine.Problem) {
	for i := range o.Pieces {
		line := &o.Pieces[i]
		w := pieceWindow(o, i)
		p := PieceWork{Index: i, Line: pieceLine(o, i), Kind: line.Kind, Text: line.Text, Quantity: line.Quantity}
		for _, cloth := range line.Fabrics {
			w.workPiece(&p, cloth)
		}
		if p.Failed = engine.AnyError(w.problems); p.Failed {
			p.Fabrics, p.Parts, p.Widths = nil, nil, 0
		}
		for _, u := range p.Fabrics {
			cuts += u.Cuts
		}
		list, problems = append(list, p), append(problems, w.problems...)
	}
	return list, cuts, problems
}

// pieceWindow puts a piece on the table as a stationary panel, as wide and long as its sizes say: a valance is one.
func pieceWindow(o *orderfile.Order, index int) *window {
	p := &o.Pieces[index]
	return &window{
		order: o, list: "pieces", index: index, tapeIndex: -1, side: Single, heading: &orderfile.HeadingData{Top: orderfile.DoubleTop},
		line: &orderfile.Treatment{
			Window: p.Text, Draw: orderfile.Stationary, FinishedWidth: p.Size("width"), FinishedLength: p.Size("drop"), Quantity: p.Quantity, Fullness: p.Fullness,
		},
	}
}

func (w *window) workPiece(p *PieceWork, cloth orderfile.PieceFabric) {
	w.face = w.fabric("fabrics", cloth.Fabric, true)
	switch {
	case w.face == nil:
	case cloth.Cuts > 0:
		p.Fabrics = append(p.Fabrics, typedUse(&w.order.Conventions, w.face, cloth, p.Quantity))
	case p.Kind == orderfile.Cushion:
		w.cushion(p)
	case p.Kind == orderfile.Valance:
		w.valance(p)
	}
}

// typedUse is cloth whose cuts the order gives. They are cut as long as it says; of patterned cloth each starts on the pattern,
// which takes whole repeats.
func typedUse(c *orderfile.Conventions, f *orderfile.Fabric, cloth orderfile.PieceFabric, quantity int) FabricUse {
	cuts := cloth.Cuts * quantity
	u := FabricUse{Fabric: f.ID, Use: f.Use, Cuts: cuts, Classes: [2]int{cuts}, CutLength: cloth.CutLength, PlainLength: cloth.CutLength}
	u.Length = u.CutLength.Times(cuts)
	if f.Use == orderfile.Face && !f.Plain() && c.RepeatRule != orderfile.AddOne {
		u.Length = u.CutLength.CeilTo(f.VerticalRepeat).Times(cuts)
	}
	return u
}

// valance works out cloth as of a stationary panel: widths for its width times its fullness and the side hems, cut to its drop
// with the shop's heading fold and bottom hem.
func (w *window) valance(p *PieceWork) {
	wanted := twice(w.line.FinishedWidth).times(*w.line.Fullness).half() + 4*w.sideHem() + w.order.Conventions.WidthAllowance
	h, ok := w.widths(w.face, wanted, wanted, w.joinLoss(), "fabrics", true)
	if !ok || !w.joins(&Panel{Widths: h}) {
		return
	}
	p.Widths = h
	p.Fabrics = append(p.Fabrics, w.fabricUse(w.face, []measure.Halves{h}, w.plainLength()))
}

// CushionParts are what one cushion is sewn from, in the order in which they are laid: two faces, the boxing of one that isn't
// knife-edged, the welts of both edges, with a seam all round; welt strips are sewn in flat. Every part lies with its longer side along the
// cloth, so strips are whole (common practice: on the straight).
func CushionParts(p *orderfile.Piece, seam measure.Length) []rows.Shape {
	width, depth, thickness, welt := p.Size("width"), p.Size("depth"), p.Size("thickness"), p.Size("welt")
	round := 2 * (width + depth)
	parts := []rows.Shape{rows.Upright("face", width+2*seam, depth+2*seam, 2)}
	if thickness > 0 {
		parts = append(parts, rows.Upright("boxing", round+2*seam, thickness+2*seam, 1))
	}
	if welt > 0 {
		parts = append(parts, rows.Upright("welt", round, welt, 2))
	}
	return rows.InOrder(parts)
}

// times is parts so many times.
func times(parts []rows.Shape, quantity int) []rows.Shape {
	all := slices.Clone(parts)
	for i := range all {
		all[i].Count *= quantity
	}
	return all
}

// cushion lays the parts of all its cushions in rows across the cloth, and cuts each row to its longest part, up to the step and to what the
// shop's rule adds for the repeat.
func (w *window) cushion(p *PieceWork) {
	c, f := &w.order.Conventions, w.face
	p.Parts = CushionParts(&w.order.Pieces[w.index], c.Seam)
	if part := rows.Widest(p.Parts, f.UsableWidth); part != nil {
		w.fail("piece_too_wide", "sizes", map[string]any{"Width": part.Width, "Fabric": f.ID, "Usable": f.UsableWidth})
		return
	}
	first := len(p.Fabrics)
	for row := range rows.Lay(times(p.Parts, p.Quantity), f.UsableWidth) {
		plain := row.Length.CeilTo(c.Step)
		cut := cutLength(c, f, plain)
		i := slices.IndexFunc(p.Fabrics[first:], func(u FabricUse) bool { return u.CutLength == cut })
		if i < 0 {
			i = len(p.Fabrics) - first
			p.Fabrics = append(p.Fabrics, FabricUse{Fabric: f.ID, Use: f.Use, CutLength: cut, PlainLength: plain})
		}
		p.Fabrics[first+i].Cuts++
	}
	for i := first; i < len(p.Fabrics); i++ {
		u := &p.Fabrics[i]
		u.Classes[0] = u.Cuts
		u.Length = u.run(c, f)
	}
}

// appendPiece adds a piece's cuts of a class of a fabric, each with the copies that have a part of it.
func (w *Workup) appendPiece(cuts []Cut, p *PieceWork, f *orderfile.Fabric, class int) []Cut {
	add := func(u *FabricUse, parts []Part) {
		cuts = append(cuts, Cut{ID: strconv.Itoa(len(cuts) + 1), Treatment: p.Line, Length: u.CutLength, TrimBottom: u.CutLength - u.PlainLength, For: parts})
	}
	if p.Failed {
		return cuts
	}
	c := &w.Order.Conventions
	next := map[int]int{} // by copy: how many cuts it has parts of
	part := func(copy int) Part {
		next[copy]++
		return Part{Copy: copy, Place: next[copy] + pieces(p.Widths)}
	}
	for _, cloth := range w.Order.Pieces[p.Index].Fabrics {
		switch {
		case cloth.Fabric != f.ID:
		case cloth.Cuts == 0 && p.Kind == orderfile.Valance:
			i := slices.IndexFunc(p.Fabrics, func(u FabricUse) bool { return u.Fabric == f.ID && len(u.Widths) > 0 })
			alone := Treatment{Index: p.Line, Quantity: p.Quantity, Panels: []Panel{{}}}
			cuts = appendClass(cuts, &alone, p.Fabrics[i], class, Sided(f))
		case class > 0: // only widths side by side can be of two classes
		case cloth.Cuts == 0:
			p.appendRows(c, f, part, add)
		default:
			u := typedUse(c, f, cloth, p.Quantity)
			for copy := 1; copy <= p.Quantity; copy++ {
				for range cloth.Cuts {
					add(&u, []Part{part(copy)})
				}
			}
		}
	}
	return cuts
}

// appendRows adds the rows of cushions: the parts of each shape are the first cushion's, then the second's.
func (p *PieceWork) appendRows(c *orderfile.Conventions, f *orderfile.Fabric, part func(copy int) Part, add func(*FabricUse, []Part)) {
	laid := make([]int, len(p.Parts))
	for row := range rows.Lay(times(p.Parts, p.Quantity), f.UsableWidth) {
		var of []Part
		for i, n := range row.Counts {
			for ; n > 0; n-- {
				copy := laid[i]/p.Parts[i].Count + 1
				laid[i]++
				if !slices.ContainsFunc(of, func(q Part) bool { return q.Copy == copy }) {
					of = append(of, part(copy))
				}
			}
		}
		slices.SortFunc(of, func(a, b Part) int { return a.Copy - b.Copy })
		plain := row.Length.CeilTo(c.Step)
		add(&FabricUse{CutLength: cutLength(c, f, plain), PlainLength: plain}, of)
	}
}

// PieceDocument is one piece's; Fabrics is empty where an error left it out.
type PieceDocument struct {
	Piece    orderfile.PieceKind   `json:"piece"`
	Text     string                `json:"text"`
	Quantity int                   `json:"quantity"`
	Parts    []PartDocument        `json:"parts,omitempty"` // of one cushion
	Fabrics  []FabricTotalDocument `json:"fabrics"`

	Explained // its parts, or its widths and plain length
}

// PartDocument is what a cushion is sewn from, cut size with its seams.
type PartDocument struct {
	Part  string           `json:"part"`
	Count int              `json:"count"`
	Size  measure.Quantity `json:"size"` // its longer side by its shorter one
}

func (d writer) piece(p *PieceWork) PieceDocument {
	doc := PieceDocument{Piece: p.Kind, Text: p.Text, Quantity: p.Quantity, Fabrics: d.used(p.Fabrics)}
	for _, s := range p.Parts {
		doc.Parts = append(doc.Parts, PartDocument{s.Name, s.Count, measure.OfSize(s.Length, s.Width, d.units)})
	}
	return doc
}
