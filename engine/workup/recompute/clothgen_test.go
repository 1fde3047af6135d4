package recompute

import (
	"fmt"
	"slices"
)

// percent writes a share of so many percent at the most, to the tenth of one.
func (g *reGen) percent(most int) reLen {
	tenths := int64(g.Intn(10*most + 1))
	if g.chance(2) {
		tenths = tenths / 10 * 10
	}
	text := fmt.Sprint(reFrac(tenths, 10))
	return reLen{reFrac(tenths, 1000), text + g.pick("", "%", " %")}
}

// faceCloth gives a face, now and then, what cloth may have beside its width.
func (g *reGen) faceCloth(f *reFabric) {
	if g.chance(8) {
		f.shrink = g.percent(8)
	}
	if g.chance(8) {
		f.shrinkWide = g.percent(5)
	}
	if g.chance(10) {
		f.pile, f.oneWay = g.pick("up", "down"), true
	}
	if g.chance(4) { // a motif may be as wide as its cloth
		f.sideways = g.length(2, 26, 8)
		if g.chance(2) {
			f.motif = g.exactly(f.sideways.mul(reFrac(int64(g.Intn(9)), 8)))
		}
	}
	f.sheer = g.chance(10)
	if g.chance(4) {
		f.mass = g.mass()
	}
	if g.chance(8) {
		f.growth = g.percent(6)
	}
}

// mass writes what a square metre weighs.
func (g *reGen) mass() reLen {
	if g.chance(3) {
		tenths := int64(20 + g.Intn(180))
		return reLen{reFrac(tenths, 10).mul(reDecimal("33.905747")), reFrac(tenths, 10).String() + g.pick(" oz/yd2", "oz/yd2")}
	}
	grams := int64(60 + 5*g.Intn(150))
	return reLen{reInt(grams), fmt.Sprint(grams) + g.pick("", " g/m2", "g/m2")}
}

// limits says what some rods carry.
func (g *reGen) limits() {
	for i := range g.o.rods {
		if g.chance(3) {
			n := int64(1 + g.Intn(30))
			g.o.rods[i].limit = reLen{reInt(n), fmt.Sprint(n) + g.pick("", " kg", "kg")}
			if g.chance(3) {
				g.o.rods[i].limit = reLen{reInt(n).mul(reDecimal("0.45359237")), fmt.Sprint(n) + g.pick(" lb", "lb")}
			}
		}
	}
}

// edge gives some windows bands.
func (g *reGen) edge() {
	for i := range g.o.treatments {
		t := &g.o.treatments[i]
		for _, edge := range []string{"leading", "return", "bottom"} {
			if !g.chance(20) || edge == "bottom" && g.o.conv.lengthAllowance.given() {
				continue
			}
			b := reBanded{edge: edge, method: g.pick("", "joined", "applied"), fabric: g.faceOf(), wide: g.length(0.75, 6, 8)}
			if b.applied() {
				b.offset = g.maybe(2, 0, 3, 8)
			}
			t.bands = append(t.bands, b)
		}
		g.Shuffle(len(t.bands), func(i, j int) { t.bands[i], t.bands[j] = t.bands[j], t.bands[i] })
	}
}

// matchMotifs makes the pitch of joins a whole number of motifs, or leaves it out.
func (g *reGen) matchMotifs(f *reFabric) {
	if !f.sideways.given() {
		return
	}
	f.matchWidth = reLen{}
	if n := f.usable.div(f.sideways.reNum).floor(); n > 0 && g.chance(2) {
		f.matchWidth = g.exactly(f.sideways.times(n))
	}
}

// placeMotifs says where motifs stand in some windows.
func (g *reGen) placeMotifs() {
	for i := range g.o.treatments {
		t := &g.o.treatments[i]
		if f := g.o.fabric(t.face); !f.sideways.given() || g.chance(3) {
			continue
		}
		t.motif = g.pick("marching", "centred_on", "centred_between")
		if t.paired() && g.chance(2) {
			t.motif = "mirrored"
			t.motifLead = g.maybe(3, 0, 12, 8)
		}
		if t.motif != "marching" && t.surplus == "keep" {
			t.surplus = ""
		}
	}
}

// hangTogether has rooms' patterns hang at one height, where the classes of a half-drop are phases too.
func (g *reGen) hangTogether() {
	c := &g.o.conv
	set := func(key, text string) { g.o.overrides = append(g.o.overrides, [2]string{key, text}) }
	for i := range g.o.treatments {
		t := &g.o.treatments[i]
		t.room = g.pick("", "", "Room 1", "Dining")
		t.motifHeight, t.hemUp = g.maybe(6, 0, 20, 8), g.maybe(4, 0, 30, 8)
	}
	dropped := slices.ContainsFunc(g.o.fabrics, func(f reFabric) bool { return f.dropped() })
	if !g.chance(3) || dropped && !c.phased() {
		return
	}
	c.roomPhase = "together"
	set("room_phase", c.roomPhase)
	if g.chance(2) {
		c.motifFrom = g.pick("hem", "top")
		set("motif_from", c.motifFrom)
	}
}

// turnSome turns some windows' cloth, for which it has to be wide.
func (g *reGen) turnSome() {
	for i := range g.o.treatments {
		t := &g.o.treatments[i]
		if f := g.o.fabric(t.face); g.chance(4) && t.halves == 0 {
			t.railroad = true
			f.railroads = g.chance(2)
			counted := slices.ContainsFunc(g.o.treatments, func(o reTreatment) bool { return o.face == f.id && o.halves > 0 })
			if g.chance(2) && !counted { // widths that are counted would have yards of it trimmed
				f.usable, f.matchWidth = g.length(110, 180, 8), reLen{}
			}
		}
		if lining := g.o.fabric(t.lining); lining != nil && g.chance(10) && !lining.oneWay {
			t.railroadLining = true
			if g.chance(2) {
				lining.usable = g.length(100, 150, 8)
			}
		}
	}
}

func (f reFabric) clothNodes(m *reMap) {
	m.text("pile", f.pile)
	m.flag("sheer", f.sheer)
	m.flag("railroads", f.railroads)
	m.length("horizontal_repeat", f.sideways)
	m.length("motif_offset", f.motif)
	m.length("shrink", f.shrink)
	m.length("shrink_width", f.shrinkWide)
	m.length("relax", f.growth)
	m.length("mass", f.mass)
}

func (t reTreatment) windowNodes(m *reMap) {
	m.text("room", t.room)
	m.text("motif", t.motif)
	m.length("motif_lead", t.motifLead)
	m.length("motif_height", t.motifHeight)
	m.length("hem_height", t.hemUp)
	m.flag("railroad", t.railroad)
	m.flag("railroad_lining", t.railroadLining)
	var bands []any
	for _, b := range t.bands {
		band := reMap{{"edge", b.edge}, {"fabric", b.fabric}}
		band.text("method", b.method)
		band.length("width", b.wide)
		band.length("offset", b.offset)
		bands = append(bands, band)
	}
	if len(bands) > 0 {
		m.put("bands", bands)
	}
}
