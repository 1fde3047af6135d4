package cutplan

import (
	"cmp"
	"slices"

	"tablehand/engine/cutting"
	"tablehand/engine/packing"
)

// neighbours cuts what a few pieces carry anew, with what has no place and with pieces that aren't used, in the best of all ways; again and
// again with others, and keeps what is no worse.
type neighbours struct {
	*job
	state
	number  map[string]int // of a cut
	random  packing.Random
	emptied int
}

// state is what lies where, what that counts by the aim, and the cuts without a place with their length.
type state struct {
	on     [][]cutting.Placement // by bolt of the problem
	value  int64
	loose  []int
	length int64
}

func (s *state) less(than *state) bool {
	return cmp.Or(cmp.Compare(s.length, than.length), cmp.Compare(s.value, than.value)) < 0
}

const (
	fewPieces      = 2 // that are cut anew together, at least
	manyPieces     = 5
	mostSpares     = 2 // unused pieces that are looked at with them
	mostOver       = 4 // cuts without a place
	movable        = 2 // groups that may come from another lot than so far
	neighbourPairs = 60_000
	mostStalled    = 60 // steps that find nothing, before pieces are emptied
	mostWidened    = 5  // how often what is looked at together is doubled, before it is little again
)

// recut looks for a better layout among neighbours. Where that finds none for long it empties some pieces and goes on from there, or from the
// best, now and then.
func (j *job) recut(a *answer) {
	n := &neighbours{job: j, random: packing.NewRandom(), number: map[string]int{}}
	n.on = make([][]cutting.Placement, len(j.problem.Bolts))
	for i := range j.problem.Cuts {
		n.number[j.problem.Cuts[i].ID] = i
	}
	plan := a.layout.plan()
	for b := range n.on {
		n.on[b] = onBolt(plan, j.problem.Bolts[b].ID)
		n.value += n.costOf(b, n.on[b])
	}
	for _, id := range plan.Unplaced {
		if i := n.number[id]; !slices.Contains(j.tooLong, i) {
			n.loose = append(n.loose, i)
			n.length += int64(j.problem.Cuts[i].Length)
		}
	}
	best := n.state
	for stalled := 0; !j.meter.done() && (best.length > a.short || best.value > j.leastValue(a, best.length)); stalled++ {
		if stalled == mostStalled {
			if stalled = 0; n.random.Below(3) == 0 {
				n.state = best
			}
			n.emptied++
			n.empty()
		}
		if n.step(); n.less(&best) {
			best, stalled = n.state, 0
		}
	}
	j.offer(a, j.layoutAs(slices.Concat(best.on...)))
}

func onBolt(plan cutting.Plan, bolt string) []cutting.Placement {
	return slices.DeleteFunc(slices.Clone(plan.Placements), func(p cutting.Placement) bool { return p.Bolt != bolt })
}

// costOf is what a bolt with such cuts counts by the aim.
func (n *neighbours) costOf(bolt int, on []cutting.Placement) int64 {
	b := &n.problem.Bolts[bolt]
	switch {
	case len(on) == 0:
		return 0
	case n.problem.Aim == cutting.LeastLength:
		return int64(b.Length)
	case n.problem.Aim == cutting.LeastCost:
		return b.Cost
	case b.Opens():
		return 1
	}
	return 0
}

func (n *neighbours) lengthOf(cuts []int) (sum int64) {
	for _, i := range cuts {
		sum += int64(n.problem.Cuts[i].Length)
	}
	return sum
}

// step cuts some pieces anew.
func (n *neighbours) step() {
	n.meter.spend(2_000)
	groups := n.someGroups()
	bolts, over := n.chosen(groups), n.someOver()
	var s *bySets
	for s == nil {
		if len(bolts) == 0 {
			return
		}
		part := n.part(bolts, over, groups)
		n.meter.spend(int64(len(n.problem.Cuts) * 8))
		if s = newBySets(newJob(&part, n.meter), neighbourPairs<<(n.emptied%mostWidened)); s == nil {
			at := n.random.Below(len(bolts))
			bolts = slices.Delete(bolts, at, at+1)
		}
	}
	plan := s.best().plan()
	left := make([]int, len(plan.Unplaced))
	for i, id := range plan.Unplaced {
		left[i] = n.number[id]
	}
	now, before := int64(0), int64(0)
	on := make([][]cutting.Placement, len(bolts))
	for i, b := range bolts {
		on[i] = onBolt(plan, n.problem.Bolts[b].ID)
		now += n.costOf(b, on[i])
		before += n.costOf(b, n.on[b])
	}
	order := cmp.Or(cmp.Compare(n.lengthOf(left), n.lengthOf(over)), cmp.Compare(now, before))
	if order > 0 {
		return
	}
	n.on, n.loose = slices.Clone(n.on), slices.Clone(n.loose)
	for i, b := range bolts {
		n.on[b] = on[i]
	}
	n.loose = append(slices.DeleteFunc(n.loose, func(i int) bool { return slices.Contains(over, i) }), left...)
	n.value += now - before
	n.length += n.lengthOf(left) - n.lengthOf(over)
}

