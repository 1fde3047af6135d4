package workup

import (
	"cmp"
	"context"
	"maps"
	"slices"
	"strconv"

	"tablehand/engine/cutplan"
	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/pattern"
)

// searched is the work that goes into a plan on the shelf's bolts, about a fiftieth of a second: the best plan of most orders needs less.
const searched = 2_000_000

// placed places cuts on the bolts. On the shelf there are many, which repeat as they were measured: it looks for the plan that opens the fewest.
// Those of the file are filled in the order listed, which somebody chose; only where that leaves a cut without a place, or a group to several
// lots, a plan that doesn't is looked for.
func (plan *ClothPlan) placed(problem cutting.Problem, work int64) cutting.Plan {
	plan.Proven = false
	if onShelf(plan.Fabric) {
		return plan.sought(problem, work)
	}
	listed := cutting.PlaceBound(problem, problem.Bound)
	if listed.Short == 0 && len(listed.Mixed) == 0 {
		return listed
	}
	sought := plan.sought(problem, work)
	if less := cmp.Or(cmp.Compare(sought.Short, listed.Short), cmp.Compare(len(sought.Mixed), len(listed.Mixed))); less < 0 {
		return sought
	}
	return listed
}

// sought looks for the plan that opens the fewest bolts. A window that can only be cut from several lots is, where that places more.
func (plan *ClothPlan) sought(problem cutting.Problem, work int64) cutting.Plan {
	found := bestPlan(problem, work)
	best := problem.Forward(found.Plan)
	if len(best.Unplaced) == 0 {
		plan.Proven = found.Optimal
		return best
	}
	if mixed := plan.mixed(problem, best, work); mixed.Short < best.Short {
		return mixed
	}
	return best // several lots place no more
}

// mixed cuts what has no place in one lot from several: windows stay whole where those of a room, or an order, can each be cut from one.
func (plan *ClothPlan) mixed(problem cutting.Problem, without cutting.Plan, work int64) cutting.Plan {
	if plan.grouped() {
		if whole := mixing(problem, without, work, plan.windows(problem)); whole.Short == 0 {
			return problem.Forward(whole)
		}
	}
	measured := slices.ContainsFunc(problem.Bolts, func(b cutting.Bolt) bool { return b.VerticalRepeat != 0 && b.VerticalRepeat != problem.VerticalRepeat })
	if measured || problem.Kerf > 0 {
		return problem.Forward(mixing(problem, without, work, nil))
	}
	return cutting.PlaceBound(problem.Whole(), problem.Bound)
}

// grouped reports whether several windows come from one lot.
func (plan *ClothPlan) grouped() bool {
	for line, first := range plan.lots {
		if first != line {
			return true
		}
	}
	return false
}

func bestPlan(problem cutting.Problem, work int64) cutplan.Plan {
	return cutplan.Best(context.Background(), problem, cutplan.Budget{Work: work})
}

// windows names by cut the window that it is for, of groups that have no pieces yet.
func (plan *ClothPlan) windows(problem cutting.Problem) map[string]string {
	of := map[string]string{}
	for i := range plan.Cuts {
		if c := &plan.Cuts[i]; len(problem.Bound[plan.oneLot(c.Treatment)]) == 0 {
			of[c.ID] = "window " + strconv.Itoa(c.Treatment)
		}
	}
	return of
}

// mixing is a plan in which the groups that another one has no whole place for may be cut from several lots; each part of one, which parts
// names by cut, from one lot.
func mixing(problem cutting.Problem, without cutting.Plan, work int64, parts map[string]string) cutting.Plan {
	lacking := map[string]bool{} // groups
	for i := range problem.Cuts {
		if c := &problem.Cuts[i]; slices.Contains(without.Unplaced, c.ID) {
			lacking[c.Group] = true
		}
	}
	apart := problem
	apart.Cuts = slices.Clone(problem.Cuts)
	for i := range apart.Cuts {
		if c := &apart.Cuts[i]; lacking[c.Group] {
			c.Group = parts[c.ID]
		}
	}
	plan := bestPlan(apart, work).Plan
	plan.Mixed = severalLots(problem, plan.Placements)
	return plan
}

