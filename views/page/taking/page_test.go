package taking

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"tablehand/engine/orderfile"
	"tablehand/engine/workup"
	"tablehand/views"
	"tablehand/views/i18n"
)

// TestLengthsShowTheirUnit: each length of the form has the order's unit beside it and says it to those who listen; a text
// that says its own has none beside it. Nothing else has one.
func TestLengthsShowTheirUnit(t *testing.T) {
	v, err := views.New(i18n.For("en"))
	if err != nil {
		t.Fatal(err)
	}
	for _, unit := range []string{"in", "cm", "mm"} {
		form := orderfile.Form{Text: map[string]string{"units": unit}, Lists: map[string][]orderfile.Form{
			"fabrics": {{}}, "treatments": {{Text: map[string]string{"face_width": "8' 3", "finished_length": "95 1/2", "return": "9 cm", "window": "8 in"}}},
		}}
		var b strings.Builder
		if err := RenderPart(v, &b, "taking-sheet", Page{Sheet: Sheet(v, form, Told{})}); err != nil {
			t.Fatal(err)
		}
		page := b.String()
		if word := map[string]string{"in": "inches"}[unit]; word != "" && !strings.Contains(page, `<p id="of-units" hidden><span>inches</span>, unless you type another unit</p>`) {
			t.Error("nobody who listens hears the unit")
		}
		own := []string{"treatments.0.face_width", "treatments.0.return"}
		for _, list := range []struct{ name, within string }{{"order", ""}, {"fabrics", "fabrics.0."}, {"bolts", "fabrics.0.bolts.0."}, {"tapes", "tapes.0."}, {"treatments", "treatments.0."}} {
			for _, a := range asked[list.name] {
				box := regexp.MustCompile(`(?s)<span class="field[^"]*"><input id="f-` + regexp.QuoteMeta(list.within+a.key) + `".*?</span></span>`).FindString(page)
				if (box != "") != (a.kind == "length") {
					t.Errorf("%s: %s has a unit: %v", unit, a.key, box != "")
				}
				if box == "" {
					continue
				}
				if !strings.Contains(box, `aria-describedby="of-units"`) || !strings.HasSuffix(box, `<span class="unit" aria-hidden="true">`+unit+`</span></span>`) {
					t.Errorf("%s: %s", unit, box)
				}
				if strings.Contains(box, "own-unit") != slices.Contains(own, list.within+a.key) {
					t.Errorf("says its own unit: %s", box)
				}
			}
		}
	}
}

// TestKeyNumbersAreNumbers: what an order is typed by is what the work-up gives.
func TestKeyNumbersAreNumbers(t *testing.T) {
	for _, key := range keyNumbers {
		if n := workup.NumberOf(key); n == nil || !n.Explained() {
			t.Errorf("no number that is worked out is called %s (engine/workup/numbers.go)", key)
		}
	}
}

// TestTurnsAndHooksAreAskedOfWhatHasThem: a top of tabs or with a pocket has no heading fold, and what hangs by its pocket no hooks.
func TestTurnsAndHooksAreAskedOfWhatHasThem(t *testing.T) {
	for _, h := range orderfile.Headings() {
		traits := strings.Fields(traitsOf(h))
		if got, want := slices.Contains(traits, "fold"), h.Heading != orderfile.Tab && h.Heading != orderfile.RodPocket; got != want {
			t.Errorf("%s is asked its fold: %v", h.Heading, got)
		}
		if got, want := slices.Contains(traits, "hooks"), h.Heading != orderfile.RodPocket; got != want {
			t.Errorf("%s is asked where its hooks are: %v", h.Heading, got)
		}
	}
}
