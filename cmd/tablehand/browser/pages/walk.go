package pages

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"tablehand/cmd/tablehand/browser"
	"tablehand/views/i18n"
)

// heaviest is what the first load of a page may weigh over the wire, in bytes, long lists of rows not counted.
const heaviest = 60_000

// Walk walks through a part of the pages in each language and holds them to what people who read, hear or touch them need:
// the rules of the accessibility engine, targets that a thumb hits, text that is whole, in one language and on no other text,
// a quiet console, no other host, and little to load.
func Walk(t *testing.T, part func(*testing.T, *BusyShop) []Page) {
	c := browser.Start(t)
	engine := axeScript(t)
	b, visitors := openShops(t, c, i18n.Languages(), func(p *browser.Tab) { p.Bring(engine + ";" + browser.LookScript) })
	been := map[string]bool{}
	for i, pg := range wanted(part(t, b)) {
		said := map[string][]string{}
		another := been[pg.kind()]
		been[pg.kind()] = true
		faults := browser.FaultsSeen{}
		for j, v := range visitors {
			if another && !browser.Everything() && j != i%len(visitors) { // the quick tier sees another state of a page in one language
				continue
			}
			p := v.visit(pg)
			said[v.language] = browser.Read[[]string](p, "look.words()")
			for _, l := range looks(v.language, i+j) {
				p.As(l)
				faults.Add(l.String(), browser.Read[[]string](p, "look.faults()"))
				if browser.Everything() || another || j == i/2%len(visitors) {
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

// looks are how a page is looked at: in the long tier everything. The quick tier looks at it once in each language, in one at
// the smallest phone's width, in the other at a desk's, one by day and one by night, and which way goes round from page to page.
func looks(language string, turn int) (all []browser.Look) {
	if !browser.Everything() {
		return []browser.Look{{Language: language, Width: []int64{320, 1280}[turn%2], Dark: turn/2%2 == 1}}
	}
	for _, width := range []int64{320, 360, 768, 1280, 1920} {
		all = append(all, browser.Look{Language: language, Width: width}, browser.Look{Language: language, Width: width, Dark: true})
	}
	return all
}
