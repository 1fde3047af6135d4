package workup_test

import (
	"encoding/json"
	"fmt"
	"testing"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// inn is forty rooms in half-drop cloth: the length to order would do off one endless roll, not off bolts.
func inn() *orderfile.Order {
	o := inchOrder()
	o.Fabrics[0].Match = orderfile.HalfDrop
	line := o.Treatments[0]
	line.Lining = ""
	o.Treatments = nil
	for room := range 40 {
		line.Room = fmt.Sprint(101 + room)
		o.Treatments = append(o.Treatments, line)
	}
	return o
}

// listed gives the order so many bolts.
func listed(o *orderfile.Order, n int, length measure.Length) *orderfile.Order {
	o.Fabrics[0].Bolts = nil
	for i := range n {
		o.Fabrics[0].Bolts = append(o.Fabrics[0].Bolts, orderfile.Bolt{ID: fmt.Sprint("R", i), Length: length, Lot: "A"})
	}
	return o
}

// The bolts that the totals ask for suffice when they are listed, and one less doesn't, though the length to order says
// so.
func TestUsualBolts(t *testing.T) {
	bolt := length("65", measure.Yd)
	o := inn()
	if total := workup.Compute(o).Totals.Fabrics[0]; total.Bolts != 0 || total.BoltLength != 0 {
		t.Errorf("bolts of no length: %+v", total)
	}
	o.Conventions.BoltLength = bolt
	total := workup.Compute(o).Totals.Fabrics[0]
	if total.Bolts != 11 || total.BoltsComeTo != length("715", measure.Yd) || total.ToOrder >= length("715", measure.Yd) { // 200 cuts of 121½, 19 a bolt
		t.Fatalf("%+v", total)
	}
	if w := workup.Compute(listed(o, 11, bolt)); has(w, "fabric_short") || w.Totals.Fabrics[0].Bolts != 11 {
		t.Errorf("11 bolts: %+v", w.Cloth[0].Plan.Unplaced)
	}
	if w := workup.Compute(listed(o, 10, bolt)); !has(w, "fabric_short") {
		t.Error("10 bolts do")
	}
	o.Fabrics[0].BoltLength = new(length("3", measure.Yd)) // the fabric's own goes before; too short for any cut
	if total := workup.Compute(o).Totals.Fabrics[0]; total.Bolts != 0 || total.BoltLength != length("3", measure.Yd) {
		t.Errorf("%+v", total)
	}
	o.Fabrics[0].BoltLength = new(measure.Length(0)) // unknown, whatever the shop's
	if total := workup.Compute(o).Totals.Fabrics[0]; total.BoltLength != 0 {
		t.Errorf("%+v", total)
	}
}

func TestUsualBoltsInTheDocument(t *testing.T) {
	o := inchOrder()
	o.Conventions.BoltLength = length("40", measure.Yd)
	o.Fabrics[1].BoltLength = new(length("2", measure.Yd))
	raw, err := json.Marshal(workup.Compute(o).Document(false, sayCode, func(key string) string { return key }).Totals.Fabrics)
	if err != nil {
		t.Fatal(err)
	}
	want := `[{"fabric":"reed","use":"face","cuts":5,"length":"607.5in","to_order":"17.25yd","bolt_length":"40yd","bolts":1,"bolts_come_to":"40yd"},` +
		`{"fabric":"sateen","use":"lining","cuts":5,"length":"497.5in","to_order":"13.875yd","bolt_length":"2yd"}]`
	if string(raw) != want {
		t.Errorf("%s", raw)
	}
}

// TestMixedTreatments: the windows that come from several dye lots are named, and no others.
func TestMixedTreatments(t *testing.T) {
	o := inn()
	o.Treatments = o.Treatments[:3] // five cuts of 121½ each
	listed(o, 3, inches("729"))     // six cuts
	for i, lot := range []string{"A", "B", "C"} {
		o.Fabrics[0].Bolts[i].Lot = lot
	}
	if mixed := workup.Compute(o).Cloth[0].MixedTreatments(); len(mixed) != 0 {
		t.Errorf("each window has a bolt for itself, mixed are %v", mixed)
	}
	o.Fabrics[0].Bolts[2].Length, o.Fabrics[0].Bolts[0].Length = inches("486"), inches("972")
	w := workup.Compute(o)
	if mixed := w.Cloth[0].MixedTreatments(); has(w, "fabric_short") || fmt.Sprint(mixed) != "[2]" {
		t.Errorf("the third window takes what two bolts have left, mixed are %v", mixed)
	}
}
