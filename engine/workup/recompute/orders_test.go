package recompute

import (
	"fmt"
	"math/rand"
	"strings"
)

// reGen makes random orders, each a whole workroom order with its own practice and its own ways of writing a length.
type reGen struct {
	*rand.Rand
	o    reOrder
	inch bool // the order is in inches
	turn int  // number of the order: its first treatment goes through all combinations in turn
}

// chance is true once in n.
func (g *reGen) chance(n int) bool { return g.Intn(n) == 0 }

func (g *reGen) pick(words ...string) string { return words[g.Intn(len(words))] }

// length is one between low and high inches, on an inch grid of 1/den in or its metric like, written in one of many ways;
// one in six takes the other system.
func (g *reGen) length(low, high float64, den int64) reLen {
	return g.lengthIn(g.inch != g.chance(6), low, high, den)
}

func (g *reGen) lengthIn(inches bool, low, high float64, den int64) reLen {
	at := low + g.Float64()*(high-low)
	if !inches {
		grid := 25.4 / float64(den) // a coarse inch grid makes a coarse metric one
		if grid > 5 {
			return g.metric(int64(at*25.4/5) * 5)
		}
		return g.metric(int64(at * 25.4))
	}
	return g.imperial(int64(at*float64(den)), den)
}

// metric writes whole millimetres.
func (g *reGen) metric(mm int64) reLen {
	l := reLen{reNum: reMM(mm)}
	digits := func(shift int) string {
		s := fmt.Sprintf("%0*d", shift+1, mm)
		s = s[:len(s)-shift] + "." + s[len(s)-shift:]
		return strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
	}
	mms, cms, ms := fmt.Sprint(mm), digits(1), digits(3)
	forms := []string{mms + "mm", mms + " mm", cms + " cm", cms + "cm", ms + "m", ms + " m"}
	switch g.o.unit {
	case "mm":
		forms = append(forms, mms, mms, mms, mms, mms, mms)
	case "cm":
		forms = append(forms, cms, cms, cms, cms, cms, cms)
	}
	l.text = g.pick(forms...)
	return l
}

// imperial writes num/den inches.
func (g *reGen) imperial(num, den int64) reLen {
	l := reLen{reNum: reFrac(num, den)}
	whole := num / den
	rest := reFrac(num-whole*den, den)
	words := fmt.Sprint(whole)
	hyphened := words
	if rest.sign() != 0 {
		words, hyphened = fmt.Sprintf("%d %s", whole, rest.r), fmt.Sprintf("%d-%s", whole, rest.r)
		if whole == 0 {
			words, hyphened = rest.r.String(), rest.r.String()
		}
	}
	forms := []string{words + `"`, hyphened + `"`, words + " in", words + "in"}
	if signs := map[string]string{"1/2": "½", "1/4": "¼", "3/4": "¾"}; signs[rest.r.String()] != "" && whole > 0 {
		forms = append(forms, fmt.Sprintf(`%d%s"`, whole, signs[rest.r.String()]))
		if g.inch {
			forms = append(forms, fmt.Sprintf(`%d%s`, whole, signs[rest.r.String()]))
		}
	}
	if g.inch {
		forms = append(forms, words, words, words, words, l.String())
		if rest.sign() == 0 && g.chance(10) {
			forms = append(forms, "0"+words) // leading zeros don't make it octal
		}
	}
	if feet := whole / 12; feet > 0 {
		if remain := l.sub(reInt(feet * 12)); remain.sign() != 0 && remain.r.IsInt() {
			forms = append(forms, fmt.Sprintf(`%d' %s"`, feet, remain))
		}
	}
	if yards := l.div(reInt(36)); yards.times(8).r.IsInt() && reInt(1).less(yards) {
		if y := int64(yards.floor()); yards.r.IsInt() {
			forms = append(forms, fmt.Sprintf("%d yd", y))
		} else {
			forms = append(forms, fmt.Sprintf("%d %s yd", y, yards.sub(reInt(y)).r))
		}
	}
	l.text = g.pick(forms...)
	return l
}

