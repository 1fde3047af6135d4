package recompute

// reSolved is the answer of a tape heading to a finished width.
type reSolved struct {
	n       int
	e       reNum // end margin
	reached reNum // finished width
	opened  reNum // ease a pleat, 0 where none is used
	below   *reSolved
	failed  string // code of the error, "" where solved
	wide    bool   // the margin is over its greatest
}

func (d reTapeData) width(n int, e reNum) reNum { return d.unit.times(n).add(e.times(2)) }
func (d reTapeData) flat(n int, e reNum) reNum  { return d.period.times(n).add(e.times(2)) }

// fitting lists the margins of every count that meets the width exactly, by count.
func (d reTapeData) fitting(asked reNum) map[int]reNum {
	fits := map[int]reNum{}
	for n := 1; d.width(n, d.least).atMost(asked); n++ {
		e := asked.sub(d.unit.times(n)).half()
		if d.least.atMost(e) && e.atMost(d.most) {
			fits[n] = e
		}
	}
	return fits
}

// solve tries every count of pleats. halves gives the half widths of cloth that a flat width takes.
func (d reTapeData) solve(asked reNum, given int, halves func(flat reNum) int) reSolved {
	zero := reInt(0)
	if asked.less(d.width(1, d.least)) { // whatever the count
		return reSolved{failed: "too_narrow"}
	}
	if given > 0 {
		e := asked.sub(d.unit.times(given)).half()
		if e.less(d.least) {
			return reSolved{failed: "pleat_out_of_range"}
		}
		return reSolved{n: given, e: e, reached: asked, opened: zero, wide: d.most.less(e)}
	}
	if fits := d.fitting(asked); len(fits) > 0 {
		best := 0
		for n, e := range fits {
			if best == 0 || d.better(n, e, best, fits[best], halves) {
				best = n
			}
		}
		return reSolved{n: best, e: fits[best], reached: asked, opened: zero}
	}
	under, over := 0, 0
	for n := 1; over == 0; n++ {
		if d.width(n, d.most).atMost(asked) {
			under = n
		}
		if asked.atMost(d.width(n, d.least)) {
			over = n
		}
	}
	below := reSolved{n: under, e: d.most, reached: d.width(under, d.most), opened: zero}
	if opened := asked.sub(below.reached).div(reInt(int64(under))); opened.atMost(d.ease) {
		return reSolved{n: under, e: d.most, reached: asked, opened: opened}
	}
	return reSolved{n: over, e: d.least, reached: d.width(over, d.least), opened: zero, below: &below}
}

// better: margin nearer the nominal, then fewer widths, then fewer pleats.
func (d reTapeData) better(n int, e reNum, m int, f reNum, halves func(reNum) int) bool {
	a, b := e.sub(d.nominal).abs(), f.sub(d.nominal).abs()
	if !a.equal(b) {
		return a.less(b)
	}
	if a, b := halves(d.flat(n, e)), halves(d.flat(m, f)); a != b {
		return a < b
	}
	return n < m
}

// reSplit is where the surplus is trimmed and where that puts the seams, from the return edge.
type reSplit struct {
	trimReturn, trimLead reNum
	seams                []reNum
	inPleats, hidden     int
	shows                bool
}

// split tries every trim at the return edge that the step allows.
func (d reTapeData) split(s reLayout, forced reNum, j reJoined, usable, join, hems, atReturn, step, edgeClear reNum) reSplit {
	flat := s.flat
	surplus := j.available.sub(flat).sub(hems)
	untrimmed := reSeams(j, usable, join, atReturn)
	clear := reFrac(1, 8)
	g := reGrid(append([]reNum{surplus, step, flat, edgeClear, clear, s.first, d.period, d.takeUp, forced.or(reInt(0))}, untrimmed...)...)
	pleats := reComb{first: g[5], pitch: g[6], takeUp: g[7], clear: g[4], n: s.n, folded: d.pinched}
	var best [5]int64
	bestTrim := int64(-1)
	from, last := int64(0), g[0]
	if forced.given() {
		from, last = g[8], g[8]
	}
	for t := from; t <= last; t += g[1] {
		key := [5]int64{4: g[0] - t}
		for _, x0 := range g[9:] {
			x := x0 - t
			if x < g[3] || g[2]-x < g[3] {
				key[0]++
			}
			v := pleats.visible(x)
			if v == 2*pleats.takeUp {
				key[1]++
			}
			key[2] = max(key[2], v)
			key[3] += v
		}
		if bestTrim < 0 || reBefore(key, best) {
			best, bestTrim = key, t
		}
	}
	out := reSplit{trimReturn: forced.or(step.times(int(bestTrim / g[1])))}
	out.trimLead = surplus.sub(out.trimReturn)
	for i, x0 := range g[9:] {
		out.seams = append(out.seams, untrimmed[i].sub(out.trimReturn))
		switch v := pleats.visible(x0 - bestTrim); {
		case v > pleats.takeUp:
			out.shows = true
		case 2*v <= pleats.takeUp:
			out.hidden++
			fallthrough
		default:
			out.inPleats++
		}
	}
	return out
}

func reBefore(a, b [5]int64) bool {
	for i := range a {
		if a[i] != b[i] {
			return a[i] < b[i]
		}
	}
	return false
}

// reComb is the take-ups along the flat panel, in cells of one grid.
type reComb struct {
	first, pitch, takeUp, clear int64
	n                           int
	folded                      bool // a fold shows nothing of what lies inside
}

// visible is the visibility of a seam at x times the take-up, to stay whole: 0 at the base of a tube, takeUp on its nose,
// twice the takeUp in a space.
func (c reComb) visible(x int64) int64 {
	for k := range c.n {
		o := x - c.first - int64(k)*c.pitch
		if o >= c.clear && c.takeUp-o >= c.clear {
			if c.folded {
				return 0
			}
			return 2 * min(o, c.takeUp-o)
		}
	}
	return 2 * c.takeUp
}

// reUp is the least whole number of steps not below v.
func reUp(v, step reNum) reNum { return step.times(v.div(step).ceil()) }
