package recompute

// sidewise says whether motifs stand side by side across a treatment's panels, placed whether the order says where.
func (o reOrder) sidewise(tr reTreatment) bool {
	return o.fabric(tr.face).sideways.given() && !tr.railroad
}

func (o reOrder) placed(tr reTreatment) bool {
	return o.sidewise(tr) && tr.motif != "" && tr.motif != "marching"
}

// atRight says whether a panel's return edge hangs at its right.
func (tr reTreatment) atRight() bool { return tr.side == "R" || tr.draw == "one_way_right" }

// mates are the panels that have as many widths as this one and lie as flat: both of a pair that is mirrored or even.
func (o reOrder) mates(tr reTreatment) []reTreatment {
	if !tr.paired() || tr.motif != "mirrored" && tr.uneven() && !tr.evened {
		return []reTreatment{tr}
	}
	left, right := tr, tr
	left.side, right.side = "L", "R"
	return []reTreatment{left, right}
}

// mate is the other panel of a pair whose motifs are placed, for which one count of pleats or points is chosen, by the seams of both; not of
// an uneven pair, nor where nothing tells two panels from each other.
func (o reOrder) mate(tr reTreatment) (mate reTreatment, ok bool) {
	mate = tr
	if mate.side = "L"; tr.side == "L" {
		mate.side = "R"
	}
	return mate, o.placed(tr) && tr.paired() && (!tr.uneven() || tr.evened)
}

// reMotifTrim is what is trimmed off one edge so that motifs stand where they should.
type reMotifTrim struct {
	by     reNum
	atLead bool
}

// motifTrim is that of a flat panel of so many half widths. A half width at the left begins amid the cloth.
func (o reOrder) motifTrim(tr reTreatment, halves int, flat reNum) reMotifTrim {
	f := o.fabric(tr.face)
	m, usable := f.motifs(), f.usable.mul(f.keptWide())
	if tr.motif == "mirrored" {
		beyond := o.beyond(tr, "leading").half() // of one of its two turns
		left, right := m.mirrored(usable, beyond, tr.motifLead.or(m.pitch.half().toNanometre()))
		if tr.side == "R" {
			left = right
		}
		return reMotifTrim{left.toNanometre(), true}
	}
	edge := "return"
	if tr.atRight() {
		edge = "leading"
	} else if halves%2 == 1 {
		m.first = m.first.sub(usable.half())
	}
	return reMotifTrim{m.centred(flat, o.beyond(tr, edge).half(), tr.motif == "centred_between").toNanometre(), tr.atRight()}
}

// motifCost is the cloth that placing motifs takes of a panel's width: as much of each mate's as of the other's.
func (o reOrder) motifCost(tr reTreatment, halves int, flat reNum) reNum {
	cost := reInt(0)
	if !o.placed(tr) {
		return cost
	}
	for _, one := range o.mates(tr) {
		if by := o.motifTrim(one, halves, flat).by; cost.less(by) {
			cost = by
		}
	}
	return cost
}

// widest is the widest that a panel can lie on its joined cloth with its motifs in their places. A centred panel that grows by so much has
// its trim shrink by half of it, until it begins a whole repeat on.
func (o reOrder) widest(tr reTreatment, j reJoined) reNum {
	room := j.available.sub(o.hems(tr))
	switch {
	case !o.placed(tr):
		return room
	case tr.motif == "mirrored":
		return room.sub(o.motifCost(tr, j.halves, reInt(0)))
	}
	var least reNum
	pitch := o.fabric(tr.face).motifs().pitch
	for _, one := range o.mates(tr) {
		most, at := reNum{}, o.centredAt(one, j.halves)
		for k := reInt(0).sub(at).div(pitch).floor() - 1; k <= room.sub(at).div(pitch).ceil()+1; k++ {
			flat := at.add(pitch.times(k)).times(2) // of which nothing is trimmed; trimmed by x it is 2x narrower
			if over := flat.sub(room); over.sign() > 0 {
				if !over.less(pitch) {
					continue
				}
				flat = flat.sub(over.times(2))
			}
			if !most.given() || most.less(flat) {
				most = flat
			}
		}
		if !least.given() || most.less(least) {
			least = most
		}
	}
	return least
}

