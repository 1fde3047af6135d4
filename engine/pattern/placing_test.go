package pattern

import (
	"testing"

	"tablehand/engine/measure"
)

// TestPlacing: two widths of 54 in with a motif every 27 in, the first 5 in from the left edge, and 6 in of hem beyond either edge. On 96 in
// motifs stand at 26, 53 and 80 in from the left edge: 16 in from the lead of a left panel, 26 in from that of a right one.
func TestPlacing(t *testing.T) {
	const in = measure.Inch
	cloth := Cloth{Repeat: 27 * in, Offset: 5 * in, Usable: 54 * in}
	left := Panel{Cloth: cloth, AtReturn: 6 * in, AtLead: 6 * in}
	right := left
	right.Return = AtRight
	pair := []Panel{left, right}
	banded := left // with something joined on that is wider than the other edge's hem
	banded.AtLead = -9 * in
	if got := (Placing{}).Widest([]Panel{banded}, 2*108*in); got != 2*111*in {
		t.Errorf("joined on to 108 in it is %s wide at most, doubled", got.In(measure.In))
	}
	for name, row := range map[string]struct {
		Placing
		trims   [2]measure.Length
		leading [2]bool
		widest  measure.Length // of both, doubled
	}{
		"as they fall":   {Placing{}, [2]measure.Length{}, [2]bool{}, 2 * 96 * in},
		"leads of 10 in": {Placing{Want: Mirrored, Lead: 10 * in}, [2]measure.Length{6 * in, 16 * in}, [2]bool{true, true}, 2 * 80 * in},
		// The middle is 48 in from the left: 53 in is the next motif, 39½ and 66½ lie between two.
		"one in the middle":  {Placing{Want: Centred}, [2]measure.Length{5 * in, 5 * in}, [2]bool{false, true}, 2 * 86 * in},
		"the middle between": {Placing{Want: Between}, [2]measure.Length{37 * in / 2, 37 * in / 2}, [2]bool{false, true}, 2 * 79 * in},
	} {
		for i, p := range pair {
			if trim, leading := row.Trim(p, 96*in); trim != row.trims[i] || leading != row.leading[i] {
				t.Errorf("%s, panel %d: %s is trimmed, at its lead: %v", name, i, trim.In(measure.In), leading)
			}
		}
		if cost := row.Cost(pair, 96*in); cost != max(row.trims[0], row.trims[1]) {
			t.Errorf("%s costs %s", name, cost.In(measure.In))
		}
		if got := row.Widest(pair, 2*108*in); got != row.widest {
			t.Errorf("%s is %s wide at most, doubled", name, got.In(measure.In))
		}
	}
}
