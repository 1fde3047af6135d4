package cutplan

import (
	"cmp"
	"fmt"
	"slices"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
)

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

// shapes are those of cuts, or only of halves.
func (v *verifier) shapes(halves bool) (shapes []shape, count map[shape]int) {
	count = map[shape]int{}
	for _, c := range v.p.Cuts {
		w := v.plan.Certificate.Weights[c.ID]
		if w == 0 || halves && !c.Half {
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
	shapes, count := v.shapes(b.Half)
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
		if !anywhere { // of plain cloth all start anywhere
			past := at - b.FirstRepeat - begin
			if past < 0 {
				at -= past
			} else if over := past % repeat; over > 0 {
				at += repeat - over
			}
		}
		free := true
		for _, f := range b.Flaws {
			if f.From < at+length && at < f.To {
				at, free = f.To, false
			}
		}
		if free {
			return at
		}
	}
}

func bySay(x any) string { return fmt.Sprint(x) }
