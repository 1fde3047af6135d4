package bolt

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tablehand/engine/cutting"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/stations/shelf"
)

// bolts works an order of ten windows out: 30 widths of plain cloth of 111½ in, on the bolts that are given.
func bolts(t *testing.T, list string, quantity int) []Strip {
	t.Helper()
	order, problems := orderfile.Parse([]byte(`
order: SMI-1
customer: Saltmarsh Inn
due: 2026-12-18
units: in
fabrics:
  - {id: reed, use: face, usable_width: 54, bolts: [` + list + `]}
tapes: [{id: cart-4, period: 6 1/2, space: 2 1/2, height: 4, cords: 3}]
treatments:
  - {window: Bay, quantity: ` + strconv.Itoa(quantity) + `, heading: cartridge-tape, face_width: 84, finished_length: 95 1/2, face: reed, return: 3 1/2, overlap: 6}
`))
	if order == nil {
		t.Fatal(problems)
	}
	w := workup.Compute(order)
	return OfPlan(&w.Cloth[0], order.Units)
}

// boxes are the stretches of a drawing, by class: where each begins and how wide it is, in percent of a line.
func boxes(svg string, class string) (list [][2]float64) {
	for _, m := range regexp.MustCompile(`<rect class="`+class+`[^"]*" x="([\d.]+)%" y="10" width="([\d.]+)%"`).FindAllStringSubmatch(svg, -1) {
		x, _ := strconv.ParseFloat(m[1], 64)
		wide, _ := strconv.ParseFloat(m[2], 64)
		list = append(list, [2]float64{x, wide})
	}
	return list
}

// TestStripIsToScale: what is drawn is as wide as it is long, each cut where it lies, around a flaw; a bolt of few cuts has
// every number on it, and what remains is told.
func TestStripIsToScale(t *testing.T) {
	strips := bolts(t, "{id: R1, length: 22 yd, lot: A, flaws: [{from: 7 yd, to: 7 yd 3 in}]}", 1)
	if len(strips) != 1 || strips[0].Cuts != 5 || strips[0].Lot != "A" {
		t.Fatalf("%+v", strips)
	}
	s := strips[0]
	svg := string(s.SVG())
	drawn := boxes(svg, "cut")
	flaws, cloth := boxes(svg, "flaw"), boxes(svg, "cloth")
	if len(drawn) != 5 || len(flaws) != 1 || len(cloth) != 1 || cloth[0] != [2]float64{0, 100} || strings.Count(svg, "<text") != 5 {
		t.Fatalf("%d cuts, %d flaws, %v\n%s", len(drawn), len(flaws), cloth, svg)
	}
	n := 0
	for _, p := range s.Pieces {
		box := flaws[0]
		if !p.Flawed() {
			box, n = drawn[n], n+1
		}
		whole := float64(s.To)
		if near := 100 * float64(p.From) / whole; box[0]-near > 0.02 || near-box[0] > 0.02 {
			t.Errorf("%s begins at %v %%, want %v", p.name(), box[0], near)
		}
		if near := 100 * float64(p.To-p.From) / whole; box[1]-near > 0.02 || near-box[1] > 0.02 {
			t.Errorf("%s is %v %% long, want %v", p.name(), box[1], near)
		}
	}
	if used := s.used(false); s.Left() != measure.OfLength(22*36*measure.Inch-used, measure.Yd) {
		t.Errorf("left %v behind %v", s.Left(), used)
	}
}

// TestStripBreaksIntoLines: a longer bolt goes on on the next line, between cuts, at one scale; plain cloth behind the last cut
// is broken off.
func TestStripBreaksIntoLines(t *testing.T) {
	s := bolts(t, "{id: R1, length: 400 yd, lot: A}", 4)[0]
	svg := string(s.SVG())
	cuts := boxes(svg, "cut")
	if s.Cuts != 20 || len(cuts) != 20 || strings.Count(svg, "<svg class=\"bolt-row\"") < 2 || strings.Count(svg, "broken") != 1 || strings.Count(svg, "<text") != 20 {
		t.Fatalf("%d cuts in %d lines\n%s", len(cuts), strings.Count(svg, "bolt-row"), svg)
	}
	for _, box := range cuts {
		if box[0]+box[1] > 100.02 || box[1] < 100*narrowest-0.02 || box[1] != cuts[0][1] {
			t.Errorf("a cut lies at %v", box)
		}
	}
}

// TestTurnedCutsShowTheirTop: along the edge at which a turned panel's top lies, as long as the cut.
func TestTurnedCutsShowTheirTop(t *testing.T) {
	s := bolts(t, "{id: R1, length: 22 yd}", 1)[0]
	if strings.Contains(string(s.SVG()), `class="top"`) {
		t.Error("cuts that run down the bolt have their tops along it")
	}
	s.Pieces[1].Turned = true
	box := boxes(string(s.SVG()), "cut")[1]
	if want := fmt.Sprintf(`<rect class="top" x="%.2f%%" y="12" width="%.2f%%"`, box[0], box[1]); !strings.Contains(string(s.SVG()), want) {
		t.Errorf("no %s in %s", want, s.SVG())
	}
}

