package screen

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// The picture of the floor is measured in the wall's letters (1 em, see the style sheet): whatever the shape of a screen, it is
// at least wallAcross wide, so what is worked out here fits.
const (
	wallAcross   = 42.3 // em for all stations beside each other
	panelAcross  = .9   // em for a panel and the gap beside it
	panelHigh    = 1.42 // em of a panel: 62 px where the wall is 1,920 wide
	rowHigh      = 1.5  // em for a row of panels
	rows         = 5
	stationApart = .2 // em that stay free between two stations
)

// Look is how a piece looks on the wall from 4 m.
type Look struct{ AtWork, Held, Late, AtRisk, Bolt bool }

// urgency orders what hangs at a station: what is at work, then what is late, due soon and the rest; of each the held ones last.
func (l Look) urgency() int {
	switch {
	case l.AtWork:
		return 0
	case l.Late:
		return 1 + one(l.Held)
	case l.AtRisk:
		return 3 + one(l.Held)
	}
	return 5 + one(l.Held)
}

// alone is the one thing that is said of a bundle: at work, held, late or due soon, whichever comes first.
func (l Look) alone() Look {
	switch {
	case l.AtWork:
		return Look{AtWork: true}
	case l.Held:
		return Look{Held: true}
	case l.Late:
		return Look{Late: true}
	}
	return Look{AtRisk: l.AtRisk}
}

// Class returns the look's style classes.
func (l Look) Class() string {
	var all []string
	for _, c := range []struct {
		is   bool
		name string
	}{{l.AtWork, "is-at_work"}, {l.Held, "is-held"}, {l.Late, "is-late"}, {l.AtRisk, "is-risk"}} {
		if c.is {
			all = append(all, c.name)
		}
	}
	return strings.Join(all, " ")
}

// Column is a station of the picture, with what hangs there.
type Column struct {
	Lane
	Fullest bool
	Cloths  []Cloth
}

// Cloth is one drawing of the picture: a panel, or a bundle of all that are alike at its station.
type Cloth struct {
	Look
	Count int    // of a bundle; 0 for a panel
	High  string // of a bundle, in em
}

// Count is how many pieces hang at the station.
func (l Lane) Count() int { return len(l.Here) }

// Counts says how many of a station's pieces are in which state; one can be in two.
type Counts struct{ AtWork, Held, Late, AtRisk int }

// Counts counts what hangs at the station.
func (l Lane) Counts() (c Counts) {
	for _, look := range l.Here {
		c.AtWork += one(look.AtWork)
		c.Held += one(look.Held)
		c.Late += one(look.Late)
		c.AtRisk += one(look.AtRisk)
	}
	return c
}

func one(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

// Columns returns the picture: each panel by itself, or where a station has more than fit, bundles at all of them. Their
// lengths are by one measure, so that the longest is the fullest station.
func (p Page) Columns() []Column {
	if len(p.Lanes) == 0 {
		return nil
	}
	across := int((wallAcross/float64(len(p.Lanes)) - stationApart) / panelAcross)
	most := slices.MaxFunc(p.Lanes, func(a, b Lane) int { return cmp.Compare(a.Count(), b.Count()) }).Count()
	columns := make([]Column, len(p.Lanes))
	for i, l := range p.Lanes {
		columns[i] = Column{Lane: l, Fullest: most > 1 && l.Count() == most}
		if most <= across*rows {
			columns[i].Cloths = panels(l.Here)
		} else {
			columns[i].Cloths = bundles(l.Here)
		}
	}
	if most > across*rows {
		measureOut(columns)
	}
	return columns
}

func panels(here []Look) []Cloth {
	cloths := make([]Cloth, len(here))
	for i, l := range here {
		cloths[i].Look = l
	}
	slices.SortStableFunc(cloths, func(a, b Cloth) int { return a.urgency() - b.urgency() })
	return cloths
}

// bundles counts what is alike, the most pressing first.
func bundles(here []Look) []Cloth {
	var cloths []Cloth
	for _, l := range here {
		l = l.alone()
		i := slices.IndexFunc(cloths, func(c Cloth) bool { return c.Look == l })
		if i < 0 {
			i, cloths = len(cloths), append(cloths, Cloth{Look: l})
		}
		cloths[i].Count++
	}
	slices.SortFunc(cloths, func(a, b Cloth) int { return a.urgency() - b.urgency() })
	return cloths
}

// measureOut gives each bundle its length: as many panels as it has, none shorter than a panel, and the longest column as long
// as the picture is high.
func measureOut(columns []Column) {
	longest := func(each float64) (longest float64) {
		for _, c := range columns {
			sum := 0.
			for _, b := range c.Cloths {
				sum += max(panelHigh, each*float64(b.Count)) + rowHigh - panelHigh
			}
			longest = max(longest, sum)
		}
		return longest
	}
	low, high := 0., rowHigh // em for a panel of a bundle
	for range 20 {
		if middle := (low + high) / 2; longest(middle) > rows*rowHigh {
			high = middle
		} else {
			low = middle
		}
	}
	for _, c := range columns {
		for i := range c.Cloths {
			c.Cloths[i].High = fmt.Sprintf("%.2fem", max(panelHigh, low*float64(c.Cloths[i].Count)))
		}
	}
}