// centredAt is where a centred panel's middle is from its left finished edge when nothing is trimmed there, give or take whole repeats.
func (o reOrder) centredAt(tr reTreatment, halves int) reNum {
	f := o.fabric(tr.face)
	m, usable, edge := f.motifs(), f.usable.mul(f.keptWide()), "return"
	if tr.atRight() {
		edge = "leading"
	} else if halves%2 == 1 {
		m.first = m.first.sub(usable.half())
	}
	if tr.motif == "centred_between" {
		m.first = m.first.sub(m.pitch.half())
	}
	return m.first.sub(o.beyond(tr, edge))
}

// roomy adds widths to those that would do, until so wide a panel has room for its motifs in their places too.
func (o reOrder) roomy(tr reTreatment, j reJoined, flat reNum) reJoined {
	face := o.fabric(tr.face)
	by := 2
	if o.inHalves(tr, face) {
		by = 1
	}
	for j.available.less(flat.add(o.hems(tr), o.conv.widthAllowance, o.motifCost(tr, j.halves, flat))) {
		j = reHalfWidths(j.halves+by, face.across(), reJoin(face, o.conv.seam))
	}
	return j
}

// placedTrim is what a placed panel has trimmed at its return edge, of so much over in all.
func (o reOrder) placedTrim(tr reTreatment, j reJoined, flat reNum) reNum {
	trim, over := o.motifTrim(tr, j.halves, flat), j.available.sub(o.hems(tr)).sub(flat)
	if !trim.atLead {
		return trim.by
	}
	if over.less(trim.by) {
		return reInt(0)
	}
	return over.sub(trim.by)
}

// motifKeys says where the motifs of a panel stand, as far as its cloth reaches.
func (o reOrder) motifKeys(tr reTreatment, m reMade, panel reTree) {
	if !o.sidewise(tr) {
		return
	}
	f := o.fabric(tr.face)
	across, usable := f.motifs(), f.usable.mul(f.keptWide())
	from := across.first
	switch {
	case tr.atRight() && m.joined.halves%2 == 1:
		from = usable.half().sub(from)
	case tr.atRight():
		from = usable.sub(from)
	case m.joined.halves%2 == 1:
		from = from.sub(usable.half())
	}
	turned := "trim_return"
	if _, kept := panel["turned_return"]; kept {
		turned = "turned_return"
	}
	trim, ok := panel[turned].(reLength)
	if !ok {
		panel["motif_positions"] = reOpenList{}
		return
	}
	least, most := reInt(0), m.flat
	if near := o.beyond(tr, "return"); near.sign() < 0 {
		least = least.sub(near)
	}
	if far := o.beyond(tr, "leading"); far.sign() < 0 {
		most = most.add(far)
	}
	at := least.add(from.sub(o.beyond(tr, "return")).sub(trim.v).sub(least).mod(across.pitch))
	var all []reNum
	for ; at.atMost(most); at = at.add(across.pitch) {
		all = append(all, at)
	}
	panel["motif_positions"] = reUnits(o.unit).lengths(all)
	if len(all) == 0 {
		delete(panel, "motif_positions")
	}
	if o.placed(tr) {
		key := "trim_return"
		if o.motifTrim(tr, m.joined.halves, m.flat).atLead {
			key = "trim_leading"
		}
		panel["motif_trim"] = panel[key]
	}
}

// placedCloth is the cloth of a panel that should lie flat so wide, or at the least so: what its motifs take is wanted too. Rounding to the
// nearest widths asks what they take on whole ones, and of pleats and points no more.
func (o reOrder) placedCloth(tr reTreatment, face *reFabric, flat, wanted, enough reNum) reJoined {
	least := enough.add(o.hems(tr), o.conv.widthAllowance)
	j := o.faceCloth(tr, face, wanted.add(o.motifCost(tr, 2, flat.toNanometre())), least)
	if !o.placed(tr) || tr.halves > 0 || o.conv.widthsRounding == "nearest_whole" && !tr.exactCloth() {
		return j
	}
	return o.roomy(tr, j, enough.toMore())
}

// toLess and toMore are whole nanometres, down and up.
func (a reNum) toLess() reNum { return reNanometres(1).times(a.div(reNanometres(1)).floor()) }
func (a reNum) toMore() reNum { return reUp(a, reNanometres(1)) }

// mostFlat is the widest that a panel may lie on its cloth; with motifs in their places in whole nanometres.
func (o reOrder) mostFlat(tr reTreatment, j reJoined) reNum {
	if o.placed(tr) {
		return o.widest(tr, j).toLess()
	}
	return o.widest(tr, j)
}
