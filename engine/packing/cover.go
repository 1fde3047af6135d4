package packing

import (
	"cmp"
	"slices"
)

// A solution of a cost leaves no more weight unused than the weights of all stock that it takes exceed those of all lengths. Where
// that is little, few fillings can be part of one, and a search over them alone finds it, or shows that there is none.

const (
	mostFillings = 400_000
	mostWeighed  = 4 // weights that are looked at together
)

// tight is a filling with what it leaves unused by each of the weights.
type tight struct {
	class int
	slack [mostWeighed]int64
	takes []Take
}

type cover struct {
	*solver
	weights []*Weights
	budget  [mostWeighed]int64
	all     []tight
	left    []int
	open    int // lengths without a filling
	chosen  []int32
	scarce  []int32 // by kind, how many of the live fillings have it
	random  Random
	restart int64 // work of one attempt, in turn with longer ones; 0: until the end
	spent   int64
	told    int64 // of it, to the meter
	over    bool  // the meter is done
	until   int64
	most    int64
	stopped bool
}

// unused is how much weight a solution of a cost leaves.
func (s *solver) unused(w *Weights, cost int64) int64 {
	sum := w.Scale * cost
	for i, k := range s.Kinds {
		sum -= w.Of[i] * int64(k.Want)
	}
	return sum
}

// cover looks for a solution of a cost. none says that there is none.
func (s *solver) cover(cost, work, restart int64) (found []Filling, none bool) {
	if !s.unlimited() || len(s.weights) == 0 {
		return nil, false
	}
	c := &cover{solver: s, most: work, restart: restart, random: NewRandom(), scarce: make([]int32, len(s.Kinds))}
	for i := len(s.weights) - 1; i >= 0 && len(c.weights) < mostWeighed; i-- {
		w := &s.weights[i]
		c.budget[len(c.weights)] = s.unused(w, cost)
		if c.budget[len(c.weights)] < 0 {
			return nil, true
		}
		c.weights = append(c.weights, w)
	}
	defer c.tell()
	if !c.list() {
		return nil, false
	}
	return c.attempts()
}

func (c *cover) spend(units int64) {
	if c.spent += units; c.spent-c.told > 50_000 {
		c.tell()
	}
}

func (c *cover) tell() {
	c.meter.Spend(c.spent - c.told)
	c.told = c.spent
	c.over = c.meter.Done()
}

// list finds all fillings within the budgets.
func (c *cover) list() bool {
	n := len(c.Kinds)
	w := c.weights[0]
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	ratio := func(k int) float64 { return float64(w.Of[k]) / float64(c.Kinds[k].Length) }
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(ratio(b), ratio(a)) })
	shortest := make([]int64, n+1)
	shortest[n] = 1 << 62
	for i := n - 1; i >= 0; i-- {
		shortest[i] = min(shortest[i+1], c.Kinds[order[i]].Length)
	}
	full := true
	now := make([]Take, 0, 16)
	for class, stock := range c.Classes {
		need := w.Scale*stock.Cost - c.budget[0]
		var from func(i int, room, weight int64)
		from = func(i int, room, weight int64) {
			if c.spend(1); c.spent > c.most || c.over || len(c.all) > mostFillings {
				full = false
				return
			}
			if weight >= need && len(now) > 0 {
				c.keep(class, now)
			}
			for ; i < n && full; i++ {
				k := order[i]
				if room < shortest[i] || float64(weight)+float64(room)*ratio(k) < float64(need)-0.5 {
					return
				}
				length := c.Kinds[k].Length
				for t := min(int64(c.Kinds[k].Want), room/length); t > 0 && full; t-- {
					now = append(now, Take{k, int(t)})
					from(i+1, room-t*length, weight+t*w.Of[k])
					now = now[:len(now)-1]
				}
			}
		}
		from(0, stock.Length, 0)
	}
	slices.SortStableFunc(c.all, func(a, b tight) int { return cmp.Compare(a.slack[0], b.slack[0]) })
	return full
}

func (c *cover) keep(class int, takes []Take) {
	t := tight{class: class}
	for i, w := range c.weights {
		t.slack[i] = w.Scale * c.Classes[class].Cost
		for _, x := range takes {
			t.slack[i] -= w.Of[x.Kind] * int64(x.Count)
		}
		if t.slack[i] > c.budget[i] {
			return
		}
	}
	t.takes = slices.Clone(takes)
	c.all = append(c.all, t)
}

