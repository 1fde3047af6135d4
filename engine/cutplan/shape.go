package cutplan

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
)

// job is a problem as the planner looks at it: alike cuts and alike pieces of cloth once each. Lengths are nanometres.
type job struct {
	problem *cutting.Problem
	kinds   []kind // longest first
	items   []item
	classes []class
	lots    []string
	groups  []string
	starts  []measure.Length // the phases that cuts start on
	free    bool             // some cuts start anywhere on patterned cloth
	unit    int64            // on plain cloth what each cut with its kerf is a multiple of
	tooLong []int            // cuts that no piece holds
	meter   *meter
	budget  int64
	limited bool // the fullest filling of a class has no more of each cut than there are
	limits  limits
	actives [][]active // room for along
	lays    []lay      // room for what is laid
	bits    []uint64   // and for sums
	left    []int      // and for what is left to lay
}

// kind is cuts that are alike to any cloth.
type kind struct {
	length   int64
	start    measure.Length
	anywhere bool
	weight   int64 // what it takes at least where another follows
	want     int
}

// item is the alike cuts of one group.
type item struct {
	kind, group int   // no group: -1
	cuts        []int // of the problem
}

// class is pieces of cloth, bolts or remnants, that are alike to any cut.
type class struct {
	lot       int
	opens     bool
	length    int64
	cost      int64 // by the aim; under FewestBolts 1 where it opens
	repeat    int64 // 0: plain
	begins    map[measure.Length]int64
	stretches []stretch
	bolts     []int   // of the problem, in the order given
	most      int64   // the weight of the fullest filling, or more
	grids     []*grid // by stretch, made when they are asked for
}

// stretch is unbroken cloth between flaws and ends. Cuts lie from from to to; what stays goes from front to back. Behind
// a flaw that is narrower than the kerf the first cut keeps clear of one that ends at the flaw: early is where it may
// start when there is none.
type stretch struct{ from, to, front, back, early int64 }

func (s stretch) room() int64 { return s.to - s.from }

