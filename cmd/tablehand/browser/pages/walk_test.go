package pages

import (
	_ "embed"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
	"tablehand/views/i18n"
)

// heaviest is what the first load of a page may weigh over the wire, in bytes, long lists of rows not counted.
const heaviest = 60_000

// TestBrowserPages walks through every page in each language and holds it to what people who read, hear or touch it
// need: the rules of the accessibility engine, targets that a thumb hits, text that is whole, in one language and on no
// other text, a quiet console, no other host, and little to load.
func TestBrowserPages(t *testing.T) {
	c := browser.Start(t)
	engine := axeScript(t)
	t.Run("it sees faults", func(t *testing.T) { findsFaults(t, c) })
	s, empty := shoptest.Open(t), shoptest.Open(t)
	prepare := func(p *browser.Tab) { p.Bring(engine + ";" + browser.LookScript) }
	var visitors []*visitor
	for _, language := range i18n.Languages() {
		visitors = append(visitors, newVisitor(t, c, s, language, prepare))
	}
	visitors[0].enter(empty, "") // which sets it up
	visitors[0].enter(s, "")
	pages := everyPage(t, fillShop(t, s), empty)
	for i, pg := range wanted(pages) {
		said := map[string][]string{}
		faults := browser.FaultsSeen{}
		for j, v := range visitors {
			p := v.visit(pg)
			said[v.language] = browser.Read[[]string](p, "look.words()")
			for k, l := range looks(pg, v.language, i+j) {
				p.As(l)
				faults.Add(l.String(), browser.Read[[]string](p, "look.faults()"))
				if browser.Everything() || j == i%len(visitors) && (k == i/2%2 || len(looks(pg, v.language, i+j)) == 1) {
					faults.Add(l.String(), axe(p))
				}
			}
			_, abroad := p.Traffic.Sums()
			faults.Add(v.language, p.NewlyHeard())
			faults.Add(v.language, abroad)
			if p.Weighs > heaviest {
				faults.Add(v.language, []string{fmt.Sprintf("heavy: %d bytes", p.Weighs)})
			}
			t.Logf("%-28s %s %6d bytes", pg.name, v.language, p.Weighs)
		}
		for language, words := range said {
			faults.Add(language, untranslated(language, words, said["en"]))
		}
		for _, fault := range slices.Sorted(maps.Keys(faults)) {
			t.Errorf("%s (%s): %s [%s]", pg.name, pg.path, fault, strings.Join(faults[fault], "; "))
		}
	}
}

// looks are how a page is looked at: at a phone's and a desk's width, one by day and one by night, by turns; a page of help
// or of an empty shop one way in each language; in the long tier everything. The quick tier has the accessibility engine look
// once at each page, and which way goes round.
func looks(pg page, language string, turn int) (all []browser.Look) {
	if !browser.Everything() {
		all = []browser.Look{{Language: language, Width: 360, Dark: turn/4%2 == 1}, {Language: language, Width: 1280, Dark: turn/4%2 == 0}}
		if strings.HasPrefix(pg.name, "help-") || strings.HasPrefix(pg.name, "empty-") {
			return all[turn%2 : turn%2+1]
		}
		return all
	}
	for _, width := range []int64{320, 360, 768, 1280, 1920} {
		all = append(all, browser.Look{Language: language, Width: width}, browser.Look{Language: language, Width: width, Dark: true})
	}
	return all
}
