package orderfile_test

import (
	"strings"
	"testing"

	"tablehand/engine/orderfile"
)

// TestTextsUpToTheirBound: a name or notes of just as many letters as they may have are read, of one more refused. It is letters that
// count, not bytes.
func TestTextsUpToTheirBound(t *testing.T) {
	letters := func(n int) string { return strings.Repeat("ñ", n) }
	for _, c := range []struct {
		where, old, new string
		most            int
	}{
		{"customer", "customer: Saltmarsh Inn", "customer: ", 200},
		{"treatments[0].window", "window: Bay, øst", "window: ", 200},
		{"fabrics[0].id", "id: reed", "id: ", 200},
		{"notes", "units: in", "units: in\nnotes: ", 4000},
	} {
		for _, more := range []int{0, 1} {
			text := letters(c.most + more)
			file := strings.Replace(base, c.old, c.new+text, 1)
			if c.where == "fabrics[0].id" {
				file = strings.Replace(file, "face: reed", "face: "+text, 1)
			}
			order, problems := orderfile.Parse([]byte(file))
			if more == 0 && (order == nil || len(problems) != 0) {
				t.Errorf("%s of %d letters: %+v", c.where, c.most, problems)
			}
			if more == 1 && (order != nil || len(problems) == 0 || problems[0].Code != "absurd" || problems[0].Where != c.where) {
				t.Errorf("%s of %d letters: %+v", c.where, c.most+1, problems)
			}
		}
	}
}

// TestHangUpToTheLongest: a length that comes of how a window hangs may be as long as one that is given, and no longer.
func TestHangUpToTheLongest(t *testing.T) {
	for above, want := range map[string]bool{"999 mm": true, "1 m": true, "1001 mm": false} {
		hang := "hang: {bearing_to_floor: 29 m, heading_above_bearing: " + above + ", clearance: 0}"
		order, problems := orderfile.Parse([]byte(strings.Replace(base, "finished_length: 95", hang, 1)))
		if (order != nil) != want {
			t.Errorf("29 m and %s: %+v", above, problems)
		}
	}
}

// TestReferencesSayWhatThereIs: a fabric that there isn't is held against those of its use; a tape that isn't named is asked for by
// how many there are.
func TestReferencesSayWhatThereIs(t *testing.T) {
	for _, c := range []struct{ old, new, code, arg, want string }{
		{"face: reed", "face: reef", "unknown_reference", "Like", "reed"},
		{"lining: sateen", "lining: sateem", "unknown_reference", "Like", "sateen"},
		{"face: reed", "face: sateem", "unknown_reference", "Like", ""},
		{"tapes:\n  - {id: cart-4, period: 6 1/2, space: 2 1/2, height: 4, cords: 3}\n", "", "missing_key", "Key", "problem.missing_key.tape_none"},
		{"tapes:\n", "tapes:\n  - {id: cart-5, period: 6 1/2, space: 2 1/2, height: 4, cords: 3}\n", "missing_key", "Key", "problem.missing_key.tape_which"},
	} {
		_, problems := orderfile.Parse([]byte(strings.Replace(base, c.old, c.new, 1)))
		if len(problems) != 1 || problems[0].Code != c.code {
			t.Errorf("%q: %+v", c.new, problems)
			continue
		}
		got, _ := problems[0].Args[c.arg].(string)
		if c.arg == "Key" {
			got = problems[0].Key
		}
		if got != c.want {
			t.Errorf("%q: %s is %q, want %q: %+v", c.new, c.arg, got, c.want, problems[0])
		}
	}
}