// empty takes everything off a few pieces.
func (n *neighbours) empty() {
	n.on, n.loose = slices.Clone(n.on), slices.Clone(n.loose)
	for range 1 + n.random.Below(manyPieces) {
		b := n.random.Below(len(n.on))
		n.value -= n.costOf(b, n.on[b])
		for _, p := range n.on[b] {
			n.loose = append(n.loose, n.number[p.Cut])
			n.length += int64(p.To - p.From)
		}
		n.on[b] = nil
	}
}

// chosen are some pieces that carry cuts, half the time all those of a few groups among them, and some that don't.
func (n *neighbours) chosen(groups map[string]bool) (bolts []int) {
	var used, spare []int
	together := len(n.lots) > 1 && n.random.Below(2) == 0
	for b, on := range n.on {
		switch {
		case len(on) == 0:
			spare = append(spare, b)
		case together && slices.ContainsFunc(on, func(p cutting.Placement) bool { return groups[n.problem.Cuts[n.number[p.Cut]].Group] }):
			bolts = append(bolts, b)
		default:
			used = append(used, b)
		}
	}
	count := fewPieces + n.random.Below(manyPieces-fewPieces+1)
	if together {
		count = n.random.Below(fewPieces + 1)
	}
	return slices.Concat(bolts, n.some(used, count), n.some(spare, n.random.Below(mostSpares+1)))
}

// someGroups are a few groups.
func (n *neighbours) someGroups() map[string]bool {
	groups := map[string]bool{}
	for range 1 + n.random.Below(movable) {
		if g := n.problem.Cuts[n.random.Below(len(n.problem.Cuts))].Group; g != "" {
			groups[g] = true
		}
	}
	return groups
}

func (n *neighbours) someOver() []int { return n.some(slices.Clone(n.loose), mostOver) }

func (n *neighbours) some(of []int, count int) (list []int) {
	for len(of) > 0 && len(list) < count {
		at := n.random.Below(len(of))
		list = append(list, of[at])
		of = slices.Delete(of, at, at+1)
	}
	return list
}

// part is the problem of some pieces, what they carry and what has no place. Groups that have cuts elsewhere, and all but a few of the others,
// keep to their lots: what comes from one lot is one group then.
func (n *neighbours) part(bolts, over []int, free map[string]bool) cutting.Problem {
	p := *n.problem
	p.Bolts, p.Cuts, p.Bound = nil, nil, map[string][]string{}
	cuts := slices.Clone(over)
	for _, b := range bolts {
		p.Bolts = append(p.Bolts, n.problem.Bolts[b])
		for _, pl := range n.on[b] {
			cuts = append(cuts, n.number[pl.Cut])
		}
	}
	lotOf, outside := n.lotsOf(bolts)
	for _, i := range cuts {
		c := n.problem.Cuts[i]
		lot, laid := lotOf[c.Group]
		switch {
		case len(n.lots) == 1:
			c.Group = ""
		case c.Group == "":
		case laid && (outside[c.Group] || !free[c.Group]):
			c.Group = "lot " + lot
			p.Bound[c.Group] = []string{lot}
		default:
			p.Bound[c.Group] = n.problem.Bound[c.Group]
		}
		p.Cuts = append(p.Cuts, c)
	}
	return p
}

// lotsOf are the lots that groups come from, and which groups have cuts on other pieces than some.
func (n *neighbours) lotsOf(bolts []int) (lots map[string]string, outside map[string]bool) {
	lots, outside = map[string]string{}, map[string]bool{}
	for b, on := range n.on {
		for _, pl := range on {
			g := n.problem.Cuts[n.number[pl.Cut]].Group
			lots[g] = n.problem.Bolts[b].Lot
			outside[g] = outside[g] || !slices.Contains(bolts, b)
		}
	}
	return lots, outside
}
