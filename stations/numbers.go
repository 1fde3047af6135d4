package stations

import (
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// made is one panel and what it is made of, for the numbers on its ticket.
type made struct {
	panel *workup.Panel
	line  *orderfile.Treatment
	units measure.Unit
}

// number is one of the panel's, Nothing where it hasn't it or it says nothing that a hand needs. The routes name only
// numbers that there are.
func (m made) number(name string) measure.Quantity {
	return workup.NumberOf(name).Shown(m.panel, m.units)
}

// clothNumbers are those of a fabric's cutting.
var clothNumbers = map[string]func(c cloth) measure.Quantity{
	"fabric":          func(c cloth) measure.Quantity { return measure.OfWord(c.plan.Fabric.ID) },
	"cuts":            func(c cloth) measure.Quantity { return measure.OfCount(len(c.plan.Cuts)) },
	"length":          func(c cloth) measure.Quantity { return measure.OfLength(c.total.Length, c.units) },
	"usable_width":    func(c cloth) measure.Quantity { return measure.OfLength(c.plan.Fabric.UsableWidth, c.units) },
	"match_width":     func(c cloth) measure.Quantity { return present(c.plan.Fabric.MatchWidth, c.units) },
	"vertical_repeat": func(c cloth) measure.Quantity { return present(c.plan.Fabric.VerticalRepeat, c.units) },
	// Five repeats are long enough for a tape measure to tell one that is off by a thread.
	"repeat_over_five": func(c cloth) measure.Quantity { return present(5*c.plan.Fabric.VerticalRepeat, c.units) },
	"on_bolts": func(c cloth) measure.Quantity {
		if c.total.OnBolts == nil {
			return measure.Quantity{}
		}
		return measure.OfLength(*c.total.OnBolts, c.units)
	},
}

// present is a length that there may be none of.
func present(l measure.Length, u measure.Unit) measure.Quantity {
	if l == 0 {
		return measure.Quantity{}
	}
	return measure.OfLength(l, u)
}
