package views

import (
	"io"
	"slices"

	"tablehand/engine/measure"
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
	for _, rules := range workup.Differing(outcomes) {
		c := RuledConvention{Name: "convention." + rules[0].Convention}
		for _, o := range rules {
			c.Rules = append(c.Rules, ruleRow(c.Name+"."+o.Value, o, fabrics, clothUnit(w.Order.Units)))
		}
		list = append(list, c)
	}
	return fabrics, list
}

func ruleRow(name string, o workup.Outcome, fabrics []string, unit measure.Unit) RuleRow {
	row := RuleRow{Name: name, InForce: o.InForce, Incomplete: o.Incomplete, ToOrder: make([]string, len(fabrics))}
	for _, f := range o.Fabrics {
		if i := slices.Index(fabrics, f.Fabric); i >= 0 {
			row.ToOrder[i] = f.ToOrder.In(unit)
		}
	}
	return row
}

// Rules renders the page.
func (v *Views) Rules(w io.Writer, p RulesPage) error { return v.render(w, "rules", p) }
