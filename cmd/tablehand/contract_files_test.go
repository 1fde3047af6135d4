package main

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// fault is a problem that a bad order file must be told of: a code at the value `at`, which stands inside the text `in`.
type fault struct {
	code, in, at string
	anyColumn    bool // where the contract doesn't say which end of the line is meant
}

// badFiles are the example order with something wrong, and all that must be said of it.
var badFiles = []struct {
	name    string
	changes []string
	faults  []fault
}{
	{"unknown key", []string{"    draw: pair", "    colour: red\n    draw: pair"},
		[]fault{{code: "unknown_key", in: "colour: red", at: "red", anyColumn: true}}},
	{"negative length", []string{"face_width: 84", "face_width: -84"},
		[]fault{{code: "negative", in: "face_width: -84", at: "-84"}}},
	{"absurd length", []string{"face_width: 84", "face_width: 31 m"},
		[]fault{{code: "absurd", in: "face_width: 31 m", at: "31 m"}}},
	{"absurd bolt", []string{"length: 40 yd", "length: 1001 m"},
		[]fault{{code: "absurd", in: "length: 1001 m", at: "1001 m"}}},
	{"absurd quantity", []string{"quantity: 1", "quantity: 1000"},
		[]fault{{code: "absurd", in: "quantity: 1000", at: "1000"}}},
	{"absurd cords", []string{"cords: 3", "cords: 13"},
		[]fault{{code: "absurd", in: "cords: 13", at: "13"}}},
	{"cloth of no width", []string{"use: lining\n    usable_width: 54", "use: lining\n    usable_width: 0"},
		[]fault{{code: "absurd|bad_value", in: "usable_width: 0", at: "0"}}},
	{"window of no width", []string{"face_width: 84", "face_width: 0"},
		[]fault{{code: "absurd|bad_value|bad_length|too_narrow", in: "face_width: 0", at: "0"}}},
	{"missing unit", []string{"units: in\n", ""},
		[]fault{{code: "missing_key", in: "order: BAD-", at: "order"}}},
	{"unknown unit of the order", []string{"units: in\n", "units: furlong\n"},
		[]fault{{code: "bad_value", in: "units: furlong", at: "furlong"}}},
	{"unknown unit of a length", []string{"overlap: 6", "overlap: 6 stone"},
		[]fault{{code: "bad_length", in: "overlap: 6 stone", at: "6 stone"}}},
	{"unknown fabric", []string{"face: reed", "face: velvet"},
		[]fault{{code: "unknown_reference", in: "face: velvet", at: "velvet"}}},
	{"missing fabric", []string{"    face: reed\n", ""},
		[]fault{{code: "missing_key", in: "window: Bay", at: "window"}}},
	{"unknown tape", []string{"tape: cart-4", "tape: cart-9"},
		[]fault{{code: "unknown_reference", in: "tape: cart-9", at: "cart-9"}}},
	{"face cloth as lining", []string{"lining: sateen", "lining: reed"},
		[]fault{{code: "wrong_use", in: "lining: reed", at: "reed"}}},
	{"the same fabric twice", []string{"tapes:\n", "  - {id: sateen, use: lining, usable_width: 48}\ntapes:\n"},
		[]fault{{code: "duplicate", in: "{id: sateen, use", at: "sateen"}}},
	{"unknown draw", []string{"draw: pair", "draw: sideways"},
		[]fault{{code: "bad_value", in: "draw: sideways", at: "sideways"}}},
	{"no finished length", []string{"    finished_length: 95 1/2\n", ""},
		[]fault{{code: "missing_key", in: "window: Bay", at: "window"}}},
	{"a heading that this version does not do", []string{"heading: cartridge-tape", "heading: wave-tape"},
		[]fault{{code: "not_supported", in: "heading: wave-tape", at: "wave-tape"}}},
	{"panels too narrow for the tape", []string{"draw: pair", "draw: stationary", "face_width: 84", "finished_width: 3 7/16"},
		[]fault{{code: "too_narrow"}}},
	{"everything at once", []string{"face_width: 84", "face_width: -84", "face: reed", "face: velvet", "quantity: 1", "quantity: 1000",
		"return: 3 1/2", "retrun: 3 1/2", "period: 6 1/2", "period: six"}, []fault{
		{code: "negative", in: "face_width: -84", at: "-84"},
		{code: "unknown_reference", in: "face: velvet", at: "velvet"},
		{code: "absurd", in: "quantity: 1000", at: "1000"},
		{code: "unknown_key", in: "retrun: 3 1/2", at: "3 1/2", anyColumn: true},
		{code: "bad_length", in: "period: six", at: "six"}}},
	{"syntax, alone", []string{"draw: pair", "draw: [pair", "face_width: 84", "face_width: -84"},
		[]fault{{code: "syntax"}}},
}

