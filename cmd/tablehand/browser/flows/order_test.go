package flows

import (
	"strings"
	"testing"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// TestBrowserOrderIsShort: the page of two windows alike is read in two looks at a desk, nothing unfolded; where the panels are
// stands in the first.
func TestBrowserOrderIsShort(t *testing.T) {
	c := browser.Start(t)
	s := shoptest.Open(t)
	second := "  - {window: Bay right, room: 14, heading: cartridge-tape, tape: cart-4, draw: pair, face_width: 84, return: 3 1/2, overlap: 6, finished_length: 95 1/2, face: reed, lining: sateen}\n"
	file := shoptest.OrderFile(t, "TWO", "length: 40 yd", "length: 80 yd", "length: 20 yd", "length: 80 yd") + second
	s.Ask(t, shoptest.Request{As: s.Office, Do: "POST /api/orders", Send: file, Status: 201})
	s.Ask(t, shoptest.Request{As: s.Office, Do: "POST /api/orders/TWO/release", Send: shoptest.Fields{}, Status: 200})
	p := c.SignIn(t, s).Tab(t, 1280, 800, "/orders/TWO")
	if kinds := browser.Read[int](p, `document.querySelectorAll("section.window").length`); kinds != 1 {
		t.Fatalf("two windows alike are shown %d times", kinds)
	}
	if high := browser.Read[int](p, "document.documentElement.scrollHeight"); high > 1700 {
		t.Errorf("the page is %d px high", high)
	}
	if y := browser.Read[float64](p, `document.querySelector(".own-rod").getBoundingClientRect().bottom`); y > 800 {
		t.Errorf("where the panels are ends at %.0f px", y)
	}
	places := browser.Read[string](p, `[...document.querySelectorAll(".plan text")].map((e) => e.textContent).join(" ")`)
	for _, want := range []string{"3 3⁄4", "120 3⁄4", "21 3⁄8"} {
		if !strings.Contains(places, want) {
			t.Errorf("the drawing doesn't letter %s: %s", want, places)
		}
	}
}
