package workup

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"slices"
	"strconv"

	"tablehand/engine"
	"tablehand/engine/cutplan"
	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/pattern"
)

// layCloth lists every cut of every fabric used, says which panels and pieces each is for, and places them on the bolts that
// the order lists.
func layCloth(w *Workup) []ClothPlan {
	o := w.Order
	cuts := map[string][]Cut{}
	for class := range 2 {
		for i := range w.Treatments {
			t := &w.Treatments[i]
			for _, u := range t.Fabrics {
				if !u.Railroaded {
					cuts[u.Fabric] = appendClass(cuts[u.Fabric], t, u, class, sided(o.Fabric(u.Fabric)))
				}
			}
		}
		for i := range w.Pieces {
			p := &w.Pieces[i]
			for k := range p.Fabrics {
				id := p.Fabrics[k].Fabric
				if slices.ContainsFunc(p.Fabrics[:k], func(u FabricUse) bool { return u.Fabric == id }) {
					continue // all its cuts of a fabric at once
				}
				cuts[id] = w.appendPiece(cuts[id], p, o.Fabric(id), class)
			}
		}
	}
	for i := range w.Treatments { // last, since they start anywhere: they find the gaps that the others leave
		t := &w.Treatments[i]
		for _, u := range t.Fabrics {
			if u.Railroaded {
				cuts[u.Fabric] = appendClass(cuts[u.Fabric], t, u, 0, false)
			}
		}
		for k := range t.Fabrics {
			cuts[t.Fabrics[k].Fabric] = appendTrimmings(cuts[t.Fabrics[k].Fabric], t, &t.Fabrics[k])
		}
	}
	var plans []ClothPlan
	lots := w.lotGroups()
	promised := map[string][]orderfile.Flaw{} // by the code of a bolt of the shelf: two fabrics of an order may be one cloth
	for i := range o.Fabrics {
		f := o.Fabrics[i].Besides(promised)
		if len(cuts[f.ID]) == 0 {
			continue
		}
		plan := ClothPlan{Fabric: f, Cuts: cuts[f.ID], lots: lots}
		plan.phase(&o.Conventions)
		if runs(&o.Conventions, f) {
			plan.layRun()
		} else if o.Conventions.RoomPhase == orderfile.TogetherPhase {
			plan.byHeight()
		}
		if len(f.Bolts) > 0 {
			plan.Plan = plan.placed(Placing(&plan), nil, searched)
		}
		promise(promised, &plan)
		plan.trims()
		plans = append(plans, plan)
	}
	return plans
}

// searched is the work that goes into a plan on the shelf's bolts, about a fiftieth of a second: the best plan of most orders needs less.
const searched = 2_000_000

// placed places cuts on the bolts; bound names the lots of groups that have pieces already. On the shelf's bolts, of which there are many, and
// which repeat as they were measured, it looks for the plan that opens the fewest; where a window can only be cut from several lots, as where
// the bolts are the file's, they are filled in the order listed, which knows of no measured repeats and no kerf.
func (plan *ClothPlan) placed(problem cutting.Problem, bound map[string][]string, work int64) cutting.Plan {
	shelved, best := onShelf(plan.Fabric), cutting.Plan{}
	plan.Proven = false
	if shelved {
		problem.Bound = bound
		found := bestPlan(problem, work)
		best = problem.Forward(found.Plan)
		measured := slices.ContainsFunc(problem.Bolts, func(b cutting.Bolt) bool { return b.VerticalRepeat != 0 && b.VerticalRepeat != problem.VerticalRepeat })
		switch {
		case len(best.Unplaced) == 0:
			plan.Proven = found.Optimal
			return best
		case measured, problem.Kerf > 0:
			if mixed := mixing(problem, best, work); mixed.Short < best.Short {
				return problem.Forward(mixed)
			}
			return best // several lots place no more
		}
	}
	filled := cutting.PlaceBound(problem, bound)
	if shelved && filled.Short >= best.Short {
		return best // several lots place no more
	}
	return filled
}

func bestPlan(problem cutting.Problem, work int64) cutplan.Plan {
	return cutplan.Best(context.Background(), problem, cutplan.Budget{Work: work})
}

// mixing is a plan in which the groups that another one has no whole place for may be cut from several lots.
func mixing(problem cutting.Problem, without cutting.Plan, work int64) cutting.Plan {
	groups, lots := map[string]string{}, map[string]string{} // by cut, by bolt
	for _, c := range problem.Cuts {
		groups[c.ID] = c.Group
	}
	for _, b := range problem.Bolts {
		lots[b.ID] = b.Lot
	}
	apart := problem
	apart.Cuts = slices.Clone(problem.Cuts)
	for i := range apart.Cuts {
		if c := &apart.Cuts[i]; slices.ContainsFunc(without.Unplaced, func(id string) bool { return groups[id] == c.Group }) {
			c.Group = ""
		}
	}
	plan, first := bestPlan(apart, work).Plan, map[string]string{}
	for _, p := range plan.Placements {
		group, lot := groups[p.Cut], lots[p.Bolt]
		if _, known := first[group]; !known {
			first[group] = lot
		}
		bound := problem.Bound[group]
		if (first[group] != lot || len(bound) > 0 && !slices.Contains(bound, lot)) && !slices.Contains(plan.Mixed, group) {
			plan.Mixed = append(plan.Mixed, group)
		}
	}
	return plan
}

