package relief

import (
	"cmp"
	"math"
	"slices"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// newLot is a dye lot that no bolt has.
const newLot = "\x1fnew"

// buy is the least that a bolt bought has to hold: of a lot that there is, and of any other where that takes more.
func (m *maker) buy() []Way {
	best, found := Way{Kind: Buy}, false
	lots := m.lots()
	m.least = min(m.Plan.Least(nil), m.lacks.length)
	for _, lot := range lots {
		if w, is := m.bought(lot, best.Length, found); is {
			best, found = w, true
		}
	}
	if slices.Contains(lots, "") { // nobody knows which lot
		if !found {
			return nil
		}
		return []Way{best}
	}
	any, is := m.bought(newLot, 0, false)
	any.Lot = ""
	switch {
	case is && (!found || any.Length <= best.Length):
		return []Way{any}
	case is:
		return []Way{best, any}
	case found:
		return []Way{best}
	}
	return nil
}

// lots are the dye lots of the bolts that there are, those with the most cloth first.
func (m *maker) lots() (lots []string) {
	room := map[string]measure.Length{}
	for i := range m.fabric.Bolts {
		b := &m.fabric.Bolts[i]
		if b.Half {
			continue
		}
		if room[b.Lot] += b.OnHand(); !slices.Contains(lots, b.Lot) {
			lots = append(lots, b.Lot)
		}
	}
	slices.SortStableFunc(lots, func(a, b string) int { return cmp.Compare(room[b], room[a]) })
	return lots[:min(len(lots), mostLots)]
}

// bought is how long a bolt of a lot has to be, up to the step in which cloth is ordered; less than so much, where that is asked. Its pattern is
// taken to start at its end, so the shop's repeats for positioning come to it. Of very many windows it may be more than the least: from an
// eighth on the way says so.
func (m *maker) bought(lot string, under measure.Length, less bool) (Way, bool) {
	c := &m.Work.Order.Conventions
	step := c.OrderStep
	if step <= 0 {
		step = c.Step
	}
	extra := m.Ends.Times(2)
	if m.fabric.Use == orderfile.Face {
		extra += m.fabric.VerticalRepeat.Times(c.OrderRepeats)
	}
	at := func(k int) measure.Length { return step.Times(k) }
	together, sure := m.together(lot)
	most := int(together.CeilDiv(step))
	surely := most
	if less {
		most = min(most, int((under-extra)/step)-1)
	}
	fits := func(k int) bool {
		if sure && k >= surely {
			return true
		}
		bolt := orderfile.Bolt{ID: "\x1fbought", Length: at(k), Lot: lot}
		if m.Shelved {
			bolt.Shelf, bolt.Kerf = bolt.ID, m.Kerf
		}
		f := *m.fabric
		f.Bolts = append(slices.Clone(f.Bolts), bolt)
		return m.fits(m.Plan, &f)
	}
	m.left = plansOf * m.planning
	enough := int(m.least.CeilDiv(step)) - 1 // so many don't do
	over := most
	if over <= enough || !fits(over) {
		return Way{}, false
	}
	for over-enough > 1 && m.left > 0 {
		k := (enough + over) / 2
		if over > 2*enough { // far off: by their ratio
			k = min(over-1, max(enough+1, int(math.Sqrt(float64(max(1, enough))*float64(over)))))
		}
		switch {
		case fits(k):
			over = k
		case m.left > 0: // else nobody had the time to look
			enough = k
		}
	}
	return Way{Kind: Buy, Lot: lot, Length: (at(over) + extra).CeilTo(step), Less: over-enough > max(1, over/8)}, true
}

// together is a bolt of a lot on which all cuts lie of the groups that have not all their places in one lot, those that start alike one after
// the other, and the others where they do. Where one of the groups goes on with other lots that isn't sure to help, and all there is lies on the bolt.
func (m *maker) together(lot string) (all measure.Length, sure bool) {
	problem, sure := workup.Placing(m.Plan), true
	lacking := func(c *cutting.Cut) bool {
		return slices.Contains(m.Plan.Plan.Unplaced, c.ID) || c.Group != "" && slices.Contains(m.Plan.Plan.Mixed, c.Group)
	}
	groups := map[string]bool{}
	for i := range problem.Cuts {
		if c := &problem.Cuts[i]; lacking(c) {
			bound := problem.Bound[c.Group]
			groups[c.Group] = true
			sure = sure && (len(bound) == 0 || slices.Contains(bound, lot))
		}
	}
	starts := map[measure.Length]bool{}
	for i := range problem.Cuts {
		if c := &problem.Cuts[i]; !sure || lacking(c) || c.Group != "" && groups[c.Group] {
			all += c.Length + m.Kerf
			if repeat := problem.VerticalRepeat; repeat > 0 {
				all = all.CeilTo(repeat)
				starts[c.Start] = true
			}
		}
	}
	return all + problem.VerticalRepeat.Times(len(starts)), sure
}
