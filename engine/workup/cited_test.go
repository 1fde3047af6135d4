package workup_test

import (
	"testing"

	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
)

// TestTrailCitesTheHeadingsOwnSources: what comes from a heading's row is cited from that row, and from no other heading's.
func TestTrailCitesTheHeadingsOwnSources(t *testing.T) {
	for _, d := range orderfile.Headings() {
		if d.Family != orderfile.SetByHand {
			continue
		}
		row := d.Heading.Data()
		defer func(as orderfile.HeadingSources) { row.Sources = as }(row.Sources)
		row.Sources = orderfile.HeadingSources{Fullness: "f", Count: "c", TakeUp: "t", Space: "s", Lead: "l"}
		w := workup.Compute(plainPair("96", "54", func(o *orderfile.Order) { o.Treatments[0].Heading = d.Heading }))
		if len(w.Treatments) == 0 || len(w.Treatments[0].Panels) == 0 {
			t.Fatalf("%s: %+v", d.Heading, w.Problems)
		}
		cited := map[string]string{}
		for _, step := range w.Treatments[0].Panels[0].Trail {
			cited[step.Name] = step.Source
		}
		for number, want := range map[string]string{"fullness_asked": "source.f", "pleats": "source.c", "take_up": "source.t", "space": "source.s", "lead_flat": "source.l"} {
			if cited[number] != want {
				t.Errorf("%s: %s is said to come from %q, the row says %q", d.Heading, number, cited[number], want)
			}
		}
	}
}
