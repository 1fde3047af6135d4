package roll

import (
	"slices"

	"tablehand/engine/measure"
)

// mostStates bounds the orders that are tried: so many pieces laid of each kind, and which came last.
const mostStates = 1 << 20

// kind is pieces that are alike on the roll.
type kind struct {
	start, end measure.Length
	count      int
}

// unlike is the least of pieces that start otherwise than they end.
func unlike(period measure.Length, list []Piece) measure.Length {
	var kinds []kind
	periods, states := 0, 1
	for _, p := range list {
		periods += p.Pleats * p.Count
		k := kind{p.Start2, p.End2, p.Count}
		if i := slices.IndexFunc(kinds, func(o kind) bool { return o.start == k.start && o.end == k.end }); i >= 0 {
			kinds[i].count += k.count
		} else if k.count > 0 {
			kinds = append(kinds, k)
		}
	}
	for _, k := range kinds {
		if states *= k.count + 1; states*len(kinds) > mostStates {
			return (2*period*measure.Length(periods) + together(2*period, kinds)).Div(2)
		}
	}
	if len(kinds) == 0 {
		return 0
	}
	return (2*period*measure.Length(periods) + everyOrder(2*period, kinds, states)).Div(2)
}

// between is the tape from the last dot of one piece to the first of the next: whole periods.
func between(period measure.Length, a, b kind) measure.Length {
	return period * measure.Length((a.end + b.start).CeilDiv(period))
}

// everyOrder is the least tape besides the pieces' own periods. A state is how many of each kind are laid, written as one number; from
// the fewest on, the least for each state and its last piece follows from those with one piece fewer.
func everyOrder(period measure.Length, kinds []kind, states int) measure.Length {
	const never = measure.Length(1) << 61
	least := make([]measure.Length, states*len(kinds))
	for i := range least {
		least[i] = never
	}
	digit := make([]int, len(kinds)) // what one more of a kind adds to the state
	for k, d := 0, 1; k < len(kinds); k++ {
		digit[k] = d
		d *= kinds[k].count + 1
	}
	best := never
	for state := 1; state < states; state++ {
		for last, k := range kinds {
			if state/digit[last]%(k.count+1) == 0 {
				continue
			}
			before := state - digit[last]
			used := never
			if before == 0 {
				used = k.start
			}
			for prev := range kinds {
				if l := least[before*len(kinds)+prev]; l < never {
					used = min(used, l+between(period, kinds[prev], k))
				}
			}
			least[state*len(kinds)+last] = used
		}
	}
	for last, k := range kinds {
		if l := least[(states-1)*len(kinds)+last]; l < never {
			best = min(best, l+k.end)
		}
	}
	return best
}

// together is the tape of pieces that lie kind by kind.
func together(period measure.Length, kinds []kind) measure.Length {
	used := kinds[0].start + kinds[len(kinds)-1].end
	for i, k := range kinds {
		used += between(period, k, k) * measure.Length(k.count-1)
		if i > 0 {
			used += between(period, kinds[i-1], k)
		}
	}
	return used
}
