package cutplan

import (
	"cmp"
	"slices"
	"tablehand/engine/packing"
)

// point is where cuts of one phase may start.
type point struct {
	at    int64
	start int // of the job's
}

// grid is the starts on phase of a stretch, and where the cuts that can start at each of them lead: to the first start behind.
type grid struct {
	points []point
	steps  []step
	from   []int32 // by point, its first step
	// What filling needs, kept for the next time: by point what is worth most from there on, its cut or -1, and where it leads; and how
	// many of each kind lie on the way.
	value []int64
	pick  []int32
	goes  []int32
	has   []uint16
}

type step struct{ kind, next int32 }

func (j *job) gridOf(c *class, i int) *grid {
	if c.grids == nil {
		c.grids = make([]*grid, len(c.stretches))
	}
	if c.grids[i] == nil {
		c.grids[i] = j.newGrid(c, c.stretches[i])
	}
	return c.grids[i]
}

func (j *job) newGrid(c *class, s stretch) *grid {
	g := &grid{}
	for n, start := range j.starts {
		for at := c.next(&kind{start: start}, s.early); at < s.to; at += c.repeat {
			g.points = append(g.points, point{at, n})
		}
	}
	slices.SortFunc(g.points, func(a, b point) int { return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.start, b.start)) })
	for p, at := range g.points {
		g.from = append(g.from, int32(len(g.steps)))
		for k := range j.kinds {
			kind := &j.kinds[k]
			if kind.want > 0 && !kind.anywhere && j.starts[at.start] == kind.start && at.at+kind.length <= s.to {
				next := p + 1 + sortedFrom(g.points[p+1:], at.at+kind.length+int64(j.problem.Kerf))
				g.steps = append(g.steps, step{int32(k), int32(next)})
			}
		}
	}
	g.from = append(g.from, int32(len(g.steps)))
	n := len(g.points) + 1
	g.value, g.pick, g.goes, g.has = make([]int64, n), make([]int32, n), make([]int32, n), make([]uint16, n*len(j.kinds))
	j.meter.spend(int64(len(g.points)*len(j.kinds)) / 4)
	return g
}

// along lays cuts from one start on phase to the next so that they weigh the most. limits nil is as many as may be, and as
// early: then nothing weighs more, else it is what goes by the best way from each start on.
func (j *job) along(c *class, i int, weights []int64, limits []int) (best int64, lays []lay) {
	g, kinds := j.gridOf(c, i), len(j.kinds)
	n, first := len(g.points), 0
	if limits != nil {
		first = sortedFrom(g.points, c.stretches[i].from)
	}
	clear(g.has[n*kinds:])
	for p := n - 1; p >= first; p-- {
		value, pick, goes := g.value[p+1], int32(-1), int32(p+1)
		for _, s := range g.steps[g.from[p]:g.from[p+1]] {
			if v := weights[s.kind] + g.value[s.next]; v > value && (limits == nil || int(g.has[int(s.next)*kinds+int(s.kind)]) < limits[s.kind]) {
				value, pick, goes = v, s.kind, s.next
			}
		}
		g.value[p], g.pick[p], g.goes[p] = value, pick, goes
		if limits != nil {
			copy(g.has[p*kinds:(p+1)*kinds], g.has[int(goes)*kinds:(int(goes)+1)*kinds])
			if pick >= 0 {
				g.has[p*kinds+int(pick)]++
			}
		}
	}
	j.meter.spend(int64(n*3+len(g.steps)) / 3)
	if limits == nil {
		return g.value[first], nil
	}
	lays = make([]lay, 0, 32)
	for p := first; p < n; p = int(g.goes[p]) {
		if g.pick[p] >= 0 {
			lays = append(lays, lay{int(g.pick[p]), g.points[p].at})
		}
	}
	return g.value[first], lays
}

// sortedFrom is the first of the points at or behind a place.
func sortedFrom(points []point, at int64) int {
	n, _ := slices.BinarySearchFunc(points, at, func(p point, at int64) int { return cmp.Compare(p.at, at) })
	return n
}

// onePhase is the weight of the fullest filling of a stretch where all cuts start on one phase: before the last one, which takes its
// length alone, each takes whole repeats.
func (j *job) onePhase(c *class, s stretch, weights []int64) (most int64) {
	first := c.next(&kind{start: j.starts[0]}, s.early)
	repeats, wants := make([]int64, len(j.kinds)), j.wants()
	for i := range j.kinds {
		repeats[i] = (j.kinds[i].length + int64(j.problem.Kerf) + c.repeat - 1) / c.repeat
	}
	for last := range j.kinds {
		k := &j.kinds[last]
		room := s.to - first - k.length
		if k.want == 0 || room < 0 {
			continue
		}
		wants[last]--
		most = max(most, weights[last]+packing.Heaviest(repeats, weights, wants, room/c.repeat))
		wants[last]++
		j.meter.spend(room / c.repeat * int64(len(j.kinds)) / 4)
	}
	return most
}
