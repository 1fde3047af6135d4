// Package cutplan plans a fabric's cuts on bolts and remnants: as little as can be without a place, then the fewest bolts
// opened (or the least length, or cost, of all that is cut from), the least length of those, the longest remnant. With each
// plan comes what is proven of it, as whole weights that anybody can add up. A plan depends on nothing but the problem and
// the work allowed.
package cutplan

import (
	"context"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
)

// Plan is cuts on pieces with what they come to and what is proven. Lengths of Value, Bound and certificate are in nanometres.
type Plan struct {
	cutting.Plan
	Aim      cutting.Aim
	Value    int64 // bolts opened, or the length or cost of all that is cut from
	Bound    int64 // no plan that places as much has less
	Optimal  bool  // no plan places more, and none that places as much has less
	Proof    Proof
	Then     []Goal // the further aims, in their order
	Opened   int    // bolts that weren't
	Kept     int    // remnants that are cut from
	Length   measure.Length
	Remnants []Remnant
	Waste    measure.Length // of the pieces cut from, what is neither cut nor remnant
	Longest  measure.Length // of the remnants
	// ShortBound is what every plan leaves without a place, or more.
	ShortBound  measure.Length
	Certificate Certificate
	Work        int64 // units done; a hundred million or so are a second
	CutOff      bool  // the clock or the caller ended it: another run may find more
}

// Proof is how a bound was found.
type Proof string

const (
	ByWeights Proof = "weights" // the certificate says it
	BySearch  Proof = "search"  // all ways were looked at; the certificate is the best that weights say
)

// Goal is a further aim: what the plan has, what none goes beyond, and whether that is the same.
type Goal struct {
	Aim          string // length_opened, longest_remnant
	Value, Bound measure.Length
	Optimal      bool
}

// Remnant is a stretch that stays of a piece that is cut from, long enough to be kept.
type Remnant struct {
	Bolt     string
	From, To measure.Length
}

// Certificate proves a bound: no filling of a bolt weighs more than its Most, which is at most Scale·cost + Bonus. The bound is
// then the weights of all cuts less the bonuses, divided by Scale and rounded up, to a multiple of Step.
type Certificate struct {
	Weights map[string]int64 // by cut
	Bolts   map[string]Weighed
	Scale   int64
	Bonus   map[string]int64 // by bolt; 0 where it isn't named
	Step    int64
}

// Weighed is a bolt's cost by the aim and what its fullest filling weighs at most.
type Weighed struct{ Cost, Most int64 }

// Budget bounds the work. A plan made with more is never worse.
type Budget struct {
	Work int64 // units; 0 is DefaultWork
}

func (b Budget) work() int64 {
	if b.Work <= 0 {
		return DefaultWork
	}
	return b.Work
}

// DefaultWork is what a plan may take where nothing is said.
const DefaultWork = 20_000_000

// Best is the best plan that the budget finds. It ends early when ctx does; the plan says CutOff then and may differ from one run to the
// next.
func Best(ctx context.Context, p cutting.Problem, b Budget) Plan {
	if whole := p.Whole(); len(whole.Bolts) < len(p.Bolts) {
		return withHalves(ctx, p, whole, b)
	}
	return best(ctx, p, b, usual)
}

// limits are how far searches go.
type limits struct {
	pairs int // of sets of cuts; more are not looked at
	nodes int // dealings of one unit to one lot, at each way of opening
	ways  int // to open so many bolts of the lots
}

var usual = limits{mostPairs, splitNodes, mostWays}

func best(ctx context.Context, p cutting.Problem, b Budget, far limits) Plan {
	if p.Aim == "" {
		p.Aim = cutting.FewestBolts
	}
	m := &meter{ctx: ctx, left: b.work()}
	j := newJob(&p, m)
	j.limits, j.budget = far, b.work()
	found := j.solve()
	plan := j.finish(found)
	plan.Work, plan.CutOff = b.work()-m.left, m.cutOff
	return plan
}

