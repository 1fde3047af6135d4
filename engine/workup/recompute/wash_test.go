package recompute

// reOfCloth is what a face has beside its width and its repeat. A percent is said as its share: 3 % are 3/100.
type reOfCloth struct {
	pile                       string
	sheer, railroads           bool
	sideways, motif            reLen // from motif to motif, and from the left usable edge to the first one's middle
	shrink, shrinkWide, growth reLen
	mass                       reLen // grams a square metre
}

// reOfWindow is what a treatment says of its cloth.
type reOfWindow struct {
	room                          string
	motif, side                   string // side: L, R or S, of one panel
	evened                        bool   // of one panel: the other return is as this one
	motifLead, motifHeight, hemUp reLen
	railroad, railroadLining      bool
	bands                         []reBanded
}

// reBanded is a band as a treatment orders it.
type reBanded struct {
	edge, method, fabric string
	wide, offset         reLen
}

// share is a part of one whole, 0 where it isn't told.
func (l reLen) share() reNum { return l.or(reInt(0)) }

// keptWide is what shrinking leaves of the cloth's width, keptLong of its length.
func (f reFabric) keptWide() reNum         { return reInt(1).sub(f.shrinkWide.share()) }
func (f reFabric) keptLong(c reConv) reNum { return reInt(1).sub(f.shrink.or(c.shrink)) }

// onePlace says whether the cloth has anything that would lie on its side when it is turned.
func (f reFabric) onePlace() bool {
	return f.patterned() || f.sideways.given() || f.matchWidth.given()
}

// across is the usable width as joins have it, to the nanometre.
func (f reFabric) across() reNum { return f.usable.mul(f.keptWide()).toNanometre() }

// motifs are what repeats across the cloth as joins have it.
func (f reFabric) motifs() reMotifs {
	first := f.motif.or(f.sideways.half())
	return reMotifs{pitch: f.sideways.mul(f.keptWide()), first: first.mul(f.keptWide())}
}

// matched is the pitch of joins on which the pattern meets; absent where nothing has to.
func (f reFabric) matched(seam reNum) reNum {
	switch {
	case f.matchWidth.given():
		return f.matchWidth.mul(f.keptWide()).toNanometre()
	case f.sideways.given():
		return f.motifs().matchWidth(f.usable.mul(f.keptWide()), seam).toNanometre()
	}
	return reNum{}
}

// onTable is the finished length as it is before the cloth has grown.
func (o reOrder) onTable(tr reTreatment) reNum {
	return o.drop(tr).div(reInt(1).add(o.fabric(tr.face).growth.share()))
}

// clothKeys adds what a face does to a panel.
func (o reOrder) clothKeys(tr reTreatment, m reMade, panel reTree) {
	if bands := o.bandsOf(tr, m); len(bands) > 0 {
		panel["bands"] = o.bandRows(bands)
	}
	if o.together(tr) {
		panel["phase"] = reUnits(o.unit).length(o.phaseOf(tr))
	}
	o.motifKeys(tr, m, panel)
	if mass := o.mass(tr, m); mass.given() {
		panel["mass"] = reGrams{mass}
	}
	if f := o.fabric(tr.face); f.growth.share().sign() > 0 {
		// it is measured instead of the length as it will hang, which has the puddle too
		panel["table_length"] = reUnits(o.unit).length(o.onTable(tr).add(tr.puddle.or(reInt(0))))
	}
}

// sideHem and bottomHem are the depth of one turn of a double hem: the treatment's, that of sheers, the practice's.
func (o reOrder) sideHem(tr reTreatment) reNum {
	usual := o.conv.sideHem
	if o.fabric(tr.face).sheer {
		usual = reUnits(o.unit).small(reInt(1), 25)
	}
	return tr.sideHem.or(usual)
}

func (o reOrder) bottomHem(tr reTreatment) reNum {
	usual := o.conv.bottomHem
	if o.fabric(tr.face).sheer {
		usual = reUnits(o.unit).small(reInt(5), 125)
	}
	return tr.bottomHem.or(usual)
}