// TestStripOfManyCuts: of a bolt with more cuts than can be read, those that follow each other are one stretch.
func TestStripOfManyCuts(t *testing.T) {
	s := bolts(t, "{id: R1, length: 400 yd, lot: A}", 10)[0]
	if s.Cuts != 50 || len(s.Pieces) != 1 || s.Pieces[0].First != "1" || s.Pieces[0].Last != "50" || strings.Count(string(s.SVG()), "<svg") != 1 {
		t.Errorf("%+v", s)
	}
	s.Pieces = []Piece{{First: "1", Last: "1", To: measure.Inch, Done: true}, {First: "2", Last: "2", From: measure.Inch, To: 2 * measure.Inch}, {From: 2 * measure.Inch, To: 3 * measure.Inch},
		{First: "3", Last: "3", From: 3 * measure.Inch, To: 4 * measure.Inch}}
	if got := merged(s.Pieces); len(got) != 4 {
		t.Errorf("what is cut, what isn't and what is flawed are one: %+v", got)
	}
}

// TestStripOfBands: strips for bands beside whole widths don't have each of those stand in a row of its own.
func TestStripOfBands(t *testing.T) {
	s := Strip{Bolt: "E1", To: 1600 * measure.Inch, Units: measure.In}
	at := measure.Length(0)
	for i, length := range []measure.Length{7, 7, 125, 125, 125, 125, 125, 125} {
		name := measure.Count(i + 1)
		s.Pieces = append(s.Pieces, Piece{First: name, Last: name, From: at, To: at + length*measure.Inch})
		at += length * measure.Inch
	}
	s.Cuts = len(s.Pieces)
	if rows := s.rows(); len(rows) != 3 || len(rows[1].pieces) != 3 {
		t.Errorf("%d rows, the second of %d cuts", len(rows), len(rows[1].pieces))
	}
}

// TestStripShowsWhatIsOthers: what of a bolt is promised to other orders is hatched, to scale, told once where it lies side by side, and
// not left over; nor is it a flaw.
func TestStripShowsWhatIsOthers(t *testing.T) {
	yards := func(n int) measure.Length { return measure.Length(n) * measure.Yard }
	f := &orderfile.Fabric{Bolts: []orderfile.Bolt{{ID: "B", Length: yards(20), Spoken: []orderfile.Flaw{{From: yards(2), To: yards(5)}, {From: 0, To: yards(2)}, {From: yards(12), To: yards(14)}},
		Flaws: []orderfile.Flaw{{From: yards(6), To: yards(7)}}}}}
	s := of(f, map[string][]Piece{"B": {{First: "1", Last: "1", From: yards(7), To: yards(10)}}}, measure.In)[0]
	svg := string(s.SVG())
	if got := boxes(svg, "others"); len(got) != 2 || got[0] != [2]float64{0, 25} || got[1] != [2]float64{60, 10} || strings.Count(svg, `class="promised"`) != 2 {
		t.Errorf("others' lies at %v\n%s", got, svg)
	}
	if len(boxes(svg, "flaw")) != 1 || len(boxes(svg, "cut")) != 1 {
		t.Errorf("a flaw and a cut are not each one:\n%s", svg)
	}
	if all := of(&orderfile.Fabric{Bolts: []orderfile.Bolt{{ID: "B", Length: yards(20)}}}, nil, measure.In)[0]; !all.NotOurs().IsZero() {
		t.Errorf("of a bolt that is the order's alone %s isn't", all.NotOurs())
	}
	if s.NotOurs() != measure.OfLength(yards(7), measure.Yd) || s.Left() != measure.OfLength(yards(8), measure.Yd) {
		t.Errorf("%s is others', %s is left", s.NotOurs(), s.Left())
	}
}

// TestStripOfTheShelf: a bolt of the shelf shows by kind what came off it, to scale, and behind the knife what is promised and flawed.
func TestStripOfTheShelf(t *testing.T) {
	in := func(n int) measure.Quantity { return measure.OfLength(measure.Length(n)*measure.Inch, measure.In) }
	off := func(as shelf.OffKind, from, to int) shelf.Off {
		return shelf.Off{As: as, From: in(from), To: in(to), Cut: "1"}
	}
	b := &shelf.Bolt{Code: "7K3M9Q2T5", Units: measure.In, Begin: 500 * measure.Inch, Rest: 500 * measure.Inch,
		Off:   []shelf.Off{off(shelf.AsCut, 0, 100), off(shelf.AsRemnant, 100, 190), off(shelf.AsFlaw, 190, 200), off(shelf.AsScrapped, 200, 300), off(shelf.AsSpoilt, 300, 400), off(shelf.AsCut, 400, 500)},
		Flaws: []shelf.Flaw{{From: in(900), To: in(910)}}}
	s := OfShelf(b, []shelf.Promise{{Cut: "2", Span: cutting.Span{From: 500 * measure.Inch, To: 700 * measure.Inch}}})
	svg := string(s.SVG())
	for class, want := range map[string][][2]float64{"cut done": {{0, 10}, {40, 10}}, "gone": {{10, 9}, {20, 10}}, "flaw": {{19, 1}, {30, 10}, {90, 1}}} {
		if got := boxes(svg, class); !slices.Equal(got, want) {
			t.Errorf("%s lies at %v, want %v\n%s", class, got, want, svg)
		}
	}
	if s.Cuts != 3 || s.Done != 2 || !strings.Contains(svg, `<line class="promised" x1="50.00%" x2="70.00%"`) || !strings.Contains(svg, `<svg x="50.00%" overflow="visible" class="knife">`) {
		t.Errorf("%d cuts, %d made\n%s", s.Cuts, s.Done, svg)
	}
}
