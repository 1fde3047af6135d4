package views

import (
	"tablehand/engine/measure"
	"tablehand/engine/workup"
)

// ClothRow is one line of what the order takes: a fabric, a tape, buckram or thread.
type ClothRow struct {
	Name                     string
	Height                   measure.Quantity // of buckram, which has no name
	Drop                     measure.Quantity // of hooks, below the top
	Size                     measure.Quantity // of eyelets, across inside and outside
	Use                      string           // catalogue key of what it is for
	Count                    int              // of cuts or pieces, 0 where none are counted
	Length, ToOrder, OnBolts measure.Quantity
	BoltLength, BoltsComeTo  measure.Quantity // of a usual bolt where it is known, and of all of them that would do
	Bolts                    int              // that would do, 0 where a cut is longer than one holds
	Cones                    int              // of thread, 0 where it isn't known what a cone holds
}

// Sundry reports whether nothing is ordered of it by length: small things that a table has no columns for.
func (r ClothRow) Sundry() bool { return r.ToOrder.IsZero() }

// ClothOf lists what an order takes: fabrics, tapes, buckram and thread.
func ClothOf(w *workup.Workup) []ClothRow {
	units := w.Order.Units
	var rows []ClothRow
	for _, f := range w.Totals.Fabrics {
		row := ClothRow{Name: f.Fabric, Use: "use." + string(f.Use), Count: f.Cuts, Length: measure.OfLength(f.Length, units), ToOrder: measure.OfLength(f.ToOrder, ClothUnit(units))}
		if f.OnBolts != nil {
			row.OnBolts = measure.OfLength(*f.OnBolts, units)
		}
		if row.Bolts = f.Bolts; f.BoltLength > 0 {
			row.BoltLength, row.BoltsComeTo = measure.OfLength(f.BoltLength, ClothUnit(units)), measure.OfLength(f.BoltsComeTo, ClothUnit(units))
		}
		rows = append(rows, row)
	}
	for _, t := range w.Totals.Tape {
		rows = append(rows, ClothRow{Name: t.Tape, Use: "page.order.tape", Count: t.Pieces, Length: measure.OfLength(t.Used, units), ToOrder: measure.OfLength(t.ToOrder, units)})
	}
	for _, b := range w.Totals.Buckram {
		rows = append(rows, ClothRow{Height: measure.OfLength(b.Height, units), Use: "page.order.buckram", Count: b.Pieces, Length: measure.OfLength(b.Length, units)})
	}
	for _, t := range w.Totals.Thread {
		rows = append(rows, ClothRow{Use: threadUse(t.For), Length: measure.OfLength(t.Length, units), Cones: t.Cones})
	}
	for _, e := range w.Totals.Eyelets {
		rows = append(rows, ClothRow{Size: measure.OfSize(e.Inner, e.Outer, units), Use: "page.order.eyelets", Count: e.Count})
	}
	if w.Totals.Rings > 0 {
		rows = append(rows, ClothRow{Use: "page.order.rings", Count: w.Totals.Rings})
	}
	if w.Totals.Tabs > 0 {
		rows = append(rows, ClothRow{Use: "page.order.tabs", Count: w.Totals.Tabs})
	}
	for _, h := range w.Totals.Hooks {
		rows = append(rows, ClothRow{Drop: measure.OfLength(h.Drop, units), Use: "page.order.hooks", Count: h.Count})
	}
	if w.Totals.Weights > 0 {
		rows = append(rows, ClothRow{Use: "page.order.weights", Count: w.Totals.Weights})
	}
	if w.Totals.WeightCord > 0 {
		rows = append(rows, ClothRow{Use: "page.order.weight_cord", Length: measure.OfLength(w.Totals.WeightCord, units)})
	}
	return rows
}

// threadUse is the catalogue key of what a thread sews.
func threadUse(of string) string {
	if of == "pocket" {
		return "page.order.thread.pocket"
	}
	return "page.order.thread"
}

// ClothUnit is the unit that cloth is ordered in.
func ClothUnit(order measure.Unit) measure.Unit {
	if order.Metric() {
		return measure.M
	}
	return measure.Yd
}
