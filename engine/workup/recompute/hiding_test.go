package recompute

// reSide is where in its pleat a seam is to lie.
type reSide int

const (
	reAnywhere reSide = iota // inside, clear of both sides
	reNearSide               // and in the quarter towards the return edge
	reFarSide                // and in the quarter towards the leading edge
)

// reChoice is the pleat that a seam is put into, and where in it; pleat -1 leaves it in a space.
type reChoice struct {
	pleat int
	side  reSide
}

// reScore is what an arrangement comes to: seams hidden, seams inside pleats, hidden or not, and how far take-ups differ.
type reScore struct {
	hidden, inside int
	spread         reSlope
}

// beats reports whether a is better than b: more hidden, then more inside, then take-ups nearer to each other.
func (a reScore) beats(b reScore) bool {
	switch {
	case a.hidden != b.hidden:
		return a.hidden > b.hidden
	case a.inside != b.inside:
		return a.inside > b.inside
	}
	return a.spread.less(b.spread)
}

// reHiding looks for the seams that pleats can hide together. All lengths are in cells.
type reHiding struct {
	bases   []int64 // where pleat k would start if no pleat before it consumed anything
	surplus int64   // what all pleats consume
	clear   int64   // a seam inside a pleat is so far from both its sides
	quarter int64   // a hidden seam is no farther from one of them than this; 0: as far as it likes
	most    int64   // greatest difference of two take-ups

	bar   *reScore // what is below this by more than close is of no use
	close int64

	seams   []int64
	options [][]reChoice // of each seam, those that pleats can do for it alone
	ahead   []reScore    // from each seam on, the most that their options come to
	choice  []reChoice   // of each seam looked at so far
	gates   []reGate
	found   bool
	reScore
	pleatsOf []reChoice
}

// best sets the score and pleatsOf, if the bar can be reached.
func (h *reHiding) best(seams []int64) {
	h.seams, h.found = seams, false
	h.look()
	h.choice = h.choice[:0]
	h.try(reScore{})
}

// counts is what a choice adds to a score.
func (h *reHiding) counts(c reChoice) (hidden, inside int) {
	if c.pleat < 0 {
		return 0, 0
	}
	if h.quarter > 0 && c.side == reAnywhere {
		return 0, 1
	}
	return 1, 1
}

// sides are those that a seam can be put on, the best first.
func (h *reHiding) sides() []reSide {
	if h.quarter > 0 {
		return []reSide{reNearSide, reFarSide, reAnywhere}
	}
	return []reSide{reAnywhere}
}

// look lists the options of each seam by itself.
func (h *reHiding) look() {
	h.options, h.ahead = h.options[:0], append(h.ahead[:0], make([]reScore, len(h.seams)+1)...)
	for j, x := range h.seams {
		var options []reChoice
		for _, side := range h.sides() {
			for k := range h.bases {
				if !h.within(k, x) {
					continue
				}
				h.choice = h.choice[:0]
				for range j {
					h.choice = append(h.choice, reChoice{pleat: -1})
				}
				h.choice = append(h.choice, reChoice{k, side})
				if t, ok := h.stretched(nil); ok && h.sewable(t) {
					options = append(options, reChoice{k, side})
				}
			}
		}
		h.options = append(h.options, append(options, reChoice{pleat: -1}))
	}
	for j := len(h.seams) - 1; j >= 0; j-- {
		hidden, inside := 0, 0
		for _, c := range h.options[j] {
			a, b := h.counts(c)
			hidden, inside = max(hidden, a), max(inside, b)
		}
		h.ahead[j] = reScore{hidden: h.ahead[j+1].hidden + hidden, inside: h.ahead[j+1].inside + inside}
	}
}

// sewable reports whether take-ups along a line differ by no more than they may, and none is less than nothing.
func (h *reHiding) sewable(t reTaut) bool {
	spread := t.spread()
	return t.least.rise >= 0 && spread.rise <= h.most*int64(spread.run)
}

func (h *reHiding) try(now reScore) {
	t, ok := h.stretched(nil)
	if !ok || !h.sewable(t) {
		return
	}
	j := len(h.choice)
	// What is still to come only narrows.
	most := reScore{now.hidden + h.ahead[j].hidden, now.inside + h.ahead[j].inside, t.spread()}
	if h.found && !most.beats(h.reScore) || h.bar != nil && !h.reaches(most) {
		return
	}
	if j == len(h.seams) {
		h.found, h.reScore = true, most
		h.pleatsOf = append(h.pleatsOf[:0], h.choice...)
		return
	}
	for _, c := range h.options[j] {
		hidden, inside := h.counts(c)
		h.choice = append(h.choice, c)
		h.try(reScore{hidden: now.hidden + hidden, inside: now.inside + inside})
		h.choice = h.choice[:j]
	}
}

// reaches reports whether a score comes up to the bar, as near as take-ups are told.
func (h *reHiding) reaches(score reScore) bool {
	if score.hidden == h.bar.hidden && score.inside == h.bar.inside {
		score.spread.rise -= h.close * int64(score.spread.run)
		return !h.bar.spread.less(score.spread)
	}
	return score.beats(*h.bar)
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
	for j, c := range h.choice {
		k := c.pleat
		if k < 0 {
			continue
		}
		if last := h.gates[len(h.gates)-1].at; k+1 < last {
			return reTaut{}, false
		}
		x := h.seams[j] - h.bases[k]
		before, after := reGate{k, 0, x - h.clear}, reGate{k + 1, x + h.clear, h.surplus}
		switch c.side {
		case reNearSide:
			before.low = max(0, x-h.quarter)
		case reFarSide:
			after.high = min(h.surplus, x+h.quarter)
		}
		h.gate(before, n)
		h.gate(after, n)
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

// evenly says whether a pleat hides a seam while all take up the same, and by so much to spare.
func (h *reHiding) evenly(x, spare int64) bool {
	n := int64(len(h.bases))
	for k, base := range h.bases {
		before, after := h.surplus*int64(k), h.surplus*int64(k+1)
		inside := (x-base-h.clear-spare)*n >= before && (x-base+h.clear+spare)*n <= after
		beside := (x-base-h.quarter+spare)*n <= before || (x-base+h.quarter-spare)*n >= after
		if inside && (h.quarter == 0 || beside) {
			return true
		}
	}
	return false
}
