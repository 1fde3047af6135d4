package packing

import (
	"cmp"
	"slices"
)

// pricer finds fillings that are worth more by the duals than they cost: by a table over the lengths of stock where that is small, else
// by a search, the dearest for their length first.
type pricer struct {
	s     *solver
	unit  int64
	top   int64
	table bool
	worth []float64 // by class, of the best filling

	sums  []float64
	takes [][]uint8

	order    []int
	lengths  []int64
	duals    []float64
	limits   []int
	ratios   []float64
	shortest []int64
	now      []int
	found    [][]int
	best     float64
	least    float64 // worth, for a filling to be taken
	steps    int
	most     int
	over     bool
}

const (
	firstSteps = 3_000     // of a search that has found something
	lastSteps  = 2_000_000 // of one that has to be sure
)

func newPricer(s *solver) *pricer {
	p := &pricer{s: s, worth: make([]float64, len(s.Classes))}
	count := 0
	for _, k := range s.Kinds {
		p.unit = gcd(k.Length, p.unit)
		count += k.Want
	}
	for _, c := range s.Classes {
		p.top = max(p.top, c.Length)
	}
	cells := float64(p.top/p.unit) * float64(len(s.Kinds))
	perPiece := float64(p.top) * float64(count) / float64(max(1, s.total))
	p.table = cells < 15_000 || perPiece > 4.5 && cells < 2e6
	return p
}

// columns adds to the pool the best filling of each class that costs less than it is worth, and says which costs least beyond it. exact is
// false where a search was cut short.
func (p *pricer) columns(m *master) (best int, found, exact bool) {
	if p.table {
		p.fillTable(m)
	} else {
		p.prepare(m)
	}
	exact = true
	least := -1e-9
	for i := range p.s.Classes {
		base := 0.0
		if row := m.supplies[i]; row >= 0 {
			base = m.dual[row]
			if m.right[row] <= 0 {
				p.worth[i] = 0
				continue
			}
		}
		for _, take := range p.fillings(m, i, p.s.price(i)-base, &exact) {
			col := column{class: i, cost: p.s.price(i)}
			for k, n := range take {
				if n = min(n, m.limits[k]); n > 0 {
					col.entries = append(col.entries, entry{int32(k), int32(n)})
				}
			}
			if row := m.supplies[i]; row >= 0 {
				col.entries = append(col.entries, entry{int32(row), 1})
			}
			if r := m.reduced(&col); r < -1e-9 {
				if r < least {
					best, least, found = len(m.pool), r, true
				}
				m.pool = append(m.pool, col)
			}
		}
	}
	return best, found, exact
}

// fillings are the best of a class, and some that were the best on the way.
func (p *pricer) fillings(m *master, class int, cost float64, exact *bool) [][]int {
	length := p.s.Classes[class].Length
	if p.table {
		take := make([]int, len(p.s.Kinds))
		p.worth[class] = p.read(length, take)
		return [][]int{take}
	}
	p.search(length, cost, firstSteps)
	if p.over && len(p.found) == 0 {
		m.work += int64(p.steps)
		p.search(length, cost, lastSteps)
	}
	m.work += int64(p.steps)
	*exact = *exact && !p.over
	p.worth[class] = p.best
	var list [][]int
	for _, found := range p.found[max(0, len(p.found)-3):] {
		take := make([]int, len(p.s.Kinds))
		for i, n := range found {
			take[p.order[i]] = n
		}
		list = append(list, take)
	}
	return list
}

// fillTable makes the table of the best sum of duals for each length.
func (p *pricer) fillTable(m *master) {
	top := int(p.top / p.unit)
	if p.sums == nil || len(p.sums) < top+1 {
		p.sums, p.takes = make([]float64, top+1), make([][]uint8, len(p.s.Kinds))
	}
	clear(p.sums)
	for k, kind := range p.s.Kinds {
		if p.takes[k] == nil {
			p.takes[k] = make([]uint8, top+1)
		}
		take := p.takes[k]
		clear(take)
		if m.dual[k] <= 1e-12 || m.limits[k] == 0 || kind.Length > p.top {
			continue
		}
		size, dual := int(kind.Length/p.unit), m.dual[k]
		for range min(m.limits[k], top/size, 255) {
			better := false
			from, to := p.sums[:top+1-size], p.sums[size:]
			for i := len(from) - 1; i >= 0; i-- {
				if v := from[i] + dual; v > to[i]+1e-13 {
					to[i] = v
					take[i+size] = take[i] + 1
					better = true
				}
			}
			if !better {
				break
			}
		}
	}
	m.work += int64(top) * int64(len(p.s.Kinds)) / 2
}

func (p *pricer) read(length int64, take []int) float64 {
	at := int(length / p.unit)
	worth := p.sums[at]
	for k := len(p.s.Kinds) - 1; k >= 0; k-- {
		if n := int(p.takes[k][at]); n > 0 {
			take[k] = n
			at -= n * int(p.s.Kinds[k].Length/p.unit)
		}
	}
	return worth
}

// prepare orders the kinds by what they are worth for their length.
func (p *pricer) prepare(m *master) {
	p.order = p.order[:0]
	for k := range p.s.Kinds {
		if m.dual[k] > 1e-9 && m.limits[k] > 0 {
			p.order = append(p.order, k)
		}
	}
	ratio := func(k int) float64 { return m.dual[k] / float64(p.s.Kinds[k].Length) }
	slices.SortFunc(p.order, func(a, b int) int { return cmp.Or(cmp.Compare(ratio(b), ratio(a)), cmp.Compare(a, b)) })
	n := len(p.order)
	p.lengths, p.duals, p.limits, p.ratios = p.lengths[:0], p.duals[:0], p.limits[:0], p.ratios[:0]
	for _, k := range p.order {
		p.lengths, p.duals = append(p.lengths, p.s.Kinds[k].Length), append(p.duals, m.dual[k])
		p.limits, p.ratios = append(p.limits, m.limits[k]), append(p.ratios, ratio(k))
	}
	p.shortest, p.now = make([]int64, n), make([]int, n)
	least := int64(1) << 62
	for i := n - 1; i >= 0; i-- {
		least = min(least, p.lengths[i])
		p.shortest[i] = least
	}
}

// search looks for the best filling that is worth more than it costs.
func (p *pricer) search(length int64, cost float64, steps int) {
	p.best, p.least, p.found, p.steps, p.most, p.over = 0, cost+1e-9, p.found[:0], 0, steps, false
	clear(p.now)
	p.from(0, length, 0)
}

func (p *pricer) from(i int, room int64, worth float64) {
	if worth > p.best {
		p.best = worth
		if worth > p.least {
			p.found = append(p.found, slices.Clone(p.now))
		}
	}
	if p.steps++; p.steps > p.most {
		p.over = true
		return
	}
	for n := len(p.order); i < n; i++ {
		if room < p.shortest[i] || worth+float64(room)*p.ratios[i] <= p.best+1e-9 {
			return
		}
		length := p.lengths[i]
		if length > room {
			continue
		}
		next := 0.0
		if i+1 < n {
			next = p.ratios[i+1]
		}
		for t := min(p.limits[i], int(room/length)); t > 0; t-- {
			p.now[i] = t
			p.from(i+1, room-int64(t)*length, worth+float64(t)*p.duals[i])
			if p.over {
				p.now[i] = 0
				return
			}
			if worth+float64(t-1)*p.duals[i]+float64(room-int64(t-1)*length)*next <= p.best+1e-9 {
				break
			}
		}
		p.now[i] = 0
	}
}
