package main

import (
	"context"
	_ "embed"
	"fmt"
	"maps"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	cdpnet "github.com/chromedp/cdproto/network"
	cdppage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"tablehand/views/i18n"
)

//go:embed testdata/look.js
var lookScript string

// heaviest is what the first load of a page may weigh over the wire, in bytes, long lists of rows not counted.
const heaviest = 60_000

// TestBrowserPages walks through every page in each language and holds it to what people who read, hear or touch it
// need: the rules of the accessibility engine, targets that a thumb hits, text that is whole, in one language and on no
// other text, a quiet console, no other host, and little to load.
func TestBrowserPages(t *testing.T) {
	c := startChromium(t)
	axe := axeScript(t)
	t.Run("it sees faults", func(t *testing.T) { findsFaults(t, c) })
	s, empty := openShop(t), openShop(t)
	prepare := func(p *tab) { p.bring(axe + ";" + lookScript) }
	var visitors []*visitor
	for _, language := range i18n.Languages() {
		visitors = append(visitors, newVisitor(t, c, s, language, prepare))
	}
	visitors[0].enter(empty, "") // which sets it up
	visitors[0].enter(s, "")
	pages := everyPage(t, fillShop(t, s), empty)
	for i, pg := range wanted(pages) {
		said := map[string][]string{}
		faults := faultsSeen{}
		for j, v := range visitors {
			p := v.visit(pg)
			said[v.language] = read[[]string](p, "look.words()")
			for k, l := range looks(v.language, i) {
				p.as(l)
				faults.add(l.String(), read[[]string](p, "look.faults()"))
				if everything() || j == i%len(visitors) && k == i/2%2 {
					faults.add(l.String(), p.axe())
				}
			}
			_, abroad := p.traffic.sums()
			faults.add(v.language, p.newlyHeard())
			faults.add(v.language, abroad)
			if p.weighs > heaviest {
				faults.add(v.language, []string{fmt.Sprintf("heavy: %d bytes", p.weighs)})
			}
			t.Logf("%-28s %s %6d bytes", pg.name, v.language, p.weighs)
		}
		for language, words := range said {
			faults.add(language, untranslated(language, words, said["en"]))
		}
		for _, fault := range slices.Sorted(maps.Keys(faults)) {
			t.Errorf("%s (%s): %s [%s]", pg.name, pg.path, fault, strings.Join(faults[fault], "; "))
		}
	}
}

// everything reports whether this is the long tier.
func everything() bool { return os.Getenv("TABLEHAND_LONG") != "" }

// looks are how a page is looked at: at a phone's and a desk's width, one by day and one by night, by turns; in the
// long tier everything. The quick tier has the accessibility engine look once at each page, and which way goes round.
func looks(language string, turn int) (all []look) {
	if !everything() {
		return []look{{language, 360, turn/4%2 == 1}, {language, 1280, turn/4%2 == 0}}
	}
	for _, width := range []int64{320, 360, 768, 1280, 1920} {
		all = append(all, look{language, width, false}, look{language, width, true})
	}
	return all
}

// faultsSeen tells of each fault where it was seen.
type faultsSeen map[string][]string

func (f faultsSeen) add(where string, faults []string) {
	for _, fault := range faults {
		f[fault] = append(f[fault], where)
	}
}

// bring has a script in every page of the tab before the page's own. It comes by the browser, not by the page, so the
// page's content policy stays as it is.
func (p *tab) bring(script string) {
	p.t.Helper()
	p.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, cdppage.AddScriptToEvaluateOnNewDocument, cdppage.AddScriptToEvaluateOnNewDocumentParams{Source: script})
		return err
	}), chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, cdpnet.SetCacheDisabled, cdpnet.SetCacheDisabledParams{CacheDisabled: true}) // each load is a first one
		return err
	}))
}

// showsTheWork holds every station to showing its main action and its first number, both large, without scrolling.
func showsTheWork(t *testing.T, c *chromium) {
	s := openShop(t)
	b := c.signIn(t, s)
	f := s.release(t, "SMI-1")
	phone := b.tab(t, 360, 640, "/")
	glance := func(path string) {
		t.Helper()
		phone.open(path)
		action := box(phone, ".main-action")
		if action.height < 48 || action.top < 0 || action.bottom > 640 {
			t.Errorf("%s: the main action is %v, want at least 48 px high and in view", path, action)
		}
		number := box(phone, ".is-current .hero-number")
		action.top = min(action.top, read[float64](phone, `document.querySelector(".keypad:not([hidden])")?.closest(".entries").getBoundingClientRect().top ?? 640`))
		if size := read[float64](phone, `parseFloat(getComputedStyle(document.querySelector('.is-current .hero-number')).fontSize)`); size < 48 || number.top < 0 || number.height == 0 || number.bottom > action.top {
			t.Errorf("%s: the first number is set in %.0f px at %v, want at least 48 and in view above what is pressed at %v", path, size, number, action)
		}
	}
	work := func(code, station string) {
		t.Helper()
		for _, path := range []string{"/station/" + station + "?ticket=" + code, "/t/" + code} {
			glance(path) // ready
		}
		st := s.start(t, s.station, code)
		for _, path := range []string{"/station/" + station + "?ticket=" + code, "/t/" + code} {
			glance(path) // at work
		}
		s.finish(t, s.station, code, st)
	}
	for _, piece := range f.cutting {
		work(piece.Ticket, "cutting")
	}
	for _, station := range routeSeen[1:] {
		work(f.panels[0].Ticket, station.key)
	}
}

type edges struct{ top, bottom, height float64 }

// box is where the first element of a selector lies, above the page when there is none.
func box(p *tab, selector string) edges {
	p.t.Helper()
	got := read[[]float64](p, fmt.Sprintf(`(() => { const r = document.querySelector(%q)?.getBoundingClientRect(); return r ? [r.top, r.bottom, r.height] : [-1, -1, 0]; })()`, selector))
	return edges{got[0], got[1], got[2]}
}
