package workup

import (
	"fmt"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// pieces counts the strips that so many half widths are sewn from: 2½ widths are 3.
func pieces(h measure.Halves) int { return (int(h) + 1) / 2 }

// joined is the width of cloth that h half widths of usable width give when each join takes loss.
func joined(h measure.Halves, usable, loss measure.Length) doubled {
	return doubled(usable.Times(int(h))) - twice(loss.Times(pieces(h)-1))
}

// fewest returns the least widths whose joined cloth is at least wanted, in halves or whole; 0 where joins eat
// every width up.
func fewest(wanted, usable, loss measure.Length, halves bool) measure.Halves {
	whole := int64(1)
	if wanted > usable {
		if usable <= loss {
			return 0
		}
		whole = (wanted - loss).CeilDiv(usable - loss) // k widths give k·(usable − loss) + loss
	}
	h := measure.Halves(2 * whole)
	if halves && joined(h-1, usable, loss) >= twice(wanted) {
		h--
	}
	return h
}

// halvesServe reports whether the other half of a split width serves a panel of the same treatment: always in a
// pair; else on plain cloth without a direction when there are at least two such windows.
func (w *window) halvesServe(f *orderfile.Fabric) bool {
	if w.line.Draw.Paired() {
		return true
	}
	return !sided(f) && w.line.Quantity >= 2
}

// sided reports whether the halves of a split width aren't alike: a pattern goes on from one of them, and cloth with a
// direction can't be turned to bring the other's selvedge over.
func sided(f *orderfile.Fabric) bool { return !f.Plain() || f.OneWay }

// joinLoss is the cloth that a join of face widths takes: both seam allowances, or what the pattern doesn't use
// where it meets itself, for a pattern joined elsewhere is off at every join.
func (w *window) joinLoss() measure.Length {
	if w.face.MatchWidth == 0 {
		return 2 * w.order.Conventions.Seam
	}
	return w.face.UsableWidth - w.face.MatchWidth
}

// leastJoin is the least cloth that can be sewn into a join, both sides together (common practice).
const leastJoin = quarter

// joins tells of joins that a match width makes narrower than the shop's, and refuses those that can't be sewn.
func (w *window) joins(p *Panel) bool {
	seams, loss := 2*w.order.Conventions.Seam, w.joinLoss()
	if w.face.MatchWidth == 0 || pieces(p.Widths) == 1 || loss >= seams {
		return true
	}
	where := fmt.Sprintf("fabrics[%d].match_width", w.order.FabricIndex(w.face.ID))
	args := map[string]any{
		"Fabric": w.face.ID, "Usable": w.face.UsableWidth, "Match": w.face.MatchWidth, "Loss": loss, "Seams": seams, "Least": leastJoin,
	}
	if loss < leastJoin {
		w.tellAt(engine.Error, "seam_narrow.error", where, args)
		return false
	}
	w.tellAt(engine.Warning, "seam_narrow", where, args)
	return true
}

// liningLoss is the cloth that a join of lining takes: its joins need not meet the face's.
func (w *window) liningLoss() measure.Length { return 2 * w.order.Conventions.Seam }

// countsHalves reports whether a panel of the cloth may take a half width: where the other half serves and the shop
// rounds to halves, or where a pair's total is whole and its half need not be (W10, M06).
func (w *window) countsHalves(f *orderfile.Fabric) bool {
	return w.order.Conventions.WidthsRounding == orderfile.UpToHalf && w.halvesServe(f) || w.splitsTotal()
}

// splitsTotal reports whether a pair's widths are rounded together and halved.
func (w *window) splitsTotal() bool {
	return w.order.Conventions.PairSplit == orderfile.SplitTotal && w.line.Draw.Paired()
}

// joinable reports whether joins leave anything of the widths that the order gives.
func (w *window) joinable(h measure.Halves, f *orderfile.Fabric, loss measure.Length, key string) bool {
	if pieces(h) > 1 && f.UsableWidth <= loss {
		w.eatenByJoins(f, loss, key)
		return false
	}
	return true
}

// widths rounds the widths that give the cloth wanted, or fewer that give the least of it; 0 and false, with the
// reason told, where the joins take the whole cloth. A tape fixes its flat width, so its widths always suffice.
func (w *window) widths(f *orderfile.Fabric, wanted, least, loss measure.Length, key string, suffice bool) (measure.Halves, bool) {
	h := fewest(least, f.UsableWidth, loss, w.countsHalves(f))
	if h == 0 {
		w.eatenByJoins(f, loss, key)
		return 0, false
	}
	if w.tooManyPieces(f, h) {
		return 0, false
	}
	if w.order.Conventions.WidthsRounding != orderfile.NearestWhole || f.UsableWidth <= loss {
		return h, true
	}
	near := w.nearest(wanted, f.UsableWidth, loss)
	if suffice {
		return max(near, h), true
	}
	return min(near, h), true
}

// nearest rounds to the nearest whole width, halves up, at least one (published example M06): of a pair's total, or
// of the panel. k whole widths give k·(usable − loss) + loss.
func (w *window) nearest(wanted, usable, loss measure.Length) measure.Halves {
	joined := usable - loss
	if w.splitsTotal() {
		return measure.Halves(max(1, (4*(wanted-loss) + joined).FloorDiv(2*joined)))
	}
	return measure.Halves(2 * max(1, (2*(wanted-loss)+joined).FloorDiv(2*joined)))
}

// backing is the widths of a lining or an interlining: the fewest that cover the flat width. Their joins need not
// meet the face's.
func (w *window) backing(f *orderfile.Fabric, flat measure.Length, key string) (measure.Halves, bool) {
	loss := w.liningLoss()
	h := fewest(flat, f.UsableWidth, loss, w.countsHalves(f))
	if h == 0 {
		w.eatenByJoins(f, loss, key)
		return 0, false
	}
	return h, !w.tooManyPieces(f, h)
}

func (w *window) eatenByJoins(f *orderfile.Fabric, loss measure.Length, key string) {
	w.fail("bad_value.joins", key, map[string]any{"Fabric": f.ID, "Usable": f.UsableWidth, "Loss": loss})
}

// layPieces lists a panel's strips from the return edge, the half first. Of a split width the right half goes to
// the left panel's return edge and the left half to the right panel's, so that a pattern runs on. A half-drop's
// class counts from the leading edge: both leads show the same height, and both halves of a width agree.
func layPieces(h measure.Halves, id PanelID, halfDrop bool) []Piece {
	list := make([]Piece, pieces(h))
	for i := range list {
		if halfDrop {
			list[i].Class = (len(list) - 1 - i) % 2
		}
	}
	if h%2 == 1 {
		list[0].Half = RightHalf
		if id == Right {
			list[0].Half = LeftHalf
		}
	}
	return list
}
