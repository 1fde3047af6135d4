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
