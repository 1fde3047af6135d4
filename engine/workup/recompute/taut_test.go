package recompute

// Pleats set by hand hide seams by varying their take-ups. What they have consumed, drawn over their count, is a line from
// nothing to the whole surplus; a seam that is to be hidden in pleat k bounds that line above at k and below at k + 1. The
// line stretched taut between such bounds has both the flattest steepest and the steepest flattest stretch of all lines,
// so it tells the least difference of take-ups, in whole cells and without rounding.

// reGate bounds what the first pleats have consumed.
type reGate struct {
	at        int // pleats before it
	low, high int64
}

// reSlope is a take-up, as cells over pleats.
type reSlope struct {
	rise int64
	run  int
}

func (a reSlope) less(b reSlope) bool { return a.rise*int64(b.run) < b.rise*int64(a.run) }

// spread is b less a, as cells over run.
func (a reSlope) spread(b reSlope) reSlope {
	return reSlope{b.rise*int64(a.run) - a.rise*int64(b.run), a.run * b.run}
}

// reTaut is the taut line: the points where it bends, its least and its greatest slope.
type reTaut struct {
	bends       []reGate // each with low = high
	least, most reSlope
}

func (t reTaut) spread() reSlope { return t.least.spread(t.most) }

// reStretch stretches the line through the gates, the first and last of which are points; ok is false if a gate is shut.
// Bends are kept where bends is not nil, whose room is used.
func reStretch(gates []reGate, bends []reGate) (t reTaut, ok bool) {
	for _, g := range gates {
		if g.low > g.high {
			return reTaut{}, false
		}
	}
	t.bends = bends
	for here, y := 0, gates[0].low; here < len(gates)-1; {
		next, ny := reReach(gates, here, y)
		slope := reSlope{ny - y, gates[next].at - gates[here].at}
		if here == 0 || slope.less(t.least) {
			t.least = slope
		}
		if here == 0 || t.most.less(slope) {
			t.most = slope
		}
		here, y = next, ny
		if bends != nil {
			t.bends = append(t.bends, reGate{gates[here].at, y, y})
		}
	}
	return t, true
}

// reReach is the farthest point that the line reaches straight from gate here at y: where it must bend, or the end.
func reReach(gates []reGate, here int, y int64) (next int, ny int64) {
	var low, high reSlope
	lowAt, highAt := -1, -1
	for i := here + 1; i < len(gates); i++ {
		run := gates[i].at - gates[here].at
		toLow, toHigh := reSlope{gates[i].low - y, run}, reSlope{gates[i].high - y, run}
		if highAt >= 0 && high.less(toLow) {
			return highAt, gates[highAt].high
		}
		if lowAt >= 0 && toHigh.less(low) {
			return lowAt, gates[lowAt].low
		}
		if lowAt < 0 || !toLow.less(low) {
			low, lowAt = toLow, i
		}
		if highAt < 0 || !high.less(toHigh) {
			high, highAt = toHigh, i
		}
	}
	return len(gates) - 1, gates[len(gates)-1].low
}

// reHiding looks for the seams that pleats can hide together. All lengths are in cells.
type reHiding struct {
	bases   []int64 // where pleat k would start if no pleat before it consumed anything
	surplus int64   // what all pleats consume
	clear   int64   // a hidden seam is so far from both sides of its pleat
	most    int64   // greatest difference of two take-ups

	seams    []int64
	choice   []int // the pleat of each seam looked at so far, -1: left in a space
	gates    []reGate
	found    bool
	hidden   int
	spread   reSlope
	pleatsOf []int
}

// best sets hidden, spread and pleatsOf: most seams hidden, then the least spread.
func (h *reHiding) best(seams []int64) {
	h.seams, h.found, h.choice = seams, false, h.choice[:0]
	h.try(0)
}

func (h *reHiding) try(hidden int) {
	t, ok := h.stretched(nil)
	spread := t.spread()
	if !ok || t.least.rise < 0 || spread.rise > h.most*int64(spread.run) {
		return
	}
	left := len(h.seams) - len(h.choice)
	if h.found && (hidden+left < h.hidden || hidden+left == h.hidden && !spread.less(h.spread)) {
		return // what is still to come only narrows
	}
	if left == 0 {
		h.found, h.hidden, h.spread = true, hidden, spread
		h.pleatsOf = append(h.pleatsOf[:0], h.choice...)
		return
	}
	j := len(h.choice)
	for k := range h.bases {
		if h.within(k, h.seams[j]) {
			h.choice = append(h.choice, k)
			h.try(hidden + 1)
			h.choice = h.choice[:j]
		}
	}
	h.choice = append(h.choice, -1)
	h.try(hidden)
	h.choice = h.choice[:j]
}

// within says whether pleat k could come to lie over x at all: what comes before a pleat strays from its mean by no more
// than if all pleats on one side took the least and all on the other the most.
func (h *reHiding) within(k int, x int64) bool {
	n := int64(len(h.bases))
	stray := func(k int64) int64 { return h.most*k*(n-k)/n + 2 }
	low := h.bases[k] + h.surplus/n*int64(k) - stray(int64(k)) + h.clear
	high := h.bases[k] + (h.surplus/n+1)*int64(k+1) + stray(int64(k+1)) - h.clear
	return low <= x && x <= high
}

// stretched is the taut line with the seams where choice puts them, which go forward along the pleats.
func (h *reHiding) stretched(bends []reGate) (reTaut, bool) {
	n := len(h.bases)
	h.gates = append(h.gates[:0], reGate{0, 0, 0})
	for j, k := range h.choice {
		if k < 0 {
			continue
		}
		if last := h.gates[len(h.gates)-1].at; k+1 < last {
			return reTaut{}, false
		}
		x := h.seams[j] - h.bases[k]
		h.gate(reGate{k, 0, x - h.clear}, n)
		h.gate(reGate{k + 1, x + h.clear, h.surplus}, n)
	}
	h.gate(reGate{n, h.surplus, h.surplus}, n)
	return reStretch(h.gates, bends)
}

// gate adds a bound, to the one of the same place or the one before it where there is one.
func (h *reHiding) gate(g reGate, n int) {
	for i := max(0, len(h.gates)-2); i < len(h.gates); i++ {
		if h.gates[i].at == g.at {
			h.gates[i].low, h.gates[i].high = max(h.gates[i].low, g.low), min(h.gates[i].high, g.high)
			return
		}
	}
	h.gates = append(h.gates, g)
}
