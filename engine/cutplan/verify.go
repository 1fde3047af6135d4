package cutplan

import (
	"slices"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
)

// What Verify finds beside the faults of cutting.Check.
const (
	WrongRemnant     cutting.Fault = "wrong_remnant"     // a remnant that isn't, or one that isn't told
	WrongWaste       cutting.Fault = "wrong_waste"       // not what is neither cut nor remnant
	WrongValue       cutting.Fault = "wrong_value"       // not what the placements come to
	CertificateFails cutting.Fault = "certificate_fails" // a filling weighs more than it says, or it says more than it costs
	BoundTooHigh     cutting.Fault = "bound_too_high"    // over the value, or over what the certificate that it goes by proves
)

// Verify goes over a plan from the definitions alone, sharing nothing with the planner, and returns every fault. A bound by
// search it can't follow; it holds it against the value.
func Verify(p cutting.Problem, plan Plan) []cutting.Finding {
	faults := cutting.Check(p, plan.Plan)
	v := verifier{p: &p, plan: &plan}
	v.stretches()
	v.values()
	v.certificate()
	return append(faults, v.faults...)
}

type verifier struct {
	p      *cutting.Problem
	plan   *Plan
	faults []cutting.Finding
}

func (v *verifier) fault(f cutting.Fault, what string) {
	v.faults = append(v.faults, cutting.Finding{Fault: f, Cut: what})
}

func (v *verifier) on(bolt string) []cutting.Placement {
	return slices.DeleteFunc(slices.Clone(v.plan.Placements), func(pl cutting.Placement) bool { return pl.Bolt != bolt })
}

// stretches holds the remnants and the waste against the bolts: what is left when flaws and cuts are taken away one by
// one, and the kerf beside each cut.
func (v *verifier) stretches() {
	told := slices.Clone(v.plan.Remnants)
	waste := measure.Length(0)
	for _, b := range v.p.Bolts {
		cuts := v.on(b.ID)
		if len(cuts) == 0 {
			continue
		}
		waste += b.Length
		stays := []cutting.Span{{From: 0, To: b.Length}}
		for _, f := range b.Flaws {
			stays = without(stays, f)
		}
		for _, c := range cuts {
			waste -= c.To - c.From
			stays = without(stays, cutting.Span{From: c.From, To: c.To})
		}
		for _, s := range stays {
			for _, c := range cuts {
				if c.To == s.From {
					s.From += v.p.Kerf
				}
			}
			for _, c := range cuts {
				if c.From == s.To {
					s.To -= v.p.Kerf
				}
			}
			if s.From >= s.To || s.To-s.From < v.p.MinRemnant {
				continue
			}
			waste -= s.To - s.From
			at := slices.Index(told, Remnant{b.ID, s.From, s.To})
			if at < 0 {
				v.fault(WrongRemnant, b.ID)
				continue
			}
			told = slices.Delete(told, at, at+1)
		}
	}
	for _, r := range told {
		v.fault(WrongRemnant, r.Bolt)
	}
	if waste != v.plan.Waste {
		v.fault(WrongWaste, "")
	}
}

// without takes a span out of others.
func without(spans []cutting.Span, out cutting.Span) (left []cutting.Span) {
	for _, s := range spans {
		if out.To <= s.From || s.To <= out.From || out.From > out.To {
			left = append(left, s)
			continue
		}
		if s.From < out.From {
			left = append(left, cutting.Span{From: s.From, To: out.From})
		}
		if out.To < s.To {
			left = append(left, cutting.Span{From: out.To, To: s.To})
		}
	}
	return left
}

func (v *verifier) values() {
	opened, kept, length, total, cost := 0, 0, measure.Length(0), measure.Length(0), int64(0)
	for _, b := range v.p.Bolts {
		if len(v.on(b.ID)) == 0 {
			continue
		}
		total += b.Length
		cost += b.Cost
		if !b.Remnant && !b.Opened {
			opened++
			length += b.Length
		}
		if b.Remnant {
			kept++
		}
	}
	value := int64(opened)
	switch v.p.Aim {
	case cutting.LeastLength:
		value = int64(total)
	case cutting.LeastCost:
		value = cost
	}
	longest := measure.Length(0)
	for _, r := range v.plan.Remnants {
		longest = max(longest, r.To-r.From)
	}
	if v.plan.Value != value || v.plan.Opened != opened || v.plan.Kept != kept || v.plan.Length != length || v.plan.Longest != longest {
		v.fault(WrongValue, "")
	}
	if v.plan.Bound > v.plan.Value || v.plan.Optimal && (v.plan.Bound != v.plan.Value || v.plan.ShortBound != v.plan.Short) || v.plan.ShortBound > v.plan.Short {
		v.fault(BoundTooHigh, "")
	}
	for _, g := range v.plan.Then {
		over := g.Bound > g.Value
		if g.Aim == "longest_remnant" {
			over = g.Bound < g.Value
		}
		if over || g.Optimal && g.Bound != g.Value {
			v.fault(BoundTooHigh, g.Aim)
		}
	}
}
