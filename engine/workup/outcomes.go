package workup

import (
	"slices"

	"tablehand/engine/orderfile"
)

// Outcome is what an order would take under one named rule, all else being as it is.
type Outcome struct {
	Convention string
	Value      string
	InForce    bool // the order's own rule
	Fabrics    []FabricTotal
	Incomplete bool // the rule leaves a window out
}

// Differing gives the outcomes convention by convention, those left out under which every rule orders the same.
func Differing(list []Outcome) [][]Outcome {
	var all [][]Outcome
	for i, o := range list {
		if i == 0 || list[i-1].Convention != o.Convention {
			all = append(all, nil)
		}
		all[len(all)-1] = append(all[len(all)-1], o)
	}
	return slices.DeleteFunc(all, func(rules []Outcome) bool {
		return !slices.ContainsFunc(rules, func(o Outcome) bool { return !o.orders(rules[0]) })
	})
}

// orders reports whether the outcome orders what another does.
func (o Outcome) orders(as Outcome) bool {
	return o.Incomplete == as.Incomplete && slices.EqualFunc(o.Fabrics, as.Fabrics, func(a, b FabricTotal) bool {
		return a.Fabric == b.Fabric && a.ToOrder == b.ToOrder
	})
}

// ruling are the conventions that decide how much cloth is ordered.
var ruling = map[string]bool{
	"overlap_basis": true, "fullness_basis": true, "widths_rounding": true, "pair_split": true, "surplus": true, "pleat_count": true,
	"repeat_rule": true, "half_drop": true, "order_rounding": true, "lining_rule": true, "lining_puddle": true,
}

// Outcomes works an order out under each value of each convention that decides how much cloth is ordered, one
// changed at a time: what each rule of the trade would have bought. A stated overlap keeps its figure under
// either reading of it.
func Outcomes(o *orderfile.Order) []Outcome {
	var list []Outcome
	for _, choice := range orderfile.Choices() {
		if !ruling[choice.Name] {
			continue
		}
		for _, value := range choice.Values {
			under := *o
			under.Conventions = choice.Under(o.Conventions, value)
			t := Compute(&under).Totals
			list = append(list, Outcome{
				Convention: choice.Name, Value: value, InForce: choice.Of(&o.Conventions) == value, Fabrics: t.Fabrics, Incomplete: t.Incomplete,
			})
		}
	}
	return list
}
