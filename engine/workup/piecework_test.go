package workup_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

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

// TestPieceTrails: each number of a piece says how it came about, and its formula, worked out from the inputs that it names, gives it.
// Two cushions of 22 × 20 × 3 with a welt of 1 1/2; a valance of 60 × 14 at a fullness of 2, three widths of 30; a tieback of two
// cuts of 9 each on a repeat of 6, which take 12 each.
func TestPieceTrails(t *testing.T) {
	const file = `{order: P-1, units: in, conventions: {seam: 1/2, step: 1/16}, fabrics: [{id: canvas, use: face, usable_width: 54}, {id: reed, use: face, usable_width: 54, vertical_repeat: 6}],
		pieces: [{piece: cushion, text: Seat, quantity: 2, sizes: {width: 22, depth: 20, thickness: 3, welt: 1 1/2}, fabrics: [{fabric: canvas}]},
		{piece: valance, text: Kitchen, sizes: {width: 60, drop: 14, fullness: 2}, fabrics: [{fabric: canvas}]},
		{piece: tieback, text: Rope, quantity: 3, fabrics: [{fabric: reed, cuts: 2, cut_length: 9}]}]}`
	order, problems := orderfile.Parse([]byte(file))
	if order == nil {
		t.Fatal(problems)
	}
	w := workup.Compute(order)
	type row struct{ name, value, formula, inputs string }
	of := func(steps []workup.Step) (rows []row) {
		for _, s := range steps {
			var in []string
			for _, i := range s.Inputs {
				in = append(in, i.Name+" "+i.Value.String())
			}
			rows = append(rows, row{s.Name, s.Value.String(), strings.TrimPrefix(s.Formula, "formula."), strings.Join(in, ", ")})
		}
		return rows
	}
	sizes := "size_width 22in, size_depth 20in"
	for _, tt := range []struct {
		name string
		got  []workup.Step
		want []row
	}{
		{"the cushions", w.PieceTrail(&w.Pieces[0]), []row{
			{"part_boxing", "85in × 4in", "cushion.boxing", sizes + ", size_thickness 3in, seam 0.5in"},
			{"part_welt", "84in × 1.5in", "cushion.welt", sizes + ", size_welt 1.5in"},
			{"part_face", "23in × 21in", "cushion.face", sizes + ", seam 0.5in"}}},
		{"their longest rows", w.PieceUseTrail(&w.Pieces[0], &w.Pieces[0].Fabrics[0]), []row{
			{"cuts", "1", "cushion.rows", "quantity 2, usable_width 54in"}, {"plain_length", "85in", "cushion.row", "step 0.0625in"},
			{"cut_length", "85in", "cut_length.plain", "plain_length 85in"}, {"length", "85in", "length.cuts", "cuts 1, cut_length 85in"}}},
		{"the valance", w.PieceTrail(&w.Pieces[1]), []row{
			{"flat_asked", "120in", "valance.flat", "size_width 60in, size_fullness 2"},
			{"widths", "3", "widths." + string(order.Conventions.WidthsRounding), "flat_asked 120in, side_hem 1.5in, usable_width 54in, join_loss 1in"},
			{"plain_length", "30in", "plain_length.hems", "finished_length 14in, puddle 0in, heading_fold 4in, bottom_hem 4in, shrink 0%, squaring 0in, step 0.0625in"}}},
		{"its cuts", w.PieceUseTrail(&w.Pieces[1], &w.Pieces[1].Fabrics[0]), []row{
			{"cuts", "3", "cuts", "widths 3, quantity 1"}, {"cut_length", "30in", "cut_length.plain", "plain_length 30in"},
			{"length", "90in", "length.cuts", "cuts 3, cut_length 30in"}}},
		{"the tiebacks", w.PieceUseTrail(&w.Pieces[2], &w.Pieces[2].Fabrics[0]), []row{
			{"cuts", "6", "typed.cuts", "cuts_each 2, quantity 3"}, {"cut_length", "9in", "typed.cut_length", ""},
			{"length", "72in", "typed.length", "cuts 6, cut_length 9in, vertical_repeat 6in"}}},
	} {
		if diff := cmp.Diff(tt.want, of(tt.got), cmp.AllowUnexported(row{})); diff != "" {
			t.Errorf("%s: (-want +got)\n%s", tt.name, diff)
		}
	}
	if got := w.PieceTrail(&w.Pieces[2]); len(got) != 0 {
		t.Errorf("nothing of a tieback itself is worked out: %v", got)
	}
}