// On is the fabric's cuts on other bolts, by so much work at most; the plan itself stays as it is.
func (plan *ClothPlan) On(f *orderfile.Fabric, work int64) *ClothPlan {
	part := *plan
	part.Fabric, part.Cuts = f, slices.Clone(plan.Cuts)
	part.Plan = part.placed(Placing(&part), nil, work)
	return &part
}

// Try is where the fabric's cuts find a place on other bolts, and the work that took, in units of the planner: as On, but for windows that can
// only be cut from several lots on the shelf's bolts, of which a part has no place then.
func (plan *ClothPlan) Try(f *orderfile.Fabric, work int64) (cutting.Plan, int64) {
	part := *plan
	part.Fabric = f
	problem := Placing(&part)
	if onShelf(f) {
		best := cutplan.Best(context.Background(), problem, cutplan.Budget{Work: max(1, work)})
		return best.Plan, best.Work
	}
	return cutting.Place(problem), fillingWork * int64(len(problem.Cuts)) * int64(max(1, len(problem.Bolts)))
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

// appendClass adds a treatment's cuts of a class of a fabric: window by window, panel by panel, from the return edge.
// All first cuts of a half-drop come before all second ones, so that an order loses half a repeat once. The two halves
// of a split width are one cut; an odd half has nobody, and is a remnant. Of sided cloth a panel takes the half that is
// its own.
func appendClass(cuts []Cut, t *Treatment, u FabricUse, class int, sided bool) []Cut {
	var open []int // cuts whose other half nobody has yet
	for nth := 1; nth <= t.Quantity; nth++ {
		for i := range t.Panels {
			for place, piece := range layPieces(u.Widths[i], t.Panels[i].AtRight, u.HalfDrop) {
				if piece.Class != class {
					continue
				}
				part := Part{Panel: t.Panels[i].ID, Copy: nth, Place: place + 1, Half: piece.Half}
				k := slices.IndexFunc(open, func(k int) bool { return !sided || cuts[k].For[0].Half.other() == part.Half })
				if piece.Half != Whole && k >= 0 {
					cut := &cuts[open[k]]
					part.Half = cut.For[0].Half.other()
					cut.For = append(cut.For, part)
					open = slices.Delete(open, k, k+1)
					continue
				}
				cuts = append(cuts, Cut{
					ID: strconv.Itoa(len(cuts) + 1), Treatment: t.Index, Length: u.CutLength, Class: piece.Class,
					TrimBottom: u.CutLength - u.PlainLength, For: []Part{part}, Railroaded: u.Railroaded, Across: u.Across, Phase: u.Phase,
				})
				if piece.Half != Whole {
					open = append(open, len(cuts)-1)
				}
			}
		}
	}
	return cuts
}

// anywhere reports whether a cut starts wherever there is room, since no pattern is matched on it.
func (c *Cut) anywhere() bool { return c.Trimming != "" || c.Railroaded }

// phase settles where on the cloth a cut may start. A cut with a whole repeat to spare starts anywhere; one with half
// a repeat, on the pattern or half a repeat after it; else a half-drop's classes start half a repeat apart.
func (plan *ClothPlan) phase(c *orderfile.Conventions) {
	f := plan.Fabric
	if f.Use != orderfile.Face || f.Plain() || c.RepeatRule == orderfile.AddOne {
		return
	}
	plan.pitch = f.VerticalRepeat
	if halfDropped(f) && c.HalfDrop == orderfile.HalfRepeatACut && f.VerticalRepeat%2 == 0 {
		plan.pitch = f.VerticalRepeat / 2
	}
	for i := range plan.Cuts {
		cut := &plan.Cuts[i]
		if cut.anywhere() {
			continue
		}
		dropped := cut.Class == 1 && halfDropped(f) && plan.pitch == f.VerticalRepeat
		if c.HalfDrop == orderfile.NothingIfWithinSpare && spares(f, cut.Length, cut.Length-cut.TrimBottom) {
			dropped = false
		}
		cut.start = pattern.Start{Behind: cut.Phase, Dropped: dropped}
	}
}

// byHeight puts cuts that start at one height side by side, and the heights in the order in which least is lost between them. What starts
// anywhere stays behind them.
func (plan *ClothPlan) byHeight() {
	if plan.pitch == 0 {
		return
	}
	var starts []pattern.Start
	for i := range plan.Cuts {
		if at := plan.Cuts[i].start; !plan.Cuts[i].anywhere() && !slices.Contains(starts, at) {
			starts = append(starts, at)
		}
	}
	first := pattern.First(plan.pitch, starts)
	behind := func(c *Cut) measure.Length {
		if c.anywhere() {
			return plan.pitch
		}
		return (plan.start(c) - first + plan.pitch) % plan.pitch
	}
	slices.SortStableFunc(plan.Cuts, func(a, b Cut) int { return cmp.Compare(behind(&a), behind(&b)) })
	for i := range plan.Cuts {
		plan.Cuts[i].ID = strconv.Itoa(i + 1)
	}
}

// start is where behind the pattern's height a cut starts on the bolt, 0 on cloth that isn't matched.
func (plan *ClothPlan) start(c *Cut) measure.Length {
	if plan.pitch == 0 {
		return 0
	}
	return c.start.On(plan.pitch)
}

// heights are those at which the cuts start, of the second class of a half-drop too where it counts by itself.
func (plan *ClothPlan) heights(classes bool) (list []pattern.Start) {
	for i := range plan.Cuts {
		if cut := &plan.Cuts[i]; !cut.anywhere() {
			at := pattern.Start{Behind: cut.Phase, Dropped: classes && cut.Class == 1}
			if !slices.Contains(list, at) {
				list = append(list, at)
			}
		}
	}
	return list
}

// runs reports whether an order takes the least run of a fabric's cuts, their starts alone being on phase.
func runs(c *orderfile.Conventions, f *orderfile.Fabric) bool {
	return f.Use == orderfile.Face && !f.Plain() && c.RepeatRule == orderfile.OnPhase && (!halfDropped(f) || c.HalfDrop == orderfile.DropPhases)
}

// layRun puts the cuts in the order of their least run on endless cloth, and keeps what that takes.
func (plan *ClothPlan) layRun() {
	endless := Placing(plan)
	endless.Bolts = nil
	run := cutting.LeastRun(endless)
	plan.run = run.Used
	named := make(map[string]Cut, len(plan.Cuts))
	for _, cut := range plan.Cuts {
		named[cut.ID] = cut
	}
	for i, p := range run.Placements {
		plan.Cuts[i] = named[p.Cut]
		plan.Cuts[i].ID = strconv.Itoa(i + 1)
	}
}

// trims says of each cut placed how much lies before its pattern's height.
func (plan *ClothPlan) trims() {
	f := plan.Fabric
	if f.Use != orderfile.Face || f.Plain() {
		return
	}
	bolts := map[string]*orderfile.Bolt{}
	for i := range f.Bolts {
		bolts[f.Bolts[i].ID] = &f.Bolts[i]
	}
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
	p := cutting.Problem{VerticalRepeat: plan.pitch}
	for _, b := range f.Bolts {
		p.Kerf, p.MinRemnant = max(p.Kerf, b.Kerf), max(p.MinRemnant, b.MinRemnant)
		bolt := cutting.Bolt{ID: b.ID, Length: b.Length, Lot: b.Lot, FirstRepeat: b.FirstRepeat, VerticalRepeat: b.Repeat, Opened: b.Opened}
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
		p.Cuts = append(p.Cuts, cutting.Cut{ID: c.ID, Length: c.Length, Group: plan.oneLot(c.Treatment), Start: plan.start(&c), Anywhere: c.anywhere()})
	}
	return p
}

// clothProblems tells, fabric by fabric, where the cloth on hand isn't known, is short, or suffices only from
// several dye lots.
func clothProblems(w *Workup) []engine.Problem {
	var list []engine.Problem
	for _, plan := range w.Cloth {
		if len(plan.Fabric.Bolts) == 0 {
			list = append(list, w.clothProblem(engine.Note, "cloth_not_known", plan.Fabric, nil))
		}
		if len(plan.Plan.Unplaced) > 0 {
			args := map[string]any{"Short": plan.Plan.Short, "Count": len(plan.Plan.Unplaced)}
			if least := plan.Least(nil); least > 0 {
				args["Least"], args["Proven"] = least, least == plan.Plan.Short
			}
			list = append(list, w.clothProblem(engine.Warning, "fabric_short", plan.Fabric, args))
		}
		if len(plan.Plan.Mixed) > 0 {
			list = append(list, w.clothProblem(engine.Warning, "lots_mixed", plan.Fabric, map[string]any{
				"Windows": w.windows(plan.MixedTreatments()), "Count": len(plan.Plan.Mixed),
			}))
		}
	}
	return list
}

func (w *Workup) clothProblem(severity engine.Severity, code string, f *orderfile.Fabric, args map[string]any) engine.Problem {
	if args == nil {
		args = map[string]any{}
	}
	args["Fabric"] = f.ID
	where := fmt.Sprintf("fabrics[%d]", w.Order.FabricIndex(f.ID))
	line, column := w.Order.Position(where)
	return engine.Problem{
		Severity: severity, Code: code, Args: args, Units: w.Order.Units, Where: where, Line: line, Column: column,
	}
}

// windows names the windows, or pieces, of lines.
func (w *Workup) windows(treatments []int) []string {
	var names []string
	for _, i := range treatments {
		name, _ := w.Line(i)
		names = append(names, name)
	}
	return names
}

// lotGroups are, by line, the first line that is cut from one dye lot with it. A piece hangs in no room.
func (w *Workup) lotGroups() []int {
	groups := make([]int, len(w.Treatments)+len(w.Pieces))
	for line := range groups {
		groups[line] = w.LotGroup(line)
	}
	return groups
}

// LotGroup is the first line that comes from one dye lot with a line, as the order's conventions have it: a window, a room, the order. One below 0,
// of panels that the order has no more, is by itself.
func (w *Workup) LotGroup(line int) int {
	lines := w.Order.Treatments
	switch by := w.Order.Conventions.LotGroup; {
	case line < 0:
	case by == orderfile.OrderLot:
		return 0
	case by == orderfile.RoomLot && line < len(lines) && lines[line].Room != "":
		return slices.IndexFunc(lines, func(t orderfile.Treatment) bool { return t.Room == lines[line].Room })
	}
	return line
}

// oneLot names the group of a line's cuts, which come from one lot.
func (p *ClothPlan) oneLot(line int) string {
	if line >= 0 && line < len(p.lots) {
		line = p.lots[line]
	}
	return strconv.Itoa(line)
}

// MixedGroups are the lot groups that the plan cuts from several lots, by their first lines.
func (p *ClothPlan) MixedGroups() []int {
	groups := make([]int, len(p.Plan.Mixed))
	for i, group := range p.Plan.Mixed {
		groups[i], _ = strconv.Atoi(group)
	}
	return groups
}

// MixedTreatments are the treatments, by their place in the order, of the groups that the plan cuts from several lots.
func (p *ClothPlan) MixedTreatments() []int {
	var treatments []int
	for _, group := range p.Plan.Mixed {
		for _, c := range p.Cuts {
			if p.oneLot(c.Treatment) == group && !slices.Contains(treatments, c.Treatment) {
				treatments = append(treatments, c.Treatment)
			}
		}
	}
	return treatments
}

// OfBolts reports whether a problem is that the bolts on hand don't do for the order: too little cloth, a window's from
// several dye lots, or a bolt that is another order's too.
func OfBolts(p engine.Problem) bool {
	return p.Code == "fabric_short" || p.Code == "lots_mixed" || p.Code == "bolt_shared"
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
	problem, order, lots := Placing(plan), map[string]int{}, map[string]string{}
	for i, b := range problem.Bolts {
		order[b.ID], lots[b.ID] = i, b.Lot
	}
	plan.Plan = cutting.Plan{Placements: slices.Clone(at)}
	slices.SortStableFunc(plan.Plan.Placements, func(a, b cutting.Placement) int {
		return cmp.Or(cmp.Compare(order[a.Bolt], order[b.Bolt]), cmp.Compare(a.From, b.From))
	})
	on, of := map[string]string{}, map[string]string{}
	for _, p := range at {
		on[p.Cut] = p.Bolt
	}
	for _, c := range problem.Cuts {
		bolt, placed := on[c.ID]
		lot, known := of[c.Group]
		switch {
		case !placed:
			plan.Plan.Unplaced, plan.Plan.Short = append(plan.Plan.Unplaced, c.ID), plan.Plan.Short+c.Length
		case !known:
			of[c.Group] = lots[bolt]
		case lot != lots[bolt] && c.Group != "" && !slices.Contains(plan.Plan.Mixed, c.Group):
			plan.Plan.Mixed = append(plan.Plan.Mixed, c.Group)
		}
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
		bound := make(map[string][]string, len(lots))
		for group, of := range lots {
			bound[part.oneLot(group)] = of
		}
		problem := part.left(taken)
		part.Plan = part.placed(problem, bound, searched)
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

// Alike reports whether cuts of two orders' plans may lie on one cloth as one plan's: they start on the same heights of the same pattern.
func (plan *ClothPlan) Alike(other *ClothPlan) bool {
	f, of := plan.Fabric, other.Fabric
	return plan.pitch == other.pitch && f.VerticalRepeat == of.VerticalRepeat && f.Match == of.Match && (f.Use == orderfile.Face) == (of.Use == orderfile.Face)
}
