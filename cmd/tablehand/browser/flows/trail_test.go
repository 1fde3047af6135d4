package flows

import (
	"testing"

	"github.com/chromedp/chromedp"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// TestBrowserTrail asks a number where it comes from, and one of its figures in its turn: each opens in its place. Then
// it asks for the page's help, and finds it.
func TestBrowserTrail(t *testing.T) {
	c := browser.Start(t)
	s := shoptest.Open(t)
	s.Release(t, "SMI-1")
	p := c.SignIn(t, s).Tab(t, 360, browser.Heights[360], "/orders/SMI-1")
	open := func(id string) bool {
		return browser.Read[bool](p, `(() => { const e = document.getElementById("`+id+`"), r = e.getBoundingClientRect();
			return e.closest("details").open && r.height > 0 && r.top >= 0 && r.top < innerHeight; })()`)
	}
	if open("w0-flat_width") {
		t.Fatal("a trail is open before anybody asks")
	}
	p.Do(chromedp.Evaluate[chromedp.Void](`document.querySelector("details.group:has(#w0-flat_width)").open = true;
		document.querySelector("details.number:has(#w0-flat_width)").scrollIntoView()`),
		chromedp.Click(chromedp.CSS(`details.number:has(#w0-flat_width) > summary`)))
	if !open("w0-flat_width") {
		t.Error("the number doesn't tell how it came about")
	}
	p.Do(chromedp.Click(chromedp.CSS(`#w0-flat_width a[href="#w0-pleats"]`)))
	p.Wait(`location.hash === "#w0-pleats"`)
	if !open("w0-pleats") {
		t.Error("the pleats, a figure of the flat width, don't tell how they came about")
	}
	p.Do(chromedp.Click(chromedp.CSS(`.foot a[href="/help/order"]`)))
	p.Wait(`location.pathname === "/help/order" && document.querySelector("h1")`)
}
