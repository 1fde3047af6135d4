package recompute

import (
	"fmt"
	"slices"
)

// hardware gives the order poles, for headings that hang from one. They have carriers too, as a pole with a track in it has.
func (g *reGen) hardware() (poles []reRod) {
	for range 1 + g.Intn(3) {
		r := reRod{id: fmt.Sprintf("pole-%d", len(g.o.rods)), projection: g.maybe(2, 1.5, 6, 8)}
		switch {
		case g.chance(6):
			r.kind, r.circumference = g.pick("flat", "pole"), g.length(1.5, 7, 8)
		case g.chance(2):
			r.kind, r.diameter = g.pick("", "pole"), g.length(0.5, 3, 8)
		default:
			r.kind, r.diameter = g.pick("", "pole"), g.length(0.75, 1.5, 8)
		}
		if g.chance(2) {
			r.ringIn, r.ringDrop = g.length(1, 3, 8), g.length(0.5, 3, 8)
		}
		r.carriers, r.span = g.length(1.75, 5, 8), g.maybe(3, 20, 90, 2)
		if g.chance(2) {
			r.supports = 2 + g.Intn(4)
		}
		g.o.rods, poles = append(g.o.rods, r), append(poles, r)
	}
	return poles
}

// flowing gives a heading without pleats its own data, now and then. Its rod is there already.
func (g *reGen) flowing(t *reTreatment) {
	poles := slices.DeleteFunc(slices.Clone(g.o.rods), func(r reRod) bool { return r.kind == "track" })
	if len(poles) == 0 {
		poles = g.hardware()
	}
	t.rod = poles[g.Intn(len(poles))].id
	row := g.o.flowOf(t.heading)
	switch {
	case row.holds == "carriers":
	case row.flat && g.chance(6):
		t.fullness = reLen{reInt(1), "1"}
	case g.chance(3):
		t.fullness = g.ratio(105, 330)
	}
	switch t.heading {
	case "wave-tape":
		if g.chance(4) {
			break
		}
		tape := g.o.tapeOf(*t) // carriers that go with its pockets
		apart := tape.pocketPitch.times(tape.pockets).div(g.ratio(150, 270).reNum)
		g.o.rods = append(g.o.rods, reRod{id: fmt.Sprintf("track-%d", len(g.o.rods)), kind: "track", carriers: g.metric(int64(apart.div(reMM(1)).ceil()))})
		t.rod = g.o.rods[len(g.o.rods)-1].id
	case "rod-pocket":
		t.stand, t.turn = g.maybe(2, 0, 6, 8), g.maybe(3, 0, 3, 8)
		t.pocketDeep = g.maybe(3, 1, 5, 16)
	case "eyelet":
		g.eyelets(t)
	case "tab":
		t.tabWide, t.tabGap, t.tabFacing = g.maybe(3, 0.75, 4, 8), g.maybe(3, 0.5, 4, 8), g.maybe(4, 2, 5, 4)
		if g.chance(4) || g.o.rodOf(*t).kind == "flat" {
			t.tabLoop = g.length(4, 14, 8)
		}
	}
	if row.holds == "points" {
		g.points(t, row)
	}
	if g.chance(4) && t.toFloor.given() { // below the bearing, or as the heading has it
		t.above, t.below = reLen{}, g.length(0, 4, 8)
	}
	if t.toFloor.given() && g.chance(2) && g.o.bearing(*t).given() {
		t.above, t.below = reLen{}, reLen{}
	}
}

func (g *reGen) eyelets(t *reTreatment) {
	if g.chance(3) {
		t.eyeletIn = g.length(0.75, 3, 8)
	}
	if t.eyeletIn.given() || g.chance(4) {
		in := g.o.eyeletOf(*t).in
		t.eyeletOut = g.exactly(in.add(g.length(0.25, 1.5, 8).reNum))
	}
	t.eyeletAt = g.maybe(4, 0.75, 4, 8)
}

// exactly writes a length on the nanometre.
func (g *reGen) exactly(v reNum) reLen {
	l, ok := g.nanometres(v)
	if !ok {
		return reLen{}
	}
	return l
}

// points states their number, their pitch or the flat outside them.
func (g *reGen) points(t *reTreatment, row reFlow) {
	if g.chance(6) {
		low := g.length(3, 9, 4)
		high := g.exactly(low.add(g.length(0.5, 4, 4).reNum))
		t.pitchLow, t.pitchHigh, t.pitchBest = low, high, g.exactly(low.add(high.reNum).half())
	}
	if g.chance(8) {
		t.pointsEnd = g.length(0.25, 4, 8)
	}
	if g.chance(6) {
		t.points = 2 + g.Intn(14)
		if row.even {
			t.points += t.points % 2
		}
	}
}

// flowCloth states widths, or asks for a width that cloth just suffices for.
func (g *reGen) flowCloth(t *reTreatment) {
	row := g.o.flowOf(t.heading)
	switch {
	case row.holds == "carriers":
		if g.chance(10) {
			t.halves = 2 + g.Intn(8)
		}
	case g.chance(6):
		g.aimCloth(t, t.fullness.or(row.fullness))
	case g.chance(6):
		s, _ := g.o.spread(*t)
		t.halves = max(1, s.joined.halves+g.Intn(4)-1)
	}
}

// flowTape gives a new tape what a pencil or a wave tape has.
func (g *reGen) flowTape(t reTape) reTape {
	t.topDrop, t.beyond, t.fold = g.maybe(3, 0, 1, 8), g.maybe(3, 0.5, 2, 4), g.maybe(6, 1, 5, 4)
	if t.kind == "pencil" {
		t.cords = 1 + g.Intn(4)
		if g.chance(3) {
			t.tightest = g.ratio(150, 500)
		}
		return t
	}
	t.pocketPitch, t.pockets = g.length(0.375, 1.5, 16), 3+g.Intn(8)
	return t
}

func (r reRod) nodes() reMap {
	var m reMap
	m.put("id", r.id)
	m.text("kind", r.kind)
	m.length("diameter", r.diameter)
	m.length("circumference", r.circumference)
	m.length("carrier_pitch", r.carriers)
	m.length("projection", r.projection)
	m.length("ring_inner", r.ringIn)
	m.length("ring_drop", r.ringDrop)
	m.length("span", r.span)
	m.count("supports", r.supports)
	m.length("limit", r.limit)
	return m
}

// flowNodes are the keys of a treatment for what its heading hangs by.
func (t reTreatment) flowNodes(m *reMap) {
	m.text("rod", t.rod)
	group := func(key string, lengths ...any) {
		var inner reMap
		for i := 0; i < len(lengths); i += 2 {
			inner.length(lengths[i].(string), lengths[i+1].(reLen))
		}
		if len(inner) > 0 {
			m.put(key, inner)
		}
	}
	var points, pitch reMap
	points.count("count", t.points)
	pitch.length("min", t.pitchLow)
	pitch.length("max", t.pitchHigh)
	pitch.length("preferred", t.pitchBest)
	if len(pitch) > 0 {
		points.put("pitch", pitch)
	}
	points.length("end", t.pointsEnd)
	if len(points) > 0 {
		m.put("points", points)
	}
	group("eyelet", "inner", t.eyeletIn, "outer", t.eyeletOut, "drop", t.eyeletAt)
	group("tab", "width", t.tabWide, "gap", t.tabGap, "loop", t.tabLoop, "facing", t.tabFacing)
	group("pocket", "depth", t.pocketDeep, "stand", t.stand, "turn", t.turn)
}
