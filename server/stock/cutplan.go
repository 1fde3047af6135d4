package stock

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strconv"

	"tablehand/engine"
	"tablehand/engine/cutfile"
	"tablehand/engine/cutplan"
	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/engine/workup/relief"
	"tablehand/server/desk"
	"tablehand/stations"
	"tablehand/stations/plan"
)

// CutPlan is how what is to be cut of an order's fabric lies on its bolts, with what is proven of that, and what helps where it doesn't do.
type CutPlan struct {
	Fabric string
	Cloth  string // key of the shop's cloth, "" for none
	Units  measure.Unit
	File   *cutfile.File  // the problem, with the names that are told
	Plan   *cutplan.Plan  // nil where no bolts are known
	Lacks  measure.Length // that has no place, were windows cut from several lots
	Bolts  []PlannedBolt
	Ways   []relief.Way
	Short  workup.ShortDocument // what is to say of a shortage
}

// PlannedBolt is a bolt that the fabric may be cut from.
type PlannedBolt struct {
	Bolt   string // its code, else as the file calls it
	Shelf  plan.Code
	Lot    string
	Place  string
	Length measure.Quantity // of it that the order may be cut from
}

// Only says which bolts a plan is to be made on: of a fabric of which some are kept those alone, and none of those that are left.
type Only struct{ Keep, Leave []string }

func (o *Only) has(names []string, b *orderfile.Bolt) bool {
	return slices.Contains(names, nameOf(b))
}

// on is a fabric with those bolts.
func (o *Only) on(f *orderfile.Fabric) *orderfile.Fabric {
	now := *f
	now.Bolts = slices.Clone(f.Bolts)
	kept := slices.ContainsFunc(now.Bolts, func(b orderfile.Bolt) bool { return o.has(o.Keep, &b) })
	now.Bolts = slices.DeleteFunc(now.Bolts, func(b orderfile.Bolt) bool { return o.has(o.Leave, &b) || kept && !o.has(o.Keep, &b) })
	return &now
}

// lookedFor is the work that goes into a plan that is shown: as much as into one that is released.
const lookedFor = 2_000_000

// CutPlans are those of an order's fabrics: as its tickets have them, or as they would once it is released. With only some of the bolts they
// are what would be, and don't say what helps.
func (s Stock) CutPlans(o *stations.Order, only *Only) ([]CutPlan, error) {
	w, err := s.WorkupOf(o)
	if err != nil {
		return nil, err
	}
	list := make([]CutPlan, 0, len(w.Cloth))
	for i := range w.Cloth {
		cloth := s.toCut(o, w, &w.Cloth[i], only)
		p, err := s.cutPlan(o, w, cloth)
		if err != nil {
			return nil, err
		}
		p.Lacks = cloth.Plan.Short
		if p.Plan != nil && only == nil && len(cloth.Plan.Unplaced)+len(cloth.Plan.Mixed) > 0 {
			s.relieve(&p, o, w, cloth)
		}
		list = append(list, p)
	}
	return list, nil
}

// CutPlan is that of one fabric, "" for the first, without what helps; the error is bad_value where the order hasn't it.
func (s Stock) CutPlan(o *stations.Order, fabric string) (CutPlan, error) {
	w, err := s.WorkupOf(o)
	if err != nil {
		return CutPlan{}, err
	}
	i := slices.IndexFunc(w.Cloth, func(p workup.ClothPlan) bool { return p.Fabric.ID == fabric || fabric == "" })
	if i < 0 {
		return CutPlan{}, desk.Refuse("bad_value", "fabric", "Value", fabric)
	}
	return s.cutPlan(o, w, s.toCut(o, w, &w.Cloth[i], nil))
}

// toCut is what is to be cut of a fabric, as it lies or would lie.
func (s Stock) toCut(o *stations.Order, w *workup.Workup, cloth *workup.ClothPlan, only *Only) *workup.ClothPlan {
	if o.State != stations.OrderTaken {
		cloth = s.Store.Floor().ToCut(o, w, cloth.Fabric.ID, s.Ways(w.Order.Units))
	}
	switch {
	case only != nil:
		return cloth.On(only.on(cloth.Fabric), lookedFor)
	case len(cloth.Fabric.Bolts) == 0 && o.State == stations.OrderTaken:
		return cloth.On(cloth.Fabric, lookedFor) // nothing has a place
	}
	return cloth
}

