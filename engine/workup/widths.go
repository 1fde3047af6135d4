package workup

import (
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
)

// pieces counts the strips that so many half widths are sewn from: 2½ widths are 3.
func pieces(h measure.Halves) int { return (int(h) + 1) / 2 }

// joined2 is twice the width of cloth that h half widths of usable width give when each join takes loss.
func joined2(h measure.Halves, usable, loss measure.Length) measure.Length {
	return usable.Times(int(h)) - 2*loss.Times(pieces(h)-1)
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
	if halves && joined2(h-1, usable, loss) >= 2*wanted {
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
	return f.Plain() && !f.OneWay && w.line.Quantity >= 2
}

// joinLoss is the cloth that a join of face widths takes: both seam allowances, or what the pattern doesn't use
// where it meets itself closer.
func (w *window) joinLoss() measure.Length {
	seams := 2 * w.order.Conventions.Seam
	if w.face.MatchWidth == 0 {
		return seams
	}
	return max(seams, w.face.UsableWidth-w.face.MatchWidth)
}

// liningLoss is the cloth that a join of lining takes: its joins need not meet the face's.
func (w *window) liningLoss() measure.Length { return 2 * w.order.Conventions.Seam }

// widths is 0 and false, with the reason told, where the joins take the whole cloth.
func (w *window) widths(f *orderfile.Fabric, wanted, loss measure.Length, key string) (measure.Halves, bool) {
	h := fewest(wanted, f.UsableWidth, loss, w.halvesServe(f))
	if h == 0 {
		w.fail("bad_value", key, map[string]any{"Fabric": f.ID, "Usable": f.UsableWidth, "Loss": loss})
		w.problems[len(w.problems)-1].Key = "problem.bad_value.joins"
		return 0, false
	}
	return h, true
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