// maybe leaves a length out unless the chance of one in n comes up.
func (g *reGen) maybe(n int, low, high float64, den int64) reLen {
	if g.chance(n) {
		return g.length(low, high, den)
	}
	return reLen{}
}

// What the first treatments of the orders go through in every combination, with quantities 1 to 5 and lined or not.
var (
	reUnitNames = []string{"in", "cm", "mm"}
	reDraws     = []string{"pair", "one_way_left", "one_way_right", "stationary_pair", "stationary"}
	reCloths    = []string{"plain", "straight", "half_drop"}
	reHeadings  = []string{"cartridge-tape", "pinch-2", "pinch-3", "pinch-tape", "cartridge-hand", "goblet", "box", "inverted-box",
		"pencil-tape", "rod-pocket", "eyelet", "tab", "ring", "wave-tape"}
)

// reRandomOrder makes order number turn from a seed.
func reRandomOrder(seed int64, turn int) (reOrder, *rand.Rand) {
	g := &reGen{Rand: rand.New(rand.NewSource(seed + int64(turn))), turn: turn}
	g.o = reOrder{id: fmt.Sprintf("RC-%05d", turn), unit: reUnitNames[turn%3]}
	g.inch = g.o.unit == "in"
	g.conventions()
	g.ownFigures()
	g.ownHeadings()
	for range 1 + g.Intn(2) {
		g.tape(g.pick("cartridge", "cartridge", "pinch"))
	}
	g.o.fabrics = append(g.o.fabrics, g.face(0, reCloths[turn/75%3]))
	if g.chance(2) {
		g.o.fabrics = append(g.o.fabrics, g.face(1, g.pick(reCloths...)))
	}
	g.o.fabrics = append(g.o.fabrics, g.under("sateen", "lining"), g.under("domette", "interlining"))
	for i := range 1 + g.Intn(3) {
		g.o.treatments = append(g.o.treatments, g.treatment(i))
	}
	g.placeMotifs()
	g.hangTogether()
	g.turnSome()
	g.edge()
	g.limits()
	g.dropUnused()
	g.nameTapes()
	g.fittings()
	for _, tr := range g.o.treatments {
		g.o.results = append(g.o.results, g.o.treatment(tr))
	}
	g.bolts()
	return g.o, g.Rand
}

// exact writes a length that was computed on the inch or the millimetre grid.
func (g *reGen) exact(v reNum, inches bool) reLen {
	if inches {
		return g.imperial(v.r.Num().Int64(), v.r.Denom().Int64())
	}
	return reLen{v, v.div(reMM(1)).String() + "mm"}
}

func (g *reGen) face(i int, cloth string) reFabric {
	f := reFabric{
		id: fmt.Sprintf("face-%d", i), use: "face", oneWay: g.chance(4),
		thickness: g.maybe(4, 0, 0.15, 64), usable: g.length(36, 118, 8),
	}
	if g.chance(2) {
		f.usable = g.length(45, 60, 4)
	}
	g.faceCloth(&f)
	if g.chance(3) {
		narrower := g.length(0, 1.75, 8)
		match := f.usable.sub(narrower.reNum)
		f.matchWidth = g.exact(match, false) // maybe of both systems; an eighth of an inch is 3.175 mm exactly
	}
	g.matchMotifs(&f)
	switch cloth {
	case "straight":
		f.repeat, f.match = g.length(4, 30, 8), g.pick("straight", "")
	case "half_drop":
		f.repeat, f.match = g.length(4, 30, 8), "half_drop"
	default:
		if g.chance(4) {
			f.repeat = reLen{reInt(0), "0"}
		}
	}
	if g.chance(3) {
		f.mass = g.mass()
	}
	return f
}

func (g *reGen) under(id, use string) reFabric {
	f := reFabric{id: id, use: use, usable: g.length(44, 110, 4), oneWay: g.chance(8)}
	if use == "lining" && g.chance(12) {
		f.shrink, f.shrinkWide = g.percent(8), g.percent(5)
	}
	if g.chance(3) {
		f.mass = g.mass()
	}
	return f
}
