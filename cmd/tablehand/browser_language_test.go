package main

import (
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// speaksToEach chooses a language at the foot of a page for the one who works there: it comes back with that person at
// any bench, and a screen has one of its own by its address.
func speaksToEach(t *testing.T, c *chromium) {
	s := openShop(t)
	b := c.signIn(t, s)
	bench := b.tab(t, 1280, 800, "/station/fold")
	lang := func(p *tab, want string) { p.t.Helper(); p.wait(`document.documentElement.lang === "` + want + `"`) }
	works := func(p *tab, name string) {
		p.t.Helper()
		p.do(chromedp.Evaluate[chromedp.Void](`document.getElementById("person").value = ""; undefined`))
		p.do(chromedp.SendKeys(chromedp.CSS("#person"), name+kb.Enter))
	}
	lang(bench, "en")
	works(bench, "Inés")
	bench.hit(`.tongues [value="es"]`)
	lang(bench, "es")
	if title := bench.sees("h1"); title == "Heading fold" || title == "" {
		t.Errorf("in Spanish the station is called %q", title)
	}
	works(bench, "Bo") // who never chose: the bench's own, which Inés has turned to Spanish
	lang(bench, "es")
	bench.hit(`.tongues [value="en"]`)
	lang(bench, "en")
	other := c.signIn(t, s).tab(t, 360, 740, "/station/tape")
	lang(other, "en")
	works(other, "Inés")
	lang(other, "es")
	works(other, "Bo")
	lang(other, "en")
	screen := b.tab(t, 1920, 1080, "/screen?language=es")
	lang(screen, "es")
	lang(bench, "en")
}
