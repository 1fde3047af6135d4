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

// Outcomes works an order out under each value of each convention that decides how much cloth is ordered, one
// changed at a time: what each rule of the trade would have bought. A stated overlap keeps its figure under
// either reading of it.
func Outcomes(o *orderfile.Order) []Outcome {
	var list []Outcome
	for _, choice := range orderfile.Choices() {
		if !choice.Rules {
			continue
		}
		for _, value := range choice.Words() {
			under := *o
			under.Conventions = choice.Under(o.Conventions, value)
			t := Compute(&under).Totals
			list = append(list, Outcome{
				Convention: choice.Key, Value: value, InForce: choice.Text(&o.Conventions, o.Units) == value, Fabrics: t.Fabrics, Incomplete: t.Incomplete,
			})
		}
	}
	return list
}
