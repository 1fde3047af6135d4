package recompute

import (
	"fmt"
	"slices"
)

// treatment makes a random treatment of the order's fabrics and tapes.
func (g *reGen) treatment(i int) reTreatment {
	t := reTreatment{
		window: fmt.Sprintf("%s %d", g.pick("Bay, left", "Bar", "Landing", "North dormer"), i),
		draw:   g.pick("", "pair", "one_way_left", "one_way_right", "stationary_pair", "stationary"),
		face:   g.faceOf(), quantity: g.Intn(6), cordEnd: g.pick("", "", "wound", "tucked", "cut"),
		returnTo: g.maybe(2, 1, 8, 4), lap: g.maybe(2, 0, 8, 2),
		headingFold: g.maybe(10, 2, 6, 4), bottomHem: g.maybe(10, 1, 6, 4), sideHem: g.maybe(10, 0.5, 3, 4),
	}
	lined := g.chance(2)
	if g.chance(2) {
		t.heading = g.pick(reHeadings...)
	}
	if i == 0 {
		t.heading = reHeadings[g.turn/450%len(reHeadings)]
		t.draw, t.quantity, t.face, lined = reDraws[g.turn/3%5], 1+g.turn/15%5, "face-0", g.turn/225%2 == 0
	}
	if t.onTape() {
		t.tape = g.tapeFor(t.heading).id
	} else {
		t.cordEnd = ""
	}
	if g.chance(12) {
		t.returnTo = reLen{reInt(0), "0"}
	}
	if g.o.conv.pastCentre && !t.lap.given() {
		t.lap = g.length(0.5, 4, 2)
	}
	g.widthOf(&t)
	g.lengthOf(&t)
	if g.o.conv.lengthAllowance.given() {
		t.headingFold, t.bottomHem = reLen{}, reLen{} // which of them goes before the other is open
	}
	switch {
	case t.byHand():
		g.byHand(&t)
	case t.continuous():
		g.flowing(&t)
		g.flowCloth(&t)
	default:
		if g.o.tapeOf(t).ends == "flat" && g.chance(3) {
			t.leadFlat = g.length(0, 8, 4)
		}
		if g.chance(5) {
			g.aimWidth(&t)
		}
	}
	if g.chance(5) {
		g.aimLength(&t)
	}
	if lined {
		t.lining = "sateen"
	}
	if g.chance(4) {
		t.interlining = "domette"
	}
	if g.chance(6) {
		t.puddle = g.length(1, 9, 2)
	}
	if g.chance(10) && t.setByTape() {
		g.givePleats(&t)
	}
	if g.chance(12) && t.setByTape() {
		t.halves = 2 + g.Intn(8)
	}
	if g.chance(8) {
		t.surplus = g.pick("trim", "keep")
	}
	return t
}

func (g *reGen) faceOf() string {
	var ids []string
	for _, f := range g.o.fabrics {
		if f.use == "face" {
			ids = append(ids, f.id)
		}
	}
	return g.pick(ids...)
}

func (g *reGen) widthOf(t *reTreatment) {
	low, high, den := 12.0, 110.0, int64(16)
	if g.chance(8) {
		den = 64 // half of it is no whole nanometre
	}
	if g.chance(7) {
		low, high = 1, 9 // too narrow, or few pleats
	}
	switch t.draw {
	case "stationary", "stationary_pair":
		t.finishedWidth = g.length(low, high, den)
	case "one_way_left", "one_way_right":
		t.faceWidth, t.returnOther = g.length(low, high, den), g.maybe(3, 0, 8, 4)
	default:
		if g.chance(8) {
			t.finishedWidth = g.length(low, high, den)
		} else {
			t.faceWidth = g.length(low, 2*high, den)
		}
		if g.chance(5) && (t.draw == "pair" || t.draw == "") {
			t.returnOther = g.length(0, 24, 4)
		}
	}
}

func (g *reGen) lengthOf(t *reTreatment) {
	if g.chance(6) {
		t.toFloor, t.above, t.clearance = g.length(40, 130, 16), g.length(0, 4, 8), g.length(0, 2, 8)
		return
	}
	t.finishedLength = g.length(20, 130, 16)
}

// aimWidth puts a panel ordered by its own width on an edge of a rule, where an error of the least unit would show: a margin
// at its least, its most or midway between two counts, ease used up, or cloth that suffices without a thread to spare.
func (g *reGen) aimWidth(t *reTreatment) {
	d, face := g.o.tapeData(g.o.tapeOf(*t)), g.o.fabric(t.face)
	n := 1 + g.Intn(30)
	var e reNum
	switch g.Intn(5) {
	case 0:
		e = d.least
	case 1:
		e = d.most
	case 2:
		e = d.nominal.add(d.unit.div(reInt(4)))
	case 3:
		e = d.most.add(d.ease.times(n).half())
	default:
		halves := 1 + g.Intn(8)
		joined := reHalfWidths(halves, face.across(), reJoin(face, g.o.conv.seam))
		flat := joined.available.sub(g.o.hems(*t)).sub(g.o.conv.widthAllowance)
		n = flat.sub(d.least.times(2)).div(d.period).floor()
		e = flat.sub(d.period.times(n)).half()
	}
	if n < 1 {
		return
	}
	aim := d.width(n, e)
	if d.flatEnds {
		aim = d.solveFlat(reInt(0), g.o.retOf(*t).add(g.o.leadOf(*t)), n).reached
	}
	if width, ok := g.nanometres(aim); ok {
		t.faceWidth, t.finishedWidth = reLen{}, width
	}
}

// aimLength makes the plain length a whole number of repeats, as far as shrink and step let it.
func (g *reGen) aimLength(t *reTreatment) {
	v := g.o.fabric(t.face).repeat
	if !g.o.fabric(t.face).patterned() || t.toFloor.given() {
		return
	}
	c := g.o.conv
	spent := c.lengthAllowance.or(g.o.topOf(*t).add(g.o.bottomHem(*t).times(2))).add(c.squaring)
	length := v.times(spent.add(t.finishedLength.reNum).div(v.reNum).ceil()).sub(spent)
	if aimed, ok := g.nanometres(length); ok {
		t.finishedLength = aimed
	}
}

// nanometres writes a length in millimetres if it is a whole count of nanometres, which every length stated to the program is.
func (g *reGen) nanometres(v reNum) (reLen, bool) {
	return g.exact(v, false), v.div(reMM(1)).times(1_000_000).r.IsInt() && v.sign() > 0
}

// givePleats states the pleats, within the tape's range or far from it on either side; between, whether the ease widens the range
// is open.
func (g *reGen) givePleats(t *reTreatment) {
	d, asked := g.o.tapeData(g.o.tapeOf(*t)), g.o.asked(*t)
	if d.flatEnds {
		t.pleats = g.o.layout(*t, d, asked, nil).n
	} else {
		for n := range d.fitting(asked) {
			t.pleats = max(t.pleats, n)
		}
	}
	if t.pleats == 0 {
		return
	}
	switch {
	case g.chance(3):
		t.pleats += 4
	case g.chance(3):
		t.pleats = max(1, t.pleats-2)
	}
}

// dropUnused takes out the fabrics that no treatment uses.
func (g *reGen) dropUnused() {
	g.o.fabrics = slices.DeleteFunc(g.o.fabrics, func(f reFabric) bool {
		return !slices.ContainsFunc(g.o.treatments, func(t reTreatment) bool {
			band := func(b reBanded) bool { return f.id == b.fabric }
			return f.id == t.face || f.id == t.lining || f.id == t.interlining || slices.ContainsFunc(t.bands, band)
		})
	})
}
