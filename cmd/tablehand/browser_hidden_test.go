package main

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
)

// hide makes a page believe that nobody sees it, as in a tab behind another, or that it is seen again.
func (p *tab) hide(hidden bool) {
	p.t.Helper()
	p.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`Object.defineProperty(document, "hidden", { configurable: true, get: () => %v });
		document.dispatchEvent(new Event("visibilitychange"))`, hidden)))
}

// manyTabs opens more pages than a browser has connections to one server, each then behind the next. All load, and
// the first, seen again, is as the floor is.
func manyTabs(t *testing.T, c *chromium) {
	s := openShop(t)
	b := c.signIn(t, s)
	f := s.release(t, "SMI-1")
	f.cutAll(t)
	panel := f.panels[0].Ticket
	var pages []*tab
	for range 8 {
		p := b.tab(t, 1280, 800, "/board")
		p.wait(hangsAt(panel) + " === 1")
		p.hide(true)
		pages = append(pages, p)
	}
	s.workTo(t, panel, "tape")
	pages[0].hide(false)
	pages[0].wait(hangsAt(panel) + " === 3")
	s.workTo(t, panel, "pull_up") // and it follows the floor again
	pages[0].wait(hangsAt(panel) + " === 4")
}
