package cutting

import (
	"slices"

	"tablehand/engine/measure"
)

// kinds are the cuts of a run by shape: cuts of one shape are alike to it.
type kinds struct {
	shapes []shape
	cuts   [][]Cut // of each shape, in the order given
}

func (t *table) kindsOf(cuts []Cut) kinds {
	var k kinds
	index := map[shape]int{}
	for _, c := range cuts {
		s := t.shapeOf(c)
		i, known := index[s]
		if !known {
			i = len(k.shapes)
			index[s] = i
			k.shapes, k.cuts = append(k.shapes, s), append(k.cuts, nil)
		}
		k.cuts[i] = append(k.cuts[i], c)
	}
	return k
}

// states is how many sets of cuts there are when alike ones aren't told apart, and whether they are at most limit.
func (k kinds) states(limit int) (int, bool) {
	n := 1
	for _, cuts := range k.cuts {
		if n *= len(cuts) + 1; n > limit {
			return 0, false
		}
	}
	return n, true
}

// bestOrder is an order that no other beats on cloth with flaws, or false where there are more than limit sets of
// cuts to look at. Of all orders of one set of cuts only the one that ends first counts, since whatever follows can
// start no earlier after another. A set is numbered by how many cuts of each shape it has, in mixed radix, so that
// every set comes after those that it grows from.
func (t *table) bestOrder(l *laid, cuts []Cut, limit int) ([]Cut, bool) {
	k := t.kindsOf(cuts)
	n, ok := k.states(limit)
	if !ok {
		return nil, false
	}
	ends, lasts := make([]measure.Length, n), make([]int, n)
	count := make([]int, len(k.shapes))
	for set := 1; set < n; set++ {
		for i := 0; ; i++ { // count the set up
			if count[i]++; count[i] <= len(k.cuts[i]) {
				break
			}
			count[i] = 0
		}
		ends[set] = -1
		for i, place := 0, 1; i < len(count); i++ {
			if count[i] > 0 {
				s := k.shapes[i]
				if end := t.clear(l, s, ends[set-place]) + s.length; ends[set] < 0 || end < ends[set] {
					ends[set], lasts[set] = end, i
				}
			}
			place *= len(k.cuts[i]) + 1
		}
	}
	return k.backwards(lasts), true
}

// backwards follows the last cut of each set to none.
func (k kinds) backwards(lasts []int) []Cut {
	left, places := make([]int, len(k.cuts)), make([]int, len(k.cuts))
	place := 1
	for i, cuts := range k.cuts {
		left[i], places[i] = len(cuts), place
		place *= len(cuts) + 1
	}
	var order []Cut
	for set := len(lasts) - 1; set > 0; {
		i := lasts[set]
		set -= places[i]
		left[i]--
		order = append(order, k.cuts[i][left[i]])
	}
	slices.Reverse(order)
	return order
}
