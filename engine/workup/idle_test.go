package workup_test

import (
	"encoding/json"
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tablehand/engine"
	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// everyWay is an order with something of all that conventions decide: a tape and pleats set by hand, eyelets, a pocket and gathers, pairs and a panel that
// meets no other, cloth plain, patterned and dropped by half, a lining, an interlining, a puddle and a band.
const everyWay = `order: T-1
units: in
conventions: {CONVENTIONS}
fabrics:
  - {id: plain, use: face, usable_width: 54, bolts: [{id: P1, length: 1200, lot: A}, {id: P2, length: 1200, lot: B}]}
  - {id: toile, use: face, usable_width: 54, vertical_repeat: 13 1/2}
  - {id: leaf, use: face, usable_width: 54, vertical_repeat: 25 1/4, match: half_drop}
  - {id: sateen, use: lining, usable_width: 54}
  - {id: domette, use: interlining, usable_width: 48}
tapes: [{id: cart, period: 6 1/2, space: 2 1/2, height: 4, cords: 3, end_margin: {nominal: 3/4, min: 3/4, max: 7/8}}, {id: pencil, kind: pencil, height: 3, cords: 3}]
rods: [{id: pole, diameter: 1 3/8}]
treatments:
  - {window: Bay, heading: cartridge-tape, tape: cart, face_width: 84, overlap: 4, finished_length: 95, puddle: 2, face: toile, lining: sateen, interlining: domette}
  - {window: Stair, heading: pinch-3, face_width: 70, finished_length: 84, face: leaf}
  - {window: Hall, heading: pinch-2, draw: one_way_left, face_width: 57, finished_length: 90, face: leaf, lining: sateen}
  - {window: Attic, heading: pinch-2, face_width: 121, finished_length: 71, face: plain, bands: [{edge: leading, width: 3, fabric: toile, method: applied}]}
  - {window: Study, heading: eyelet, face_width: 96, finished_length: 84, face: plain, eyelet: {inner: 2, outer: 3}}
  - {window: Larder, heading: rod-pocket, face_width: 40, finished_length: 84, face: plain}
  - {window: Pantry, heading: pencil-tape, tape: pencil, face_width: 70, finished_length: 84, face: plain}
`

// otherwise has values of those conventions that count only with others, or only far from the default. Of all others any other word,
// or the value that moreOf makes, has to change something.
var otherwise = map[string]string{
	"pair_split": "total, widths_rounding: up_to_whole", "order_rounding": "none", "order_step": "1 yd", "bolt_length": "60 yd",
	"width_allowance": "9", "cone_length": "500 yd", "edge_clear": "16", "single_lead": "3", "fullness_slack": "0", "step": "1/4", "ease_per_pleat": "0",
	"motif_from": "top, room_phase: together", "length_allowance": "18", "lining_allowance": "12, lining_rule: allowance",
}

// moreOf is another value of a convention that is no word: one more in the order's unit.
func moreOf(r orderfile.Convention) string {
	c := orderfile.DefaultConventions(measure.In)
	text := strings.TrimSuffix(strings.TrimSuffix(r.Text(&c, measure.In), "in"), " %")
	value, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return "1"
	}
	return strconv.FormatFloat(value+1, 'f', -1, 64)
}

// TestEveryConventionCounts: no convention is taken and does nothing. What the stations alone go by are the tolerances.
func TestEveryConventionCounts(t *testing.T) {
	worked := func(conventions string) string {
		o, problems := orderfile.Parse([]byte(strings.Replace(everyWay, "CONVENTIONS", conventions, 1)))
		if o == nil {
			t.Fatalf("%s: %+v", conventions, problems)
		}
		code := func(p engine.Problem) string { return p.Code }
		doc, err := json.Marshal(workup.Compute(o).Document(false, code, strings.ToUpper))
		if err != nil {
			t.Fatal(err)
		}
		return string(doc)
	}
	shipped := worked("")
	for _, r := range orderfile.AllConventions() {
		values := []string{moreOf(r)}
		if words := r.Words(); words != nil {
			values = words[1:]
		}
		without := shipped
		if other, ok := otherwise[r.Key]; ok {
			_, rest, _ := strings.Cut(other, ", ")
			values, without = []string{other}, worked(rest)
		}
		if !slices.ContainsFunc(values, func(value string) bool { return worked(r.Key+": "+value) != without }) {
			t.Errorf("%s: none of %q changes anything of the order: no rule goes by it, or say in otherwise with what it counts", r.Key, values)
		}
	}
	for key := range otherwise {
		if !slices.ContainsFunc(orderfile.AllConventions(), func(r orderfile.Convention) bool { return r.Key == key }) {
			t.Errorf("otherwise has %s, which is no convention", key)
		}
	}
}

// TestWordsOfConventionsAreConstants: a rule compares a convention with the constants of its type, so that a slip doesn't compile.
func TestWordsOfConventionsAreConstants(t *testing.T) {
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		set := token.NewFileSet()
		file, err := parser.ParseFile(set, name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			var of, with []ast.Expr
			switch n := n.(type) {
			case *ast.BinaryExpr:
				of, with = []ast.Expr{n.X}, []ast.Expr{n.Y}
			case *ast.SwitchStmt:
				of = []ast.Expr{n.Tag}
				for _, c := range n.Body.List {
					with = append(with, c.(*ast.CaseClause).List...)
				}
			}
			for _, w := range with {
				if text, ok := w.(*ast.BasicLit); ok && text.Kind == token.STRING && text.Value != `""` && isWordOfConvention(of[0]) {
					t.Errorf("%s: %s is a constant of engine/orderfile/words.go", set.Position(w.Pos()), text.Value)
				}
			}
			return true
		})
	}
}

// isWordOfConvention reports whether an expression is the field of a convention that takes words.
func isWordOfConvention(e ast.Expr) bool {
	field, ok := e.(*ast.SelectorExpr)
	if !ok {
		return false
	}
	f, ok := reflect.TypeFor[orderfile.Conventions]().FieldByName(field.Sel.Name)
	return ok && f.Type.Kind() == reflect.String
}
