package flows

import (
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// speaksToEach chooses a language at the foot of a page for the one who works there: it comes back with that person at
// any bench, and a screen has one of its own by its address.
func speaksToEach(t *testing.T, c *browser.Chromium) {
	s := shoptest.Open(t)
	b := c.SignIn(t, s)
	bench := b.Tab(t, 1280, 800, "/station/fold")
	lang := func(p *browser.Tab, want string) {
		p.T.Helper()
		p.Wait(`document.documentElement.lang === "` + want + `"`)
	}
	works := func(p *browser.Tab, name string) {
		p.T.Helper()
		p.Do(chromedp.Evaluate[chromedp.Void](`document.getElementById("person").value = ""; undefined`))
		p.Do(chromedp.SendKeys(chromedp.CSS("#person"), name+kb.Enter))
	}
	lang(bench, "en")
	works(bench, "Inés")
	bench.Hit(`.tongues [value="es"]`)
	lang(bench, "es")
	if title := bench.Sees("h1"); title == "Heading fold" || title == "" {
		t.Errorf("in Spanish the station is called %q", title)
	}
	works(bench, "Bo") // who never chose: the bench's own, which Inés has turned to Spanish
	lang(bench, "es")
	bench.Hit(`.tongues [value="en"]`)
	lang(bench, "en")
	other := c.SignIn(t, s).Tab(t, 360, 740, "/station/tape")
	lang(other, "en")
	works(other, "Inés")
	lang(other, "es")
	works(other, "Bo")
	lang(other, "en")
	screen := b.Tab(t, 1920, 1080, "/screen?language=es")
	lang(screen, "es")
	lang(bench, "en")
}
