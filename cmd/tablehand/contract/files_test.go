package contract

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"tablehand/cmd/tablehand/shoptest"
)

// fault is a problem that a bad order file must be told of: a code at the value `at`, which stands inside the text `in`.
type fault struct {
	code, in, at string
	anyColumn    bool // where nothing says which end of the line is meant
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
	{"a wave without its track", []string{"heading: cartridge-tape", "heading: wave-tape"},
		[]fault{{code: "missing_key", in: "window: Bay", at: "window"}}},
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
	s := shoptest.Open(t)
	for i, bad := range badFiles {
		t.Run(bad.name, func(t *testing.T) {
			name := fmt.Sprintf("BAD-%d", i)
			file := shoptest.OrderFile(t, name, bad.changes...)
			got := s.Ask(t, shoptest.Request{As: s.Office, Do: "POST /api/orders", Send: file, Status: 422})
			told := slices.DeleteFunc(got.Problems(t), func(p shoptest.Problem) bool { return p.Severity != "error" })
			for _, f := range bad.faults {
				if !slices.ContainsFunc(told, f.is(t, file)) {
					t.Errorf("not told of %s\n%s", f.where(t, file), got.Body)
				}
			}
			if bad.faults[0].code == "syntax" && len(told) != 1 {
				t.Errorf("a syntax error comes alone, not with %d problems\n%s", len(told), got.Body)
			}
			s.Ask(t, shoptest.Request{As: s.Office, Do: "GET /api/orders/" + name, Status: 404, Code: "not_found"})
			s.Ask(t, shoptest.Request{As: s.Office, Do: "POST /api/orders", Send: shoptest.OrderFile(t, name), Status: 201}) // mended, it comes in
		})
	}
	s.Audit(t)
}

// is returns whether a problem is this fault.
func (f fault) is(t *testing.T, file string) func(shoptest.Problem) bool {
	line, column := f.position(t, file)
	return func(p shoptest.Problem) bool {
		here := p.Line > 0 && p.Column > 0 && (line == 0 || p.Line == line && (f.anyColumn || p.Column == column))
		return shoptest.OneOf(p.Code, f.code) && here
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
	return shoptest.Position(t, file, f.in, f.at)
}

func TestOrderBodies(t *testing.T) {
	s := shoptest.Open(t)
	megabytes := func(n int) string {
		return shoptest.OrderFile(t, "BIG") + "# " + strings.Repeat("x", n<<20) + "\n"
	}
	s.Play(t, []shoptest.Request{
		{Name: "empty", As: s.Office, Do: "POST /api/orders", Send: "", Status: 422},
		{Name: "not YAML at all", As: s.Office, Do: "POST /api/orders", Send: "\x00\x01\x02\xff", Status: 422},
		{Name: "9 MB", As: s.Office, Do: "POST /api/orders", Send: megabytes(9), Status: 413, Code: "too_large"},
		{Name: "20 MB", As: s.Office, Do: "POST /api/orders", Send: megabytes(20), Status: 413, Code: "too_large"},
		{Name: "none of them stored", As: s.Office, Do: "GET /api/orders", Status: 200, Has: map[string]string{"orders.#": "0"}},
		{Name: "JSON, being YAML", As: s.Office, Do: "POST /api/orders", Status: 201, Has: map[string]string{"order": "JSON-1"}, Send: shoptest.Fields{
			"order": "JSON-1", "units": "mm",
			"fabrics": []shoptest.Fields{{"id": "reed", "use": "face", "usable_width": 1370}},
			"tapes":   []shoptest.Fields{{"id": "t", "period": 165, "space": 65, "height": 100, "cords": 3}},
			"treatments": []shoptest.Fields{{"window": "Østre vindu", "heading": "cartridge-tape", "face_width": "2.4 m",
				"finished_length": "2450mm", "face": "reed"}}}},
		{Name: "it is taken", As: s.Office, Do: "GET /api/orders/JSON-1", Status: 200, Has: map[string]string{"state": "taken"}},
	})
	s.Audit(t)
}

// TestWorkupCommand holds exit codes and forms of the command against the README and server/interface.md.
func TestWorkupCommand(t *testing.T) {
	if out, said, code := shoptest.Command(t, "workup", shoptest.ExampleFile); code != 0 || out == "" || strings.HasPrefix(out, "{") {
		t.Errorf("as text: exit %d\n%s%s", code, out, said)
	}
	if out, _, code := shoptest.Command(t, "workup", shoptest.ExampleFile, "--format", "svg"); code != 0 || !strings.Contains(out, `class="pleat"`) {
		t.Errorf("as svg: exit %d\n%.200s", code, out)
	}
	file := shoptest.OrderFile(t, "BAD", "face_width: 84", "face_width: -84")
	line, column := shoptest.Position(t, file, "face_width: -84", "-84")
	path := shoptest.WriteFile(t, "order.yaml", file)
	if _, said, code := shoptest.Command(t, "workup", path); code != 1 || !strings.Contains(said, fmt.Sprintf("%s:%d:%d: ", path, line, column)) {
		t.Errorf("a bad file as text: exit %d, want 1 and %s:%d:%d on stderr\n%s", code, path, line, column, said)
	}
	out, _, code := shoptest.Command(t, "workup", path, "--format", "json")
	got := shoptest.Answer{Body: []byte(out)}
	if code != 1 || got.At("problems.0.code") != "negative" || got.At("problems.0.where") != "treatments[0].face_width" {
		t.Errorf("a bad file as json: exit %d\n%s", code, out)
	}
	for _, wrong := range [][]string{{"workup"}, {"workup", shoptest.ExampleFile, "--format", "runes"}, {"workup", shoptest.ExampleFile, "--loud"}} {
		if _, _, code := shoptest.Command(t, wrong...); code != 2 {
			t.Errorf("%q: exit %d, want 2 for wrong usage", wrong, code)
		}
	}
}
