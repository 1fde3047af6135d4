package recompute

import "slices"

// on is the panel on another flat width; the rest of what its widths give is trimmed.
func (h reHand) on(flat reNum) reHand {
	h.flat, h.surplus = flat, h.available.sub(flat)
	if h.forced != nil {
		h.surplus = h.whole.sub(flat)
	}
	return h
}

// with is the panel with so many pleats.
func (h reHand) with(n int) reHand {
	h.n = n
	return h
}

// cutDown is the panel when so much of its cloth is not used at all.
func (h reHand) cutDown(by reNum) reHand {
	h.available = h.available.sub(by)
	return h.on(h.available)
}

// perCloth is how many pleats the cloth would have by so many in 54 in, exactly.
func (h reHand) perCloth() reNum { return h.flat.add(h.hemmed).times(h.each).div(reInt(54)) }

// suits puts the panel on the flat width that its pleats want: the one it has; less of it, though not under the slack, or more,
// though not over what the widths give, where that brings the mean take-up into its range. ok is false where it stays out.
func (h reHand) suits() (on reHand, ok bool) {
	least, most := h.asked.add(h.row.takeLow.times(h.n)), h.asked.add(h.row.takeHigh.times(h.n))
	switch {
	case h.flat.between(least, most):
		return h, true
	case h.keep:
		return h, false
	case most.less(h.flat):
		return h.on(most), h.enough.atMost(most)
	}
	return h.on(least), least.atMost(h.available)
}

// counts are the numbers of pleats that the rule allows on the cloth as it is, each on its flat width, the preferred first.
func (h reHand) counts() []reHand {
	switch {
	case h.given > 0:
		h = h.with(h.given)
	case h.byRanges:
		h = h.nearestRanges()
	case !h.row.pinched():
		list := h.inRange()
		slices.SortStableFunc(list, func(a, b reHand) int { return a.fromBest().r.Cmp(b.fromBest().r) })
		if len(list) > 0 {
			return list
		}
		h = h.nearestRanges()
	case h.rule == "ranges":
		h = h.nearestRanges()
	case h.rule == "per_width":
		exact := h.usable.times(h.each * h.joined.halves).div(reInt(2 * 54))
		low, high := max(exact.floor(), h.least()), max(exact.ceil(), h.least())
		h = h.with(h.bestBy(low, high, func(n int) []reNum { return []reNum{h.spaceOf(n).sub(h.row.spaceBest).abs()} }))
	default:
		list := h.inRange()
		slices.SortStableFunc(list, func(a, b reHand) int {
			if c := a.perCloth().sub(reInt(int64(a.n))).abs().r.Cmp(b.perCloth().sub(reInt(int64(b.n))).abs().r); c != 0 {
				return c
			}
			return a.fromBest().r.Cmp(b.fromBest().r)
		})
		if len(list) > 0 {
			return list
		}
		h = h.with(max(2, reNearest(h.perCloth())))
	}
	if on, ok := h.suits(); ok && !h.byRanges && on.flat.less(h.flat) {
		h = on
	}
	return []reHand{h}
}

// inRange are the counts of which spaces and take-ups are in their ranges, each on the flat width that suits it, the fewest first.
func (h reHand) inRange() []reHand {
	var list []reHand
	for n := h.least(); n <= reUpTo(h); n++ {
		if !h.spaceOf(n).between(h.row.spaceLow, h.row.spaceHigh) {
			continue
		}
		if on, ok := h.with(n).suits(); ok {
			list = append(list, on)
		}
	}
	return list
}

// fromBest is how far the space is from the one preferred.
func (h reHand) fromBest() reNum { return h.spaceOf(h.n).sub(h.row.spaceBest).abs() }

// nearestRanges is the count that is least out of the ranges on the cloth as it is: of spaces first, then of take-ups.
func (h reHand) nearestRanges() reHand {
	return h.with(h.bestBy(h.least(), reUpTo(h), func(n int) []reNum {
		on := h.with(n)
		return []reNum{
			h.spaceOf(n).beyond(h.row.spaceLow, h.row.spaceHigh), h.takeUpOf(n).beyond(h.row.takeLow, h.row.takeHigh), on.fromBest(),
		}
	}))
}

// best is the panel with the pleats that leave fewest seams in view, its own and those of a mate that has as many pleats. Where the widths
// give less than is asked and a seam shows, cloth within the slack is cut off at the return, the least that hides most.
func (h reHand) best() (best reHand, split reHandSplit) {
	shown := -1
	for _, on := range h.counts() {
		s := on.split()
		if now := on.shown(s); shown < 0 || now < shown {
			best, split, shown = on, s, now
		}
		if shown == 0 {
			return best, split
		}
	}
	if h.keep || !h.available.less(h.wanted.toNanometre()) {
		return best, split
	}
	near := best.near(split)
	for off := h.step; h.enough.atMost(h.available.sub(off)) && shown > 0; off = off.add(h.step) {
		for _, on := range h.cutDown(off).counts() {
			if !on.flat.equal(on.available) {
				continue
			}
			on.available = h.available
			if on.forced == nil {
				on.surplus = off
			}
			s := on.splitAt(off)
			if now := on.shown(s); now < shown && on.near(s) <= near {
				best, split, shown = on, s, now
			}
		}
	}
	return best, split
}

// shown counts the seams in view.
func (h reHand) shown(split reHandSplit) int {
	count := len(h.seams) - split.hidden
	if mate, ok := h.mate(); ok {
		count += mate.shown(mate.split())
	}
	return count
}

// mate is the other panel with as many pleats, which goes by this one no more.
func (h reHand) mate() (mate reHand, ok bool) {
	mate = h
	mate.forced, mate.mates = h.mates, nil
	return mate, h.mates != nil
}

// near counts the seams nearer to a finished edge than the practice likes.
func (h reHand) near(split reHandSplit) int {
	count := 0
	for _, x := range h.seamsAt(split.trims[0]) {
		if x.less(h.edgeClear) || h.flat.sub(x).less(h.edgeClear) {
			count++
		}
	}
	if mate, ok := h.mate(); ok {
		count += mate.near(mate.split())
	}
	return count
}
