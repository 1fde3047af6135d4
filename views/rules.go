package views

import (
	"io"

	"tablehand/engine/workup"
)

// RulesPage compares what each named rule would have ordered.
type RulesPage struct {
	Frame
	ID          string
	Fabrics     []string
	Conventions []RuledConvention // those that make a difference
}

// RuledConvention is a convention with what each of its values orders.
type RuledConvention struct {
	Name  string
	Rules []RuleRow
}

// RuleRow is one rule: the length to order of each fabric, "" of one that it leaves without a window.
type RuleRow struct {
	Name       string // catalogue
	InForce    bool
	ToOrder    []string
	Incomplete bool
}

// RulesOf lays the outcomes of an order's rules out by convention; one under which every rule orders the same is left
// out.
func RulesOf(w *workup.Workup, outcomes []workup.Outcome) ([]string, []RuledConvention) {
	var fabrics []string
	for _, f := range w.Totals.Fabrics {
		fabrics = append(fabrics, f.Fabric)
	}
	var list []RuledConvention
	for _, o := range outcomes {
		name := "convention." + o.Convention
		if n := len(list); n == 0 || list[n-1].Name != name {
			list = append(list, RuledConvention{Name: name})
		}
		row := RuleRow{Name: name + "." + o.Value, InForce: o.InForce, Incomplete: o.Incomplete, ToOrder: make([]string, len(fabrics))}
		for i, fabric := range fabrics {
			for _, f := range o.Fabrics {
				if f.Fabric == fabric {
					row.ToOrder[i] = f.ToOrder.In(clothUnit(w.Order.Units))
				}
			}
		}
		last := &list[len(list)-1]
		last.Rules = append(last.Rules, row)
	}
	return fabrics, differing(list)
}

func differing(all []RuledConvention) []RuledConvention {
	var list []RuledConvention
	for _, c := range all {
		for _, r := range c.Rules {
			if !sameOrder(r, c.Rules[0]) {
				list = append(list, c)
				break
			}
		}
	}
	return list
}

func sameOrder(a, b RuleRow) bool {
	for i := range a.ToOrder {
		if a.ToOrder[i] != b.ToOrder[i] {
			return false
		}
	}
	return a.Incomplete == b.Incomplete
}

// Rules renders the page.
func (v *Views) Rules(w io.Writer, p RulesPage) error { return v.render(w, "rules", p) }