func newJob(p *cutting.Problem, m *meter) *job {
	j := &job{problem: p, meter: m}
	j.sortCuts()
	j.sortBolts()
	j.leaveTooLong()
	for i := range j.kinds {
		k := &j.kinds[i]
		k.weight = j.leastStep(k)
		j.unit = gcd(k.length+int64(p.Kerf), j.unit)
	}
	j.setMost()
	return j
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

func (j *job) sortCuts() {
	p := j.problem
	patterned := p.VerticalRepeat > 0
	type shape struct {
		length, start measure.Length
		anywhere      bool
	}
	shapeOf := func(c *cutting.Cut) shape {
		switch {
		case !patterned:
			return shape{length: c.Length}
		case c.Anywhere:
			return shape{c.Length, 0, true}
		}
		return shape{c.Length, c.Start, false}
	}
	var shapes []shape
	known := map[shape]int{}
	for i := range p.Cuts {
		s := shapeOf(&p.Cuts[i])
		if _, is := known[s]; !is {
			known[s] = 0
			shapes = append(shapes, s)
		}
		if j.free = j.free || s.anywhere; patterned && !s.anywhere && !slices.Contains(j.starts, s.start) {
			j.starts = append(j.starts, s.start)
		}
	}
	slices.Sort(j.starts)
	slices.SortStableFunc(shapes, func(a, b shape) int {
		return cmp.Or(cmp.Compare(b.length, a.length), cmp.Compare(a.start, b.start))
	})
	for i, s := range shapes {
		known[s] = i
		j.kinds = append(j.kinds, kind{length: int64(s.length), start: s.start, anywhere: s.anywhere})
	}
	type of struct{ kind, group int }
	items, groups := map[of]int{}, map[string]int{"": -1}
	for i := range p.Cuts {
		c := &p.Cuts[i]
		g, is := groups[c.Group]
		if !is {
			g = len(j.groups)
			groups[c.Group] = g
			j.groups = append(j.groups, c.Group)
		}
		at := of{known[shapeOf(c)], g}
		n, is := items[at]
		if !is {
			n = len(j.items)
			items[at] = n
			j.items = append(j.items, item{kind: at.kind, group: g})
		}
		j.items[n].cuts = append(j.items[n].cuts, i)
		j.kinds[at.kind].want++
	}
	slices.SortStableFunc(j.items, func(a, b item) int { return cmp.Compare(a.kind, b.kind) })
}

func (j *job) sortBolts() {
	p := j.problem
	known, lots := map[string]int{}, map[string]int{}
	for i := range p.Bolts {
		b := &p.Bolts[i]
		name := b.Lot
		if len(j.groups) == 0 {
			name = "" // a cut of no group comes from any lot
		}
		lot, is := lots[name]
		if !is {
			lot = len(j.lots)
			lots[name] = lot
			j.lots = append(j.lots, name)
		}
		c := j.classOf(b, lot)
		key := fmt.Sprint(lot, c.opens, c.length, c.cost, c.repeat, c.stretches)
		if c.repeat > 0 {
			key += fmt.Sprint(" ", b.FirstRepeat)
		}
		n, is := known[key]
		if !is {
			n = len(j.classes)
			known[key] = n
			j.classes = append(j.classes, c)
		}
		j.classes[n].bolts = append(j.classes[n].bolts, i)
	}
}

// classOf is a bolt as a class of its own.
func (j *job) classOf(b *cutting.Bolt, lot int) class {
	p := j.problem
	c := class{lot: lot, opens: b.Opens(), length: int64(b.Length), cost: costOf(p.Aim, b), begins: map[measure.Length]int64{}}
	for _, s := range j.starts {
		repeat, begin := p.Pattern(b, s)
		c.repeat, c.begins[s] = int64(repeat), int64(b.FirstRepeat+begin)
	}
	ends := int64(p.EndAllowance)
	front, clear := int64(0), int64(0)
	add := func(back int64) {
		if back > front {
			c.stretches = append(c.stretches, stretch{max(front, clear, ends), min(back, c.length-ends), front, back, max(front, ends)})
			clear = back + int64(p.Kerf)
		}
	}
	flaws := slices.Clone(b.Flaws)
	slices.SortFunc(flaws, func(a, b cutting.Span) int { return cmp.Compare(a.From, b.From) })
	for _, f := range flaws {
		if f.To < f.From {
			continue
		}
		add(min(int64(f.From), c.length))
		front = max(front, int64(f.To))
	}
	add(c.length)
	c.grids = make([]*grid, len(c.stretches))
	return c
}

// leaveTooLong takes out the cuts that no piece holds even alone.
func (j *job) leaveTooLong() {
	var items []item
	for _, it := range j.items {
		k := &j.kinds[it.kind]
		fits := slices.ContainsFunc(j.classes, func(c class) bool {
			return j.allowed(it.group, c.lot) && slices.ContainsFunc(c.stretches, func(s stretch) bool {
				return c.next(k, s.early)+k.length <= s.to
			})
		})
		if fits {
			items = append(items, it)
			continue
		}
		j.tooLong = append(j.tooLong, it.cuts...)
		k.want -= len(it.cuts)
	}
	j.items = items
}

// allowed reports whether a group may be cut from a lot.
func (j *job) allowed(group, lot int) bool {
	if group < 0 {
		return true
	}
	bound := j.problem.Bound[j.groups[group]]
	return len(bound) == 0 || slices.Contains(bound, j.lots[lot])
}

// next is where a cut can start at or behind a place.
func (c *class) next(k *kind, at int64) int64 {
	if c.repeat == 0 || k.anywhere {
		return at
	}
	begin := c.begins[k.start]
	if at <= begin {
		return begin
	}
	return begin + (at-begin+c.repeat-1)/c.repeat*c.repeat
}

// latest is the last start of a cut that ends at a place or before it; below nothing where there is none.
func (c *class) latest(k *kind, end int64) int64 {
	at := end - k.length
	if c.repeat == 0 || k.anywhere {
		return at
	}
	begin := c.begins[k.start]
	if at < begin {
		return -1
	}
	return begin + (at-begin)/c.repeat*c.repeat
}

func (j *job) wants() []int {
	wants := make([]int, len(j.kinds))
	for i := range j.kinds {
		wants[i] = j.kinds[i].want
	}
	return wants
}

func (j *job) String() string { // in the tests' failures
	var b strings.Builder
	fmt.Fprintf(&b, "%+v", *j.problem)
	return b.String()
}