// severalLots are the groups whose cuts lie on bolts of several lots, or of others than those that they have pieces of, in the order of the cuts.
func severalLots(problem cutting.Problem, at []cutting.Placement) (mixed []string) {
	lots, on, of := map[string]string{}, map[string]string{}, map[string]string{} // by bolt, by cut, by group
	for _, b := range problem.Bolts {
		lots[b.ID] = b.Lot
	}
	for _, p := range at {
		on[p.Cut] = p.Bolt
	}
	for _, c := range problem.Cuts {
		bolt, placed := on[c.ID]
		if !placed || c.Group == "" {
			continue
		}
		lot := lots[bolt]
		if _, known := of[c.Group]; !known {
			of[c.Group] = lot
		}
		bound := problem.Bound[c.Group]
		several := of[c.Group] != lot || len(bound) > 0 && !slices.Contains(bound, lot)
		if several && !slices.Contains(mixed, c.Group) {
			mixed = append(mixed, c.Group)
		}
	}
	return mixed
}

// On is the fabric's cuts on other bolts, by so much work at most; the plan itself stays as it is.
func (plan *ClothPlan) On(f *orderfile.Fabric, work int64) *ClothPlan {
	part := *plan
	part.Fabric, part.Cuts = f, slices.Clone(plan.Cuts)
	part.Plan = part.placed(Placing(&part), work)
	return &part
}

// Try is where the fabric's cuts find a place on other bolts, and the work that took, in units of the planner: as On, but for windows that can
// only be cut from several lots on the shelf's bolts, of which a part has no place then.
func (plan *ClothPlan) Try(f *orderfile.Fabric, work int64) (cutting.Plan, int64) {
	part := *plan
	part.Fabric = f
	problem := Placing(&part)
	var spent int64
	if !onShelf(f) {
		spent = fillingWork * int64(len(problem.Cuts)) * int64(max(1, len(problem.Bolts)))
		if listed := cutting.PlaceBound(problem, problem.Bound); len(listed.Unplaced) == 0 && len(listed.Mixed) == 0 {
			return listed, spent
		}
	}
	best := cutplan.Best(context.Background(), problem, cutplan.Budget{Work: max(1, work-spent)})
	return best.Plan, spent + best.Work
}

// fillingWork is about what it takes to fill bolts in the order listed, for each cut and bolt.
const fillingWork = 200

func onShelf(f *orderfile.Fabric) bool {
	return slices.ContainsFunc(f.Bolts, func(b orderfile.Bolt) bool { return b.Shelf != "" })
}

// Beside is a fabric on these bolts, less what those of the order before it are cut from: two of an order may be one cloth.
func (w *Workup) Beside(f *orderfile.Fabric) *orderfile.Fabric {
	promised := map[string][]orderfile.Flaw{}
	for i := range w.Cloth {
		if w.Cloth[i].Fabric.ID == f.ID {
			break
		}
		promise(promised, &w.Cloth[i])
	}
	return f.Besides(promised)
}

// proving is the work that goes into saying how much is short at least.
const proving = 200_000

// Least is how much is short however what is left of the bolts is cut, whatever the lots: what is proven of that, 0 for nothing.
func (plan *ClothPlan) Least(taken map[string][]cutting.Span) measure.Length {
	problem := plan.left(taken)
	problem.Bound = nil
	for i := range problem.Cuts {
		problem.Cuts[i].Group = ""
	}
	return cutplan.Best(context.Background(), problem, cutplan.Budget{Work: proving}).ShortBound
}

