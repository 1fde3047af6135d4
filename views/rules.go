package views

import (
	"io"

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

// RuleRow is one rule, with what it orders.
type RuleRow struct {
	Name       string // catalogue
	InForce    bool
	ToOrder    []Ordered // of each fabric
	Incomplete bool
}

// Ordered is a fabric's length to order, Nothing of one that a rule leaves without a window.
type Ordered struct {
	Length measure.Quantity
	More   measure.Quantity // than by the rule in force, signed; Nothing where it is the same, or isn't known
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
			c.Rules = append(c.Rules, ruleRow(c.Name+"."+o.Value, o, w, clothUnit(w.Order.Units)))
		}
		list = append(list, c)
	}
	return fabrics, list
}

func ruleRow(name string, o workup.Outcome, w *workup.Workup, unit measure.Unit) RuleRow {
	row := RuleRow{Name: name, InForce: o.InForce, Incomplete: o.Incomplete}
	for _, now := range w.Totals.Fabrics {
		var length Ordered
		for _, f := range o.Fabrics {
			if f.Fabric == now.Fabric {
				length.Length = measure.OfLength(f.ToOrder, unit)
				if d := f.ToOrder - now.ToOrder; d != 0 && !o.Incomplete && !w.Totals.Incomplete {
					length.More = measure.OfLength(d, unit)
				}
			}
		}
		row.ToOrder = append(row.ToOrder, length)
	}
	return row
}

// Rules renders the page.
func (v *Views) Rules(w io.Writer, p RulesPage) error { return v.render(w, "rules", p) }
