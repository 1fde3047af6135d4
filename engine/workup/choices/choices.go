// Package choices works out other ways to make a window: fewer or more widths, other pleats, the surplus kept or trimmed, another
// heading. It is pure; each way is the window itself with some keys set, worked up as any other.
package choices

import (
	"cmp"
	"slices"
	"strconv"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// Way is one way to make a window.
type Way struct {
	Set  map[string]string // keys of the order file's treatment, "" left out; empty of the window as it is asked
	Why  Reason
	Work *workup.Workup // of the window alone
}

// Treatment is the window worked out that way.
func (w *Way) Treatment() *workup.Treatment { return &w.Work.Treatments[0] }

// Reason says what a way is for: a code with arguments, as a problem's.
type Reason struct {
	Code string
	Args map[string]any
}

// The reasons, by what is first in mind of those that hold.
const (
	AsAsked        = "as_asked"
	LessCloth      = "less_cloth"      // Saved: face cloth of the window, a length
	Fuller         = "fuller"          // Fullness: reached, a ratio
	SeamsHidden    = "seams_hidden"    // Count: seams fewer in view
	MorePleats     = "more_pleats"     // Space: between pleats
	FewerPleats    = "fewer_pleats"    // Space
	SurplusKept    = "surplus_kept"    // Fullness
	SurplusTrimmed = "surplus_trimmed" // Fullness
	OtherHeading   = "other_heading"   // Heading: its key, of one of the shop's own its name
)

// Codes are all reasons that there are.
func Codes() []string {
	return []string{AsAsked, LessCloth, Fuller, SeamsHidden, MorePleats, FewerPleats, SurplusKept, SurplusTrimmed, OtherHeading}
}

// most ways stand beside each other, the one that is asked among them. Our own choice.
const most = 5

// Of returns the window as it is asked, and up to four other ways: at most one of a kind, each unlike the others and without an
// error. It returns none where the window can't be worked out as it is asked.
func Of(o *orderfile.Order, treatment int) []Way {
	asked := Way{Set: map[string]string{}, Why: Reason{Code: AsAsked}, Work: alone(o, o.Treatments[treatment])}
	if !asked.works() {
		return nil
	}
	m := maker{order: o, line: o.Treatments[treatment], asked: asked}
	ways := []Way{asked}
	for _, kind := range []func() []Way{m.fewerWidths, m.otherPleats, m.moreWidths, m.otherHeading, m.otherSurplus} {
		for _, w := range kind() {
			if len(ways) < most && w.works() && !slices.ContainsFunc(ways, w.like) {
				ways = append(ways, w)
				break
			}
		}
	}
	return ways
}

// alone works a window out as the order's only one.
func alone(o *orderfile.Order, line orderfile.Treatment) *workup.Workup {
	one := *o
	one.Treatments, one.Pieces = []orderfile.Treatment{line}, nil
	return workup.Compute(&one)
}

// works reports whether the window can be made that way.
func (w *Way) works() bool {
	return len(w.Treatment().Panels) > 0 && !slices.ContainsFunc(w.Work.Problems, func(p engine.Problem) bool { return p.Severity == engine.Error })
}

// like reports whether two ways make the same panels of the same cloth.
func (w *Way) like(other Way) bool {
	a, b := w.Treatment(), other.Treatment()
	return a.Heading == b.Heading && slices.EqualFunc(a.Panels, b.Panels, func(p, q workup.Panel) bool {
		return p.Pleats == q.Pleats && p.Widths == q.Widths && p.FlatWidth == q.FlatWidth && p.FinishedWidth == q.FinishedWidth &&
			slices.Equal(p.Seams, q.Seams) && p.TurnedReturn == q.TurnedReturn && p.TurnedLeading == q.TurnedLeading
	})
}

// maker makes the other ways of one window.
type maker struct {
	order *orderfile.Order
	line  orderfile.Treatment
	asked Way
}

// way is the window with a change, the keys that say so in the file, and the reason that its numbers give.
func (m *maker) way(set map[string]string, change func(*orderfile.Treatment), why func(*Way) Reason) Way {
	line := m.line
	change(&line)
	w := Way{Set: set, Work: alone(m.order, line)}
	if w.works() {
		w.Why = why(&w)
	}
	return w
}

// widest is the widths of the window's widest panel.
func (m *maker) widest() measure.Halves {
	widest := measure.Halves(0)
	for _, p := range m.asked.Treatment().Panels {
		widest = max(widest, p.Widths)
	}
	return widest
}

func (m *maker) withWidths(h measure.Halves, why func(*Way) Reason) Way {
	return m.way(map[string]string{"widths": h.String()}, func(t *orderfile.Treatment) { t.Widths = &h }, why)
}

// fewerWidths are those of half a width less and of a whole one, where they take less cloth.
func (m *maker) fewerWidths() (ways []Way) {
	for _, less := range []measure.Halves{1, 2} {
		if h := m.widest() - less; h > 0 {
			w := m.withWidths(h, m.saved)
			if w.works() && face(&w).Length < face(&m.asked).Length {
				ways = append(ways, w)
			}
		}
	}
	return ways
}

// moreWidths are those of half a width more and of a whole one, where they make the panel fuller.
func (m *maker) moreWidths() (ways []Way) {
	for _, more := range []measure.Halves{1, 2} {
		w := m.withWidths(m.widest()+more, fuller(Fuller))
		if w.works() && fullness(&w).Cmp(fullness(&m.asked)) > 0 {
			ways = append(ways, w)
		}
	}
	return ways
}

// otherPleats are a pleat more and a pleat less, the one that is warned of less often first, then the one that hides more seams.
func (m *maker) otherPleats() (ways []Way) {
	n := m.asked.Treatment().Panels[0].Pleats
	for _, by := range []int{1, -1} {
		pleats := n + by
		if pleats < 1 {
			continue
		}
		w := m.way(map[string]string{"pleats": strconv.Itoa(pleats)}, func(t *orderfile.Treatment) { t.Pleats = &pleats }, func(w *Way) Reason {
			if fewer := inView(&m.asked) - inView(w); fewer > 0 {
				return Reason{SeamsHidden, map[string]any{"Count": fewer}}
			}
			code := MorePleats
			if by < 0 {
				code = FewerPleats
			}
			return Reason{code, map[string]any{"Space": measure.OfLength(w.Treatment().Panels[0].Space, m.order.Units)}}
		})
		if w.works() {
			ways = append(ways, w)
		}
	}
	slices.SortStableFunc(ways, func(a, b Way) int {
		return cmp.Or(cmp.Compare(warnings(&a), warnings(&b)), cmp.Compare(inView(&a), inView(&b)))
	})
	return ways
}

// otherSurplus keeps the cloth that is left over where it is trimmed, and the other way round.
func (m *maker) otherSurplus() []Way {
	ways := []Way{}
	for surplus, code := range map[orderfile.Surplus]string{orderfile.KeepSurplus: SurplusKept, orderfile.TrimSurplus: SurplusTrimmed} {
		if surplus == m.line.Surplus {
			continue
		}
		ways = append(ways, m.way(map[string]string{"surplus": string(surplus)}, func(t *orderfile.Treatment) { t.Surplus = surplus }, fuller(code)))
	}
	slices.SortFunc(ways, func(a, b Way) int { return cmp.Compare(a.Set["surplus"], b.Set["surplus"]) })
	return ways
}

// otherHeadings are the headings beside the window's own: those whose pleats have its body first, then in the order in which a
// person is offered them, from its own on.
func (m *maker) otherHeadings() []orderfile.HeadingData {
	all := m.order.Conventions.HeadingRows(m.order.Units)
	at := slices.IndexFunc(all, func(d orderfile.HeadingData) bool { return d.Heading == m.line.Heading })
	own := all[at]
	others := slices.Concat(all[at+1:], all[:at])
	slices.SortStableFunc(others, func(a, b orderfile.HeadingData) int {
		alike := func(d orderfile.HeadingData) int {
			if d.Body == own.Body {
				return 0
			}
			return 1
		}
		return alike(a) - alike(b)
	})
	return others
}

// otherHeading is the window under each other heading. What was set for this one, its count and its fullness, doesn't go along.
func (m *maker) otherHeading() (ways []Way) {
	for _, d := range m.otherHeadings() {
		under, ok := m.order.Under(m.line, d.Heading)
		if !ok {
			continue // which tape nobody has said, or none would do
		}
		set := map[string]string{"heading": string(d.Heading)}
		for key, given := range map[string]bool{
			"pleats": m.line.Pleats != nil, "widths": m.line.Widths != nil, "fullness": m.line.Fullness != nil, "lead_flat": m.line.LeadFlat != nil, "inserts": m.line.Inserts == orderfile.Unfilled,
			"points.count": m.line.Points.Count != nil, "points.end": m.line.Points.End != nil,
		} {
			if given {
				set[key] = ""
			}
		}
		ways = append(ways, m.way(set, func(t *orderfile.Treatment) {
			*t = under
		}, func(*Way) Reason { return Reason{OtherHeading, map[string]any{"Heading": d.Called()}} }))
	}
	return ways
}

// saved says how much face cloth a way saves.
func (m *maker) saved(w *Way) Reason {
	return Reason{LessCloth, map[string]any{"Saved": measure.OfLength(face(&m.asked).Length-face(w).Length, m.order.Units)}}
}

// fuller says how full a way is.
func fuller(code string) func(*Way) Reason {
	return func(w *Way) Reason { return Reason{code, map[string]any{"Fullness": fullness(w)}} }
}

func face(w *Way) workup.FabricUse {
	uses := w.Treatment().Fabrics
	return uses[slices.IndexFunc(uses, func(u workup.FabricUse) bool { return u.Use == orderfile.Face })]
}

func fullness(w *Way) measure.Ratio { return w.Treatment().Panels[0].Fullness }

// inView counts the seams that can be seen.
func inView(w *Way) int {
	n := 0
	for _, p := range w.Treatment().Panels {
		n += len(p.Seams) - p.SeamsHidden
	}
	return n
}

func warnings(w *Way) int {
	n := 0
	for _, p := range w.Work.Problems {
		if p.Severity == engine.Warning && p.Code != "fabric_short" && p.Code != "lots_mixed" {
			n++
		}
	}
	return n
}
