package recompute

import (
	"cmp"
	"slices"
)

// reFigures are what a shop goes by of one heading, where it isn't as most do; what is absent is as its row has it.
type reFigures struct {
	fullness, fullLow, fullHigh    reLen // plain numbers
	spaceLow, spaceHigh, spaceBest reLen
	takeLow, takeHigh              reLen
	perWidth                       int
	pitchLow, pitchHigh, pitchBest reLen
	ends, parity                   string
	end, inset, fold               reLen
}

func (f reFigures) nodes() reMap {
	var m reMap
	for _, l := range []struct {
		key string
		of  reLen
	}{
		{"fullness", f.fullness}, {"fullness_min", f.fullLow}, {"fullness_max", f.fullHigh}, {"space_min", f.spaceLow}, {"space_max", f.spaceHigh},
		{"preferred_space", f.spaceBest}, {"take_up_min", f.takeLow}, {"take_up_max", f.takeHigh}, {"pitch_min", f.pitchLow}, {"pitch_max", f.pitchHigh},
		{"preferred_pitch", f.pitchBest}, {"end", f.end}, {"inset", f.inset}, {"heading_fold", f.fold},
	} {
		m.length(l.key, l.of)
	}
	m.count("pleats_per_width", f.perWidth)
	m.text("ends", f.ends)
	m.text("parity", f.parity)
	return m
}

// rowOf is the row of a heading set by hand as the shop goes by it.
func (o reOrder) rowOf(heading string) reRow {
	r, _ := reRowOf(heading, o.unit)
	f := o.figures[heading]
	r.fullness, r.fullLow, r.fullHigh = f.fullness.or(r.fullness), f.fullLow.or(r.fullLow), f.fullHigh.or(r.fullHigh)
	r.spaceLow, r.spaceHigh, r.spaceBest = f.spaceLow.or(r.spaceLow), f.spaceHigh.or(r.spaceHigh), f.spaceBest.or(r.spaceBest)
	r.takeLow, r.takeHigh = f.takeLow.or(r.takeLow), f.takeHigh.or(r.takeHigh)
	r.perWidth = f.perWidth
	if r.perWidth == 0 {
		r.perWidth = o.conv.pleatsPerWidth
	}
	return r
}

// flowOf is the row of a heading without pleats as the shop goes by it.
func (o reOrder) flowOf(heading string) reFlow {
	r, _ := reFlowOf(heading, o.unit)
	f, u := o.figures[heading], reUnits(o.unit)
	if r.fullness.given() {
		r.fullness = f.fullness.or(r.fullness)
	}
	r.fullLow, r.fullHigh = f.fullLow.or(r.fullLow), f.fullHigh.or(r.fullHigh)
	if r.holds == "points" {
		r.pitchLow, r.pitchHigh, r.pitchFor = f.pitchLow.or(r.pitchLow), f.pitchHigh.or(r.pitchHigh), f.pitchBest.or(r.pitchFor)
		r.end, r.inset = f.end.or(u.small(reInt(2), 50)), f.inset.or(u.small(reFrac(1, 2), 12))
		if f.ends != "" {
			r.ends = f.ends
		}
		if f.parity != "" {
			r.even = f.parity == "even"
		}
	}
	return r
}

// foldFor is the depth of a heading's turn that neither window nor tape gives.
func (o reOrder) foldFor(heading string) reNum { return o.figures[heading].fold.or(o.conv.headingFold) }

// ownFigures has the shop go by figures of its own for some headings that no tape sets.
func (g *reGen) ownFigures() {
	if !g.chance(5) {
		return
	}
	headings := slices.DeleteFunc(slices.Clone(reHeadings), func(h string) bool { return reTreatment{heading: h}.setByTape() })
	g.o.figures = map[string]reFigures{}
	for range 1 + g.Intn(8) {
		heading := g.pick(headings...)
		flow, flows := reFlowOf(heading, "in")
		row, _ := reRowOf(heading, "in")
		var f reFigures
		if g.chance(3) && heading != "wave-tape" {
			f.fullness = g.ratio(130, 300)
		}
		if g.chance(3) && (flows || row.pinched()) {
			f.fullLow, f.fullHigh = g.ratio(105, 200), g.ratio(200, 350)
		}
		if g.chance(3) && flow.top != "pocket" && flow.top != "seam" {
			f.fold = g.length(1, 6, 4)
		}
		if flow.holds == "points" {
			g.pointFigures(heading, &f)
		}
		if !flows {
			g.pleatFigures(row, &f)
		}
		g.o.figures[heading] = f
	}
}

func (g *reGen) pointFigures(heading string, f *reFigures) {
	if g.chance(3) {
		f.pitchLow, f.pitchHigh, f.pitchBest = g.span(3, 8, 4)
	}
	if g.chance(3) {
		f.ends = g.pick("half_pitch", "fixed", "inset", map[bool]string{true: "tab", false: "fixed"}[heading == "tab"])
	}
	f.end, f.inset = g.maybe(3, 0.5, 4, 8), g.maybe(3, 0, 2, 8)
	if g.chance(3) {
		f.parity = g.pick("even", "any")
	}
}

func (g *reGen) pleatFigures(row reRow, f *reFigures) {
	if g.chance(3) {
		f.spaceLow, f.spaceHigh, f.spaceBest = g.span(2, 5, 4)
	}
	if g.chance(3) {
		f.takeLow, f.takeHigh, _ = g.span(2, 6, 6)
	}
	if row.pinched() && g.chance(3) {
		f.perWidth = 3 + g.Intn(6)
	}
}

// span is a range that begins between low and high and is up to so wide, and the middle of it.
func (g *reGen) span(low, high, wide float64) (from, to, middle reLen) {
	for !middle.given() {
		from = g.length(low, high, 4)
		to = g.exactly(from.add(g.length(0.5, wide, 4).reNum))
		middle = g.exactly(from.add(to.or(reInt(0))).half())
	}
	return from, to, middle
}

// figureNodes are the figures as an order file has them, in an order of their own.
func (o reOrder) figureNodes() reMap {
	var m reMap
	for _, heading := range reHeadings {
		own := o.figures[heading].nodes()
		if o.renamed[heading] {
			own = append(reMap{{"like", heading}, {"name", reName(heading)}}, own...)
		}
		if len(own) > 0 {
			m.put(o.keyOf(heading), own)
		}
	}
	return m
}

// keyOf is the key that the file has for a heading.
func (o reOrder) keyOf(heading string) string {
	heading = cmp.Or(heading, "cartridge-tape")
	if o.renamed[heading] {
		return "house-" + heading
	}
	return heading
}

// reName is what an own heading is called.
func reName(like string) string { return "House " + like }

// ownHeadings has the file make some of its headings anew, under a key and a name of their own.
func (g *reGen) ownHeadings() {
	g.o.renamed = map[string]bool{}
	for _, heading := range reHeadings {
		g.o.renamed[heading] = g.chance(8)
	}
}
