package cutplan

import (
	"cmp"
	"math"
	"slices"
)

// hand lays cuts as somebody does who looks at one after the other: each on the piece already cut from, or that opens nothing, where
// it leaves least, and where none of those has room on one that it opens.
type hand struct {
	*splitter
	on           [][]carried // by class and piece
	log          []placed
	longestFirst bool // of the pieces that it opens, else as given
}

type carried struct {
	lays []lay // along the piece
	room int64
	// early is where a cut of a kind may start at the earliest: room only shrinks.
	early []int64
}

type placed struct {
	piece piece
	at    int // among its lays
}

// bestFit takes what best fit finds where it leaves less without a place, or opens fewer bolts.
func (j *job) bestFit(a *answer) {
	s := j.splitter()
	for _, longestFirst := range []bool{false, true} {
		h := &hand{splitter: s, longestFirst: longestFirst}
		h.clear()
		lotOf := h.dealt()
		j.offer(a, s.layoutOf(lotOf, h.packed()))
		h.clear()
		for lot, wants := range s.wantsOf(lotOf) {
			h.lay(wants, lot)
		}
		j.offer(a, s.layoutOf(lotOf, h.packed()))
	}
}

// placed is the length of the cuts that have a place.
func (l *layout) placed() (sum int64) {
	for _, p := range l.puts {
		sum += l.job.kinds[l.job.items[p.item].kind].length
	}
	return sum
}

func (h *hand) clear() {
	h.on, h.log = make([][]carried, len(h.classes)), nil
	for i := range h.classes {
		c := &h.classes[i]
		room := int64(0)
		for _, s := range c.stretches {
			room += max(0, s.to-s.early)
		}
		for range c.bolts {
			h.on[i] = append(h.on[i], carried{room: room, early: make([]int64, len(h.kinds))})
		}
	}
}

// dealt lays each unit in the lot where it leaves least over and opens fewest; -1 where it may come from none.
func (h *hand) dealt() []int {
	lotOf := make([]int, len(h.units))
	for n, u := range h.units {
		wants := make([]int, len(h.kinds))
		for _, p := range u.items {
			wants[h.items[p.item].kind] += p.count
		}
		best, over, opened := -1, int64(0), 0
		for lot := range h.lots {
			if !h.allowed(u.group, lot) {
				continue
			}
			mark := len(h.log)
			s, o := h.lay(wants, lot)
			if best < 0 || cmp.Or(cmp.Compare(s, over), cmp.Compare(o, opened)) < 0 {
				best, over, opened = lot, s, o
			}
			h.backTo(mark)
		}
		if lotOf[n] = best; best >= 0 {
			h.lay(wants, best)
		}
	}
	return lotOf
}

// wantsOf are the cuts of each lot's units, by kind.
func (s *splitter) wantsOf(lotOf []int) [][]int {
	all := make([][]int, len(s.lots))
	for lot := range all {
		all[lot] = make([]int, len(s.kinds))
	}
	for n, u := range s.units {
		if lotOf[n] < 0 {
			continue
		}
		for _, p := range u.items {
			all[lotOf[n]][s.items[p.item].kind] += p.count
		}
	}
	return all
}

// lay lays cuts on the pieces of a lot, the longest first, and returns how much has no place and how many pieces it opens.
func (h *hand) lay(wants []int, lot int) (over int64, opened int) {
	for k, n := range wants {
		for ; n > 0; n-- {
			best, begins, at := piece{}, int64(-1), 0
			for _, p := range h.pieces(lot) {
				if begins >= 0 && !h.before(p, best) {
					continue
				}
				if from, i := h.start(p, k); from >= 0 {
					best, begins, at = p, from, i
				}
			}
			if begins < 0 {
				over += h.kinds[k].length * int64(n)
				break
			}
			if !h.open(best) {
				opened++
			}
			h.put(best, k, begins, at)
		}
	}
	return over, opened
}

func (h *hand) pieces(lot int) []piece {
	return slices.Concat(h.lots[lot].free, h.lots[lot].whole)
}

func (h *hand) carried(p piece) *carried { return &h.on[p.class][p.nth] }

// open reports whether a cut more on a piece opens nothing.
func (h *hand) open(p piece) bool { return !h.classes[p.class].opens || len(h.carried(p).lays) > 0 }

// before reports whether a piece is taken rather than another.
func (h *hand) before(p, q piece) bool {
	switch {
	case h.open(p) != h.open(q):
		return h.open(p)
	case h.open(p):
		return h.carried(p).room < h.carried(q).room
	case h.longestFirst:
		return h.classes[p.class].length > h.classes[q.class].length
	}
	return h.classes[p.class].bolts[p.nth] < h.classes[q.class].bolts[q.nth]
}

const noRoom = math.MaxInt64

// start is where a cut can lie first on a piece, and between which lays; below nothing where it can't.
func (h *hand) start(p piece, k int) (from int64, at int) {
	c, on := &h.classes[p.class], h.carried(p)
	kind, kerf := &h.kinds[k], int64(h.problem.Kerf)
	h.meter.spend(1)
	if on.early[k] == noRoom {
		return -1, 0
	}
	end := on.early[k]
	for _, s := range c.stretches {
		for from = c.next(kind, max(s.early, end)); from+kind.length <= s.to; from = c.next(kind, max(s.early, end)) {
			for at < len(on.lays) && h.endOf(on.lays[at])+kerf <= from {
				at++
			}
			if at == len(on.lays) || from+kind.length+kerf <= on.lays[at].from {
				on.early[k] = from
				return from, at
			}
			end = h.endOf(on.lays[at]) + kerf
		}
	}
	on.early[k] = noRoom
	return -1, 0
}

func (h *hand) endOf(l lay) int64 { return l.from + h.kinds[l.kind].length }

func (h *hand) put(p piece, k int, from int64, at int) {
	on := h.carried(p)
	on.lays = slices.Insert(on.lays, at, lay{k, from})
	on.room -= h.kinds[k].length
	h.log = append(h.log, placed{p, at})
	h.meter.spend(4)
}

// backTo takes back what was laid after a mark.
func (h *hand) backTo(mark int) {
	for i := len(h.log) - 1; i >= mark; i-- {
		on := h.carried(h.log[i].piece)
		at := h.log[i].at
		on.room += h.kinds[on.lays[at].kind].length
		on.lays = slices.Delete(on.lays, at, at+1)
		clear(on.early)
	}
	h.log = h.log[:mark]
}

// packed is what each lot's pieces carry.
func (h *hand) packed() [][]packed {
	all := make([][]packed, len(h.lots))
	for lot := range all {
		for _, p := range h.pieces(lot) {
			if lays := h.carried(p).lays; len(lays) > 0 {
				all[lot] = append(all[lot], packed{p, filling{lays: slices.Clone(lays)}})
			}
		}
	}
	return all
}
