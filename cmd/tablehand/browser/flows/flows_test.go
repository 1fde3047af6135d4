package flows

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// The browser tests do what people do, in a real headless Chromium, and look at what the page then shows.

// TestBrowser plays its parts in one Chromium that they share; each signs in afresh, in a profile of its own.
func TestBrowser(t *testing.T) {
	c := browser.Start(t)
	for _, part := range []struct {
		name string
		play func(*testing.T, *browser.Chromium)
	}{
		{"it hears the console", hearsTheConsole},
		{"a pair from file to invoice", playsAPair},
		{"out of tolerance", staysWithinTolerance},
		{"answers in the band", answersInTheBand},
		{"takes back", takesBack},
		{"works by cards", worksByCards},
		{"reads numbers", readsNumbers},
		{"measures by keypad", measuresByKeypad},
		{"works by a scanner alone", worksByScannerAlone},
		{"speaks to each", speaksToEach},
		{"says what is wrong", saysWhatIsWrong},
		{"a bad order file", showsBadLines},
		{"a new shop", setsUp},
		{"works by phone", worksByPhone},
		{"the work at the first glance", showsTheWork},
		{"catches up", catchesUp},
		{"keeps scans", keepsScans},
		{"many tabs", manyTabs},
	} {
		t.Run(part.name, func(t *testing.T) { part.play(t, c) })
	}
}

// hearsTheConsole holds these tests to their own ears: a script's exception, a breach of the content policy and a
// missing file of ours are each heard.
func hearsTheConsole(t *testing.T, c *browser.Chromium) {
	b := c.SignIn(t, shoptest.Open(t))
	for trouble, script := range map[string]string{
		"exception":        `setTimeout(() => { throw new Error("thrown") })`,
		"script's own":     `console.error("said")`,
		"Content Security": `document.body.append(Object.assign(document.createElement("script"), {textContent: "1"}))`,
		"/assets/0/none":   `fetch("/assets/0/none.js")`,
	} {
		ctx, closeTab := chromedp.NewContext(b.Ctx)
		defer closeTab()
		p := b.Listen(t, ctx, 800, 600)
		p.Open("/board")
		p.Do(chromedp.Evaluate[chromedp.Void](script + "; undefined"))
		p.Until("hear "+trouble, func() bool { return strings.Contains(strings.Join(p.Heard(), "\n"), trouble) })
	}
}
