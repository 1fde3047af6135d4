package views

import (
	"strings"
	"testing"

	"tablehand/engine/measure"
	"tablehand/stations/plan"
)

func sized(width, length measure.Length) *plan.Ticket {
	of := func(name string, l measure.Length) plan.Value {
		return plan.Value{Name: name, Value: measure.OfLength(l, "in")}
	}
	return &plan.Ticket{Steps: []plan.Step{{Values: []plan.Value{of("finished_width", width), of("finished_length", length), of("flat_width", 2*width), of("cut_length", length)}}}}
}

// TestOutlines: the longer side is 220, both outlines are to one scale, and only what differs is named or drawn.
func TestOutlines(t *testing.T) {
	const in = 25_400_000
	was := sized(50*in, 100*in)
	if got := OutlinesOf(was, sized(50*in, 100*in)); len(got) != 0 {
		t.Errorf("nothing differs, and there are %d drawings", len(got))
	}
	got := OutlinesOf(was, sized(50*in, 110*in))
	if len(got) != 2 || len(got[0].Dimensions) != 1 || got[0].Dimensions[0].Name != "finished_length" {
		t.Fatalf("a new length: %+v", got)
	}
	svg := string(got[0].SVG())
	for _, want := range []string{`class="wants" x="3" y="3" width="100.0" height="220.0"`, `class="was" x="3" y="3" width="100.0" height="200.0"`} {
		if !strings.Contains(svg, want) {
			t.Errorf("the drawing lacks %s: %s", want, svg)
		}
	}
	if svg := string(OutlinesOf(was, sized(55*in, 100*in))[1].SVG()); !strings.Contains(svg, `class="was" x="3" y="3" width="200.0" height="200.0"`) {
		t.Errorf("wider than long, its width is the longer side: %s", svg)
	}
}
