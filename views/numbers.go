package views

import (
	"slices"

	"tablehand/engine/measure"
	"tablehand/engine/workup"
)

// NumberRow is one number of every panel of a window. Same is set where they all agree, as a pair's mostly do.
type NumberRow struct {
	Name   string
	Same   bool
	Values []PanelValue
}

// PanelValue is one panel's number and how it came about.
type PanelValue struct {
	Panel string
	Value measure.Quantity
	Trail *workup.Step
}

// NumbersOf are a treatment's numbers, in the order in which they are worked out.
func NumbersOf(t workup.Treatment) []NumberRow {
	var rows []NumberRow
	at := map[string]int{}
	for i := range t.Panels {
		p := &t.Panels[i]
		for _, n := range p.Values() {
			k, ok := at[n.Name]
			if !ok {
				k = len(rows)
				at[n.Name], rows = k, append(rows, NumberRow{Name: n.Name})
			}
			rows[k].Values = append(rows[k].Values, PanelValue{string(p.ID), n.Value, trail(p, n.Name)})
		}
	}
	for i := range rows {
		rows[i].Same = len(rows[i].Values) == len(t.Panels) && !slices.ContainsFunc(rows[i].Values, func(v PanelValue) bool {
			return v.Value != rows[i].Values[0].Value
		})
	}
	return rows
}

func trail(p *workup.Panel, name string) *workup.Step {
	for i := range p.Trail {
		if p.Trail[i].Name == name {
			return &p.Trail[i]
		}
	}
	return nil
}
