package cutplan

import (
	"cmp"
	"fmt"
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
		if out.To <= s.From || s.To <= out.From || out.From >= out.To {
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
	opened, length, total, cost := 0, measure.Length(0), measure.Length(0), int64(0)
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
	if v.plan.Value != value || v.plan.Opened != opened || v.plan.Length != length || v.plan.Longest != longest {
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

// certificate adds the weights up, and looks for a filling of a bolt that weighs more than it may.
func (v *verifier) certificate() {
	c := &v.plan.Certificate
	sum := int64(0)
	for _, cut := range v.p.Cuts {
		if c.Weights[cut.ID] < 0 {
			v.fault(CertificateFails, cut.ID)
		}
		sum += c.Weights[cut.ID]
	}
	for _, b := range v.p.Bolts {
		w, bonus := c.Bolts[b.ID], c.Bonus[b.ID]
		sum -= bonus
		if bonus < 0 || w.Most > c.Scale*v.costOf(b)+bonus || w.Cost != v.costOf(b) && len(c.Bolts) > 0 {
			v.fault(CertificateFails, b.ID)
		}
	}
	known := map[string]bool{}
	if len(c.Weights) > 0 {
		for _, b := range v.p.Bolts {
			alike := b
			alike.ID = ""
			key := bySay(alike) + bySay(c.Bolts[b.ID].Most)
			if !known[key] && v.heavier(b, c.Bolts[b.ID].Most) {
				v.fault(CertificateFails, b.ID)
			}
			known[key] = true
		}
	}
	if c.Scale <= 0 || c.Step <= 0 {
		v.fault(CertificateFails, "")
		return
	}
	bound := int64(0)
	for bound*c.Scale < sum {
		if sum/c.Scale-bound > 2*c.Step { // near it at once
			bound = sum / c.Scale / c.Step * c.Step
			continue
		}
		bound += c.Step
	}
	if v.plan.Proof == ByWeights && v.plan.Bound > bound {
		v.fault(BoundTooHigh, "")
	}
}

func (v *verifier) costOf(b cutting.Bolt) int64 {
	switch {
	case v.p.Aim == cutting.LeastLength:
		return int64(b.Length)
	case v.p.Aim == cutting.LeastCost:
		return b.Cost
	case b.Opened || b.Remnant:
		return 0
	}
	return 1
}

// verifySteps bounds the fillings of a bolt that are looked at; beyond them nothing is said against it.
const verifySteps = 300_000

// shape is cuts that are alike to a bolt and to the weights.
type shape struct {
	length, start measure.Length
	anywhere      bool
	weight        int64
}

func (v *verifier) shapes() (shapes []shape, count map[shape]int) {
	count = map[shape]int{}
	for _, c := range v.p.Cuts {
		w := v.plan.Certificate.Weights[c.ID]
		if w == 0 {
			continue
		}
		s := shape{c.Length, c.Start, c.Anywhere, w}
		if v.p.VerticalRepeat == 0 {
			s = shape{c.Length, 0, true, w}
		}
		if count[s] == 0 {
			shapes = append(shapes, s)
		}
		count[s]++
	}
	slices.SortFunc(shapes, func(x, y shape) int {
		return cmp.Or(cmp.Compare(float64(y.weight)/float64(y.length), float64(x.weight)/float64(x.length)), cmp.Compare(y.length, x.length))
	})
	return shapes, count
}

// heavier reports whether cuts that lie on a bolt weigh more than it says.
func (v *verifier) heavier(b cutting.Bolt, most int64) bool {
	shapes, count := v.shapes()
	if len(shapes) == 0 {
		return false
	}
	if v.p.VerticalRepeat > 0 {
		if v.behind(b, shapes, v.p.EndAllowance, map[measure.Length]int64{}) <= most {
			return false
		}
	} else if sum, ok := v.tables(b, shapes, count); ok && sum <= most {
		return false
	}
	return v.heavierInTurn(b, most, shapes, count)
}

// behind is the most that lies behind a place, of each shape as many as may be.
func (v *verifier) behind(b cutting.Bolt, shapes []shape, at measure.Length, known map[measure.Length]int64) int64 {
	if w, is := known[at]; is {
		return w
	}
	most := int64(0)
	for _, s := range shapes {
		if to := v.first(b, s.length, s.start, s.anywhere, at) + s.length; to <= b.Length-v.p.EndAllowance {
			most = max(most, s.weight+v.behind(b, shapes, to+v.p.Kerf, known))
		}
	}
	known[at] = most
	return most
}

// tables adds up what each clean stretch of a plain bolt carries at most; ok is false where a stretch has too many marks for a table.
func (v *verifier) tables(b cutting.Bolt, shapes []shape, count map[shape]int) (sum int64, ok bool) {
	unit := measure.Length(0)
	for _, s := range shapes {
		for x := s.length + v.p.Kerf; x > 0; {
			unit, x = x, unit%x
		}
	}
	clean := []cutting.Span{{From: v.p.EndAllowance, To: b.Length - v.p.EndAllowance}}
	for _, f := range b.Flaws {
		clean = without(clean, f)
	}
	for _, c := range clean {
		marks := int64((c.To - c.From + v.p.Kerf) / unit)
		if marks*int64(len(shapes)) > 5_000_000 {
			return 0, false
		}
		if marks <= 0 {
			continue
		}
		table := make([]int64, marks+1)
		for _, s := range shapes {
			size := int64((s.length + v.p.Kerf) / unit)
			for left, n := int64(count[s]), int64(1); left > 0; n *= 2 {
				n = min(n, left)
				left -= n
				for at := marks; at >= n*size; at-- {
					table[at] = max(table[at], table[at-n*size]+n*s.weight)
				}
			}
		}
		sum += table[marks]
	}
	return sum, true
}

// heavierInTurn lays one cut after the other, of each shape as many as there are.
func (v *verifier) heavierInTurn(b cutting.Bolt, most int64, shapes []shape, count map[shape]int) bool {
	ratio := 0.0
	for _, s := range shapes {
		ratio = max(ratio, float64(s.weight)/float64(s.length+v.p.Kerf))
	}
	flawless := len(b.Flaws) == 0
	steps := 0
	// On plain flawless cloth the order of cuts says nothing: they go by shape.
	var lay func(at measure.Length, from int, weight int64) bool
	lay = func(at measure.Length, from int, weight int64) bool {
		if weight > most {
			return true
		}
		if steps++; steps > verifySteps || float64(weight)+float64(b.Length-v.p.EndAllowance-at+v.p.Kerf)*ratio < float64(most)+0.5 {
			return false
		}
		for i, s := range shapes {
			if count[s] == 0 || v.p.VerticalRepeat == 0 && flawless && i < from {
				continue
			}
			to := v.first(b, s.length, s.start, s.anywhere, at) + s.length
			if to > b.Length-v.p.EndAllowance {
				continue
			}
			count[s]--
			heavy := lay(to+v.p.Kerf, i, weight+s.weight)
			count[s]++
			if heavy {
				return true
			}
		}
		return false
	}
	return lay(v.p.EndAllowance, 0, 0)
}

// first is the first start at or behind a place where a cut is on phase and meets no flaw.
func (v *verifier) first(b cutting.Bolt, length, start measure.Length, anywhere bool, at measure.Length) measure.Length {
	repeat, begin := v.p.Pattern(&b, start)
	for {
		if repeat > 0 && !anywhere {
			past := at - b.FirstRepeat - begin
			if past < 0 {
				at -= past
			} else if over := past % repeat; over > 0 {
				at += repeat - over
			}
		}
		free := true
		for _, f := range b.Flaws {
			if f.From < f.To && f.From < at+length && at < f.To {
				at, free = f.To, false
			}
		}
		if free {
			return at
		}
	}
}

func bySay(x any) string { return fmt.Sprint(x) }
