package packing

import "math"

// sort of a column.
type sort uint8

const (
	pattern sort = iota // a filling
	surplus             // one of a kind too many
	unused              // one of a class that isn't taken
	missing             // one of a kind too few, dear
	mended              // what a change of wants left below nothing, dear
)

type entry struct{ row, count int32 }

type column struct {
	sort    sort
	class   int
	entries []entry
	cost    float64
	id      int // among those that are branched on, from 1
}

// master is the linear problem over the columns known: each kind as often as it is wanted, each class no more often than there is. It is
// solved by the revised simplex method with an explicit inverse. Surplus and missing lengths cost about what their share of the best stock
// does, a box around the duals that is widened only when the solution leans on it: far fewer steps are needed so.
type master struct {
	s        *solver
	rows     int
	supplies []int // by class, its row or -1
	right    []float64
	limits   []int // of each kind in one filling
	inverse  []float64
	value    []float64
	dual     []float64
	basis    []column
	pivot    []float64
	pool     []column
	share    []float64 // by kind
	low      []float64
	high     []float64
	box      int
	pivots   int
	work     int64
	price    *pricer
}

var boxes = []float64{0.05, 0.3, math.Inf(1)}

const dear = 1e4

func newMaster(s *solver) *master {
	m := &master{s: s, rows: len(s.Kinds), supplies: make([]int, len(s.Classes))}
	best := 0.0
	for i, c := range s.Classes {
		m.supplies[i] = -1
		if c.Supply >= 0 {
			m.supplies[i] = m.rows
			m.rows++
		}
		if c.Cost > 0 {
			best = max(best, float64(c.Length)/s.price(i))
		}
	}
	if best == 0 {
		best = 1
	}
	n := m.rows
	m.right, m.inverse, m.value, m.dual, m.pivot = make([]float64, n), make([]float64, n*n), make([]float64, n), make([]float64, n), make([]float64, n)
	m.basis = make([]column, n)
	for i, k := range s.Kinds {
		m.share = append(m.share, float64(k.Length)/best)
		m.right[i] = float64(k.Want)
		m.limits = append(m.limits, k.Want)
	}
	m.low, m.high = make([]float64, len(s.Kinds)), make([]float64, len(s.Kinds))
	for i := range s.Kinds {
		m.basis[i] = column{sort: missing, entries: []entry{{int32(i), 1}}}
		m.inverse[i*n+i] = 1
	}
	for i, row := range m.supplies {
		if row >= 0 {
			m.right[row] = float64(s.Classes[i].Supply)
			m.basis[row] = column{sort: unused, class: i, entries: []entry{{int32(row), 1}}}
			m.inverse[row*n+row] = 1
		}
	}
	m.price = newPricer(s)
	m.setBox(0)
	m.recompute()
	return m
}

// setBox sets what surplus and missing lengths cost.
func (m *master) setBox(box int) {
	m.box = box
	for i, share := range m.share {
		if math.IsInf(boxes[box], 1) {
			m.low[i], m.high[i] = 0, m.s.dearer()*max(1, share)
			continue
		}
		m.low[i], m.high[i] = max(0, share*(1-boxes[box])), share*(1+boxes[box])
	}
	for i := range m.basis {
		switch c := &m.basis[i]; c.sort {
		case surplus:
			c.cost = -m.low[c.entries[0].row]
		case missing:
			c.cost = m.high[c.entries[0].row]
		}
	}
}

// leans reports whether the box keeps the duals from where they would go.
func (m *master) leans() bool {
	for i := range m.basis {
		if c := &m.basis[i]; (c.sort == missing || c.sort == surplus && c.cost < 0) && m.value[i] > 1e-7 {
			return true
		}
	}
	return false
}

func (m *master) recompute() {
	n := m.rows
	clear(m.dual)
	for i := range n {
		row, sum := m.inverse[i*n:(i+1)*n], 0.0
		for j, v := range row {
			sum += v * m.right[j]
		}
		m.value[i] = sum
		if cost := m.basis[i].cost; cost != 0 {
			for j, v := range row {
				m.dual[j] += cost * v
			}
		}
	}
	m.work += int64(n) * int64(n) / 4
}

// reduced is what a column costs beyond what its entries are worth.
func (m *master) reduced(c *column) float64 {
	cost := c.cost
	for _, e := range c.entries {
		if c.sort == surplus {
			cost += m.dual[e.row]
		} else {
			cost -= m.dual[e.row] * float64(e.count)
		}
	}
	return cost
}

// enter takes a column into the basis; false where nothing bounds it.
func (m *master) enter(c column, reduced float64) bool {
	n := m.rows
	for i := range n {
		row, sum := m.inverse[i*n:(i+1)*n], 0.0
		for _, e := range c.entries {
			sum += row[e.row] * float64(e.count)
		}
		if c.sort == surplus {
			sum = -sum
		}
		m.pivot[i] = sum
	}
	leaves, least := -1, math.Inf(1)
	for i, p := range m.pivot {
		if p <= 1e-9 {
			continue
		}
		if q := max(0, m.value[i]/p); q < least-1e-12 || q < least+1e-12 && p > m.pivot[leaves] {
			least, leaves = min(q, least), i
		}
	}
	if leaves < 0 {
		return false
	}
	m.pivots++
	m.work += int64(n)*int64(n)/8 + 20
	by := 1 / m.pivot[leaves]
	row := m.inverse[leaves*n : (leaves+1)*n]
	for j := range row {
		row[j] *= by
	}
	entering := m.value[leaves] * by
	for i, p := range m.pivot {
		if i == leaves || p == 0 {
			continue
		}
		other := m.inverse[i*n : (i+1)*n : (i+1)*n]
		from := row[:len(other)]
		for j := range other {
			other[j] -= p * from[j]
		}
		m.value[i] -= p * entering
	}
	m.value[leaves] = entering
	for j, v := range row {
		m.dual[j] += reduced * v
	}
	m.basis[leaves] = c
	if m.pivots%300 == 0 {
		m.recompute()
	}
	return true
}

func (m *master) clone() *master {
	c := *m
	c.right, c.inverse, c.value = append([]float64(nil), m.right...), append([]float64(nil), m.inverse...), append([]float64(nil), m.value...)
	c.dual, c.basis, c.pool = append([]float64(nil), m.dual...), append([]column(nil), m.basis...), append([]column(nil), m.pool...)
	c.pivot, c.limits = make([]float64, m.rows), append([]int(nil), m.limits...)
	c.low, c.high = append([]float64(nil), m.low...), append([]float64(nil), m.high...)
	return &c
}

// want sets what is left to cut and the stock that is left, and mends the basis: what goes below nothing becomes a dear column.
func (m *master) want(right []float64) {
	copy(m.right, right)
	for i := range m.limits {
		m.limits[i] = int(right[i] + 0.5)
	}
	m.recompute()
	n := m.rows
	flipped := false
	for i := range n {
		if m.value[i] < -1e-9 {
			flipped = true
			row := m.inverse[i*n : (i+1)*n]
			for j := range row {
				row[j] = -row[j]
			}
			m.basis[i] = column{sort: mended, cost: m.s.dearer()}
		}
	}
	if flipped {
		m.recompute()
	}
}
