package pattern

import "tablehand/engine/measure"

// Want is how the motifs of panels are to stand.
type Want int

const (
	AsTheyFall Want = iota
	Centred         // one in the middle of its panel
	Between         // the middle of its panel half-way between two
	Mirrored        // one at the same distance from the lead of each panel of a pair
)

// Placing has motifs stand where they are wanted, whatever that trims. The zero value leaves them as they fall.
type Placing struct {
	Want
	Lead measure.Length // of mirrored ones: from the hemmed leading edge to a motif's middle
}

// Trim is the least that is trimmed off a flat panel for that, under a repeat, and whether that is at its leading edge.
func (m Placing) Trim(p Panel, flat measure.Length) (trim measure.Length, leading bool) {
	switch m.Want {
	case Mirrored:
		return p.LeadTrim(m.Lead), true
	case Centred, Between:
		return p.CentreTrim(flat, m.Want == Between), p.Return == AtRight
	}
	return 0, false
}

// Cost is the width of cloth that each of the panels needs for that: they lie as flat as each other, and are cut from as much.
func (m Placing) Cost(panels []Panel, flat measure.Length) (cost measure.Length) {
	for _, p := range panels {
		trim, _ := m.Trim(p, flat)
		cost = max(cost, trim)
	}
	return cost
}

// Widest is what each of the panels may lie flat on so much joined cloth with motifs so. Both are given doubled: a half width's may lie
// amid a nanometre. It is below 0 where the hems alone take more, and more than the cloth where what is joined on reaches beyond it.
func (m Placing) Widest(panels []Panel, joined2 measure.Length) (widest measure.Length) {
	for i, p := range panels {
		flat := joined2 - 2*(p.AtReturn+p.AtLead)
		switch m.Want {
		case Mirrored:
			flat -= 2 * p.LeadTrim(m.Lead)
		case Centred, Between:
			flat = min(flat, 2*p.Widest(joined2, m.Want == Between))
		}
		if i == 0 || flat < widest {
			widest = flat
		}
	}
	return widest
}
