package recompute

import "slices"

// reHandSplit is the best that trimming and varying the take-ups can do for the seams. Trims of which no rule prefers one are
// all in trims, the second program's own first; takeUps are a sample for that one.
type reHandSplit struct {
	trims          []reNum
	hidden, inside int
	spread         reNum
	takeUps        []reNum
}

// reHandTrim is one trim at the return edge, and what it comes to: seams near an edge, and the best that pleats do with it.
type reHandTrim struct {
	at   int64
	near int
	reScore
}

// before says whether a is better than b but for the trims themselves.
func (a reHandTrim) before(b reHandTrim) bool {
	if a.near != b.near {
		return a.near < b.near
	}
	return a.beats(b.reScore)
}

// reGrain is the cells of a nanometre for each space: a half nanometre of finished width, shared among the spaces and halved
// once more for a half space, is still whole.
const reGrain = 4

// cell is the unit of the search.
func (h reHand) cell() reNum { return reMM(1).div(reInt(int64(reGrain * 1_000_000 * h.spaces(h.n)))) }

func (h reHand) cells(v reNum) int64 {
	cells := v.div(h.cell())
	if !cells.r.IsInt() || !cells.r.Num().IsInt64() {
		panic("recompute: a length is not whole in cells: " + v.String())
	}
	return cells.r.Num().Int64()
}

// hiding sets the search for hidden seams up.
func (h reHand) hiding() *reHiding {
	s := &reHiding{
		surplus: h.cells(h.flat.sub(h.asked)), clear: h.cells(reSeamClear), most: h.cells(reMostSpread.add(reNanometres(2))), close: h.cells(reNanometres(4)),
		bases: make([]int64, h.n),
	}
	if !h.row.pinched() {
		s.quarter = s.surplus / int64(4*h.n) // of the mean take-up; cut down to a cell, which is why most has two nanometres more
	}
	for k := range s.bases {
		s.bases[k] = h.cells(h.base(k))
	}
	return s
}

// split tries every trim that the step allows; of equals the last, which leaves the smallest trim at the leading edge.
func (h reHand) split() reHandSplit {
	if h.forced != nil {
		return h.splitOf(reInt(0))
	}
	if quick, ok := h.evenSplit(); ok {
		return quick
	}
	return h.splitOf(reInt(0))
}

// splitAt is the split with one trim.
func (h reHand) splitAt(trim reNum) reHandSplit { return h.splitOf(trim) }

// splitOf tries the trims from one on.
func (h reHand) splitOf(from reNum) reHandSplit {
	s := h.hiding()
	surplus, step, flat, edgeClear := h.cells(h.surplus), h.cells(h.step), h.cells(h.flat), h.cells(h.edgeClear)
	untrimmed := h.untrimmed()
	var best reHandTrim
	var tried []reHandTrim
	seams := make([]int64, len(untrimmed))
	at, last := h.cells(from), surplus
	if h.forced != nil {
		at = h.cells(h.forced(h.flat))
		last = at
	}
	for ; at <= last; at += step {
		now := reHandTrim{at: at}
		for i, x := range untrimmed {
			seams[i] = x - at
			if seams[i] < edgeClear || flat-seams[i] < edgeClear {
				now.near++
			}
		}
		if len(tried) > 0 && now.near > best.near {
			continue
		}
		s.bar = nil
		if len(tried) > 0 && now.near == best.near {
			s.bar = &best.reScore
		}
		if s.best(seams); !s.found {
			continue
		}
		now.reScore = s.reScore
		if len(tried) == 0 || !best.before(now) {
			best = now
		}
		tried = append(tried, now)
	}
	return h.settled(s, best, tried, untrimmed)
}

// untrimmed are the seams in cells.
func (h reHand) untrimmed() []int64 {
	cells := make([]int64, len(h.seams))
	for i, x := range h.seams {
		cells[i] = h.cells(x)
	}
	return cells
}

// evenSplit looks from the greatest trim down for one at which equal take-ups hide every seam, none of them near an edge: nothing
// comes before it. ok is false where there is none, or where a seam before it is on the very edge of being hidden.
func (h reHand) evenSplit() (reHandSplit, bool) {
	surplus, step, flat, edgeClear := h.cells(h.surplus), h.cells(h.step), h.cells(h.flat), h.cells(h.edgeClear)
	s, untrimmed := h.hiding(), h.untrimmed()
	seams := make([]int64, len(untrimmed))
	for at := surplus / step * step; at >= 0; at -= step {
		clear, nearly := true, true
		for i, x := range untrimmed {
			seams[i] = x - at
			clear = clear && seams[i] >= edgeClear && flat-seams[i] >= edgeClear
			nearly = nearly && s.evenly(seams[i], -s.close)
		}
		switch {
		case !clear || !nearly:
		case slices.ContainsFunc(seams, func(x int64) bool { return !s.evenly(x, s.close) }):
			return reHandSplit{}, false
		default:
			s.best(seams)
			return h.settled(s, reHandTrim{at: at, reScore: s.reScore}, nil, untrimmed), true
		}
	}
	return reHandSplit{}, false
}

// settled fills the answer in for the best trim, and lists the others that differ from it by less than a nanometre's rounding
// of take-ups can tell.
func (h reHand) settled(s *reHiding, best reHandTrim, tried []reHandTrim, untrimmed []int64) reHandSplit {
	cell := h.cell()
	seams := make([]int64, len(untrimmed))
	for i, x := range untrimmed {
		seams[i] = x - best.at
	}
	s.bar = nil
	s.best(seams)
	exact := func(v reSlope) reNum { return cell.mul(reFrac(v.rise, int64(v.run))) }
	out := reHandSplit{trims: []reNum{cell.mul(reFrac(best.at, 1))}, hidden: s.hidden, inside: s.inside, spread: exact(s.spread)}
	for _, other := range tried {
		alike := other.near == best.near && other.hidden == best.hidden && other.inside == best.inside && other.at != best.at
		same := !other.spread.less(best.spread) && !best.spread.less(other.spread)
		if alike && !same && exact(other.spread).within(out.spread, reNanometres(3)) {
			out.trims = append(out.trims, cell.mul(reFrac(other.at, 1)))
		}
	}
	s.choice = append(s.choice[:0], s.pleatsOf...)
	t, _ := s.stretched([]reGate{})
	from := reGate{}
	for _, to := range t.bends {
		for range to.at - from.at {
			out.takeUps = append(out.takeUps, exact(reSlope{to.low - from.low, to.at - from.at}))
		}
		from = to
	}
	return out
}

func reNanometres(n int) reNum { return reMM(1).div(reInt(1_000_000)).times(n) }
