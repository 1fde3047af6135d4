package workup_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// ofPieces is an order of pieces alone, of one cloth.
func ofPieces(t *testing.T, cloth string, pieces ...string) *workup.Workup {
	t.Helper()
	file := "order: P-1\nunits: in\nfabrics:\n  - {id: canvas, use: face, usable_width: 54" + cloth + "}\n  - {id: sateen, use: lining, usable_width: 54}\npieces:\n  - {" +
		strings.Join(pieces, "}\n  - {") + "}\n"
	o, problems := orderfile.Parse([]byte(file))
	if o == nil {
		t.Fatal(problems)
	}
	return workup.Compute(o)
}

// cutsOf are a piece's cuts: "1 × 85, 2 × 23".
func cutsOf(w *workup.Workup, i int) string {
	var cuts []string
	for _, u := range w.Pieces[i].Fabrics {
		cuts = append(cuts, fmt.Sprintf("%s %d × %s", u.Fabric, u.Cuts, u.CutLength.Number(w.Order.Units, 4)))
	}
	return strings.Join(cuts, ", ")
}

// TestPieceCloth works cushions and valances out by hand, with seams of 1/2 in on cloth of 54 in.
//
// A cushion of 22 × 20 × 3 with a welt of 1 1/2: two faces of 23 × 21, a boxing of 2·42 + 1 = 85 by 4, two welt strips of 84 by 1 1/2. All lie
// with the longer side along the cloth, the longest first. Across the first row go the boxing (4), both strips (3) and both faces (42): 49 of
// 54, cut to 85. Of two such cushions the first row takes two boxings (8), four strips (6) and one face (21): 35, and 19 are left, no room for a
// second. The next has two faces (42), the last one: 85, 23, 23. On a repeat of 13 1/2 they take 7 and 2 repeats: 94 1/2 and 27.
//
// A knife-edged cushion of 16 × 16 without a welt has faces of 17 × 17, three across: six of them make 12 faces, 4 rows.
//
// One of 60 × 20 has faces of 61 × 21, two across: one row of 61.
//
// A valance of 60 × 14 hangs flat at a fullness of 1: 60 and two double side hems of 1 1/2 are 66, which takes 2 widths (54 + 53). It is cut to
// 14 + 2·4 + 2·4 = 30. At a fullness of 2 it wants 126: 3 widths (160). Two of them want 2½ each (joined 133), so 5 cuts.
func TestPieceCloth(t *testing.T) {
	const boxed = "piece: cushion, text: Seat, sizes: {width: 22, depth: 20, thickness: 3, welt: 1 1/2}"
	for _, c := range []struct{ name, cloth, piece, want, length string }{
		{"a boxed cushion", "", boxed, "canvas 1 × 85", "85"},
		{"two of them", "", boxed + ", quantity: 2", "canvas 1 × 85, canvas 2 × 23", "131"},
		{"of patterned cloth", ", vertical_repeat: 13 1/2", boxed + ", quantity: 2", "canvas 1 × 94.5, canvas 2 × 27", "148.5"},
		{"knife-edged ones", "", "piece: cushion, text: Seat, sizes: {width: 16, depth: 16}, quantity: 6", "canvas 4 × 17", "68"},
		{"a bench", "", "piece: cushion, text: Seat, sizes: {width: 60, depth: 20}", "canvas 1 × 61", "61"},
		{"a sixteenth over", "", "piece: cushion, text: Seat, sizes: {width: 10.01, depth: 10}", "canvas 1 × 11.0625", "11.0625"},
		{"a flat valance", "", "piece: valance, text: Kitchen, sizes: {width: 60, drop: 14}", "canvas 2 × 30", "60"},
		{"a full one", "", "piece: valance, text: Kitchen, sizes: {width: 60, drop: 14, fullness: 2}", "canvas 3 × 30", "90"},
		{"two full ones", "", "piece: valance, text: Kitchen, sizes: {width: 60, drop: 14, fullness: 2}, quantity: 2", "canvas 5 × 30", "150"},
		{"what the order says", "", "piece: tieback, text: Rope, quantity: 3, fabrics: [{fabric: canvas, cuts: 2, cut_length: 8}]", "canvas 6 × 8", "48"},
		{"that on a repeat", ", vertical_repeat: 13 1/2", "piece: tieback, text: Rope, fabrics: [{fabric: canvas, cuts: 2, cut_length: 8}]", "canvas 2 × 8", "27"},
		{"its lining too", "", "piece: valance, text: Kitchen, sizes: {width: 60, drop: 14}, fabrics: [{fabric: canvas}, {fabric: sateen, cuts: 2, cut_length: 20}]",
			"canvas 2 × 30, sateen 2 × 20", "60"},
		{"no cloth", "", "piece: repair, text: Hem", "", ""},
	} {
		w := ofPieces(t, c.cloth, c.piece)
		if got := cutsOf(w, 0); got != c.want || len(w.Pieces[0].Fabrics) == 0 != (len(w.Totals.Fabrics) == 0) {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
		if c.length == "" {
			continue
		}
		if got := w.Totals.Fabrics[0].Length.Number(w.Order.Units, 4); got != c.length {
			t.Errorf("%s: %s in all, want %s", c.name, got, c.length)
		}
		if n := len(w.Cloth[0].Cuts); n != w.Totals.Fabrics[0].Cuts {
			t.Errorf("%s: %d cuts are laid out, %d counted", c.name, n, w.Totals.Fabrics[0].Cuts)
		}
	}
}

// TestPieceCutsAreOfCopies: a row goes to each cushion that has a part in it, and each piece's cuts are numbered through.
func TestPieceCutsAreOfCopies(t *testing.T) {
	w := ofPieces(t, ", bolts: [{id: C1, length: 10 yd}]", "piece: cushion, text: Seat, sizes: {width: 22, depth: 20, thickness: 3, welt: 1 1/2}, quantity: 2",
		"piece: valance, text: Kitchen, sizes: {width: 60, drop: 14}, fabrics: [{fabric: canvas}, {fabric: canvas, cuts: 1, cut_length: 9}]")
	var got []string
	for _, cut := range w.Cloth[0].Cuts {
		var of []string
		for _, p := range cut.For {
			of = append(of, fmt.Sprintf("%d/%d%s", p.Copy, p.Place, p.Panel))
		}
		name, _ := w.Line(cut.Treatment)
		got = append(got, name+" "+strings.Join(of, " "))
	}
	want := []string{"Seat 1/1 2/1", "Seat 1/2 2/2", "Seat 2/3", "Kitchen 1/1", "Kitchen 1/2", "Kitchen 1/3"}
	if !slices.Equal(got, want) || len(w.Cloth[0].Plan.Unplaced) > 0 {
		t.Errorf("%q, want %q", got, want)
	}
}

// TestPieceProblems: a part that the cloth is too narrow for leaves the piece out; more cuts than anybody means leave out all.
func TestPieceProblems(t *testing.T) {
	w := ofPieces(t, "", "piece: cushion, text: Seat, sizes: {width: 60, depth: 56}", "piece: valance, text: Kitchen, sizes: {width: 60, drop: 14}")
	if p := w.Problems[0]; p.Code != "piece_too_wide" || p.Where != "pieces[0].sizes" || p.Line != 7 || !w.Totals.Incomplete || len(w.Pieces[0].Fabrics) > 0 || w.Totals.Fabrics[0].Cuts != 2 {
		t.Errorf("%+v %+v", w.Problems, w.Totals)
	}
	var many []string
	for range 101 {
		many = append(many, "piece: other, text: Flag, quantity: 999, fabrics: [{fabric: canvas, cuts: 1, cut_length: 9}]")
	}
	if w := ofPieces(t, "", many...); w.Problems[0].Code != "absurd" || len(w.Totals.Fabrics) > 0 {
		t.Errorf("%+v", w.Problems)
	}
}
