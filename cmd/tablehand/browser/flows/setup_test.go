package flows

import (
	"testing"

	"github.com/chromedp/chromedp"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// setsUp walks from the first sign-in of a new shop to its self-check: the clocks are compared, everything is looked
// at, a copy is made, and the shop has its name.
func setsUp(t *testing.T, c *browser.Chromium) {
	s := shoptest.Open(t)
	p := c.SignIn(t, s).Tab(t, 360, 740, "/check")
	p.Wait(`document.querySelector('[data-clock-at].done')`)
	p.Do(chromedp.Click(chromedp.CSS(`form[action="/check"] button`)))
	p.Wait(`document.querySelectorAll('.said.done').length >= 3`) // the address answers, the books agree, the clock does
	p.Do(chromedp.Click(chromedp.CSS(`form[action="/check/backup"] button`)))
	p.Wait(`document.querySelector('a[href="/check/backup"]')`)
	p.Open("/check/backup")
	p.Do(chromedp.SendKeys(chromedp.CSS(`[name="passphrase"]`), "not that one at all"), chromedp.Click(chromedp.CSS(`form[action="/check/backup"] button`)))
	p.Wait(`document.querySelector('.said.refused')`)
	p.Open("/")
	if name := p.Sees(".shop"); name != "Saltmarsh Workroom" {
		t.Errorf("the shop is called %q", name)
	}
	p.Open("/settings")
	p.Do(chromedp.SendKeys(chromedp.CSS(`[name="shop_name"]`), " & Sons"), chromedp.Click(chromedp.CSS(`form[action="/settings"] .main-action`)))
	p.Wait(`document.querySelector('.said') && document.querySelector('[name="shop_name"]').value .includes("& Sons")`)
}
