package recompute

import "slices"

// banded is the band along an edge of a treatment's panels, nil without one.
func (tr reTreatment) banded(edge string) *reBanded {
	for i := range tr.bands {
		if tr.bands[i].edge == edge {
			return &tr.bands[i]
		}
	}
	return nil
}

func (b reBanded) applied() bool { return b.method == "applied" }

// beyond is the face's cloth beyond a finished edge: its double hem; where a band is sewn to it there is none, and the face ends a seam
// inside the band.
func (o reOrder) beyond(tr reTreatment, edge string) reNum {
	if b := tr.banded(edge); b != nil && !b.applied() {
		return o.conv.seam.sub(b.wide.reNum)
	}
	if edge == "bottom" {
		return o.bottomHem(tr).times(2)
	}
	return o.sideHem(tr).times(2)
}

// hems is the face's cloth beyond both sides of a panel.
func (o reOrder) hems(tr reTreatment) reNum {
	return o.beyond(tr, "return").add(o.beyond(tr, "leading"))
}

// reStripped is a panel's band as it is cut: its strips, across the edge and along it.
type reStripped struct {
	reBanded
	pieces       int
	across, long reNum
}

// bandsOf are the bands of one panel. Those of the sides run the whole length, as it would be without a band below, so that corners can be
// mitred; the one below is cut across its cloth, a strip for each piece of the face, or as many more as it takes to go along the hem.
func (o reOrder) bandsOf(tr reTreatment, m reMade) (all []reStripped) {
	whole := tr
	whole.bands = nil
	for _, b := range tr.bands {
		s := reStripped{reBanded: b, pieces: 1, long: o.plainCut(whole, o.fabric(tr.face)).plain}
		turn := o.sideHem(tr)
		if b.edge == "bottom" {
			cloth := o.fabric(b.fabric).across()
			turn, s.pieces, s.long = o.bottomHem(tr), m.joined.pieces, o.fabric(tr.face).across()
			if cloth.less(s.long) {
				s.long = cloth
			}
			for reHalfWidths(2*s.pieces, cloth, o.conv.seam.times(2)).available.less(m.flat.add(o.sideHem(tr).times(4))) {
				s.pieces++
			}
		}
		s.across = reBand{b.wide.reNum, b.applied()}.cut(o.conv.seam, turn, o.conv.bandTurn)
		all = append(all, s)
	}
	return all
}

func (o reOrder) bandRows(bands []reStripped) (rows []any) {
	l := reUnits(o.unit).length
	for _, b := range bands {
		method := b.method
		if method == "" {
			method = "joined"
		}
		rows = append(rows, reTree{"edge": reWord(b.edge), "method": reWord(method), "cut": l(b.across), "length": l(b.long), "pieces": reCount(b.pieces)})
	}
	return rows
}

// cantBand says whether bands cover all of a panel, or one is wider than its cloth.
func (o reOrder) cantBand(tr reTreatment, m reMade) bool {
	sides := reInt(0)
	for _, b := range o.bandsOf(tr, m) {
		covered, of := b.wide.add(b.offset.or(reInt(0))), o.drop(tr)
		if b.edge != "bottom" {
			sides = sides.add(covered)
			covered, of = sides, m.flat
			if o.fabric(b.fabric).across().less(b.across) {
				return true
			}
		}
		if of.atMost(covered) {
			return true
		}
	}
	return false
}

// bandNeeds adds the cloth of bands: of its face where they are of that, else of cloth that nothing else is cut from here. Strips of the
// sides lie side by side, whichever side they are for, those of one length and width together.
func (o reOrder) bandNeeds(tr reTreatment, made []reMade, needs []reNeed) []reNeed {
	type row struct {
		fabric, edge string
		across, long reNum
		pieces       int
	}
	var rows []row
	for _, m := range reEach(tr, made) {
		for _, b := range o.bandsOf(tr, m) {
			r := row{b.fabric, "side", b.across, b.long, b.pieces * tr.count()}
			if b.edge == "bottom" {
				r.edge, r.long = "bottom", reInt(0)
			}
			at := slices.IndexFunc(rows, func(o row) bool {
				return o.fabric == r.fabric && o.edge == r.edge && o.across.equal(r.across) && o.long.equal(r.long)
			})
			if at < 0 {
				rows = append(rows, r)
			} else {
				rows[at].pieces += r.pieces
			}
		}
	}
	for _, r := range rows {
		each, inRow := r.across, 1
		if r.edge == "side" {
			each, inRow = r.long, o.fabric(r.fabric).across().div(r.across).floor()
		}
		cuts := (r.pieces + inRow - 1) / inRow
		at := slices.IndexFunc(needs, func(n reNeed) bool { return n.fabric == r.fabric })
		if at < 0 {
			needs, at = append(needs, reNeed{fabric: r.fabric, use: "face", cut: reInt(0), plain: reInt(0), length: reInt(0)}), len(needs)
		}
		needs[at].trimmings = append(needs[at].trimmings, reTrimmings{"band", r.pieces, cuts, each.times(cuts), each})
	}
	return needs
}

// reEach are the panels of a window, those that are alike each for itself.
func reEach(tr reTreatment, made []reMade) []reMade {
	if tr.paired() && len(made) == 1 {
		return []reMade{made[0], made[0]}
	}
	return made
}
