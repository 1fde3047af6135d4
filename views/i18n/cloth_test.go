package i18n_test

import (
	"slices"
	"strings"
	"testing"

	"tablehand/engine/measure"
	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/views/i18n"
)

// TestClothTells: what is told of a sheer, a pile, a puddle and railroaded cloth is told whole in every language, with each of its figures, and
// every number of such a panel has its sum.
func TestClothTells(t *testing.T) {
	const file = `order: TOLD
units: in
fabrics: [{id: voile, use: face, usable_width: 118}, {id: sateen, use: lining, usable_width: 54}]
tapes: [{id: pencil-3, kind: pencil, height: 3, cords: 3, tightest: 2}]
treatments: [{window: Bay, heading: HEADING, face_width: 180, finished_length: 84, face: voile, lining: sateen, puddle: 7}]
`
	for _, c := range []struct {
		heading string
		change  func(f *orderfile.Fabric, line *orderfile.Treatment)
		keys    string
	}{
		{"pinch-3", func(f *orderfile.Fabric, _ *orderfile.Treatment) { f.Sheer = true }, "sheer_lined sheer_seams puddle_draws"},
		{"pinch-3", func(_ *orderfile.Fabric, line *orderfile.Treatment) { line.Railroad = true }, "price_by_width"},
		{"pinch-3", func(f *orderfile.Fabric, line *orderfile.Treatment) { f.Sheer, line.Railroad = true, true }, "price_by_width"},
		{"pinch-3", func(f *orderfile.Fabric, line *orderfile.Treatment) { f.Pile, line.Railroad = orderfile.PileUp, true }, "railroad_one_way"},
		{"pinch-3", func(f *orderfile.Fabric, line *orderfile.Treatment) {
			f.HorizontalRepeat, f.UsableWidth, line.Railroad = measure.Inch, 54*measure.Inch, true
		}, "railroad_pattern railroad_short"},
		{"pinch-3", func(_ *orderfile.Fabric, line *orderfile.Treatment) { line.RailroadLining = true }, "railroad_short.lining"},
		{"pinch-3", func(_ *orderfile.Fabric, line *orderfile.Treatment) {
			line.Railroad, line.Widths = true, new(measure.Halves(3))
		}, "bad_value.railroad_widths"},
		{"pencil-tape", func(_ *orderfile.Fabric, line *orderfile.Treatment) {
			line.Railroad, line.Fullness = true, &measure.Ratio{Num: 3, Den: 1}
		}, "gather_too_tight.railroaded"},
	} {
		o, problems := orderfile.Parse([]byte(strings.Replace(file, "HEADING", c.heading, 1)))
		if o == nil {
			t.Fatal(problems)
		}
		c.change(&o.Fabrics[0], &o.Treatments[0])
		w := workup.Compute(o)
		var told []string
		for _, p := range w.Problems {
			told = append(told, strings.TrimPrefix(p.MessageKey(), "problem."))
			for _, tag := range i18n.Languages() {
				if said := i18n.For(tag).Problem(p); strings.ContainsAny(said, "⟨⟩") || strings.Contains(said, "no value") {
					t.Errorf("%s: %s", tag, said)
				}
			}
		}
		for _, key := range strings.Fields(c.keys) {
			if !slices.Contains(told, key) {
				t.Errorf("%s isn't told, but %v", key, told)
			}
		}
		for i := range w.Treatments {
			for _, panel := range w.Treatments[i].Panels {
				for _, s := range panel.Trail {
					for _, key := range []string{s.Formula, "trail.sum." + strings.TrimPrefix(s.Formula, "formula."), s.Source} {
						if key != "" && !i18n.Has(key) {
							t.Errorf("%s lacks %s", s.Name, key)
						}
					}
				}
			}
			for k := range w.Treatments[i].Fabrics {
				for _, s := range w.UseTrail(&w.Treatments[i], &w.Treatments[i].Fabrics[k]) {
					if !i18n.Has(s.Formula) {
						t.Errorf("%s of %s lacks its words: %s", s.Name, w.Treatments[i].Fabrics[k].Fabric, s.Formula)
					}
				}
			}
		}
	}
}
