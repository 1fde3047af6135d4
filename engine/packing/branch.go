package packing

import (
	"cmp"
	"math"
	"slices"
)

// branching looks for a solution of a cost among known fillings, which are all that one can be made of: the linear problem over them, and where
// its solution isn't whole, once with two lengths in one filling and once with them apart (Ryan and Foster, in Computer Scheduling of Public
// Transport, 1981), or once with a filling and once without it. What is given up is given up by whole weights.
type branching struct {
	*solver
	goal  int64
	most  int64 // work
	spent int64
	over  bool
	found []Filling
}

// node is a part of the search.
type node struct {
	m     *master // whose pool are the fillings allowed
	taken []Filling
	cost  int64
}

const mostBranched = 40_000 // fillings

// branch looks for a solution of at most a cost. none says that there is none.
func (s *solver) branch(root *master, goal, work int64) (found []Filling, none bool) {
	if !s.unlimited() {
		return nil, false
	}
	c := &cover{solver: s, most: work, scarce: make([]int32, len(s.Kinds))}
	w := &s.weights[len(s.weights)-1]
	c.weights, c.budget[0] = []*Weights{w}, s.unused(w, goal)
	listed := c.list() && len(c.all) <= mostBranched
	c.tell()
	if !listed {
		return nil, false
	}
	m := root.clone()
	m.pool = nil
	for i := range c.all {
		t := &c.all[i]
		col := column{class: t.class, cost: s.price(t.class), id: i + 1}
		for _, x := range t.takes {
			col.entries = append(col.entries, entry{int32(x.Kind), int32(x.Count)})
		}
		m.pool = append(m.pool, col)
	}
	m.expel(func(*column) bool { return true })
	b := &branching{solver: s, goal: goal, most: work}
	b.search(&node{m: m})
	return b.found, b.found == nil && !b.over
}

// expel makes patterns of the basis dear, which are none any more; those of the pool that still are come in for them.
func (m *master) expel(out func(*column) bool) {
	for i := range m.basis {
		if c := &m.basis[i]; c.sort == pattern && out(c) {
			c.sort, c.cost = mended, m.s.dearer()
		}
	}
	m.recompute()
}

// settlePool solves the linear problem over the pool alone; false where it has no solution or the work is done.
func (b *branching) settlePool(m *master) bool {
	for {
		before := m.work
		c, reduced, found := m.slack()
		if !found {
			var at int
			if at, reduced = m.pooled(); at >= 0 {
				c, found = m.pool[at], true
			}
		}
		if !found {
			if m.box+1 == len(boxes) || !m.leans() {
				return true
			}
			m.setBox(m.box + 1)
			m.recompute()
			continue
		}
		entered := m.enter(c, reduced)
		b.spend(m.work - before)
		if !entered || b.over {
			b.over = true
			return false
		}
	}
}

func (b *branching) spend(units int64) {
	b.spent += units
	b.meter.Spend(units)
	b.over = b.over || b.spent > b.most || b.meter.Done()
}

// search looks through a node; true ends the search.
func (b *branching) search(n *node) bool {
	if !b.settlePool(n.m) {
		return true
	}
	if b.refuted(n) {
		return false
	}
	values := b.values(n.m)
	if len(values) == 0 {
		return b.whole(n)
	}
	if i, j := b.pair(values); i >= 0 {
		both := func(c *column) bool { return c.has(i) && c.has(j) }
		one := func(c *column) bool { return c.has(i) != c.has(j) }
		return b.search(b.without(n, one)) || b.search(b.without(n, both))
	}
	p := slices.MaxFunc(values, func(x, y valued) int { return cmp.Compare(x.value, y.value) }).c
	with := &node{m: n.m.clone(), taken: slices.Clone(n.taken), cost: n.cost + b.Classes[p.class].Cost}
	right := slices.Clone(n.m.right)
	f := Filling{Class: p.class}
	for _, e := range p.entries {
		right[e.row] -= float64(e.count)
		f.take(int(e.row), int(e.count))
	}
	with.taken = append(with.taken, f)
	with.m.want(right)
	with.m.expel(func(c *column) bool { return !with.m.within(c) })
	alike := func(c *column) bool { return c.id == p.id }
	return b.search(with) || b.search(b.without(n, alike))
}

