package cutplan

import (
	"cmp"
	"slices"
	"tablehand/engine/packing"
)

// packed is a piece with what it carries.
type packed struct {
	piece   piece
	filling filling
}

// packLot lays cuts on the pieces of a lot, one filled after the other as full as can be: those that open nothing first. It
// tries again with weights a little shaken and pieces in another order.
func (s *splitter) packLot(pieces supply, wants []int) ([]packed, bool) {
	order := slices.Concat(pieces.free, pieces.whole)
	spare := s.room(order)
	for k, n := range wants {
		spare -= s.kinds[k].weight * int64(n)
	}
	weights := make([]int64, len(s.kinds))
	r := packing.NewRandom()
	for try := range cmp.Or(s.tries, packTries) {
		if s.meter.done() {
			return nil, false
		}
		s.shake(weights, try, &r)
		if try > 1 && len(order) > 1 {
			a, b := r.Below(len(order)), r.Below(len(order))
			order[a], order[b] = order[b], order[a]
		}
		if list, left := s.packInTurn(order, wants, weights, spare); left == 0 {
			return list, true
		}
	}
	return nil, false
}

// shake weighs cuts by what they take, on patterned cloth long ones a little more; after the first try all a little otherwise.
func (j *job) shake(weights []int64, try int, r *packing.Random) {
	for i := range j.kinds {
		k := &j.kinds[i]
		weights[i] = k.weight
		if len(j.starts) > 0 {
			weights[i] += k.weight / 50 * (100 * k.length / j.kinds[0].length) / 100
		}
		if try > 0 {
			weights[i] += weights[i] / 400 * int64(r.Below(100)-50)
		}
	}
}

// packInTurn fills pieces one after the other, and returns how many cuts have no place. It gives up where the pieces hold more than spare
// less than they might: then what is left can't all have one.
func (j *job) packInTurn(order []piece, wants []int, weights []int64, spare int64) (list []packed, left int) {
	wants = slices.Clone(wants)
	for _, n := range wants {
		left += n
	}
	for _, p := range order {
		if left == 0 || spare < 0 {
			break
		}
		f := j.fullest(&j.classes[p.class], wants, weights)
		spare -= j.classes[p.class].most
		if len(f.lays) == 0 {
			continue
		}
		for k, n := range f.take {
			wants[k] -= n
			left -= n
			spare += j.kinds[k].weight * int64(n)
		}
		list = append(list, packed{p, f})
	}
	return list, left
}
