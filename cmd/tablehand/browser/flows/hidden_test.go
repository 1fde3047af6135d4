package flows

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// hide makes a page believe that nobody sees it, as in a tab behind another, or that it is seen again.
func hide(p *browser.Tab, hidden bool) {
	p.T.Helper()
	p.Do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`Object.defineProperty(document, "hidden", { configurable: true, get: () => %v });
		document.dispatchEvent(new Event("visibilitychange"))`, hidden)))
}

// manyTabs opens more pages than a browser has connections to one server, each then behind the next. All load, and
// the first, seen again, is as the floor is.
func manyTabs(t *testing.T, c *browser.Chromium) {
	s := shoptest.Open(t)
	b := c.SignIn(t, s)
	f := s.Release(t, "SMI-1")
	f.CutAll(t)
	panel := f.Panels[0].Ticket
	var pages []*browser.Tab
	for range 8 {
		p := b.Tab(t, 1280, 800, "/board")
		p.Wait(hangsAt(panel) + " === 1")
		hide(p, true)
		pages = append(pages, p)
	}
	s.WorkTo(t, panel, "tape")
	hide(pages[0], false)
	pages[0].Wait(hangsAt(panel) + " === 3")
	s.WorkTo(t, panel, "pull_up") // and it follows the floor again
	pages[0].Wait(hangsAt(panel) + " === 4")
}
