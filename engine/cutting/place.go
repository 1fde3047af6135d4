package cutting

import (
	"cmp"
	"slices"
	"sort"

	"tablehand/engine/measure"
)

// Place puts the cuts on the bolts. It tries file order, longest first and by lot, then runs that mix the cuts of a
// bolt's groups in their best order (runs first where cuts of several phases save cloth by taking turns; where
// they don't, all cuts of a lot in one phase after the other, which loses part of a repeat once for each), each with every
// group kept to one lot, and takes the first that places everything; only when all fail may a group be cut
// from several lots (Mixed). It is a heuristic: what it leaves without a place, or to several lots, package cutplan may yet place.
func Place(p Problem) Plan {
	inOrder := []attempt{
		{order: fileOrder, choose: firstLot},
		{order: longestFirst, choose: firstLot},
		{order: longestFirst, choose: tightestLot},
	}
	inRuns := []attempt{
		{order: fileOrder, choose: firstLot, runs: true},
		{order: longestFirst, choose: firstLot, runs: true},
	}
	var phases []attempt
	if inPhases(p) {
		phases = []attempt{{order: fileOrder, choose: firstLot, phases: true}}
	}
	tries := slices.Concat(phases, inOrder, inRuns)
	if turnsSave(p) {
		tries = slices.Concat(inRuns, inOrder, phases)
	}
	tries = append(tries, attempt{order: fileOrder, choose: firstLot, mixing: true}, attempt{order: longestFirst, choose: firstLot, mixing: true})
	var best Plan
	for i, try := range tries {
		plan := try.run(p)
		if i == 0 || plan.Short < best.Short {
			best = plan
		}
		if best.Short == 0 {
			break
		}
	}
	return best
}

// turnsSave reports whether some cut takes less cloth when one of another phase follows it, as cuts of plain length
// may; those of whole repeats never do.
func turnsSave(p Problem) bool {
	t := newTable(p.on(nil))
	return slices.ContainsFunc(p.Cuts, func(c Cut) bool {
		return !c.Anywhere && slices.ContainsFunc(t.starts, func(next measure.Length) bool { return t.step(c, next) < t.step(c, t.startOf(c)) })
	})
}

// inPhases reports whether the pattern's cuts start on more than one phase.
func inPhases(p Problem) bool { return len(startsOf(p)) > 1 }

// attempt is one way to place: in which order groups come, which lot each takes, whether the groups that a lot holds
// are laid on it together, all cuts of a phase before those of the next, whether the groups that a bolt holds
// whole are laid on it as one run first, and whether a group that no lot holds may be cut from several.
type attempt struct {
	order  func([]group)
	choose func(lots []string, room map[string]measure.Length, need measure.Length) []string
	phases bool
	runs   bool
	mixing bool
}

// group is a treatment's cuts, one phase after the other so that a half-drop skips half a repeat once; the phase
// of its first cut leads, so that a group may go on with the phase that the one before ended with. Those that start
// anywhere come last, and find the gaps that the others leave.
type group struct {
	name  string
	cuts  []Cut
	total measure.Length
}

func groupsOf(cuts []Cut) []group {
	index := map[string]int{}
	var groups []group
	for _, c := range cuts {
		i, ok := index[c.Group]
		if !ok {
			i = len(groups)
			index[c.Group] = i
			groups = append(groups, group{name: c.Group})
		}
		groups[i].cuts = append(groups[i].cuts, c)
		groups[i].total += c.Length
	}
	for _, g := range groups {
		slices.SortStableFunc(g.cuts, inTurn(g.lead()))
	}
	return groups
}

// lead is the phase of a group's first cut that has one.
func (g group) lead() measure.Length {
	i := slices.IndexFunc(g.cuts, func(c Cut) bool { return !c.Anywhere })
	return g.cuts[max(0, i)].Start
}

// inTurn puts the cuts of a phase first, then those of the phases behind it as the pattern comes round, and those
// that start anywhere last.
func inTurn(lead measure.Length) func(a, b Cut) int {
	round := func(c Cut) int {
		switch {
		case c.Anywhere:
			return 2
		case c.Start < lead:
			return 1
		}
		return 0
	}
	return func(a, b Cut) int {
		if x, y := round(a), round(b); x != y || x == 2 {
			return cmp.Compare(x, y)
		}
		return cmp.Compare(a.Start, b.Start)
	}
}

func fileOrder([]group) {}

func longestFirst(groups []group) {
	for _, g := range groups {
		turn := inTurn(g.lead())
		slices.SortStableFunc(g.cuts, func(a, b Cut) int { return cmp.Or(turn(a, b), cmp.Compare(b.Length, a.Length)) })
	}
	longest := func(g group) measure.Length {
		return slices.MaxFunc(g.cuts, func(a, b Cut) int { return cmp.Compare(a.Length, b.Length) }).Length
	}
	slices.SortStableFunc(groups, func(a, b group) int {
		return cmp.Or(cmp.Compare(longest(b), longest(a)), cmp.Compare(b.total, a.total))
	})
}

func firstLot(lots []string, _ map[string]measure.Length, _ measure.Length) []string { return lots }