func (c *column) has(kind int) bool {
	return slices.ContainsFunc(c.entries, func(e entry) bool { return int(e.row) == kind })
}

func (b *branching) without(n *node, out func(*column) bool) *node {
	next := &node{m: n.m.clone(), taken: n.taken, cost: n.cost}
	next.m.pool = slices.DeleteFunc(next.m.pool, func(c column) bool { return out(&c) })
	next.m.expel(out)
	b.spend(int64(len(n.m.pool))*16 + int64(n.m.rows*n.m.rows)/2)
	return next
}

// refuted makes the duals whole weights. They show that the node holds no solution, or which fillings none of its solutions has.
func (b *branching) refuted(n *node) bool {
	m := n.m
	times := 1e7
	of := make([]int64, len(b.Kinds))
	sum := int64(0)
	for k := range of {
		of[k] = int64(max(0, math.Floor(m.dual[k]*times)))
		sum += of[k] * int64(m.right[k]+0.5)
	}
	weigh := func(c *column) (w int64) {
		for _, e := range c.entries {
			w += of[e.row] * int64(e.count)
		}
		return w
	}
	scale := int64(1)
	for i := range m.pool {
		if c := &m.pool[i]; m.within(c) {
			cost := b.Classes[c.class].Cost
			scale = max(scale, (weigh(c)+cost-1)/cost)
		}
	}
	unused := scale*(b.goal-n.cost) - sum
	if unused < 0 {
		return true
	}
	basic := map[int]bool{} // those stay until the branch is left
	for i := range m.basis {
		basic[m.basis[i].id] = true
	}
	m.pool = slices.DeleteFunc(m.pool, func(c column) bool {
		return !m.within(&c) || scale*b.Classes[c.class].Cost-weigh(&c) > unused && !basic[c.id]
	})
	b.spend(int64(len(m.pool)) * 24)
	return false
}

type valued struct {
	c     column
	value float64
}

// values are the patterns of the solution, none where all are whole.
func (b *branching) values(m *master) (list []valued) {
	whole := true
	for i := range m.basis {
		if c := &m.basis[i]; c.sort == pattern && m.value[i] > 1e-6 {
			list = append(list, valued{*c, m.value[i]})
			whole = whole && math.Abs(m.value[i]-math.Round(m.value[i])) < 1e-6
		}
	}
	if whole {
		return nil
	}
	return list
}

// pair are two lengths, each wanted once, that lie together in nearest half of a filling; -1 where there are none.
func (b *branching) pair(values []valued) (i, j int) {
	together := map[[2]int]float64{}
	for _, v := range values {
		for x, e := range v.c.entries {
			for _, f := range v.c.entries[x+1:] {
				if b.Kinds[e.row].Want == 1 && b.Kinds[f.row].Want == 1 {
					together[[2]int{int(min(e.row, f.row)), int(max(e.row, f.row))}] += v.value
				}
			}
		}
	}
	i, j = -1, -1
	best := 0.5 - 1e-6
	for p, sum := range together {
		if far := math.Abs(sum - 0.5); far < best-1e-9 || far < best+1e-9 && (i < 0 || p[0] < i || p[0] == i && p[1] < j) && far < 0.5-1e-6 {
			i, j, best = p[0], p[1], far
		}
	}
	return i, j
}

// whole takes a solution of whole fillings, where it is one.
func (b *branching) whole(n *node) bool {
	list := slices.Clone(n.taken)
	left := make([]int, len(b.Kinds))
	for k := range left {
		left[k] = int(n.m.right[k] + 0.5)
	}
	cost := n.cost
	for i := range n.m.basis {
		c := &n.m.basis[i]
		if c.sort != pattern || n.m.value[i] < 0.5 {
			continue
		}
		for range int(n.m.value[i] + 0.5) {
			f := Filling{Class: c.class}
			for _, e := range c.entries {
				if t := min(int(e.count), left[e.row]); t > 0 { // of what is there too often, less
					f.take(int(e.row), t)
					left[e.row] -= t
				}
			}
			list = append(list, f)
			cost += b.Classes[c.class].Cost
		}
	}
	for _, l := range left {
		if l > 0 {
			return b.unclear()
		}
	}
	if cost > b.goal {
		return b.unclear()
	}
	b.found = list
	return true
}

// unclear ends a search that can say nothing.
func (b *branching) unclear() bool {
	b.over = true
	return true
}
