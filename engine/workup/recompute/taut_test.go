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