// tightestLot tries the lot with the least cloth left that could hold the group first, so that large lots stay
// whole for large groups.
func tightestLot(lots []string, room map[string]measure.Length, need measure.Length) []string {
	sorted := slices.Clone(lots)
	slices.SortStableFunc(sorted, func(a, b string) int { return cmp.Compare(room[a], room[b]) })
	fits := slices.IndexFunc(sorted, func(lot string) bool { return room[lot] >= need })
	if fits < 0 {
		return sorted
	}
	return append(slices.Clone(sorted[fits:]), sorted[:fits]...)
}

func (a attempt) run(p Problem) Plan {
	t := newTable(p)
	groups := groupsOf(p.Cuts)
	a.order(groups)
	if a.runs {
		groups = slices.DeleteFunc(groups, t.runs)
	}
	if a.phases {
		groups = t.phases(groups)
	}
	var plan Plan
	for _, g := range groups {
		if a.placeInOneLot(t, g) {
			continue
		}
		if !a.mixing {
			plan.leave(g.cuts)
			continue
		}
		plan.leave(t.place(g.cuts, t.all))
	}
	plan.Placements = t.placements()
	plan.Mixed = mixed(p, plan.Placements)
	return plan
}

// mixed returns the groups that lie on more than one lot, in the order of the problem.
func mixed(p Problem, placements []Placement) []string {
	lotOf := map[string]string{}
	for _, b := range p.Bolts {
		lotOf[b.ID] = b.Lot
	}
	lots := map[string]string{} // by cut
	for _, pl := range placements {
		lots[pl.Cut] = lotOf[pl.Bolt]
	}
	first := map[string]string{} // by group
	var names []string
	for _, c := range p.Cuts {
		lot, placed := lots[c.ID]
		if !placed {
			continue
		}
		if f, known := first[c.Group]; !known {
			first[c.Group] = lot
		} else if f != lot && !slices.Contains(names, c.Group) {
			names = append(names, c.Group)
		}
	}
	return names
}

// phases gives each lot as many groups, in their order, as it holds when all cuts of a phase are laid before those
// of the next, and returns the groups that none has room for.
func (t *table) phases(groups []group) []group {
	for _, lot := range t.lots {
		n := len(groups)
		if !t.inLot(groups, lot) {
			// More groups need more room, but for what gaps happen to fit: the most that fit are sought by halves.
			n = sort.Search(n, func(n int) bool {
				mark := t.mark()
				fits := t.inLot(groups[:n+1], lot)
				t.backTo(mark)
				return !fits
			})
			t.inLot(groups[:n], lot)
		}
		groups = groups[n:]
	}
	return groups
}

// inLot places groups on the bolts of a lot, one phase after the other; where they don't fit nothing is placed.
func (t *table) inLot(groups []group, lot string) bool {
	mark := t.mark()
	if len(t.place(cutsOf(groups, true), t.byLot[lot])) == 0 {
		return true
	}
	t.backTo(mark)
	return false
}

// cutsOf are the cuts of groups one after another, with phases all cuts of a phase before those of the next.
func cutsOf(groups []group, phases bool) []Cut {
	var cuts []Cut
	for _, g := range groups {
		cuts = append(cuts, g.cuts...)
	}
	if phases {
		slices.SortStableFunc(cuts, inTurn(0))
	}
	return cuts
}

func (a attempt) placeInOneLot(t *table, g group) bool {
	for _, lot := range a.choose(t.lots, t.room(), g.total) {
		mark := t.mark()
		if len(t.place(g.cuts, t.byLot[lot])) == 0 {
			return true
		}
		t.backTo(mark)
	}
	return false
}

func (p *Plan) leave(cuts []Cut) {
	for _, c := range cuts {
		p.Unplaced = append(p.Unplaced, c.ID)
		p.Short += c.Length
	}
}

// table is the bolts with what lies on them.
type table struct {
	repeat measure.Length
	starts []measure.Length // the phases that cuts start on, from the least
	all    []*laid
	lots   []string // in the order of their first bolts
	byLot  map[string][]*laid
	log    []*laid // on which bolt each placement went, to take it back
}

// laid is a bolt with its cuts.
type laid struct {
	bolt    *Bolt
	blocked []Span // flaws and cuts, by From
	cuts    []Placement
	run     []Cut // those that lie as one run
	// earliest has for a shape where the last such cut went: room only shrinks, so the next one
	// can't lie before it.
	earliest map[shape]measure.Length
}

// shape is what the placing knows of a cut: cuts of one shape are alike to it.
type shape struct {
	length measure.Length
	start  measure.Length // its phase, or anywhere
}

// anywhere is the phase of cuts that no pattern holds.
const anywhere = -1

func (t *table) shapeOf(c Cut) shape { return shape{c.Length, t.startOf(c)} }

// startOf is the phase that a cut starts on: one for all where there is no pattern.
func (t *table) startOf(c Cut) measure.Length {
	switch {
	case t.repeat == 0:
		return 0
	case c.Anywhere:
		return anywhere
	}
	return c.Start
}

