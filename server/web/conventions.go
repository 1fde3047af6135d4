package web

import (
	"slices"
	"strings"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/stations/plan"
	"tablehand/views/page/shop"
)

// conventionRows are the conventions of orders in that unit which say nothing of their own, and the tolerances.
func conventionRows(units string) (conventions []shop.Convention, tolerances []shop.Tolerance) {
	unit := measure.Unit(units)
	shipped := orderfile.DefaultConventions(unit)
	for _, r := range orderfile.AllConventions() {
		conventions = append(conventions, shop.Convention{
			Name: r.Key, Value: r.Shown(&shipped, unit), Word: r.Words() != nil, Source: string(r.Sources.In(unit)),
		})
	}
	for _, r := range orderfile.AllTolerances() {
		t := shipped.Tolerances[r.Key]
		row := shop.Tolerance{Name: r.Key, Entry: r.Key, Minus: measure.OfLength(t.Minus, unit), Plus: measure.OfLength(t.Plus, unit), Source: string(r.Sources.In(unit))}
		if station, entry, both := strings.Cut(r.Key, "."); both {
			row.Station, row.Entry = plan.Station(station), entry
		}
		tolerances = append(tolerances, row)
	}
	slices.SortFunc(tolerances, func(a, b shop.Tolerance) int { return strings.Compare(a.Name, b.Name) })
	return conventions, tolerances
}
