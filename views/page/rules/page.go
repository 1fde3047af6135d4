// Package rules is the page that compares what each rule would have ordered.
package rules

import (
	"embed"
	"html/template"

	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/views"
)

// Page compares what each named rule would have ordered.
type Page struct {
	views.Frame
	ID          string
	Fabrics     []string
	Conventions []Convention // those that make a difference
}

// Convention is a convention with what each of its values orders.
type Convention struct {
	Name  string
	Rules []Row
}

// Row is one rule, with what it orders.
type Row struct {
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

// Compare lays the outcomes of an order's rules out by convention; one under which every rule orders the same is left
// out.
func Compare(w *workup.Workup, outcomes []workup.Outcome) ([]string, []Convention) {
	var fabrics []string
	for _, f := range w.Totals.Fabrics {
		fabrics = append(fabrics, f.Fabric)
	}
	var list []Convention
	for _, rules := range workup.Differing(outcomes) {
		c := Convention{Name: "convention." + rules[0].Convention}
		for _, o := range rules {
			c.Rules = append(c.Rules, rowOf(c.Name+"."+o.Value, o, w, views.ClothUnit(w.Order.Units)))
		}
		list = append(list, c)
	}
	return fabrics, list
}

func rowOf(name string, o workup.Outcome, w *workup.Workup, unit measure.Unit) Row {
	row := Row{Name: name, InForce: o.InForce, Incomplete: o.Incomplete}
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

//go:embed *.html
var html embed.FS

var page = views.Template{Name: "rules", HTML: html, Files: []string{"page.html"}, Functions: functions}

// Template is how the page is written.
func (Page) Template() *views.Template { return &page }

// functions are what only this template calls.
func functions(*views.Views) template.FuncMap {
	return template.FuncMap{"minus": func(q measure.Quantity) bool { return q.Length() < 0 }}
}
