package workup

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"

	"tablehand/engine"
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
					cuts[u.Fabric] = appendClass(cuts[u.Fabric], t, u, class, Sided(o.Fabric(u.Fabric)))
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
			plan.Plan = plan.placed(Placing(&plan), searched)
		}
		promise(promised, &plan)
		plan.trims()
		plans = append(plans, plan)
	}
	return plans
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

// oddHalf reports whether a cut is half a width and nobody has the other half.
func (c *Cut) oddHalf() bool { return len(c.For) == 1 && c.For[0].Half != Whole }

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

// Alike reports whether cuts of two orders' plans may lie on one cloth as one plan's: they start on the same heights of the same pattern.
func (plan *ClothPlan) Alike(other *ClothPlan) bool {
	f, of := plan.Fabric, other.Fabric
	return plan.pitch == other.pitch && f.VerticalRepeat == of.VerticalRepeat && f.Match == of.Match && (f.Use == orderfile.Face) == (of.Use == orderfile.Face)
}
