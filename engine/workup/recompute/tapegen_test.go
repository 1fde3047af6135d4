package recompute

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

func (g *reGen) pickInt(of ...int) int { return of[g.Intn(len(of))] }

// tapeFor picks a tape that a heading can be sewn with, a new one where the order has none yet.
func (g *reGen) tapeFor(heading string) reTape {
	kind := "cartridge"
	if before, ok := strings.CutSuffix(heading, "-tape"); ok {
		kind = before
	}
	var fit []reTape
	for _, t := range g.o.tapes {
		if cmp.Or(t.kind, "cartridge") == kind {
			fit = append(fit, t)
		}
	}
	if len(fit) == 0 {
		return g.tape(kind)
	}
	return fit[g.Intn(len(fit))]
}

// nameTapes leaves the name of a tape out where it is the only one, and the tapes where nothing is sewn with any, now and then.
func (g *reGen) nameTapes() {
	sewn := slices.ContainsFunc(g.o.treatments, func(t reTreatment) bool { return t.onTape() })
	if !sewn && g.chance(2) {
		g.o.tapes = nil
	}
	for i := range g.o.treatments {
		if len(g.o.tapes) == 1 && g.chance(2) {
			g.o.treatments[i].tape = ""
		}
	}
}

// tape gives the order one more tape of a kind, and returns it.
func (g *reGen) tape(kind string) reTape {
	if kind == "pencil" || kind == "wave" {
		g.o.tapes = append(g.o.tapes, g.flowTape(reTape{id: fmt.Sprintf("%s-%d", kind, len(g.o.tapes)), kind: kind, height: g.length(1, 6, 4)}))
		return g.o.tapes[len(g.o.tapes)-1]
	}
	u := reUnits(g.o.unit)
	inches := g.inch != g.chance(6) // one system in a tape, so that widths are met exactly now and then
	t := reTape{
		id: fmt.Sprintf("%s-%d", kind, len(g.o.tapes)), kind: kind,
		space: g.lengthIn(inches, 1.25, 4, 4), height: g.length(2, 6, 4), cords: 1 + g.Intn(4),
		topDrop: g.maybe(3, 0, 1, 8), beyond: g.maybe(3, 0.5, 2, 4), insert: g.maybe(2, 5, 16, 2),
		fold: g.maybe(6, 3, 6, 4), base: g.maybe(5, 0.0625, 0.5, 16), easeEach: g.maybe(5, 0, 0.25, 32),
	}
	low := 1.5
	if g.chance(12) {
		t.space, low = g.lengthIn(inches, 0.75, 2, 4), 1 // narrow spaces: tubes near each other, short tails
	}
	takeUp := g.lengthIn(inches, low, 5, 4)
	t.period = g.exact(t.space.add(takeUp.reNum), inches)
	if g.chance(2) {
		t.least = g.lengthIn(inches, 0.25, 0.75, 8)
		most := t.least.add(g.lengthIn(inches, 0, []float64{0.4, 3}[g.Intn(2)], 8).reNum)
		nominal := t.least.add(most).half()
		if g.chance(3) {
			nominal = t.least.reNum
		}
		t.most, t.nominal = g.exact(most, inches), g.exact(nominal, inches)
	} else if g.chance(4) {
		t.nominal = g.exact(u.least, g.inch)
	}
	switch {
	case kind == "pinch":
		t.insert = reLen{}
		t.ends, t.fingers = g.pick("", "mid_space", "flat", "flat"), g.pickInt(0, 2, 3, 4)
		if t.ends == "flat" {
			t.least, t.most, t.nominal, t.easeEach = reLen{}, reLen{}, reLen{}, reLen{}
		}
	case g.chance(2):
		t.kind = "" // of the cartridge, which is what none says
	}
	g.o.tapes = append(g.o.tapes, t)
	return t
}
