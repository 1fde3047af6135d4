package packing

import "math"

// slack is the best column that is no pattern.
func (m *master) slack() (c column, reduced float64, found bool) {
	reduced = -1e-9
	for i := range m.s.Kinds {
		if r := m.dual[i] - m.low[i]; r < reduced {
			reduced, found = r, true
			c = column{sort: surplus, entries: []entry{{int32(i), 1}}, cost: -m.low[i]}
		}
		if r := m.high[i] - m.dual[i]; r < reduced {
			reduced, found = r, true
			c = column{sort: missing, entries: []entry{{int32(i), 1}}, cost: m.high[i]}
		}
	}
	for class, row := range m.supplies {
		if row >= 0 && -m.dual[row] < reduced {
			reduced, found = -m.dual[row], true
			c = column{sort: unused, class: class, entries: []entry{{int32(row), 1}}}
		}
	}
	return c, reduced, found
}

// pooled is the best of the patterns known.
func (m *master) pooled() (best int, reduced float64) {
	best, reduced = -1, -1e-6
	for i := range m.pool {
		c := &m.pool[i]
		if r := m.reduced(c); r < reduced && m.within(c) {
			best, reduced = i, r
		}
	}
	m.work += int64(len(m.pool)) * 4
	return best, reduced
}

// within reports whether a pattern takes no more of anything than is wanted.
func (m *master) within(c *column) bool {
	for _, e := range c.entries {
		if int(e.row) < len(m.limits) && int(e.count) > m.limits[e.row] {
			return false
		}
	}
	return true
}

// generate adds columns until none is cheaper than it is worth, or the bound says more than stop, or so much work is done. It
// returns the best bound and the duals that say it.
func (m *master) generate(stop float64, work int64) (bound float64, duals []float64, solved bool) {
	bound = math.Inf(-1)
	until := m.work + work
	spent := m.work
	defer func() { m.s.meter.Spend(m.work - spent) }()
	for m.work < until && !m.s.meter.Done() {
		m.s.meter.Spend(m.work - spent)
		spent = m.work
		if c, reduced, found := m.slack(); found {
			if !m.enter(c, reduced) {
				return bound, duals, false
			}
			continue
		}
		if at, reduced := m.pooled(); at >= 0 {
			if !m.enter(m.pool[at], reduced) {
				return bound, duals, false
			}
			continue
		}
		best, found, exact := m.price.columns(m)
		if exact {
			if b, theta := m.lagrange(); b > bound {
				bound, duals = b, append(duals[:0], m.dual...)
				for i := range duals {
					duals[i] /= theta
				}
				if bound > stop {
					return bound, duals, false
				}
			}
		}
		if !found {
			if exact && m.box+1 < len(boxes) && m.leans() {
				m.setBox(m.box + 1)
				m.recompute()
				continue
			}
			return bound, duals, exact
		}
		c := m.pool[best]
		if !m.enter(c, m.reduced(&c)) {
			return bound, duals, false
		}
	}
	return bound, duals, false
}

// lagrange is the bound that the duals say, by the most that a filling of each class is worth by them, and what they are to be divided by
// for that.
func (m *master) lagrange() (bound, theta float64) {
	sum, theta, limited := 0.0, 1.0, 0.0
	for j, v := range m.dual {
		if j < len(m.s.Kinds) {
			sum += v * m.right[j]
		}
	}
	for i, c := range m.s.Classes {
		worth := m.price.worth[i]
		if row := m.supplies[i]; row >= 0 {
			limited += m.right[row] * max(0, worth-m.s.price(i))
		} else if c.Cost > 0 {
			theta = max(theta, worth/m.s.price(i))
		}
	}
	if limited > 0 && theta > 1 {
		return math.Inf(-1), 1
	}
	return (sum - limited) / theta, theta
}
