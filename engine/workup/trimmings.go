package workup

import "tablehand/engine/measure"

// trim adds what is cut besides the panels.
func (u *FabricUse) trim(list []Trimming) {
	u.Trimmings = list
	for _, t := range list {
		u.Length += t.Length()
	}
}

// tabTrimmings are the tabs of all such windows, laid lengthwise in rows across the face cloth, and a strip of facing for each panel, joined
// from as many as reach across it.
func (w *window) tabTrimmings(panels []Panel) []Trimming {
	usable, seams := w.face.UsableWidth, 2*w.order.Conventions.Seam
	tabs, strips := 0, 0
	for i := range panels {
		tabs += panels[i].Points * w.line.Quantity
		strips += stripsFor(panels[i].FacingLength, usable, seams) * w.line.Quantity
	}
	aRow := max(1, int(usable.FloorDiv(panels[0].TabCutWidth)))
	return []Trimming{
		{For: ForTabs, Pieces: tabs, Rows: (tabs + aRow - 1) / aRow, CutLength: panels[0].TabCutLength},
		{For: ForFacing, Pieces: strips, Rows: strips, CutLength: panels[0].FacingHeight},
	}
}

// stripsFor are the fewest strips across the cloth that give so much when each join takes loss.
func stripsFor(wanted, usable, loss measure.Length) int {
	if wanted <= usable || usable <= loss {
		return 1
	}
	return int((wanted - loss).CeilDiv(usable - loss))
}
