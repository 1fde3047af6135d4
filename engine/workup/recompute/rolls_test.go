package recompute

import "slices"

// rePiece is the tape of one panel: its pleats, and the tape before its first dot and after its last one.
type rePiece struct {
	pleats      int
	alpha, beta reNum
}

// reCeil divides and rounds up, reFloor down; b is over 0.
func reCeil(a, b int64) int64 { return -reFloor(-a, b) }

func reFloor(a, b int64) int64 {
	if a%b < 0 {
		return a/b - 1
	}
	return a / b
}

// reTapeUsed is the least tape that the pieces take in any order; only the sum is wanted, so ties don't matter. Pieces
// with the same tape beside their dots are alike but for their pleats, which only add up.
func reTapeUsed(period reNum, pieces []rePiece) reNum {
	pleats := 0
	var kinds []rePiece
	var counts []int
	for _, p := range pieces {
		pleats += p.pleats
		i := slices.IndexFunc(kinds, func(k rePiece) bool { return k.alpha.equal(p.alpha) && k.beta.equal(p.beta) })
		if i < 0 {
			kinds, counts, i = append(kinds, p), append(counts, 0), len(kinds)
		}
		counts[i]++
	}
	if len(pieces) <= 3 {
		return period.times(pleats).add(reTapeByOrders(period, pieces))
	}
	return period.times(pleats).add(reTapeByStates(period, kinds, counts))
}

// reTapeByOrders tries every order of the pieces.
func reTapeByOrders(period reNum, pieces []rePiece) reNum {
	var least reNum
	var try func(done, rest []rePiece)
	try = func(done, rest []rePiece) {
		if len(rest) == 0 {
			if used := reTapeInOrder(period, done); !least.given() || used.less(least) {
				least = used
			}
			return
		}
		for i := range rest {
			try(append(slices.Clone(done), rest[i]), slices.Delete(slices.Clone(rest), i, i+1))
		}
	}
	try(nil, pieces)
	return least
}

// reTapeInOrder is the tape of pieces in this order, without the periods of their own pleats.
func reTapeInOrder(period reNum, pieces []rePiece) reNum {
	used := pieces[0].alpha.add(pieces[len(pieces)-1].beta)
	for i := 1; i < len(pieces); i++ {
		used = used.add(reUp(pieces[i-1].beta.add(pieces[i].alpha), period))
	}
	return used
}

// reTapeByStates finds the same for many pieces of few kinds: the least for every (how many of each kind are laid, which is
// last), each worked out once.
func reTapeByStates(period reNum, kinds []rePiece, counts []int) reNum {
	lengths := []reNum{period}
	for _, k := range kinds {
		lengths = append(lengths, k.alpha, k.beta)
	}
	g := reGrid(lengths...)
	p := g[0]
	alpha, beta := func(k int) int64 { return g[1+2*k] }, func(k int) int64 { return g[2+2*k] }
	type state struct {
		left [8]int
		last int
	}
	known := map[state]int64{}
	var rest func(s state) int64
	rest = func(s state) int64 {
		if v, ok := known[s]; ok {
			return v
		}
		least, none := int64(0), true
		for k := range kinds {
			if s.left[k] == 0 {
				continue
			}
			next := state{s.left, k}
			next.left[k]--
			if v := reCeil(beta(s.last)+alpha(k), p)*p + rest(next); none || v < least {
				least, none = v, false
			}
		}
		if none {
			least = beta(s.last)
		}
		known[s] = least
		return least
	}
	least, none := int64(0), true
	for k := range kinds {
		s := state{last: k}
		copy(s.left[:], counts)
		s.left[k]--
		if v := alpha(k) + rest(s); none || v < least {
			least, none = v, false
		}
	}
	return period.div(reInt(p)).mul(reInt(least))
}
