package cutting

import (
	"slices"
	"testing"

	"tablehand/engine/measure"
)

// TestOwnRepeat: on a bolt whose pattern was measured otherwise a cut starts as far along it as along the fabric's, half of it halved once.
func TestOwnRepeat(t *testing.T) {
	p := Problem{VerticalRepeat: 640, Bolts: []Bolt{{ID: "own", Length: 10_000, VerticalRepeat: 645}, {ID: "as the fabric", Length: 10_000}}}
	for _, c := range []struct {
		bolt                 int
		start, repeat, begin measure.Length
	}{{0, 0, 645, 0}, {0, 320, 645, measure.Length(645).Div(2)}, {0, 160, 645, 161}, {1, 160, 640, 160}} {
		repeat, begin := p.Pattern(&p.Bolts[c.bolt], c.start)
		if repeat != c.repeat || begin != c.begin {
			t.Errorf("start %d on %s: %d in a repeat of %d, not %d in %d", c.start, p.Bolts[c.bolt].ID, begin, repeat, c.begin, c.repeat)
		}
	}
}

// TestThreePhasesInTurn: of cuts that take turns the order is known to be the least though not all were looked at.
func TestThreePhasesInTurn(t *testing.T) {
	p := Problem{VerticalRepeat: 12}
	for _, c := range []Cut{{ID: "c", Start: 8}, {ID: "a", Start: 0}, {ID: "b", Start: 4}, {ID: "d", Start: 0}} {
		c.Length = 4
		p.Cuts = append(p.Cuts, c)
	}
	if starts := startsOf(p); !slices.Equal(starts, []measure.Length{0, 4, 8}) {
		t.Errorf("phases %v", starts)
	}
	run := newTable(p).manyPhased(newLaid(&Bolt{}), p.Cuts, 0)
	if run.Used != 16 || !run.Exact {
		t.Errorf("%+v", run)
	}
}
