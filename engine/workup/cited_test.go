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

// TestThePanelGoesByTheHeadingsRow: where seams hide, how the top is turned and whether surplus stays are the heading's own.
func TestThePanelGoesByTheHeadingsRow(t *testing.T) {
	under := func(h orderfile.Heading, change func(*orderfile.HeadingData)) *workup.Panel {
		t.Helper()
		row := h.Data()
		defer func(as orderfile.HeadingData) { *row = as }(*row)
		change(row)
		o := inchOrder()
		o.Treatments[0].Heading = h
		o.Conventions.Surplus = orderfile.SurplusByHeading
		w := workup.Compute(o)
		if len(w.Treatments[0].Panels) == 0 {
			t.Fatalf("%s: %+v", h, w.Problems)
		}
		return &w.Treatments[0].Panels[0]
	}
	as := func(*orderfile.HeadingData) {}
	tube := under(orderfile.CartridgeTape, as)
	fold := under(orderfile.CartridgeTape, func(d *orderfile.HeadingData) { d.Seams = orderfile.HiddenInFold })
	if tube.SeamsInPleats != 2 || tube.SeamsHidden != 1 || fold.SeamsHidden != 2 {
		t.Errorf("of two seams in tubes %d hide at their backs, of %d in folds all: %d", tube.SeamsHidden, fold.SeamsInPleats, fold.SeamsHidden)
	}
	for _, h := range []orderfile.Heading{orderfile.CartridgeTape, orderfile.Pinch3} {
		once := under(h, func(d *orderfile.HeadingData) { d.Top = orderfile.SingleTop })
		if twice := under(h, as); twice.PlainLength-once.PlainLength != twice.HeadingFold {
			t.Errorf("%s: turned twice it is cut %d long, once %d", h, twice.PlainLength, once.PlainLength)
		}
		trimmed := under(h, func(d *orderfile.HeadingData) { d.KeepsSurplus = false })
		kept := under(h, func(d *orderfile.HeadingData) { d.KeepsSurplus = true })
		if trimmed.TrimReturn+trimmed.TrimLeading == 0 || kept.TrimReturn+kept.TrimLeading != 0 {
			t.Errorf("%s: %d is trimmed where the heading keeps it, %d where it doesn't", h, kept.TrimReturn+kept.TrimLeading, trimmed.TrimReturn+trimmed.TrimLeading)
		}
	}
}
