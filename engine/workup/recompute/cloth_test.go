package recompute

// byHand gives pleats that are set by hand their own data, now and then.
func (g *reGen) byHand(t *reTreatment) {
	if g.chance(3) {
		t.fullness = g.ratio(150, 320)
	}
	if g.chance(3) {
		t.leadFlat = g.length(0, 8, 4)
	}
	if g.chance(6) {
		h := g.o.hand(*t)
		g.aimCloth(t, h.fullness)
	}
	if room := g.length(0, 1, 16); g.chance(8) { // little room for the pleats: they meet
		lead := g.o.asked(*t).sub(g.o.retOf(*t)).sub(room.reNum)
		if l, ok := g.nanometres(lead); ok && lead.less(reInt(24)) {
			t.leadFlat = l
		}
	}
	switch t.heading {
	case "cartridge-hand":
		t.inserts = g.pick("", "rolled", "none")
	case "goblet":
		t.inserts = g.pick("", "stuffed")
	}
	if h := g.o.hand(*t); g.chance(6) && h.room.sign() > 0 && h.asked.less(h.flat) {
		t.pleats = max(h.least(), h.counts()[0].n+g.Intn(5)-2)
	}
	if h := g.o.hand(*t); g.chance(6) {
		t.halves = max(1, h.joined.halves+g.Intn(4)-1)
	}
}

// ratio writes a ratio of so many hundredths.
func (g *reGen) ratio(low, high int) reLen {
	v := reFrac(int64(low+5*g.Intn((high-low)/5+1)), 100)
	return reLen{v, v.String()}
}

// aimCloth orders a panel by the very width for which its cloth suffices without a thread to spare.
func (g *reGen) aimCloth(t *reTreatment, fullness reNum) {
	face, c := g.o.fabric(t.face), g.o.conv
	joined := reHalfWidths(1+g.Intn(8), face.across(), reJoin(face, c.seam))
	wanted := joined.available.sub(g.o.hems(*t)).sub(c.widthAllowance)
	if width, ok := g.nanometres(wanted.div(fullness)); ok {
		t.faceWidth, t.finishedWidth = reLen{}, width
	}
}

// bolts gives some fabrics bolts: one that holds everything, one that can't, or several with flaws and lots.
func (g *reGen) bolts() {
	for i := range g.o.fabrics {
		f := &g.o.fabrics[i]
		if _, _, ok := f.onlyCut(g.o.results); ok && g.chance(3) {
			f.boltLength = g.length(60, 2400, 4)
		}
		yards := int64(g.o.ample(f, g.o.results).add(f.repeat.or(reInt(0)).times(4)).div(reInt(36)).ceil() + 1)
		switch {
		case g.chance(3) || yards > 900:
		case g.chance(4):
			f.bolts = []reBolt{{id: f.id + "-1", length: g.imperial(max(1, yards/4)*36, 1)}}
		case g.chance(3):
			f.bolts = []reBolt{
				{id: f.id + "-1", lot: "A", length: g.imperial(yards*36, 1)}, {id: f.id + "-2", lot: "B", length: g.length(200, 900, 4)},
			}
			f.bolts[1].flaws = []reFlaw{{g.imperial(36, 1), g.imperial(39, 1)}}
		case g.chance(4): // a bolt that another order has been cut from
			from := 36 * (1 + int64(g.Intn(20)))
			f.bolts = []reBolt{{id: f.id + "-1", lot: "A", length: g.imperial(yards*36+from, 1), from: g.imperial(from, 1)}}
		default:
			f.bolts = []reBolt{{id: f.id + "-1", lot: g.pick("", "A"), length: g.imperial(yards*36, 1)}}
		}
	}
}