// promise notes what a plan takes of the shelf's bolts.
func promise(promised map[string][]orderfile.Flaw, plan *ClothPlan) {
	for _, b := range plan.Fabric.Bolts {
		for _, p := range plan.Plan.Placements {
			if b.Shelf != "" && p.Bolt == b.ID {
				promised[b.Shelf] = append(promised[b.Shelf], orderfile.Flaw{From: p.From, To: p.To})
			}
		}
	}
}

// trims says of each cut placed how much lies before its pattern's height.
func (plan *ClothPlan) trims() {
	f := plan.Fabric
	if f.Use != orderfile.Face || f.Plain() {
		return
	}
	bolts := f.ByName()
	whole := cutting.Problem{VerticalRepeat: f.VerticalRepeat}
	from := map[string]cutting.Placement{}
	for _, p := range plan.Plan.Placements {
		from[p.Cut] = p
	}
	for i := range plan.Cuts {
		cut := &plan.Cuts[i]
		if p, placed := from[cut.ID]; placed && !cut.anywhere() {
			b := bolts[p.Bolt]
			start := pattern.Start{Behind: cut.Phase, Dropped: cut.Class == 1}.On(f.VerticalRepeat)
			repeat, height := whole.Pattern(&cutting.Bolt{VerticalRepeat: b.Repeat}, start)
			past := p.From - b.FirstRepeat - height
			cut.TrimTop = past.CeilTo(repeat) - past
			cut.TrimBottom -= cut.TrimTop
		}
	}
}

// Placing is what the plan's fabric asks of cutting.Place, and what cutting.Check holds its answer against: the cuts
// of a window, or of more, come from one lot. A lining is cut without regard to a repeat. Where some of the bolts are the shelf's, a kerf is lost
// between cuts, as the shop says.
func Placing(plan *ClothPlan) cutting.Problem {
	f := plan.Fabric
	p := cutting.Problem{VerticalRepeat: plan.pitch, Bound: plan.bound}
	for _, b := range f.Bolts {
		p.Kerf, p.MinRemnant = max(p.Kerf, b.Kerf), max(p.MinRemnant, b.MinRemnant)
		bolt := cutting.Bolt{ID: b.ID, Length: b.Length, Lot: b.Lot, FirstRepeat: b.FirstRepeat, VerticalRepeat: b.Repeat, Opened: b.Opened, Half: b.Half}
		if plan.pitch < f.VerticalRepeat { // half repeats do
			bolt.VerticalRepeat = b.Repeat.Div(2)
		}
		if b.From > 0 { // what lies before is another order's
			bolt.Flaws = append(bolt.Flaws, cutting.Span{To: b.From})
		}
		for _, flaw := range slices.Concat(b.Flaws, b.Spoken) {
			bolt.Flaws = append(bolt.Flaws, cutting.Span{From: flaw.From, To: flaw.To})
		}
		p.Bolts = append(p.Bolts, bolt)
	}
	for _, c := range plan.Cuts {
		p.Cuts = append(p.Cuts, cutting.Cut{ID: c.ID, Length: c.Length, Group: plan.oneLot(c.Treatment), Start: plan.start(&c), Anywhere: c.anywhere(), Half: c.oddHalf()})
	}
	return p
}

// Starting settles for cuts that stand on tickets where on the cloth each may start, as it is for the plan's own.
func (plan *ClothPlan) Starting(c *orderfile.Conventions, cuts []Cut) []Cut {
	part := *plan
	part.Cuts = slices.Clone(cuts)
	for i := range part.Cuts {
		cut := &part.Cuts[i]
		cut.TrimTop, cut.TrimBottom, cut.start = 0, cut.TrimTop+cut.TrimBottom, pattern.Start{}
	}
	part.phase(c)
	return part.Cuts
}

// Keeps reports whether cuts can stay where they lie on what is left of the bolts, by the checker that shares nothing with
// the placing. mixed are the treatments that may come from several lots.
func (plan *ClothPlan) Keeps(cuts []Cut, at []cutting.Placement, taken map[string][]cutting.Span, mixed []string) bool {
	part := *plan
	part.Cuts = cuts
	return len(cutting.Check(part.left(taken), cutting.Plan{Placements: at, Mixed: mixed})) == 0
}

