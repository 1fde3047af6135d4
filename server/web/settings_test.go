package web

import (
	"testing"

	"tablehand/engine/orderfile"
	"tablehand/views/i18n"
)

// TestEveryConventionHasItsWords: the page names each convention, each of its words, and where its default comes from, in every
// language.
func TestEveryConventionHasItsWords(t *testing.T) {
	need := func(key string) {
		t.Helper()
		if !i18n.Has(key) {
			t.Errorf("the catalogues (views/i18n/locales) lack %s", key)
		}
	}
	for _, r := range orderfile.ShopConventions() {
		need("convention." + r.Name())
		need("setup.source." + string(r.Sources.Inch))
		need("setup.source." + string(r.Sources.Metric))
	}
	for _, g := range orderfile.ConventionGroups() {
		need("convention.group." + string(g))
	}
	for _, r := range orderfile.AllTolerances() {
		need("entry." + r.Entry())
		need("setup.source." + string(r.Sources.Inch))
		need("setup.source." + string(r.Sources.Metric))
	}
	for _, r := range orderfile.ShopConventions() {
		for _, word := range r.Words() {
			need(r.WordKind() + "." + word)
		}
	}
}
