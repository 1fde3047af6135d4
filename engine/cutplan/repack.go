package cutplan

import (
	"cmp"
	"slices"
	"tablehand/engine/packing"
)

// repacking keeps to some pieces, and what has no place on them is loose. Again and again it fills two pieces anew with what lay on them and
// what is loose in their lot, gives a unit another lot, or takes one piece for another; what leaves no more cloth loose is kept.
type repacking struct {
	*splitter
	on     []packed
	lotOf  []int   // by unit
	loose  [][]int // by lot and kind
	over   int64   // length of what is loose
	random packing.Random
	most   int64 // cost of all pieces
}

func (s *splitter) everyPiece() (all []piece) {
	for _, l := range s.lots {
		all = append(append(all, l.free...), l.whole...)
	}
	return all
}

// repacking begins with what a layout has on some pieces.
func (s *splitter) repacking(l *layout, pieces []piece) *repacking {
	r := &repacking{splitter: s, random: packing.NewRandom(), loose: make([][]int, len(s.lots)), lotOf: s.dealtBy(l)}
	on := map[piece][]lay{}
	for _, p := range l.puts {
		at := piece{p.class, p.nth}
		on[at] = append(on[at], lay{s.items[p.item].kind, p.from})
	}
	r.loose = s.wantsOf(r.lotOf)
	for _, p := range pieces {
		f := filling{take: make([]int, len(s.kinds)), lays: on[p]}
		for _, l := range f.lays {
			f.take[l.kind]++
		}
		r.on = append(r.on, packed{p, f})
		r.most += s.classes[p.class].cost
		r.take(p, &f, -1)
	}
	for _, kinds := range r.loose {
		for k, n := range kinds {
			r.over += s.kinds[k].length * int64(n)
		}
	}
	return r
}

// dealtBy is which lot a layout gives each unit; what has no place goes to the first that it may come from.
func (s *splitter) dealtBy(l *layout) []int {
	lots := make([][]int, len(s.items)) // by item, of each put
	for _, p := range l.puts {
		lots[p.item] = append(lots[p.item], s.classes[p.class].lot)
	}
	lotOf := make([]int, len(s.units))
	for n, u := range s.units {
		lotOf[n] = -1
		for lot := range s.lots {
			if lotOf[n] < 0 && s.allowed(u.group, lot) {
				lotOf[n] = lot
			}
		}
		for _, p := range u.items {
			if got := lots[p.item]; len(got) > 0 {
				lotOf[n] = got[0]
				lots[p.item] = got[1:]
			}
		}
	}
	return lotOf
}

// take takes what a filling carries off what is loose, or puts it back.
func (r *repacking) take(p piece, f *filling, times int) {
	loose := r.loose[r.classes[p.class].lot]
	for k, n := range f.take {
		loose[k] += n * times
	}
}

func (r *repacking) lengthOn(f *filling) (sum int64) {
	for k, n := range f.take {
		sum += r.kinds[k].length * int64(n)
	}
	return sum
}

// cheaperBy begins with a layout's pieces but for one, or where all cost alike and that was tried, another; nil where none can be left out.
func (s *splitter) cheaperBy(l *layout, nth int) *repacking {
	var costly, used []piece
	carries := map[piece]int64{}
	for _, p := range l.puts {
		carries[piece{p.class, p.nth}] += s.kinds[s.items[p.item].kind].length
	}
	for _, p := range s.everyPiece() {
		switch _, is := carries[p]; {
		case s.classes[p.class].cost == 0:
			used = append(used, p)
		case is:
			costly = append(costly, p)
		}
	}
	if len(costly) == 0 {
		return nil
	}
	ratio := func(p piece) float64 { return float64(carries[p]) / float64(s.classes[p.class].cost) }
	slices.SortStableFunc(costly, func(a, b piece) int { return cmp.Compare(ratio(a), ratio(b)) })
	out := nth % len(costly)
	value := s.valueOf(l)
	r := s.repacking(l, append(used, slices.Delete(slices.Clone(costly), out, out+1)...))
	r.most = value - 1
	r.random += packing.Random(nth)
	return r
}

// search goes on until no more than so much is loose, or the work is done.
func (r *repacking) search(over, work int64) {
	r.meter.within(work, func() {
		for r.over > over && !r.meter.done() {
			r.meter.spend(int64(len(r.on)) + 100)
			switch n := r.random.Below(20); { // mostly the same pieces: a change takes several refills to pay
			case n < 3 && len(r.lots) > 1:
				r.tryTo(r.another)
			case n < 6:
				r.tryTo(r.exchange)
			default:
				r.refill(r.lotWithLoose())
			}
		}
	})
}

// lotWithLoose is a lot that has something loose.
func (r *repacking) lotWithLoose() int {
	first := r.random.Below(len(r.lots))
	for i := range r.lots {
		lot := (first + i) % len(r.lots)
		if slices.ContainsFunc(r.loose[lot], func(n int) bool { return n > 0 }) {
			return lot
		}
	}
	return first
}

// pieceOf is one of the pieces of a lot, -1 where it has none.
func (r *repacking) pieceOf(lot int) int {
	n := 0
	for i := range r.on {
		if r.classes[r.on[i].piece.class].lot == lot {
			n++
		}
	}
	if n == 0 {
		return -1
	}
	n = r.random.Below(n)
	for i := range r.on {
		if r.classes[r.on[i].piece.class].lot != lot {
			continue
		}
		if n == 0 {
			return i
		}
		n--
	}
	return -1
}

// refill fills two pieces of a lot anew, or one.
func (r *repacking) refill(lot int) {
	a, b := r.pieceOf(lot), r.pieceOf(lot)
	if a < 0 {
		return
	}
	pieces := []int{a, b}
	if a == b {
		pieces = pieces[:1]
	}
	before := int64(0)
	limits := slices.Clone(r.loose[lot])
	for _, i := range pieces {
		before += r.lengthOn(&r.on[i].filling)
		for k, n := range r.on[i].filling.take {
			limits[k] += n
		}
	}
	weights := r.shaken()
	after := int64(0)
	var fillings [2]filling
	for n, i := range pieces {
		fillings[n] = r.fullest(&r.classes[r.on[i].piece.class], limits, weights)
		for k, x := range fillings[n].take {
			limits[k] -= x
		}
		after += r.lengthOn(&fillings[n])
	}
	if after < before {
		return
	}
	for n, i := range pieces {
		r.on[i].filling = fillings[n]
	}
	r.loose[lot] = limits
	r.over += before - after
}

// shaken weighs cuts by what they take, each a little otherwise.
func (r *repacking) shaken() []int64 {
	weights := make([]int64, len(r.kinds))
	r.shake(weights, r.random.Below(4), &r.random)
	return weights
}

// layout is what lies where.
func (r *repacking) layout() *layout {
	lots := make([][]packed, len(r.lots))
	for _, p := range r.on {
		if lot := r.classes[p.piece.class].lot; len(p.filling.lays) > 0 {
			lots[lot] = append(lots[lot], p)
		}
	}
	return r.layoutOf(r.lotOf, lots)
}
