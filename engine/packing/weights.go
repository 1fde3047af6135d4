package packing

import "math"

const mostWeight = 1e16 // of all lengths together

// weigh makes duals whole weights, and finds anew what the fullest filling of each class weighs by them; false where that
// can't be found exactly. In the whole numbers nothing is rounded: they prove by themselves.
func (s *solver) weigh(m *master, duals []float64) (Weights, bool) {
	best, ok := Weights{}, false
	for _, scale := range []float64{1e6, 1e8} {
		scale = max(1, math.Floor(min(scale, mostWeight/float64(max(1, s.best.Cost)))))
		times := scale * s.unit * (1 - 1e-12)
		w := Weights{Of: make([]int64, len(s.Kinds)), Most: make([]int64, len(s.Classes)), Bonus: make([]int64, len(s.Classes)), Scale: 1, Step: s.step}
		for i := range s.Kinds {
			w.Of[i] = int64(max(0, math.Floor(duals[i]*times+1e-6)))
		}
		for i, c := range s.Classes {
			if row := m.supplies[i]; row >= 0 {
				w.Bonus[i] = int64(max(0, math.Ceil(-duals[row]*times-1e-6)))
			}
			most, exact := s.heaviest(w.Of, c.Length)
			if !exact {
				return best, ok
			}
			w.Most[i] = most
		}
		s.finish(&w)
		if !ok || w.Bound > best.Bound {
			best, ok = w, true
		}
	}
	return best, ok
}

// lengthWeights weigh each kind by its length.
func (s *solver) lengthWeights() Weights {
	w := Weights{Most: make([]int64, len(s.Classes)), Bonus: make([]int64, len(s.Classes)), Step: s.step}
	times := int64(1)
	if !s.single() { // so that what is rounded by the costs is little
		times = max(1, mostWeight/max(1, s.total))
	}
	for _, k := range s.Kinds {
		w.Of = append(w.Of, k.Length*times)
	}
	for i, c := range s.Classes {
		w.Most[i] = c.Length * times
	}
	s.finish(&w)
	return w
}

// finish sets scale, bonuses and bound: the scale is what the classes of unlimited stock need, and others have a bonus where
// they are fuller.
func (s *solver) finish(w *Weights) {
	w.Scale = 1
	for i, c := range s.Classes {
		if over := w.Most[i] - w.Bonus[i]; c.Cost > 0 && c.Supply != 0 && over > 0 {
			w.Scale = max(w.Scale, (over+c.Cost-1)/c.Cost)
		}
	}
	sum := int64(0)
	for i, k := range s.Kinds {
		sum += w.Of[i] * int64(k.Want)
	}
	for i, c := range s.Classes {
		w.Bonus[i] = max(0, w.Most[i]-w.Scale*c.Cost)
		sum -= w.Bonus[i] * int64(max(0, c.Supply))
	}
	if by := w.Scale * w.Step; sum > 0 {
		w.Bound = (sum + by - 1) / by * w.Step
	}
}

const mostTable = 4_000_000 // cells of a table of weights

// heaviest is the weight of the fullest filling of a length.
func (s *solver) heaviest(weights []int64, length int64) (int64, bool) {
	unit := int64(0)
	for _, k := range s.Kinds {
		unit = gcd(k.Length, unit)
	}
	top := length / unit
	if top*int64(len(s.Kinds)) > mostTable || !s.manyAPiece(length) {
		lengths, wants := make([]int64, len(s.Kinds)), s.wants()
		for i, k := range s.Kinds {
			lengths[i] = k.Length
		}
		most, _, exact, work := Fullest(lengths, weights, wants, length, 5_000_000)
		s.meter.Spend(work)
		return most, exact
	}
	sizes, wants := make([]int64, len(s.Kinds)), s.wants()
	for i, k := range s.Kinds {
		sizes[i] = k.Length / unit
	}
	s.meter.Spend(top * int64(len(s.Kinds)) / 2)
	return Heaviest(sizes, weights, wants, top), true
}

// manyAPiece reports whether a piece holds more than four or five of the lengths, where a table is quicker than a search.
func (s *solver) manyAPiece(length int64) bool {
	count := 0
	for _, k := range s.Kinds {
		count += k.Want
	}
	return float64(length)*float64(count) > 4.5*float64(s.total)
}
