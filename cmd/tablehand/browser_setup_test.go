package main

import (
	"testing"

	"github.com/chromedp/chromedp"
)

// setUp fills in what a new shop is asked: its first sign-in leads there.
func (p *tab) setUp(name string) {
	p.t.Helper()
	p.wait(`document.querySelector('[name="zone"]')?.value`) // the browser's own
	p.do(chromedp.SendKeys(chromedp.CSS(`[name="shop_name"]`), name), chromedp.Click(chromedp.CSS(`form[action="/setup"] .main-action`)))
	p.wait(`location.pathname === "/check" && document.querySelector('.said')`)
}

// setsUp walks from the first sign-in of a new shop to its self-check: the clocks are compared, everything is looked
// at, a copy is made, and the shop has its name.
func setsUp(t *testing.T, c *chromium) {
	s := openShop(t)
	p := c.signIn(t, s).tab(t, 360, 740, "/check")
	p.wait(`document.querySelector('[data-clock-at].done')`)
	p.do(chromedp.Click(chromedp.CSS(`form[action="/check"] button`)))
	p.wait(`document.querySelectorAll('.said.done').length >= 3`) // the address answers, the books agree, the clock does
	p.do(chromedp.Click(chromedp.CSS(`form[action="/check/backup"] button`)))
	p.wait(`document.querySelector('a[href="/check/backup"]')`)
	p.open("/")
	if name := p.sees(".shop"); name != "Saltmarsh Workroom" {
		t.Errorf("the shop is called %q", name)
	}
	p.open("/settings")
	p.do(chromedp.SendKeys(chromedp.CSS(`[name="shop_name"]`), " & Sons"), chromedp.Click(chromedp.CSS(`form[action="/settings"] .main-action`)))
	p.wait(`document.querySelector('.said') && document.querySelector('[name="shop_name"]').value .includes("& Sons")`)
}
