package workup

import (
	"fmt"
	"slices"
	"strconv"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// Trimming is what is cut from a face besides its panels: rows of tabs across the cloth, strips of facing, bands. No repeat is matched.
type Trimming struct {
	For       TrimmingUse
	Each      []int          // tabs, or strips, of each panel of one window
	InRow     int            // how many lie side by side across the cloth
	Pieces    int            // of all such windows
	Rows      int            // cuts, each right across the cloth
	CutLength measure.Length // of one row
	Across    measure.Length // how wide each of a row's pieces is cut; 0 of one that is the whole row
}

// TrimmingUse is what a trimming is for.
type TrimmingUse string

const (
	ForTabs   TrimmingUse = "tabs"
	ForFacing TrimmingUse = "facing"
	ForBand   TrimmingUse = "band"
)

// Length is of all rows.
func (t Trimming) Length() measure.Length { return t.CutLength.Times(t.Rows) }

// inRows counts what so many windows take of it.
func (t Trimming) inRows(windows int) Trimming {
	for _, n := range t.Each {
		t.Pieces += n * windows
	}
	t.Rows = (t.Pieces + t.InRow - 1) / t.InRow
	return t
}

// trim adds what is cut besides the panels.
func (u *FabricUse) trim(list ...Trimming) {
	u.Trimmings = append(u.Trimmings, list...)
	for _, t := range list {
		u.Length += t.Length()
	}
}

// AllCuts are the panels' cuts and the rows of trimmings.
func (u *FabricUse) AllCuts() int {
	n := u.Cuts
	for _, t := range u.Trimmings {
		n += t.Rows
	}
	return n
}

// tabTrimmings are the tabs of all such windows, laid lengthwise in rows across the face cloth, and a strip of facing for each panel, joined
// from as many as reach across it.
func (w *window) tabTrimmings(panels []Panel) []Trimming {
	usable, seams, windows := usable(w.face), 2*w.order.Conventions.Seam, w.line.Quantity
	tabs, strips := make([]int, len(panels)), make([]int, len(panels))
	for i := range panels {
		tabs[i], strips[i] = panels[i].Points, stripsFor(panels[i].FacingLength, usable, seams)
	}
	inRow := max(1, int(usable.FloorDiv(panels[0].TabCutWidth)))
	return []Trimming{
		Trimming{For: ForTabs, Each: tabs, InRow: inRow, CutLength: panels[0].TabCutLength, Across: panels[0].TabCutWidth}.inRows(windows),
		Trimming{For: ForFacing, Each: strips, InRow: 1, CutLength: panels[0].FacingHeight}.inRows(windows),
	}
}

// bands says how the panel's bands are cut, false where one can't be.
func (w *window) bands(p *Panel) bool {
	var sides measure.Length
	for i := range w.line.Bands {
		b := &w.line.Bands[i]
		cut := w.band(p, b)
		covered, of, code := b.Width+b.Offset, p.FlatWidth, "bad_value.band_side"
		if b.Edge == orderfile.BandBottom {
			of, code = w.finishedLength(), "bad_value.band_bottom"
		} else {
			sides += covered
			covered = sides
		}
		across, where := usable(w.order.Fabric(b.Fabric)), fmt.Sprintf("bands[%d].width", i)
		switch {
		case covered >= of:
			w.fail(code, where, map[string]any{"Width": covered, "Of": of})
			return false
		case b.Edge != orderfile.BandBottom && cut.Cut > across:
			w.fail("bad_value.band_cloth", where, map[string]any{"Cut": cut.Cut, "Fabric": b.Fabric, "Usable": across})
			return false
		}
		p.Bands = append(p.Bands, cut)
	}
	return true
}

// band is how one is cut. Joined on it has the hem of its edge and a seam beside what is seen of it, sewn on top it is turned under at both
// sides. Along a side it is one strip, cut lengthwise and as long as a panel without a band below, so that corners can be mitred; along
// the lower edge strips are cut right across, one for each piece of the face so that seams meet (common practice), or more of cloth that
// wouldn't reach.
func (w *window) band(p *Panel, b *orderfile.Band) PanelBand {
	c, hem := &w.order.Conventions, p.SideHem
	cut := PanelBand{Edge: b.Edge, Method: b.Method, Fabric: b.Fabric, Width: b.Width, Offset: b.Offset, Length: w.wholeLength(), Pieces: 1}
	if b.Edge == orderfile.BandBottom {
		across := usable(w.order.Fabric(b.Fabric))
		hem, cut.Length = p.BottomHem, min(usable(w.face), across)
		cut.Pieces = max(pieces(p.Widths), stripsFor(p.FlatWidth+4*p.SideHem, across, 2*c.Seam))
	}
	if cut.Cut = b.Width + 2*c.BandTurn; b.Method == orderfile.Joined {
		cut.Cut = b.Width + c.Seam + 2*hem
	}
	return cut
}

// cutBands adds what the bands of all such windows take of their cloths.
func (w *window) cutBands(list []FabricUse, panels []Panel) []FabricUse {
	for _, id := range w.bandCloths() {
		i := slices.IndexFunc(list, func(u FabricUse) bool { return u.Fabric == id })
		if i < 0 {
			i = len(list)
			list = append(list, FabricUse{Fabric: id, Use: orderfile.Face, Widths: make([]measure.Halves, len(panels))})
		}
		list[i].trim(w.bandTrimmings(id, panels)...)
	}
	return list
}

// bandCloths are the cloths of the bands, each once.
func (w *window) bandCloths() (list []string) {
	for i := range w.line.Bands {
		if id := w.line.Bands[i].Fabric; !slices.Contains(list, id) {
			list = append(list, id)
		}
	}
	return list
}

// bandTrimmings are the strips of a cloth. Those for the sides lie lengthwise side by side, whichever side they are for.
func (w *window) bandTrimmings(id string, panels []Panel) (list []Trimming) {
	across := usable(w.order.Fabric(id))
	for k := range panels[0].Bands {
		b := &panels[0].Bands[k]
		if b.Fabric != id {
			continue
		}
		strips := Trimming{For: ForBand, Each: make([]int, len(panels)), InRow: 1, CutLength: b.Cut}
		if b.Edge != orderfile.BandBottom {
			strips.InRow, strips.CutLength, strips.Across = int(across.FloorDiv(b.Cut)), b.Length, b.Cut
		}
		i := slices.IndexFunc(list, func(t Trimming) bool { return t.CutLength == strips.CutLength && t.Across == strips.Across })
		if i < 0 {
			i = len(list)
			list = append(list, strips)
		}
		for n := range panels {
			list[i].Each[n] += panels[n].Bands[k].Pieces
		}
	}
	for i := range list {
		list[i] = list[i].inRows(w.line.Quantity)
	}
	return list
}

// stripsFor are the fewest strips across the cloth that give so much when each join takes loss.
func stripsFor(wanted, usable, loss measure.Length) int {
	if wanted <= usable || usable <= loss {
		return 1
	}
	return int((wanted - loss).CeilDiv(usable - loss))
}

// appendTrimmings adds a treatment's rows: window by window, panel by panel, each row with the panels that have some of it.
func appendTrimmings(cuts []Cut, t *Treatment, u *FabricUse) []Cut {
	for _, trim := range u.Trimmings {
		rows := rowsOf{inRow: trim.InRow, next: func() Cut {
			return Cut{ID: strconv.Itoa(len(cuts) + 1), Treatment: t.Index, Length: trim.CutLength, Trimming: trim.For, Across: trim.Across}
		}, add: func(c Cut) { cuts = append(cuts, c) }}
		for nth := 1; nth <= t.Quantity; nth++ {
			for i := range t.Panels {
				rows.lay(Part{Panel: t.Panels[i].ID, Copy: nth}, trim.Each[i])
			}
		}
		rows.end()
	}
	return cuts
}

// rowsOf lays pieces of one kind in rows, as many as there is room for in each.
type rowsOf struct {
	inRow int
	next  func() Cut
	add   func(Cut)
	row   Cut
	in    int // of the row
}

// lay puts a panel's pieces into the rows.
func (r *rowsOf) lay(panel Part, pieces int) {
	for panel.Place = 1; pieces > 0; panel.Place++ {
		if r.in == 0 {
			r.row = r.next()
		}
		panel.Count = min(pieces, r.inRow-r.in)
		r.row.For = append(r.row.For, panel)
		r.in, pieces = r.in+panel.Count, pieces-panel.Count
		if r.in == r.inRow {
			r.end()
		}
	}
}

// end closes a row that anything lies in.
func (r *rowsOf) end() {
	if r.in > 0 {
		r.add(r.row)
	}
	r.row, r.in = Cut{}, 0
}

// Reduced are cuts as far as they are wanted: wanted says of each piece of a panel how many of it are, 1 or 0, and of the pieces that a panel
// has in rows, all of them together in part.Count, how many. Rows that lose some are laid close again, in as few of them.
func Reduced(cuts []Cut, wanted func(cut *Cut, part Part) int) []Cut {
	type kind struct {
		treatment      int
		use            TrimmingUse
		length, across measure.Length
	}
	rows := map[kind][]*Cut{}
	list := slices.Clone(cuts)
	for i := range list {
		cut := &list[i]
		if cut.Trimming != "" {
			k := kind{cut.Treatment, cut.Trimming, cut.Length, cut.Across}
			rows[k] = append(rows[k], cut)
			continue
		}
		cut.For = slices.DeleteFunc(slices.Clone(cut.For), func(p Part) bool { return wanted(cut, p) == 0 })
	}
	for _, of := range rows {
		reduce(of, wanted)
	}
	return slices.DeleteFunc(list, func(c Cut) bool { return len(c.For) == 0 })
}

// reduce lays what is wanted of rows of one kind close again, in the first of them; the others are left empty. Of several rows one is full.
func reduce(rows []*Cut, wanted func(cut *Cut, part Part) int) {
	var panels []Part
	inRow := 0
	for _, row := range rows {
		in := 0
		for _, p := range row.For {
			in += p.Count
			i := slices.IndexFunc(panels, func(q Part) bool { return q.Panel == p.Panel && q.Copy == p.Copy })
			if i < 0 {
				panels = append(panels, p)
			} else {
				panels[i].Count += p.Count
			}
		}
		inRow = max(inRow, in)
	}
	changed := false
	for i := range panels {
		n := wanted(rows[0], panels[i])
		changed = changed || n != panels[i].Count
		panels[i].Count = n
	}
	if !changed {
		return
	}
	empty := rows
	closed := rowsOf{inRow: inRow, next: func() Cut { return Cut{} }, add: func(c Cut) { empty[0].For, empty = c.For, empty[1:] }}
	for _, p := range panels {
		closed.lay(p, p.Count)
	}
	closed.end()
	for _, row := range empty {
		row.For = nil
	}
}
