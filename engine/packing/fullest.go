package packing

import (
	"cmp"
	"slices"
)

// Fullest is what weighs most of cuts that fit a room, at most so many of each. It looks by weight for length first
// and ends after so many steps; exact is false then, and more weight may be to be had. Weights and lengths are whole and
// not below 0; work is the steps taken.
func Fullest(lengths, weights []int64, limits []int, room int64, steps int) (weight int64, take []int, exact bool, work int64) {
	f := newFuller(lengths, weights, limits)
	f.fill(room, steps)
	take = make([]int, len(lengths))
	for i, n := range f.best {
		take[f.order[i]] = n
	}
	return f.weight, take, !f.over, int64(f.steps)
}

// fuller is the search for a fullest filling.
type fuller struct {
	order    []int // by weight for length
	lengths  []int64
	weights  []int64
	limits   []int
	ratios   []float64
	shortest []int64 // of those behind
	now      []int
	best     []int
	weight   int64
	steps    int
	most     int
	over     bool
}

func newFuller(lengths, weights []int64, limits []int) *fuller {
	f := &fuller{order: make([]int, 0, len(lengths))}
	for i := range lengths {
		if weights[i] > 0 && limits[i] > 0 {
			f.order = append(f.order, i)
		}
	}
	slices.SortFunc(f.order, func(a, b int) int {
		x, y := float64(weights[a])/float64(lengths[a]), float64(weights[b])/float64(lengths[b])
		return cmp.Or(cmp.Compare(y, x), cmp.Compare(lengths[b], lengths[a]), cmp.Compare(a, b))
	})
	n := len(f.order)
	f.shortest, f.now, f.best = make([]int64, n), make([]int, n), make([]int, n)
	f.lengths, f.weights, f.limits, f.ratios = make([]int64, n), make([]int64, n), make([]int, n), make([]float64, n)
	for at, i := range f.order {
		f.lengths[at], f.weights[at], f.limits[at] = lengths[i], weights[i], limits[i]
		f.ratios[at] = float64(weights[i]) / float64(lengths[i])
	}
	least := int64(1) << 62
	for i := n - 1; i >= 0; i-- {
		least = min(least, f.lengths[i])
		f.shortest[i] = least
	}
	return f
}

func (f *fuller) fill(room int64, steps int) {
	f.most, f.steps, f.over, f.weight = steps, 0, false, 0
	clear(f.best)
	clear(f.now)
	f.from(0, room, 0)
}

// from goes on with the cuts from one on.
func (f *fuller) from(i int, room, weight int64) {
	if weight > f.weight {
		f.weight = weight
		copy(f.best, f.now)
	}
	if f.steps++; f.steps > f.most {
		f.over = true
		return
	}
	for ; i < len(f.order); i++ {
		// A whole unit more is wanted; a hair below that is the rounding of the ratios.
		if room < f.shortest[i] || float64(weight)+float64(room)*f.ratios[i] < float64(f.weight)+1-1e-3 {
			return
		}
		length, each := f.lengths[i], f.weights[i]
		if length > room {
			continue
		}
		next := 0.0
		if i+1 < len(f.order) {
			next = f.ratios[i+1]
		}
		for n := min(int64(f.limits[i]), room/length); n > 0; n-- {
			f.now[i] = int(n)
			f.from(i+1, room-n*length, weight+n*each)
			if f.over {
				f.now[i] = 0
				return
			}
			if float64(weight+(n-1)*each)+float64(room-(n-1)*length)*next < float64(f.weight)+1-1e-3 {
				break
			}
		}
		f.now[i] = 0
	}
}

// Heaviest is what Fullest weighs, by a table of the most that each room up to this one holds: quicker where many cuts fit a room of few
// units.
func Heaviest(lengths, weights []int64, limits []int, room int64) int64 {
	most := make([]int64, room+1)
	for i, length := range lengths {
		left := min(int64(limits[i]), room/length)
		for n := int64(1); left > 0 && weights[i] > 0; n *= 2 {
			n = min(n, left)
			left -= n
			add := n * weights[i]
			for at := room; at >= n*length; at-- {
				if w := most[at-n*length] + add; w > most[at] {
					most[at] = w
				}
			}
		}
	}
	return most[room]
}
