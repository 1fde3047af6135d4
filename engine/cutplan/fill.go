package cutplan

import (
	"slices"

	"tablehand/engine/packing"
)

// lay is a cut on a piece.
type lay struct {
	kind int
	from int64
}

// filling is what one piece carries.
type filling struct {
	take   []int // of each kind
	lays   []lay // along the piece
	weight int64
}

const mostCells = 1 << 17 // of unit lengths on a piece, from which no table of them is made

// most is the weight of the fullest filling of a class by some weights, or more than that.
func (j *job) most(c *class, weights []int64) int64 {
	proper := true // weights are what cuts take
	for i := range j.kinds {
		proper = proper && weights[i] <= j.kinds[i].length+int64(j.problem.Kerf)
	}
	var sum int64
	for i, s := range c.stretches {
		s.from = s.early
		switch {
		case s.room() <= 0:
		case c.repeat > 0 && j.limited:
			sum += j.onePhase(c, s, weights)
		case c.repeat > 0 && !j.free:
			best, _ := j.along(c, i, weights, nil)
			sum += best
		case c.repeat == 0 && proper:
			top := s.room() + int64(j.problem.Kerf)
			if t := j.subsets(top, j.wants()); t != nil {
				top = t.top * j.unit
			}
			sum += top
		default:
			sum += s.room() + int64(j.problem.Kerf)
		}
	}
	return sum
}

// fullest fills a piece of a class with what weighs most, of at most so many of each kind. On plain cloth where
// weights aren't lengths, and on patterned cloth, it may miss the fullest.
func (j *job) fullest(c *class, limits []int, weights []int64) filling {
	f := filling{take: make([]int, len(j.kinds))}
	j.left = append(j.left[:0], limits...)
	left := j.left
	for i, s := range c.stretches {
		if s.room() <= 0 {
			continue
		}
		var lays []lay
		if c.repeat > 0 {
			_, lays = j.along(c, i, weights, left)
			lays = j.intoGaps(c, s, lays, left)
		} else {
			lays = j.plainly(s, left, weights)
		}
		for _, l := range lays {
			left[l.kind]--
			f.take[l.kind]++
			f.weight += weights[l.kind]
		}
		if f.lays == nil {
			f.lays = lays
		} else {
			f.lays = append(f.lays, lays...)
		}
	}
	return f
}

// intoGaps adds cuts that start anywhere where a stretch still has room, the longest first.
func (j *job) intoGaps(c *class, s stretch, lays []lay, limits []int) []lay {
	kerf := int64(j.problem.Kerf)
	for k := range j.kinds {
		kind := &j.kinds[k]
		if !kind.anywhere {
			continue
		}
		for n := limits[k]; n > 0; n-- {
			at, i := s.from, 0
			for ; i < len(lays); i++ {
				if at+kind.length+kerf <= lays[i].from {
					break
				}
				at = lays[i].from + j.kinds[lays[i].kind].length + kerf
			}
			if at+kind.length > s.to {
				break
			}
			lays = slices.Insert(lays, i, lay{k, at})
		}
	}
	return lays
}

// plainly fills a stretch of plain cloth.
func (j *job) plainly(s stretch, limits []int, weights []int64) []lay {
	kerf := int64(j.problem.Kerf)
	room := s.room() + kerf
	take := j.byLength(room, limits, weights)
	if take == nil {
		lengths := make([]int64, len(j.kinds))
		for i := range j.kinds {
			lengths[i] = j.kinds[i].length + kerf
		}
		var work int64
		_, take, _, work = packing.Fullest(lengths, weights, limits, room, 20_000)
		j.meter.spend(2*work + 100)
	}
	sum := 0
	for _, n := range take {
		sum += n
	}
	lays := make([]lay, 0, sum)
	at := s.from
	for k, n := range take {
		for range n {
			lays = append(lays, lay{k, at})
			at += j.kinds[k].length + kerf
		}
	}
	return lays
}

// byLength is the fullest filling where the weights are what the cuts take, nil where they aren't or the table would
// be too large.
func (j *job) byLength(room int64, limits []int, weights []int64) []int {
	for i := range j.kinds {
		if weights[i] != j.kinds[i].length+int64(j.problem.Kerf) && limits[i] > 0 {
			return nil
		}
	}
	t := j.subsets(room, limits)
	if t == nil {
		return nil
	}
	return t.read()
}

// sums are the lengths that cuts can come to, a set of bits a kind so that a filling can be read back.
type sums struct {
	job    *job
	limits []int
	levels [][]uint64 // the last kinds' sums first
	top    int64      // the most that fits, in units
}

// subsets are the sums of cuts up to a room, until they are asked for again; nil where the room has too many units.
func (j *job) subsets(room int64, limits []int) *sums {
	if j.unit == 0 || room/j.unit > mostCells {
		return nil
	}
	top := room / j.unit
	words := int(top/64 + 1)
	if need := words * (len(j.kinds) + 1); len(j.bits) < need {
		j.bits = make([]uint64, need)
	}
	t := &sums{job: j, limits: limits, levels: make([][]uint64, 0, len(j.kinds)+1)}
	level := j.bits[:words]
	clear(level)
	level[0] = 1
	t.levels = append(t.levels, level)
	for k := len(j.kinds) - 1; k >= 0; k-- {
		size := j.size(k)
		next := j.bits[len(t.levels)*words:][:words]
		copy(next, level)
		left := min(int64(limits[k]), top/size)
		for n := int64(1); left > 0; n *= 2 {
			n = min(n, left)
			left -= n
			shiftOr(next, n*size)
		}
		level = next
		t.levels = append(t.levels, level)
		j.meter.spend(int64(len(level)) * 3 / 2)
	}
	for t.top = top; level[t.top/64]>>(t.top%64)&1 == 0; {
		t.top--
	}
	return t
}

// size is what a cut takes, in units.
func (j *job) size(k int) int64 { return (j.kinds[k].length + int64(j.problem.Kerf)) / j.unit }

// read is a filling that comes to the most, with as many of the longest as can be.
func (t *sums) read() []int {
	take := make([]int, len(t.job.kinds))
	at := t.top
	for level := len(t.levels) - 1; level > 0; level-- {
		k := len(t.job.kinds) - level
		size, below := t.job.size(k), t.levels[level-1]
		for n := min(int64(t.limits[k]), at/size); n >= 0; n-- {
			if left := at - n*size; below[left/64]>>(left%64)&1 == 1 {
				take[k], at = int(n), left
				break
			}
		}
	}
	return take
}

// shiftOr adds to a set each of its numbers and n.
func shiftOr(set []uint64, n int64) {
	words, bits := int(n/64), uint(n%64)
	for i := len(set) - 1; i >= words; i-- {
		v := set[i-words] << bits
		if bits > 0 && i > words {
			v |= set[i-words-1] >> (64 - bits)
		}
		set[i] |= v
	}
}
