package recompute

// reInserts are what a panel's pleats are filled with: how many pieces, and of a roll its length.
type reInserts struct {
	pieces int
	length reNum // absent where they are only counted
}

// inserts of pleats set by hand: a roll of three take-ups in each cartridge unless the order leaves them out, stuffing in each goblet.
func (h reHand) inserts(tr reTreatment) reInserts {
	switch {
	case tr.heading == "goblet":
		return reInserts{pieces: h.n}
	case tr.heading == "cartridge-hand" && tr.inserts != "none":
		return reInserts{h.n, reUp(h.takeUpOf(h.n).times(3), h.step)}
	}
	return reInserts{}
}

// tube is how far across a pleat of mean take-up stands as a loop, and gap what is left between two in cloth so thick.
func (h reHand) tube(thickness reNum) (across, gap reNum) {
	across = h.takeUpOf(h.n).div(rePi)
	return across, h.spaceOf(h.n).sub(across).sub(thickness)
}

// face is how wide a pleat of mean take-up lies flattened, and gap what is left between two.
func (h reHand) face() (across, gap reNum) {
	across = h.takeUpOf(h.n).half()
	return across, h.spaceOf(h.n).sub(across)
}

// standsOut is how far a pleat's body lies to each side of the line it is stitched on.
func (h reHand) standsOut() reNum {
	switch h.row.body {
	case "tube":
		across, _ := h.tube(reInt(0))
		return across.half()
	case "box", "inverted":
		across, _ := h.face()
		return across.half()
	}
	return reInt(0)
}

// bodyOf adds the numbers of the pleats' bodies to a panel and tells what is wrong with them.
func (o reOrder) bodyOf(tr reTreatment, h reHand, panel reTree, p *reFindings) {
	l := reUnits(o.unit).length
	if h.row.pinched() {
		panel["fingers"] = reCount(h.row.fingers)
	}
	switch h.row.body {
	case "tube":
		across, gap := h.tube(o.fabric(tr.face).thickness.or(reInt(0)))
		panel["tube_diameter"], panel["tube_gap"] = l(across), l(gap)
		p.tell("warning", "tubes_close", gap.sign() > 0 && gap.less(reFrac(1, 4)))
		p.tell("error", "tubes_collide", gap.sign() <= 0)
	case "box", "inverted":
		across, gap := h.face()
		panel["pleat_face"], panel["face_gap"] = l(across), l(gap)
		p.tell(map[string]string{"box": "error", "inverted": "warning"}[h.row.body], "pleats_overlap", gap.sign() < 0)
	}
	out := h.standsOut()
	p.tell("warning", "pleat_over_edge", h.edge(h.ret).less(out) || h.edge(h.lead).less(out))

	in := h.inserts(tr)
	if in.pieces > 0 {
		panel["inserts"] = reCount(in.pieces)
	}
	if in.length.given() {
		height := o.foldOf(tr)
		panel["insert_piece"] = reTree{"length": l(in.length), "height": l(height)}
		panel["insert_turns"] = reRatio{in.length.div(h.takeUpOf(h.n))}
	}
}