// startsOf are the phases that a problem's cuts start on, from the least.
func startsOf(p Problem) []measure.Length {
	var starts []measure.Length
	for _, c := range p.Cuts {
		if p.VerticalRepeat > 0 && !c.Anywhere && !slices.Contains(starts, c.Start) {
			starts = append(starts, c.Start)
		}
	}
	slices.Sort(starts)
	return starts
}

func newTable(p Problem) *table {
	t := &table{repeat: p.VerticalRepeat, starts: startsOf(p), byLot: map[string][]*laid{}}
	for i := range p.Bolts {
		b := &p.Bolts[i]
		l := newLaid(b)
		t.all = append(t.all, l)
		if _, known := t.byLot[b.Lot]; !known {
			t.lots = append(t.lots, b.Lot)
		}
		t.byLot[b.Lot] = append(t.byLot[b.Lot], l)
	}
	return t
}

func newLaid(b *Bolt) *laid {
	return &laid{bolt: b, blocked: merged(b.Flaws), earliest: map[shape]measure.Length{}}
}

// merged sorts the flaws and joins those that touch, so that ends are sorted as starts are.
func merged(flaws []Span) []Span {
	sorted := slices.Clone(flaws)
	slices.SortFunc(sorted, func(a, b Span) int { return cmp.Compare(a.From, b.From) })
	var out []Span
	for _, f := range sorted {
		if n := len(out); n > 0 && f.From <= out[n-1].To {
			out[n-1].To = max(out[n-1].To, f.To)
			continue
		}
		out = append(out, f)
	}
	return out
}

// place puts each cut on the first of the bolts that has room and returns those that found none. Room only shrinks
// meanwhile, so a cut lies on no bolt before the last one of its shape.
func (t *table) place(cuts []Cut, bolts []*laid) (left []Cut) {
	next := map[shape]int{}
	for _, c := range cuts {
		s := t.shapeOf(c)
		for next[s] < len(bolts) && !t.placeOn(bolts[next[s]], c) {
			next[s]++
		}
		if next[s] == len(bolts) {
			left = append(left, c)
		}
	}
	return left
}

// placeOn puts a cut on a bolt, and reports whether it has room there.
func (t *table) placeOn(l *laid, c Cut) bool {
	from, ok := t.fit(l, c)
	if ok {
		l.put(Placement{Cut: c.ID, Bolt: l.bolt.ID, From: from, To: from + c.Length})
		l.earliest[t.shapeOf(c)] = from
		t.log = append(t.log, l)
	}
	return ok
}

// fit finds the first start on phase where the cut meets neither a flaw nor another cut nor the bolt's end.
func (t *table) fit(l *laid, c Cut) (measure.Length, bool) {
	s := t.shapeOf(c)
	from := t.clear(l, s, l.earliest[s])
	return from, from+c.Length <= l.bolt.Length
}

// clear is the first start on phase at or behind a place where a cut meets nothing that is blocked.
func (t *table) clear(l *laid, s shape, at measure.Length) measure.Length {
	from := t.onPhase(l.bolt, s.start, at)
	first, _ := slices.BinarySearchFunc(l.blocked, from, func(b Span, at measure.Length) int {
		return cmp.Compare(b.To, at)
	})
	for _, b := range l.blocked[first:] {
		if b.To <= from {
			continue
		}
		if from+s.length <= b.From {
			break
		}
		from = t.onPhase(l.bolt, s.start, b.To)
	}
	return from
}

// onPhase returns the first start at or after a point of a phase.
func (t *table) onPhase(b *Bolt, start, at measure.Length) measure.Length {
	if t.repeat == 0 || start == anywhere {
		return at
	}
	phase := b.FirstRepeat + start
	return phase + max(0, at-phase).CeilTo(t.repeat)
}

func (l *laid) put(p Placement) {
	l.cuts = append(l.cuts, p)
	at, _ := slices.BinarySearchFunc(l.blocked, p.From, func(s Span, from measure.Length) int {
		return cmp.Compare(s.From, from)
	})
	l.blocked = slices.Insert(l.blocked, at, Span{p.From, p.To})
}

func (t *table) mark() int { return len(t.log) }

// backTo takes back what was placed after a mark.
func (t *table) backTo(mark int) {
	for _, l := range t.log[mark:] {
		p := l.cuts[len(l.cuts)-1]
		l.cuts = l.cuts[:len(l.cuts)-1]
		l.blocked = slices.DeleteFunc(l.blocked, func(s Span) bool { return s == Span{p.From, p.To} })
		clear(l.earliest)
	}
	t.log = t.log[:mark]
}

// room is how much cloth each lot has left, flaws and gaps counted as cloth.
func (t *table) room() map[string]measure.Length {
	room := map[string]measure.Length{}
	for lot, bolts := range t.byLot {
		for _, l := range bolts {
			room[lot] += l.bolt.Length
			for _, p := range l.cuts {
				room[lot] -= p.To - p.From
			}
		}
	}
	return room
}

func (t *table) placements() []Placement {
	var all []Placement
	for _, l := range t.all {
		slices.SortFunc(l.cuts, func(a, b Placement) int { return cmp.Compare(a.From, b.From) })
		all = append(all, l.cuts...)
	}
	return all
}