func (s Stock) cutPlan(o *stations.Order, w *workup.Workup, cloth *workup.ClothPlan) (CutPlan, error) {
	p := CutPlan{Fabric: cloth.Fabric.ID, Cloth: o.ClothOf(cloth.Fabric), Units: w.Order.Units}
	cloth = withoutIdleHalves(cloth)
	p.bolts(s.Store.Floor(), cloth.Fabric)
	if len(p.Bolts) == 0 && p.Cloth == "" {
		return p, nil
	}
	if err := p.appraise(w, cloth); err != nil {
		return p, fmt.Errorf("stock: the cutting of %s in order %s: %w", p.Fabric, o.ID, err)
	}
	return p, nil
}

// Check tells which of the bolts that a plan is to be made with or without are none that the order may be cut from.
func (s Stock) Check(o *stations.Order, only *Only) (problems []engine.Problem, err error) {
	w, err := s.WorkupOf(o)
	if err != nil {
		return nil, err
	}
	var known []string
	for i := range w.Cloth {
		cloth := s.toCut(o, w, &w.Cloth[i], nil)
		for k := range cloth.Fabric.Bolts {
			known = append(known, nameOf(&cloth.Fabric.Bolts[k]))
		}
	}
	wrong := func(list string, i int, code, kind string, args map[string]any) {
		problems = append(problems, engine.Problem{Severity: engine.Error, Code: code, Key: "problem." + code + "." + kind, Where: fmt.Sprintf("%s[%d]", list, i), Args: args})
	}
	for list, names := range map[string][]string{"keep": only.Keep, "leave": only.Leave} {
		for i, name := range names {
			if code, err := plan.ParseCode(name); err == nil {
				name = string(code)
				names[i] = name
			}
			if !slices.Contains(known, name) {
				wrong(list, i, "unknown_bolt", "plan", map[string]any{"Bolt": name, "Order": o.ID, "Known": known})
			}
		}
	}
	for i, name := range only.Leave {
		if slices.Contains(only.Keep, name) {
			wrong("leave", i, "bad_value", "kept", map[string]any{"Bolt": name})
		}
	}
	slices.SortFunc(problems, func(a, b engine.Problem) int { return cmp.Compare(a.Where, b.Where) })
	return problems, nil
}

// withoutIdleHalves is a plan without the bolts half as wide that nothing lies on: they wait for an odd half.
func withoutIdleHalves(cloth *workup.ClothPlan) *workup.ClothPlan {
	now, f := *cloth, *cloth.Fabric
	f.Bolts = slices.DeleteFunc(slices.Clone(f.Bolts), func(b orderfile.Bolt) bool {
		return b.Half && !slices.ContainsFunc(cloth.Plan.Placements, func(at cutting.Placement) bool { return at.Bolt == b.ID })
	})
	now.Fabric = &f
	return &now
}

// bolts names those that a fabric may be cut from.
func (p *CutPlan) bolts(floor *stations.Floor, f *orderfile.Fabric) {
	for i := range f.Bolts {
		b := &f.Bolts[i]
		told := PlannedBolt{Bolt: nameOf(b), Shelf: plan.Code(b.Shelf), Lot: b.Lot, Length: measure.OfLength(b.OnHand(), p.Units)}
		if on := floor.Shelf().Bolt(told.Shelf); on != nil {
			told.Place = on.Place
		}
		p.Bolts = append(p.Bolts, told)
	}
}

// nameOf is a bolt's code, else what the file calls it.
func nameOf(b *orderfile.Bolt) string { return cmp.Or(b.Shelf, b.ID) }

// appraise says what a fabric's cuts as they lie come to, and looks at it once more by the checker that shares nothing with the planner. Where
// windows can only be cut from several lots it is the best plan that keeps them to one.
func (p *CutPlan) appraise(w *workup.Workup, cloth *workup.ClothPlan) error {
	problem, made := p.named(w, cloth)
	found := cutplan.Plan{}
	if len(made.Mixed) > 0 {
		found = cutplan.Best(context.Background(), problem, cutplan.Budget{Work: lookedFor})
	} else {
		found = cutplan.Appraise(context.Background(), problem, made, cutplan.Budget{Work: lookedFor})
	}
	if faults := cutplan.Verify(problem, found); len(faults) > 0 {
		return fmt.Errorf("it is wrong: %v", faults)
	}
	p.File, p.Plan = cutfile.Of(problem, p.Units), &found
	for i := range cloth.Fabric.Bolts {
		b := &cloth.Fabric.Bolts[i]
		gone := []cutting.Span{{To: b.From}}
		for _, spoken := range b.Spoken {
			gone = append(gone, cutting.Span(spoken))
		}
		p.File.Gone[nameOf(b)] = gone
	}
	return nil
}

