package page

import (
	"os"
	"strings"
	"testing"

	"tablehand/engine/measure"
	"tablehand/engine/workup"
	"tablehand/views"
	"tablehand/views/i18n"
	"tablehand/views/page/rules"
)

// TestRulesOf: each rule orders what the work-up under it does, and says by how much it differs from the order's own.
// The worked case takes 5 cuts of reed; 111 1/2 in and one repeat of 13 1/2 are 125 in: 5 × 125 + 13 1/2 for position
// are 638 1/2 in, 17 3/4 yd, half a yard more than 17 1/4.
func TestRulesOf(t *testing.T) {
	source, err := os.ReadFile("../../testdata/contract/order.yaml")
	if err != nil {
		t.Fatal(err)
	}
	w := worked(t, string(source))
	fabrics, conventions := rules.Compare(w, workup.Outcomes(w.Order))
	if strings.Join(fabrics, " ") != "reed sateen" {
		t.Fatal(fabrics)
	}
	found := false
	for _, c := range conventions {
		for _, r := range c.Rules {
			if r.InForce && r.ToOrder[0] != (rules.Ordered{Length: measure.Read("17.25yd")}) {
				t.Errorf("%s is in force and orders %v", r.Name, r.ToOrder[0])
			}
			if r.Name == "convention.repeat_rule.add_one" {
				found = true
				if r.ToOrder[0] != (rules.Ordered{Length: measure.Read("17.75yd"), More: measure.Read("0.5yd")}) || !r.ToOrder[1].More.IsZero() {
					t.Errorf("one repeat more orders %v", r.ToOrder)
				}
			}
		}
	}
	if !found {
		t.Error("the rule of one repeat more isn't compared")
	}
}

// TestShortagesOf: what lacks is told by window and lot, and a window that takes two lots by its name. A pair of the
// worked case takes 5 cuts of 121 1/2 in; of 14 yd (504 in) four come from one bolt.
func TestShortagesOf(t *testing.T) {
	source, err := os.ReadFile("../../testdata/contract/order.yaml")
	if err != nil {
		t.Fatal(err)
	}
	bolts := func(list string) []views.Shortage {
		file := strings.Replace(string(source), "{id: R1, length: 40 yd, lot: A, first_repeat: 0, flaws: [{from: 7 yd, to: 7 yd 3 in}]}", list, 1)
		if file == string(source) {
			t.Fatal("the example lists another bolt")
		}
		return views.ShortagesOf(worked(t, file))
	}
	if got := bolts("{id: R1, length: 40 yd, lot: A}"); len(got) != 0 {
		t.Errorf("enough, and yet %+v", got)
	}
	got := bolts("{id: R1, length: 14 yd, lot: A}")
	if len(got) != 1 || got[0].Fabric != "reed" || got[0].Short != measure.Read("121.5in") || len(got[0].Missing) != 1 ||
		got[0].Missing[0] != (views.MissingCuts{Window: "Bay, left", Count: 1, Length: measure.Read("121.5in"), All: measure.Read("121.5in"), Lot: "A"}) {
		t.Errorf("14 yards: %+v", got)
	}
	if got[0].Cuts != 5 || got[0].Fit != 4 || len(got[0].Order) != 1 || got[0].Order[0] != (views.CutsToOrder{Lot: "A", Count: 1, Length: measure.Read("3.375yd")}) {
		t.Errorf("14 yards: %+v", got)
	}
	for language, says := range map[string]string{
		"en": `4 of 5 cuts fit; order one more cut, 3 3⁄8 yd, of lot A`, "es": `caben 4 de 5 cortes; pida un corte más, 3 3⁄8 yd, del lote A`,
	} {
		v, err := views.New(i18n.For(language))
		if err != nil {
			t.Fatal(err)
		}
		if said := tags.ReplaceAllString(string(v.Shortage(got[0])), ""); said != says {
			t.Errorf("%s: %s", language, said)
		}
	}
	const metric = `{order: M-1, units: cm, fabrics: [{id: lona, use: face, usable_width: 140, bolts: [{id: C1, length: 5 m, lot: 9}]}],
		pieces: [{piece: tieback, text: Rope, quantity: 4, fabrics: [{fabric: lona, cuts: 2, cut_length: 90}]}]}`
	for language, says := range map[string]string{
		"en": `5 of 8 cuts fit; order 3 more cuts, 2.7 m in all, of lot 9`, "es": `caben 5 de 8 cortes; pida 3 cortes más, 2,7 m en total, del lote 9`,
	} {
		v, err := views.New(i18n.For(language))
		if err != nil {
			t.Fatal(err)
		}
		if said := tags.ReplaceAllString(string(v.Shortage(views.ShortagesOf(worked(t, metric))[0])), ""); said != says {
			t.Errorf("%s: %s", language, said)
		}
	}
	got = bolts("{id: R1, length: 14 yd, lot: A}\n      - {id: R2, length: 5 yd, lot: B}")
	if len(got) != 1 || !got[0].Short.IsZero() || len(got[0].Missing) != 0 || strings.Join(got[0].Mixed, "") != "Bay, left" || len(got[0].OnHand) != 2 {
		t.Errorf("two lots: %+v", got)
	}
}
