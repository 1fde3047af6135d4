package flows

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// still is what a page may shift by itself: what the browser's own sum of layout shifts calls nothing.
const still = 0.001

// watchShifts notes what moves on a page while nobody touches it, and counts how often the page was fetched anew.
const watchShifts = `window.shifts = []; window.fetched = 0;
	new PerformanceObserver((list) => { for (const e of list.getEntries()) if (!e.hadRecentInput) shifts.push({ value: e.value,
		by: e.sources.map((s) => (s.node?.parentElement?.className ?? "") + " " + (s.node?.tagName ?? "") + "." + (s.node?.className?.baseVal ?? s.node?.className ?? "") + "#" + (s.node?.id ?? "") + " from " + Math.round(s.previousRect.y) + " to " + Math.round(s.currentRect.y)).join(", ") }); })
		.observe({ type: "layout-shift", buffered: true });
	document.addEventListener("cloth:fresh", () => { fetched++; });`

type shift struct {
	Value float64
	By    string
}

// TestBrowserStandsStill leaves pages open while others scan, hold, release and finish: what a page shows changes,
// and nothing on it jumps.
func TestBrowserStandsStill(t *testing.T) {
	c := browser.Start(t)
	s := shoptest.Open(t)
	var b *browser.Session
	f := s.Release(t, "SMI-1", shoptest.ManyWindows("4")...)
	f.CutAll(t)
	own, other := f.Panels[0].Ticket, f.Panels[1].Ticket
	s.Start(t, s.Office, own)
	pages := map[string]*browser.Tab{}
	for i, at := range []struct {
		path  string
		width int64
	}{{"/", 1280}, {"/", 360}, {"/board", 1280}, {"/board", 360}, {"/orders", 1280}, {"/orders/SMI-1", 1280}, {"/screen", 1920}, {"/ready", 1280},
		{"/station/joining?ticket=" + own, 1280}, {"/station/joining?ticket=" + own, 360}, {"/t/" + own, 360}} {
		if i%4 == 0 { // a browser keeps six connections to a server, and each page's stream takes one
			b = c.SignIn(t, s)
		}
		p := b.Tab(t, at.width, browser.Heights[at.width], "/hello")
		p.Bring(watchShifts)
		p.Open(at.path)
		p.Wait("document.fonts.status === 'loaded'")
		pages[fmt.Sprintf("%s at %d px", at.path, at.width)] = p
	}
	moves := []struct {
		name string
		make func()
	}{
		{"a start", func() { s.Start(t, s.Station, other) }},
		{"a finish", func() { s.Finish(t, s.Station, other, s.Look(t, other).Step) }},
		{"a hold", func() {
			s.Done(t, s.Station, shoptest.Scan(f.Panels[2].Ticket, "hold", "", "reason", "Flaw in the middle of the second width"), nil)
		}},
		{"a release from hold", func() { s.Done(t, s.Station, shoptest.Scan(f.Panels[2].Ticket, "resume", ""), nil) }},
		{"a new order", func() { s.Release(t, "SMI-2", shoptest.ManyWindows("2")...) }},
		{"a finished panel", func() { s.WorkTo(t, other, "") }},
	}
	for _, move := range moves {
		seen := map[string]int{}
		for name, p := range pages {
			seen[name] = browser.Read[int](p, "fetched")
			p.Do(chromedp.Evaluate[chromedp.Void]("shifts.length = 0"))
		}
		move.make()
		newest := s.Board(t).Seq
		for name, p := range pages {
			p.Wait(fmt.Sprintf("fetched > %d", seen[name]))
			p.Until("show what was done", func() bool { // what came in while it was fetched is fetched again
				before := browser.Read[int](p, "fetched")
				browser.Read[bool](p, "new Promise((done) => setTimeout(() => requestAnimationFrame(() => done(true)), 150))", chromedp.EvalAwaitPromise)
				return browser.Read[int](p, "fetched") == before
			})
			var sum float64
			var by []string
			for _, moved := range browser.Read[[]shift](p, "shifts") {
				sum += moved.Value
				by = append(by, moved.By)
			}
			if sum > still {
				t.Errorf("%s: after %s (%d) it shifts by %.4f: %s", name, move.name, newest, sum, strings.Join(by, "; "))
			}
		}
	}
	p := pages["/orders at 1280 px"] // and a jump would be seen
	p.Do(chromedp.Evaluate[chromedp.Void](`shifts.length = 0; document.querySelector("main").prepend(...["Something", "new", "came"].map((text) => Object.assign(document.createElement("h1"), { textContent: text })))`))
	p.Wait(fmt.Sprintf("shifts.reduce((sum, s) => sum + s.value, 0) > %g", still))
}