// named is a fabric's problem and plan with the names that people know: codes of bolts, and windows as groups.
func (p *CutPlan) named(w *workup.Workup, cloth *workup.ClothPlan) (cutting.Problem, cutting.Plan) {
	problem, made := workup.Placing(cloth), cloth.Plan
	names, windows := map[string]string{}, map[string]string{}
	problem.Bolts = slices.Clone(problem.Bolts)
	for i := range cloth.Fabric.Bolts {
		b := &cloth.Fabric.Bolts[i]
		names[b.ID] = nameOf(b)
		problem.Bolts[i].ID = nameOf(b)
	}
	made.Placements = slices.Clone(made.Placements)
	for i := range made.Placements {
		made.Placements[i].Bolt = names[made.Placements[i].Bolt]
	}
	problem.Cuts = slices.Clone(problem.Cuts)
	called := map[string]bool{}
	for i := range problem.Cuts {
		c := &problem.Cuts[i]
		if windows[c.Group] == "" {
			name := groupName(w, c.Group)
			for n := 2; called[name]; n++ { // several windows may be called so
				name = fmt.Sprintf("%s %d", groupName(w, c.Group), n)
			}
			windows[c.Group], called[name] = name, true
		}
		c.Group = windows[c.Group]
	}
	bound := map[string][]string{}
	for group, lots := range problem.Bound {
		bound[cmp.Or(windows[group], group)] = lots
	}
	problem.Bound = bound
	made.Mixed = slices.Clone(made.Mixed)
	for i, group := range made.Mixed {
		made.Mixed[i] = cmp.Or(windows[group], group)
	}
	return problem, made
}

// groupName is what a lot group is called: its window, or piece, its room, or the order.
func groupName(w *workup.Workup, group string) string {
	line, err := strconv.Atoi(group)
	switch by := w.Order.Conventions.LotGroup; {
	case err != nil || line < 0 || line >= len(w.Treatments)+len(w.Pieces): // of panels that the order has no more
		return group
	case by == orderfile.OrderLot:
		return w.Order.ID
	case by == orderfile.RoomLot && line < len(w.Treatments) && w.Order.Treatments[line].Room != "":
		return w.Order.Treatments[line].Room
	}
	name, _ := w.Line(line)
	return cmp.Or(name, group)
}

// relieve says what helps a fabric that is short, and how the shop's cloth stands to it.
func (s Stock) relieve(p *CutPlan, o *stations.Order, w *workup.Workup, cloth *workup.ClothPlan) {
	ways := s.Ways(p.Units)
	onShelf := s.Store.Floor().ClothFor(w.Order, w.Order.Fabric(p.Fabric), ways)
	asked := relief.Asked{Work: w, Plan: cloth, Cut: o.State != stations.OrderTaken, Shelved: p.Cloth != "", Ends: ways.EndAllowance, Kerf: ways.Kerf,
		Held: onShelf.HeldLots(), Later: onShelf.DueLater()}
	if least := s.Shop().Practice(p.Units).Shelf.LeastHem; least != nil {
		asked.LeastHem = *least
	}
	if asked.Cut { // of its own bolts a part is cut
		own := slices.DeleteFunc(slices.Clone(cloth.Fabric.Bolts), func(b orderfile.Bolt) bool { return b.Shelf != "" })
		for _, list := range [][]relief.Cloth{asked.Held, asked.Later} {
			for i := range list {
				shelved := slices.DeleteFunc(slices.Clone(list[i].Bolts), func(b orderfile.Bolt) bool { return b.Shelf == "" })
				list[i].Bolts = slices.Concat(own, shelved)
			}
		}
	}
	p.Ways = relief.Ways(asked)
	short := engine.Problem{Code: "fabric_short", Units: p.Units, Args: map[string]any{}}
	if onShelf.Tell(short.Args); len(cloth.Plan.Unplaced) > 0 {
		short.Args["Least"] = cloth.Least(nil)
	}
	p.Short = workup.ShortOf(short)
}
