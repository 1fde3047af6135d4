package main

import (
	"testing"

	"github.com/chromedp/chromedp"
)

// TestBrowserTrail asks a number where it comes from, and one of its figures in its turn: each opens in its place. Then
// it asks for the page's help, and finds it.
func TestBrowserTrail(t *testing.T) {
	c := startChromium(t)
	s := openShop(t)
	s.release(t, "SMI-1")
	p := c.signIn(t, s).tab(t, 360, heights[360], "/orders/SMI-1")
	open := func(id string) bool {
		return read[bool](p, `(() => { const e = document.getElementById("`+id+`"), r = e.getBoundingClientRect();
			return e.closest("details").open && r.height > 0 && r.top >= 0 && r.top < innerHeight; })()`)
	}
	if open("w0-flat_width") {
		t.Fatal("a trail is open before anybody asks")
	}
	p.do(chromedp.Evaluate[chromedp.Void](`document.querySelector("details.number:has(#w0-flat_width)").scrollIntoView()`),
		chromedp.Click(chromedp.CSS(`details.number:has(#w0-flat_width) > summary`)))
	if !open("w0-flat_width") {
		t.Error("the number doesn't tell how it came about")
	}
	p.do(chromedp.Click(chromedp.CSS(`#w0-flat_width a[href="#w0-pleats"]`)))
	p.wait(`location.hash === "#w0-pleats"`)
	if !open("w0-pleats") {
		t.Error("the pleats, a figure of the flat width, don't tell how they came about")
	}
	p.do(chromedp.Click(chromedp.CSS(`.foot a[href="/help/order"]`)))
	p.wait(`location.pathname === "/help/order" && document.querySelector("h1")`)
}
