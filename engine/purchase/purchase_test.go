package purchase_test

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/purchase"
	"tablehand/engine/workup"
)

func worked(t *testing.T, source string) *workup.Workup {
	t.Helper()
	o, problems := orderfile.Parse([]byte(source))
	if o == nil {
		t.Fatal(problems)
	}
	return workup.Compute(o)
}

// Two windows of plain cloth worked out by hand. A tape's panel: face width 84, overlap 3½ in, return 3½: asked
// 84/2 + 3½/2 + 3½ = 47¼.
const plain = `
order: %s
units: in
fabrics:
  - {id: reed, use: face, usable_width: 54%s}
tapes:
  - {id: cart-4, period: 6 1/2, space: 2 1/2, height: 4, cords: 3}
treatments:
  - {window: Bay, heading: cartridge-tape, face_width: 84, finished_length: 95 1/2, face: reed}
`

// TestOf: lengths and counts of all orders are added exactly; what an order's own bolts hold is taken off that order's need alone.
func TestOf(t *testing.T) {
	bare := worked(t, fmt.Sprintf(plain, "A-1", ""))
	cut := bare.Totals.Fabrics[0].Length
	short := worked(t, fmt.Sprintf(plain, "A-2", ", bolts: [{id: R1, length: 100 in}]"))
	enough := worked(t, fmt.Sprintf(plain, "A-3", ", bolts: [{id: R2, length: 100 yd}]"))
	byWhat := map[purchase.What]purchase.Need{}
	for _, n := range purchase.Of([]*workup.Workup{bare, short, enough}) {
		if _, twice := byWhat[n.What]; twice {
			t.Error(n.What, "is there twice")
		}
		byWhat[n.What] = n
	}
	// 19 pleats a panel and 2 panels an order: 38 rolls of 12 in (3 × a take-up of 4 in).
	const inserts = 3 * 38
	for what, want := range map[purchase.What]purchase.Need{
		purchase.Cloth:   {Length: cut + (cut - 100*measure.Inch)},
		purchase.Tape:    {Length: 3 * bare.Totals.Tape[0].ToOrder},
		purchase.Buckram: {Length: inserts * 12 * measure.Inch, Size: 4 * measure.Inch},
		purchase.Hooks:   {Count: 3 * bare.Totals.Hooks[0].Count},
		purchase.Thread:  {Length: 3 * bare.Totals.Thread[0].Length},
	} {
		got := byWhat[what]
		if got.Length != want.Length || got.Count != want.Count || want.Size != 0 && got.Size != want.Size {
			t.Errorf("%s: %+v, want %+v", what, got, want)
		}
	}
	if orders := fmt.Sprint(byWhat[purchase.Cloth].Orders); orders != "[A-1 A-2]" {
		t.Error("cloth is for", orders)
	}
}

// TestHungThings: eyelets by their size, rings in pieces, the thread of pockets with that of the headings.
func TestHungThings(t *testing.T) {
	const hung = `
order: %s
units: in
rods: [{id: pole, diameter: 1, ring_drop: 1}]
fabrics: [{id: reed, use: face, usable_width: 60}]
tapes: [{id: pencil-3, kind: pencil, height: 3, cords: 3}]
treatments:
  - {window: A, heading: eyelet, draw: stationary, finished_width: 27, finished_length: 80, face: reed}
  - {window: B, heading: eyelet, draw: stationary, finished_width: 27, finished_length: 80, face: reed, eyelet: {inner: 1 9/16, outer: 3}}
  - {window: C, heading: ring, draw: stationary, finished_width: 27, finished_length: 80, face: reed}
  - {window: D, heading: rod-pocket, draw: stationary, finished_width: 27, finished_length: 80, face: reed}
  - {window: E, heading: pencil-tape, draw: stationary, finished_width: 27, finished_length: 80, face: reed}
`
	one := worked(t, fmt.Sprintf(hung, "A-1"))
	var got []string
	var thread measure.Length
	for _, n := range purchase.Of([]*workup.Workup{one, worked(t, fmt.Sprintf(hung, "A-2"))}) {
		if n.Counted() {
			got = append(got, fmt.Sprint(n.What, " ", n.Size.In(measure.In), " ", n.Outer.In(measure.In), " ", n.Count))
		}
		if n.What == purchase.Thread {
			thread += n.Length
			if n.ID != "heading" {
				t.Errorf("thread of %q", n.ID)
			}
		}
	}
	rings := one.Totals.Rings
	want := fmt.Sprintf("[eyelets 1.5625in 2.5in %d eyelets 1.5625in 3in %d rings 0in 0in %d hooks 0.25in 0in %d", 2*one.Totals.Eyelets[0].Count, 2*one.Totals.Eyelets[1].Count, 2*rings, 2*one.Totals.Hooks[0].Count)
	if text := fmt.Sprint(got); rings == 0 || !strings.HasPrefix(text, want) {
		t.Errorf("%s, want %s", text, want)
	}
	if want := 2 * (one.Totals.Thread[0].Length + one.Totals.Thread[1].Length); thread != want || len(one.Totals.Thread) != 2 {
		t.Errorf("%s of thread, want %s", thread.In(measure.In), want.In(measure.In))
	}
}