// answer is a layout with what is proven beside it.
type answer struct {
	layout  *layout
	exact   bool   // it is the best in every aim
	bound   int64  // of the aim, -1: what the weights say
	least   *int64 // bound of the length opened, nil: not known
	longest *int64 // bound of the longest remnant
	short   int64  // bound of what is unplaced, beside the cuts that are too long
	weights *weights
}

func (j *job) solve() answer {
	if len(j.items) == 0 {
		return answer{layout: &layout{job: j}, exact: true}
	}
	if s := newBySets(j, j.limits.pairs); s != nil {
		return answer{layout: s.best(), exact: true, weights: j.lengthWeights()}
	}
	return j.search()
}

// finish reckons what a layout comes to.
func (j *job) finish(a answer) Plan {
	p := j.problem
	plan := Plan{Plan: a.layout.plan(), Aim: p.Aim}
	plan.reckon(p)
	beside := measure.Length(0) // of what could be laid, what isn't
	for _, i := range j.tooLong {
		beside -= p.Cuts[i].Length
	}
	beside += plan.Short
	plan.ShortBound = plan.Short - beside + min(beside, measure.Length(a.short))
	if a.exact {
		plan.ShortBound = plan.Short
	}
	placed := plan.Short == plan.ShortBound
	plan.Bound, plan.Proof = a.bound, BySearch
	if beside > 0 {
		plan.Bound, a.weights = j.boltsFor(j.lengthOfAll()-int64(beside)), nil
		if aimOfAll(p.Aim) {
			plan.Bound = 0
		}
	}
	plan.Certificate = j.certificate(a.weights)
	if a.exact {
		plan.Bound = plan.Value
	}
	plan.Bound = min(max(plan.Bound, plan.Certificate.bound(p)), plan.Value)
	if plan.Certificate.bound(p) >= plan.Bound {
		plan.Proof = ByWeights
	}
	plan.Optimal = placed && plan.Bound == plan.Value
	plan.then(p, a)
	return plan
}

// then says what is known of the further aims.
func (plan *Plan) then(p *cutting.Problem, a answer) {
	longest := Goal{Aim: "longest_remnant", Value: plan.Longest, Bound: plan.mostLeft(p)}
	length := Goal{Aim: "length_opened", Value: plan.Length}
	if a.least != nil && plan.Optimal {
		length.Bound = min(length.Value, measure.Length(*a.least))
	}
	if a.exact {
		length.Bound = length.Value
	}
	length.Optimal = plan.Optimal && length.Bound == length.Value
	if a.longest != nil {
		longest.Bound = max(longest.Value, min(longest.Bound, measure.Length(*a.longest)))
	}
	if a.exact {
		longest.Bound = longest.Value
	}
	longest.Optimal = plan.Optimal && (length.Optimal || plan.Aim != cutting.FewestBolts) && longest.Bound == longest.Value
	if plan.Aim == cutting.FewestBolts {
		plan.Then = append(plan.Then, length)
	}
	plan.Then = append(plan.Then, longest)
}

// meter counts the work and says when it is done. Work is reckoned from what is looked at, so that two runs do the same.
type meter struct {
	ctx    context.Context
	left   int64
	since  int64 // the clock was looked at
	cutOff bool
}

func (m *meter) spend(units int64) {
	m.left -= units
	if m.since += units; m.since > 100_000 {
		m.since = 0
		if m.ctx.Err() != nil {
			m.cutOff = true
		}
	}
}

// Spend and Done are for who knows a meter only.
func (m *meter) Spend(units int64) { m.spend(units) }

// Done is as done.
func (m *meter) Done() bool { return m.done() }

// within does something with at most so much of the work that is left.
func (m *meter) within(units int64, do func()) {
	rest := max(0, m.left-units)
	m.left -= rest
	do()
	m.left += rest
}

// done reports whether no work is left.
func (m *meter) done() bool { return m.cutOff || m.left <= 0 }