// left is what the plan asks on what is left of the bolts; on the shelf's a cut keeps a kerf from those that are made.
func (plan *ClothPlan) left(taken map[string][]cutting.Span) cutting.Problem {
	taken = maps.Clone(taken)
	for _, b := range plan.Fabric.Bolts {
		if spans := taken[b.ID]; b.Kerf > 0 && len(spans) > 0 {
			taken[b.ID] = cutting.Beside(spans, b.Kerf)
		}
	}
	return Placing(plan).Left(taken)
}

// AsLaid makes the plan one of cuts as they lie: those that lie nowhere are short, and groups on several lots are mixed.
func (plan *ClothPlan) AsLaid(at []cutting.Placement) {
	problem, placed := Placing(plan), map[string]bool{}
	for _, p := range at {
		placed[p.Cut] = true
	}
	plan.Plan = cutting.Plan{Placements: slices.Clone(at), Mixed: severalLots(problem, at)}
	problem.Sort(plan.Plan.Placements)
	for _, c := range problem.Cuts {
		if !placed[c.ID] {
			plan.Plan.Unplaced, plan.Plan.Short = append(plan.Plan.Unplaced, c.ID), plan.Plan.Short+c.Length
		}
	}
}

// Bind names the dye lots that lot groups, by their first lines, have pieces of already: what else they get comes from those.
func (plan *ClothPlan) Bind(lots map[int][]string) {
	plan.bound = map[string][]string{}
	for group, of := range lots {
		plan.bound[plan.oneLot(group)] = of
	}
}

// Relay lays cuts of a fabric that are still to be cut on what is left of its bolts: taken are the stretches that are
// cut, or promised, by bolt, and lots names for a lot group, by its first line, the dye lots that it has pieces of already, which
// it goes on with while there is room. The cuts are some of the plan's own; they keep their ids, and their trims are those of
// where they lie now. The plan itself stays as it is.
func (plan *ClothPlan) Relay(cuts []Cut, taken map[string][]cutting.Span, lots map[int][]string) *ClothPlan {
	part := *plan
	part.Cuts, part.Plan = slices.Clone(cuts), cutting.Plan{}
	for i := range part.Cuts {
		c := &part.Cuts[i]
		c.TrimTop, c.TrimBottom = 0, c.TrimTop+c.TrimBottom
	}
	if len(part.Fabric.Bolts) > 0 {
		part.Bind(lots)
		problem := part.left(taken)
		part.Plan = part.placed(problem, searched)
		if faults := cutting.Check(problem, part.Plan); len(faults) > 0 {
			// The last look before cloth that nobody can replace is cut, by the checker that shares nothing with the placing.
			panic("workup: cloth laid anew wrongly: " + faults[0].String())
		}
	}
	part.trims()
	return &part
}

// Lies says of a cut that is made at a mark of a bolt how much of it lies before its pattern's height there, and whether it starts where the
// plan has its cuts start, by the checker that shares nothing with the placing. Of a bolt that isn't listed nothing is known.
func (plan *ClothPlan) Lies(cut Cut, bolt string, from measure.Length) (top measure.Length, onPhase bool) {
	if !slices.ContainsFunc(plan.Fabric.Bolts, func(b orderfile.Bolt) bool { return b.ID == bolt }) {
		return 0, true
	}
	part := *plan
	part.Cuts = []Cut{cut}
	part.Plan = cutting.Plan{Placements: []cutting.Placement{{Cut: cut.ID, Bolt: bolt, From: from, To: from + cut.Length}}}
	part.trims()
	off := func(f cutting.Finding) bool { return f.Fault == cutting.OffPhase }
	return part.Cuts[0].TrimTop, !slices.ContainsFunc(cutting.Check(Placing(&part), part.Plan), off)
}