// attempts searches, again and again where it is to restart.
func (c *cover) attempts() (found []Filling, none bool) {
	live := make([]int32, len(c.all))
	for i := range live {
		live[i] = int32(i)
	}
	for try := int64(1); ; try++ {
		c.until = c.most
		if c.restart > 0 {
			c.until = min(c.most, c.spent+c.restart*luby(try))
		}
		c.stopped, c.chosen, c.left, c.open = false, c.chosen[:0], c.wants(), 0
		for _, n := range c.left {
			c.open += n
		}
		if c.search(live, c.budget) {
			for _, i := range c.chosen {
				found = append(found, Filling{c.all[i].class, c.all[i].takes})
			}
			return found, false
		}
		if !c.stopped {
			return nil, true
		}
		if c.spent >= c.most || c.meter.Done() {
			return nil, false
		}
	}
}

// luby is the sequence 1 1 2 1 1 2 4 …, by which restarts cost no more than a small factor of the best (Luby, Sinclair and
// Zuckerman, Information Processing Letters 47, 1993).
func luby(i int64) int64 {
	for k := int64(1); ; k++ {
		switch {
		case i == 1<<k-1:
			return 1 << (k - 1)
		case i < 1<<k-1:
			return luby(i - 1<<(k-1) + 1)
		}
	}
}

// search covers what is left with live fillings: those with the kind that has fewest for what is wanted of it, one after the other.
func (c *cover) search(live []int32, budget [mostWeighed]int64) bool {
	if c.open == 0 {
		return true
	}
	if c.spent > c.until || c.over {
		c.stopped = true
		return false
	}
	own := c.fitting(live, budget)
	c.spend(int64(len(live)) * 3)
	kind := -1
	for k, n := range c.scarce {
		if c.left[k] == 0 {
			continue
		}
		if n == 0 {
			return false
		}
		if kind < 0 || int64(n)*int64(c.left[kind]) < int64(c.scarce[kind])*int64(c.left[k]) {
			kind = k
		}
	}
	with := c.having(own, kind)
	tried := map[int32]bool{}
	for _, i := range with {
		t := &c.all[i]
		next := own
		if len(tried) > 0 {
			next = slices.DeleteFunc(slices.Clone(own), func(x int32) bool { return tried[x] })
		}
		rest := budget
		for w := range c.weights {
			rest[w] -= t.slack[w]
		}
		c.chosen = append(c.chosen, i)
		c.put(t, 1)
		if c.search(next, rest) {
			return true
		}
		c.put(t, -1)
		c.chosen = c.chosen[:len(c.chosen)-1]
		if c.stopped {
			return false
		}
		tried[i] = true
	}
	return false
}

func (c *cover) put(t *tight, times int) {
	for _, x := range t.takes {
		c.left[x.Kind] -= x.Count * times
		c.open -= x.Count * times
	}
}

// fitting are the live fillings that what is left allows, and counts how many have each kind.
func (c *cover) fitting(live []int32, budget [mostWeighed]int64) []int32 {
	clear(c.scarce)
	own := make([]int32, 0, len(live))
next:
	for _, i := range live {
		t := &c.all[i]
		for w := range c.weights {
			if t.slack[w] > budget[w] {
				if w == 0 {
					break next // by the first they are sorted
				}
				continue next
			}
		}
		for _, x := range t.takes {
			if x.Count > c.left[x.Kind] {
				continue next
			}
		}
		own = append(own, i)
		for _, x := range t.takes {
			c.scarce[x.Kind]++
		}
	}
	return own
}

// having are those with a kind: what leaves least first, then what takes scarce kinds.
func (c *cover) having(own []int32, kind int) []int32 {
	type keyed struct {
		i   int32
		key float64
	}
	var list []keyed
	for _, i := range own {
		has := false
		key := 0.0
		for _, x := range c.all[i].takes {
			has = has || x.Kind == kind
			key += float64(x.Count) * float64(c.left[x.Kind]) / float64(c.scarce[x.Kind])
		}
		if !has {
			continue
		}
		if c.restart > 0 {
			key *= 1 + float64(c.random.Below(1000))/4000
		}
		list = append(list, keyed{i, key})
	}
	slices.SortStableFunc(list, func(a, b keyed) int {
		return cmp.Or(cmp.Compare(c.all[a.i].slack[0], c.all[b.i].slack[0]), cmp.Compare(b.key, a.key))
	})
	with := make([]int32, len(list))
	for i, k := range list {
		with[i] = k.i
	}
	return with
}