func TestBadOrderFiles(t *testing.T) {
	s := openShop(t)
	for i, bad := range badFiles {
		t.Run(bad.name, func(t *testing.T) {
			name := fmt.Sprintf("BAD-%d", i)
			file := orderFile(t, name, bad.changes...)
			got := s.ask(t, request{as: s.office, do: "POST /api/orders", send: file, status: 422})
			told := slices.DeleteFunc(got.problems(t), func(p problem) bool { return p.Severity != "error" })
			for _, f := range bad.faults {
				if !slices.ContainsFunc(told, f.is(t, file)) {
					t.Errorf("not told of %s\n%s", f.where(t, file), got.body)
				}
			}
			if bad.faults[0].code == "syntax" && len(told) != 1 {
				t.Errorf("a syntax error comes alone, not with %d problems\n%s", len(told), got.body)
			}
			s.ask(t, request{as: s.office, do: "GET /api/orders/" + name, status: 404, code: "not_found"})
			s.ask(t, request{as: s.office, do: "POST /api/orders", send: orderFile(t, name), status: 201}) // mended, it comes in
		})
	}
	s.audit(t)
}

// is returns whether a problem is this fault.
func (f fault) is(t *testing.T, file string) func(problem) bool {
	line, column := f.position(t, file)
	return func(p problem) bool {
		here := p.Line > 0 && p.Column > 0 && (line == 0 || p.Line == line && (f.anyColumn || p.Column == column))
		return oneOf(p.Code, f.code) && here
	}
}

func (f fault) where(t *testing.T, file string) string {
	line, column := f.position(t, file)
	return fmt.Sprintf("%s at %d:%d", f.code, line, column)
}

// position is 0, 0 where any will do.
func (f fault) position(t *testing.T, file string) (line, column int) {
	if f.in == "" {
		return 0, 0
	}
	return position(t, file, f.in, f.at)
}

func TestOrderBodies(t *testing.T) {
	s := openShop(t)
	megabytes := func(n int) string {
		return orderFile(t, "BIG") + "# " + strings.Repeat("x", n<<20) + "\n"
	}
	s.play(t, []request{
		{name: "empty", as: s.office, do: "POST /api/orders", send: "", status: 422},
		{name: "not YAML at all", as: s.office, do: "POST /api/orders", send: "\x00\x01\x02\xff", status: 422},
		{name: "9 MB", as: s.office, do: "POST /api/orders", send: megabytes(9), status: 413, code: "too_large"},
		{name: "20 MB", as: s.office, do: "POST /api/orders", send: megabytes(20), status: 413, code: "too_large"},
		{name: "none of them stored", as: s.office, do: "GET /api/orders", status: 200, has: map[string]string{"orders.#": "0"}},
		{name: "JSON, being YAML", as: s.office, do: "POST /api/orders", status: 201, has: map[string]string{"order": "JSON-1"}, send: fields{
			"order": "JSON-1", "units": "mm",
			"fabrics": []fields{{"id": "reed", "use": "face", "usable_width": 1370}},
			"tapes":   []fields{{"id": "t", "period": 165, "space": 65, "height": 100, "cords": 3}},
			"treatments": []fields{{"window": "Østre vindu", "heading": "cartridge-tape", "face_width": "2.4 m",
				"finished_length": "2450mm", "face": "reed"}}}},
		{name: "it is taken", as: s.office, do: "GET /api/orders/JSON-1", status: 200, has: map[string]string{"state": "taken"}},
	})
	s.audit(t)
}

// TestWorkupCommand holds exit codes and forms of the command against the contract.
func TestWorkupCommand(t *testing.T) {
	if out, said, code := command(t, "workup", exampleFile); code != 0 || out == "" || strings.HasPrefix(out, "{") {
		t.Errorf("as text: exit %d\n%s%s", code, out, said)
	}
	if out, _, code := command(t, "workup", exampleFile, "--format", "svg"); code != 0 || !strings.Contains(out, `class="pleat"`) {
		t.Errorf("as svg: exit %d\n%.200s", code, out)
	}
	file := orderFile(t, "BAD", "face_width: 84", "face_width: -84")
	line, column := position(t, file, "face_width: -84", "-84")
	path := writeFile(t, "order.yaml", file)
	if _, said, code := command(t, "workup", path); code != 1 || !strings.Contains(said, fmt.Sprintf("%s:%d:%d: ", path, line, column)) {
		t.Errorf("a bad file as text: exit %d, want 1 and %s:%d:%d on stderr\n%s", code, path, line, column, said)
	}
	out, _, code := command(t, "workup", path, "--format", "json")
	got := answer{body: []byte(out)}
	if code != 1 || got.at("problems.0.code") != "negative" || got.at("problems.0.where") != "treatments[0].face_width" {
		t.Errorf("a bad file as json: exit %d\n%s", code, out)
	}
	for _, wrong := range [][]string{{"workup"}, {"workup", exampleFile, "--format", "runes"}, {"workup", exampleFile, "--loud"}} {
		if _, _, code := command(t, wrong...); code != 2 {
			t.Errorf("%q: exit %d, want 2 for wrong usage", wrong, code)
		}
	}
}
