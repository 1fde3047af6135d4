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
	s, empty := shoptest.OpenSecure(t), shoptest.Open(t)
	prepare := func(p *browser.Tab) { p.Bring(engine + ";" + browser.LookScript) }
	var visitors []*visitor
	for _, language := range i18n.Languages() {
		visitors = append(visitors, newVisitor(t, c, s, language, prepare))
	}
	visitors[0].enter(empty, "") // which sets it up
	copied(visitors[0].enter(s, ""))
	pages := everyPage(t, fillShop(t, s), empty)
	t.Run("it opens every page", func(t *testing.T) { everyRoute(t, pages) })
	been := map[string]bool{}
	for i, pg := range wanted(pages) {
		said := map[string][]string{}
		address, _, _ := strings.Cut(pg.path, "?")
		another := been[pg.by+address] || plain(pg.name)
		been[pg.by+address] = true
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

// plain are pages of words and lists, or those of an empty shop, that differ little from others: as further states of a page, which
// the long tier alone sees in both languages.
func plain(name string) bool {
	return slices.ContainsFunc([]string{"help-", "empty-", "ticket-", "enter", "invoice", "credit", "device", "order-ended", "order-cl", "week-"}, func(start string) bool {
		return strings.HasPrefix(name, start)
	})
}

// looks are how a page is looked at: in the long tier everything. The quick tier looks at it once in each language, in one at a
// phone's width, in the other at a desk's, one by day and one by night, and which way goes round from page to page.
func looks(language string, turn int) (all []browser.Look) {
	if !browser.Everything() {
		return []browser.Look{{Language: language, Width: []int64{360, 1280}[turn%2], Dark: turn/2%2 == 1}}
	}
	for _, width := range []int64{320, 360, 768, 1280, 1920} {
		all = append(all, browser.Look{Language: language, Width: width}, browser.Look{Language: language, Width: width, Dark: true})
	}
	return all
}
