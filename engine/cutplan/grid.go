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
	to     int64 // of the stretch
	points []point
	next   []int32 // by kind and point; below nothing where the kind doesn't start there, or doesn't fit
	steps  int
	// What filling needs, kept for the next time: by point what is worth most from there on, its cut or -1, where it leads, and the row that
	// says how many of each kind lie on the way.
	value []int64
	pick  []int32
	goes  []int32
	row   []int32
	rows  []uint16
}

// active is a kind that filling takes of.
type active struct {
	kind, from int // where its starts are in a grid
	weight     int64
}

func (j *job) gridOf(c *class, i int) *grid {
	if c.grids[i] == nil {
		c.grids[i] = j.newGrid(c, c.stretches[i])
	}
	return c.grids[i]
}

func (j *job) newGrid(c *class, s stretch) *grid {
	g := &grid{to: s.to, points: j.pointsOf(c, s)}
	n := len(g.points) + 1
	g.next = make([]int32, len(j.kinds)*n)
	for k := range j.kinds {
		kind, ahead := &j.kinds[k], 0
		for p, at := range g.points {
			g.next[k*n+p] = -1
			if kind.want == 0 || kind.anywhere || j.starts[at.start] != kind.start || at.at+kind.length > s.to {
				continue
			}
			for ahead = max(p+1, ahead); ahead < len(g.points) && g.points[ahead].at < at.at+kind.length+int64(j.problem.Kerf); {
				ahead++
			}
			g.next[k*n+p] = int32(ahead)
			g.steps++
		}
	}
	g.value, g.pick, g.goes, g.row, g.rows = make([]int64, n), make([]int32, n), make([]int32, n), make([]int32, n), make([]uint16, n*len(j.kinds))
	j.meter.spend(int64(len(g.points)*len(j.kinds)) / 4)
	return g
}

// pointsOf are the starts on phase of a stretch, one after the other.
func (j *job) pointsOf(c *class, s stretch) (points []point) {
	next := make([]int64, len(j.starts))
	for n, start := range j.starts {
		next[n] = c.next(&kind{start: start}, s.early)
	}
	for {
		first := 0
		for n, at := range next {
			if at < next[first] {
				first = n
			}
		}
		if next[first] >= s.to {
			return points
		}
		points = append(points, point{next[first], first})
		next[first] += c.repeat
	}
}

// along lays cuts from one start on phase to the next so that they weigh the most. limits nil is as many as may be, and as
// early: then nothing weighs more, else it is what goes by the best way from each start on. The grid may be of a stretch that goes on
// further back.
func (j *job) along(c *class, i int, weights []int64, limits []int) (best int64, lays []lay) {
	g, s, kinds := j.gridOf(c, i), c.stretches[i], len(j.kinds)
	n, first := sortedFrom(g.points, s.to), 0
	if limits != nil {
		first = sortedFrom(g.points, s.from)
	}
	all := j.active(len(g.points)+1, weights, limits)
	values, rows := g.value, g.rows
	clear(values[n:])
	clear(g.row[n:])
	clear(rows[:kinds])
	row := int32(0) // the last one filled
	for p := n - 1; p >= first; p-- {
		at := g.points[p]
		value, pick, goes := values[p+1], int32(-1), int32(p+1)
		for _, a := range all[at.start] {
			next := g.next[a.from+p]
			if next < 0 || s.to < g.to && at.at+j.kinds[a.kind].length > s.to {
				continue
			}
			if v := a.weight + values[next]; v > value && (limits == nil || int(rows[int(g.row[next])*kinds+a.kind]) < limits[a.kind]) {
				value, pick, goes = v, int32(a.kind), next
			}
		}
		values[p], g.pick[p], g.goes[p] = value, pick, goes
		if g.row[p] = g.row[goes]; limits != nil && pick >= 0 {
			row++
			own := rows[int(row)*kinds : int(row+1)*kinds]
			copy(own, rows[int(g.row[goes])*kinds:])
			own[pick]++
			g.row[p] = row
		}
	}
	j.meter.spend(int64(n*3+g.steps) * 2 / 3)
	if limits == nil {
		return values[first], nil
	}
	j.lays = j.lays[:0]
	for p := first; p < n; p = int(g.goes[p]) {
		if g.pick[p] >= 0 {
			j.lays = append(j.lays, lay{int(g.pick[p]), g.points[p].at})
		}
	}
	return values[first], slices.Clone(j.lays)
}

// active are the kinds that there are any of, by the phase that they start on, for a grid of so many points.
func (j *job) active(points int, weights []int64, limits []int) [][]active {
	j.actives = slices.Grow(j.actives[:0], len(j.starts))[:len(j.starts)]
	for n, start := range j.starts {
		j.actives[n] = j.actives[n][:0]
		for k := range j.kinds {
			if kind := &j.kinds[k]; kind.start == start && !kind.anywhere && kind.want > 0 && (limits == nil || limits[k] > 0) {
				j.actives[n] = append(j.actives[n], active{k, k * points, weights[k]})
			}
		}
	}
	return j.actives
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
