package workup

import "tablehand/engine/orderfile"

// Compute works out every window of an order that orderfile.Parse accepted. It is pure: the same order gives the
// same work-up. What is wrong with a treatment leaves that treatment out and is told in Problems; Compute itself
// never fails.
func Compute(o *orderfile.Order) *Workup {
	result := &Workup{Order: o, Treatments: make([]Treatment, len(o.Treatments))}
	for i := range o.Treatments {
		w, ok := setUp(o, i)
		t := &result.Treatments[i]
		*t = Treatment{
			Index: i, Window: w.line.Window, Room: w.line.Room, Heading: w.line.Heading, Quantity: w.line.Quantity,
		}
		if ok {
			w.work(t)
		}
		result.Problems = append(result.Problems, w.problems...)
	}
	result.Cloth = layCloth(result)
	result.Problems = append(result.Problems, clothProblems(result)...)
	result.Totals = addUp(result)
	return result
}

// work fills in the treatment's panels and fabrics, or tells why there are none. The panels of one window are
// alike but for their side and which half of a split width each has.
func (w *window) work(t *Treatment) {
	p := w.hung()
	head := w.setByHand
	if w.tape != nil {
		head = w.setByTape
	}
	if !head(&p) {
		return
	}
	fabrics, ok := w.cloth(&p)
	if !ok {
		return
	}
	t.Fabrics = fabrics
	t.Collision = w.tape != nil && p.TubeGap <= 0
	w.tellTable(&p)
	p.Trail = w.trail(&p)
	for _, id := range w.panels() {
		p.ID = id
		p.Pieces = layPieces(p.Widths, id, halfDropped(w.face))
		t.Panels = append(t.Panels, p)
	}
}