// TestEverythingThatIsBought: an order of everything has every kind of need, and each is what its panels and cuts come to, added up here
// anew from them.
func TestEverythingThatIsBought(t *testing.T) {
	w := worked(t, `
order: A-9
units: in
conventions: {cone_length: 1000 yd}
rods: [{id: pole, diameter: 1, ring_drop: 1}]
fabrics:
  - {id: reed, use: face, usable_width: 60}
  - {id: print, use: face, usable_width: 53, horizontal_repeat: 13, vertical_repeat: 25}
  - {id: voile, use: face, usable_width: 118, sheer: true}
  - {id: sateen, use: lining, usable_width: 54}
tapes: [{id: pencil-3, kind: pencil, height: 3, cords: 3}]
treatments:
  - {window: A, heading: eyelet, draw: stationary, finished_width: 27, finished_length: 80, face: reed, quantity: 2}
  - {window: B, heading: ring, draw: stationary, finished_width: 27, finished_length: 80, face: reed}
  - {window: C, heading: rod-pocket, draw: stationary, finished_width: 27, finished_length: 80, face: reed}
  - {window: D, heading: pencil-tape, face_width: 80, finished_length: 80, face: voile, railroad: true, quantity: 3}
  - {window: E, heading: pinch-3, face_width: 84, finished_length: 90, face: print, lining: sateen, motif: mirrored, quantity: 2, bands: [{edge: leading, width: 3, fabric: reed}, {edge: bottom, width: 4, fabric: reed}]}
  - {window: F, heading: tab, draw: stationary, finished_width: 27, finished_length: 80, face: reed}
`)
	cloth := map[string]measure.Length{}
	for i := range w.Cloth {
		for k := range w.Cloth[i].Cuts {
			cloth[w.Cloth[i].Fabric.ID] += w.Cloth[i].Cuts[k].Length
		}
	}
	cloth["print"] += 25 * measure.Inch.Times(w.Order.Conventions.OrderRepeats)
	want := map[purchase.What]int64{}
	for i := range w.Treatments {
		of := &w.Treatments[i]
		for k := range of.Panels {
			p, n := &of.Panels[k], int64(of.Quantity)
			want[purchase.Tape] += n * int64(p.TapePiece)
			want[purchase.Buckram] += n * int64(p.BuckramLength)
			want[purchase.Hooks] += n * int64(len(p.HookPlaces))
			want[purchase.Weights] += n * int64(len(p.WeightPlaces))
			want[purchase.WeightCord] += n * int64(p.WeightCord)
			switch of.Heading {
			case "eyelet":
				want[purchase.Eyelets] += n * int64(len(p.Positions))
			case "ring":
				want[purchase.Rings] += n * int64(len(p.Positions))
			}
		}
	}
	got := map[purchase.What]int64{}
	for _, n := range purchase.Of([]*workup.Workup{w}) {
		if n.What == purchase.Cloth && n.Length != cloth[n.ID] {
			t.Errorf("%s of %s, its cuts come to %s", n.Length.In(measure.In), n.ID, cloth[n.ID].In(measure.In))
		}
		got[n.What] += int64(n.Length) + int64(n.Count)
	}
	for what, sum := range want {
		if sum == 0 || got[what] != sum {
			t.Errorf("%s: %d, want %d", what, got[what], sum)
		}
	}
	if got[purchase.Thread] == 0 || len(cloth) != 4 {
		t.Errorf("thread %d, cloth of %d fabrics", got[purchase.Thread], len(cloth))
	}
}

// TestToBuy: rounded once, never less than is lacking, never a whole step or pack too much.
func TestToBuy(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		some := func(name string) measure.Length {
			return measure.Length(rapid.Int64Range(0, 1_000_000).Draw(t, name)) * measure.Millimetre / 8
		}
		need, onHand, step, pack := some("need"), some("on hand"), some("step"), some("pack")
		toOrder, packs := purchase.ToBuy(need, onHand, step, pack)
		lacking := max(0, need-onHand)
		if toOrder < lacking || step > 0 && (toOrder%step != 0 || toOrder-lacking >= step) || step == 0 && toOrder != lacking {
			t.Fatalf("%v of %v in steps of %v", toOrder, lacking, step)
		}
		if pack == 0 && packs != 0 || pack > 0 && (pack.Times(packs) < toOrder || packs > 0 && pack.Times(packs-1) >= toOrder) {
			t.Fatalf("%d packs of %v for %v", packs, pack, toOrder)
		}
	})
}
