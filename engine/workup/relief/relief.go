// Package relief works out what helps where a fabric's bolts don't do for an order: several dye lots, smaller allowances, cloth that is
// held or promised to others, cloth to buy. It is pure, and each way is planned as the order would be with it.
package relief

import (
	"context"
	"slices"

	"tablehand/engine"
	"tablehand/engine/cutplan"
	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// Kind is what is to be done.
type Kind string

// The kinds, the cheapest first.
const (
	MixedLots  Kind = "mixed_lots"  // Windows are cut from several dye lots
	OnPhase    Kind = "on_phase"    // cuts start on the pattern's phase alone, instead of whole repeats
	NoPosition Kind = "no_position" // the pattern hangs where it falls
	Hem        Kind = "hem"         // Length is the greatest bottom hem that fits
	HeldLot    Kind = "held_lot"    // Lot, which is held, has Length free for the order
	Promised   Kind = "promised"    // Order, due later, was promised Length
	Buy        Kind = "buy"         // Length is to be bought, of Lot where that is said
)

// Kinds are all that there are.
func Kinds() []Kind { return []Kind{MixedLots, OnPhase, NoPosition, Hem, HeldLot, Promised, Buy} }

// Way is something that helps.
type Way struct {
	Kind    Kind
	Windows []string       // that mix lots
	Value   string         // of the order file's key that says so: repeat_rule, room_phase or motif, bottom_hem
	Short   measure.Length // what is short still with it; 0: it does
	Order   string         // that was promised cloth,
	Due     string         // and when it is due, "" for no date
	Lot     string
	Length  measure.Length
	Less    bool // of what is bought may do, as far as is known
}

// Asked is a fabric that may be short, and whose cloth there is beside what it may be cut from.
type Asked struct {
	Work     *workup.Workup
	Plan     *workup.ClothPlan // of the fabric, with what it lacks
	Cut      bool              // on tickets already: the sizes stay
	Shelved  bool              // what is bought goes on the shelf
	Ends     measure.Length    // and loses so much at either end
	Kerf     measure.Length    // and so much between two cuts
	LeastHem measure.Length    // that the shop makes; 0 offers none
	Held     []Cloth           // by lot
	Later    []Cloth           // by order
}

// Cloth is the bolts of a fabric with some that it may not be cut from, as if it might.
type Cloth struct {
	Lot, Order, Due string
	Length          measure.Length // that it has so
	Bolts           []orderfile.Bolt
}

// What the search for ways may take: our own choice, so that all together stay under some hundredths of a second, and under one second for 200
// windows. A way that isn't found within its share isn't told.
const (
	leastWork  = 120_000   // of the planner's, into one plan
	workOfCut  = 1_500     // and for each cut of it
	mostWork   = 1_500_000 // and no more
	plansOf    = 6         // a kind
	reckonings = 2_000     // windows that are reckoned anew
	mostOf     = 3         // held lots and orders that are looked at
	mostLots   = 2         // of which cloth is bought, beside another one
)

// Ways are those that leave less short than there is, the cheapest first; none where nothing is short and no lots are mixed.
func Ways(a Asked) (ways []Way) {
	m := maker{Asked: a, fabric: a.Plan.Fabric, lacks: lackOf(a.Plan), windows: reckonings, planning: planning(a.Plan)}
	if m.lacks.cuts == 0 {
		return nil
	}
	for _, kind := range []func() []Way{m.mixedLots, m.onPhase, m.noPosition, m.hem, m.heldLots, m.promised, m.buy} {
		m.left = plansOf * m.planning
		ways = append(ways, kind()...)
	}
	return ways
}

// Lacks is how much of a plan's cuts has no place where each group keeps to one lot: the best that is known, of a plan that mixes lots.
func Lacks(plan *workup.ClothPlan) measure.Length { return lackOf(plan).length }

// lack is what has no place.
type lack struct {
	cuts   int
	length measure.Length
}

func lackOf(plan *workup.ClothPlan) lack {
	made := lack{len(plan.Plan.Unplaced), plan.Plan.Short}
	if len(plan.Plan.Mixed) == 0 {
		return made
	}
	made = keptApart(plan, plan.Plan)
	best := cutplan.Best(context.Background(), workup.Placing(plan), cutplan.Budget{Work: planning(plan)})
	if best.Short > 0 && best.Short < made.length {
		made = lack{len(best.Unplaced), best.Short}
	}
	return made
}

// planning is the work that goes into one plan.
func planning(plan *workup.ClothPlan) int64 {
	return min(mostWork, max(leastWork, workOfCut*int64(len(plan.Cuts))))
}

// keptApart is what of a plan has no place where each group that it mixes keeps to the lot that it has most of, or to those of which it has
// pieces already.
func keptApart(cloth *workup.ClothPlan, plan cutting.Plan) lack {
	lots, groups := map[string]string{}, map[string]string{}
	problem := workup.Placing(cloth)
	for _, b := range problem.Bolts {
		lots[b.ID] = b.Lot
	}
	for _, c := range problem.Cuts {
		groups[c.ID] = c.Group
	}
	left := lack{len(plan.Unplaced), plan.Short}
	for _, group := range plan.Mixed {
		of, all, most := map[string]lack{}, lack{}, lack{}
		for _, p := range plan.Placements {
			if groups[p.Cut] != group {
				continue
			}
			lot := lots[p.Bolt]
			if bound := problem.Bound[group]; slices.Contains(bound, lot) {
				lot = bound[0] // it goes on with all of them
			} else if len(bound) > 0 {
				lot = newLot
			}
			in := of[lot].and(p.To - p.From)
			of[lot], all = in, all.and(p.To-p.From)
			if lot != newLot && in.length > most.length {
				most = in
			}
		}
		left.cuts, left.length = left.cuts+all.cuts-most.cuts, left.length+all.length-most.length
	}
	return left
}

func (l lack) and(cut measure.Length) lack { return lack{l.cuts + 1, l.length + cut} }

type maker struct {
	Asked
	fabric *orderfile.Fabric
	lacks  lack

	least    measure.Length // that a bolt bought holds, as far as is known
	planning int64          // of the planner's work into one plan
	left     int64          // of it for the kind
	windows  int            // that may be reckoned
}

// helps is a way by what its plan lacks, where that is fewer cuts without a place, or on other bolts less of them.
func (m *maker) helps(w Way, left *lack) []Way {
	if left == nil {
		return nil
	}
	if w.Short = left.length; left.cuts < m.lacks.cuts || w.onBolts() && left.length < m.lacks.length {
		return []Way{w}
	}
	return nil
}

// onBolts reports whether a way leaves the cuts as they are.
func (w *Way) onBolts() bool { return w.Kind == HeldLot || w.Kind == Promised }

// on is what the fabric's cuts lack on a fabric with other bolts; nil where nobody had the time to look.
func (m *maker) on(plan *workup.ClothPlan, f *orderfile.Fabric) *lack {
	if m.left <= 0 {
		return nil
	}
	laid, spent := plan.Try(f, min(m.planning, m.left))
	m.left -= spent
	left := lack{len(laid.Unplaced), laid.Short}
	if len(laid.Mixed) > 0 {
		left = keptApart(on(plan, f), laid)
	}
	return &left
}

// on is a plan's cuts with a fabric of other bolts, not laid on them.
func on(plan *workup.ClothPlan, f *orderfile.Fabric) *workup.ClothPlan {
	other := *plan
	other.Fabric = f
	return &other
}

// with is what the cuts lack on bolts that there would be, less what the order's other fabrics of that cloth are cut from.
func (m *maker) with(c Cloth) *lack {
	f := *m.fabric
	f.Bolts = c.Bolts
	if m.Cut {
		return m.on(m.Plan, &f)
	}
	return m.on(m.Plan, m.Work.Beside(&f))
}

// fits reports whether cuts all have a place on a fabric's bolts, each group in one lot. Where they haven't room that needs no plan.
func (m *maker) fits(plan *workup.ClothPlan, f *orderfile.Fabric) bool {
	problem, all := workup.Placing(on(plan, f)), measure.Length(0)
	for i := range problem.Cuts {
		all += problem.Cuts[i].Length
	}
	if all > problem.Room() {
		return false
	}
	left := m.on(plan, f)
	return left != nil && left.cuts == 0
}

// under is what the fabric's cuts lack as a changed order has them, on the same bolts; nil where it can't be made so.
func (m *maker) under(change func(*orderfile.Order)) *lack {
	plan := m.reckoned(change)
	if plan == nil {
		return nil
	}
	return m.on(plan, m.fabric)
}

// reckoned is the fabric's cuts as a changed order has them, without their places.
func (m *maker) reckoned(change func(*orderfile.Order)) *workup.ClothPlan {
	if m.windows -= len(m.Work.Treatments); m.windows < 0 {
		return nil
	}
	o := *m.Work.Order
	o.Treatments = slices.Clone(o.Treatments)
	o.Fabrics = slices.Clone(o.Fabrics)
	for i := range o.Fabrics {
		o.Fabrics[i].Bolts = nil // where they lie is no matter here
	}
	change(&o)
	w := workup.Compute(&o)
	i := slices.IndexFunc(w.Cloth, func(p workup.ClothPlan) bool { return p.Fabric.ID == m.fabric.ID })
	if engine.AnyError(w.Problems) || i < 0 {
		return nil
	}
	return &w.Cloth[i]
}

func (m *maker) mixedLots() []Way {
	mixed := m.Plan.MixedTreatments()
	if len(mixed) == 0 || m.Plan.Plan.Short >= m.lacks.length {
		return nil
	}
	w := Way{Kind: MixedLots, Short: m.Plan.Plan.Short}
	for _, i := range mixed {
		if i < 0 {
			continue // of panels that the order has no more
		}
		name, _ := m.Work.Line(i)
		w.Windows = append(w.Windows, name)
	}
	return []Way{w}
}

// patterned reports whether the fabric's cuts go by its pattern, and can still be cut otherwise.
func (m *maker) patterned() bool {
	return !m.Cut && m.fabric.Use == orderfile.Face && !m.fabric.Plain()
}

func (m *maker) onPhase() []Way {
	if !m.patterned() || m.Work.Order.Conventions.RepeatRule == orderfile.OnPhase {
		return nil
	}
	plan := m.under(func(o *orderfile.Order) { o.Conventions.RepeatRule = orderfile.OnPhase })
	return m.helps(Way{Kind: OnPhase, Value: string(orderfile.OnPhase)}, plan)
}

// noPosition lets each cut start where the pattern does, and the motifs come where they do.
func (m *maker) noPosition() []Way {
	placed := func(t *orderfile.Treatment) bool {
		return t.Face == m.fabric.ID && t.Motif != "" && t.Motif != orderfile.Marching
	}
	o := m.Work.Order
	together := o.Conventions.RoomPhase == orderfile.TogetherPhase
	if !m.patterned() || !together && !slices.ContainsFunc(o.Treatments, func(t orderfile.Treatment) bool { return placed(&t) }) {
		return nil
	}
	way := Way{Kind: NoPosition, Value: string(orderfile.Marching)}
	if together {
		way.Value = string(orderfile.EachPhase)
	}
	return m.helps(way, m.under(func(o *orderfile.Order) {
		o.Conventions.RoomPhase = orderfile.EachPhase
		for i := range o.Treatments {
			if t := &o.Treatments[i]; placed(t) {
				t.Motif, t.MotifLead = orderfile.Marching, nil
			}
		}
	}))
}

// hem looks for the greatest bottom hem that fits, in steps to which cut lengths round: less of it never takes more cloth.
func (m *maker) hem() []Way {
	c := &m.Work.Order.Conventions
	if m.Cut || m.LeastHem == 0 || m.fabric.Use != orderfile.Face || c.Step <= 0 {
		return nil
	}
	at := func(k int) measure.Length { return m.LeastHem + c.Step.Times(k) }
	fits := func(k int) bool {
		plan := m.reckoned(m.hemmed(at(k)))
		return plan != nil && m.fits(plan, m.fabric)
	}
	over := int((m.deepest() - m.LeastHem).CeilDiv(c.Step)) // the first that is no smaller than what there is
	if over < 1 || !fits(0) {
		return nil
	}
	most := 0
	for over-most > 1 {
		if k := (most + over) / 2; fits(k) {
			most = k
		} else {
			over = k
		}
	}
	if m.windows < 0 || m.left <= 0 {
		return nil // a deeper one may fit
	}
	return []Way{{Kind: Hem, Length: at(most), Value: measure.OfLength(at(most), m.Work.Order.Units).String()}}
}

// deepest is the deepest bottom hem of the fabric's windows.
func (m *maker) deepest() (hem measure.Length) {
	for i := range m.Work.Treatments {
		if t := &m.Work.Treatments[i]; m.Work.Order.Treatments[t.Index].Face == m.fabric.ID {
			for k := range t.Panels {
				hem = max(hem, t.Panels[k].BottomHem)
			}
		}
	}
	return hem
}

// hemmed gives the fabric's windows a bottom hem, where theirs is deeper.
func (m *maker) hemmed(hem measure.Length) func(*orderfile.Order) {
	return func(o *orderfile.Order) {
		for i := range m.Work.Treatments {
			t := &m.Work.Treatments[i]
			line := &o.Treatments[t.Index]
			if line.Face == m.fabric.ID && len(t.Panels) > 0 && t.Panels[0].BottomHem > hem {
				line.BottomHem = &hem
			}
		}
	}
}

func (m *maker) heldLots() (ways []Way) {
	for _, held := range m.Held[:min(len(m.Held), mostOf)] {
		ways = append(ways, m.helps(Way{Kind: HeldLot, Lot: held.Lot, Length: held.Length}, m.with(held))...)
	}
	return ways
}

func (m *maker) promised() (ways []Way) {
	for _, later := range m.Later[:min(len(m.Later), mostOf)] {
		ways = append(ways, m.helps(Way{Kind: Promised, Order: later.Order, Due: later.Due, Length: later.Length}, m.with(later))...)
	}
	return ways
}
