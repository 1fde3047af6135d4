package main

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
)

// TestBrowserRevise changes a released order by its form, looks at what changes, makes the changes, and remakes a panel.
func TestBrowserRevise(t *testing.T) {
	c := startChromium(t)
	s := openShop(t)
	b := c.signIn(t, s)
	f := s.release(t, "SMI-1", manyWindows("2")...)
	f.cutAll(t)
	begun, held := f.panels[0].Ticket, f.panels[1].Ticket
	s.workTo(t, begun, "tape")
	for _, width := range []int64{1280, 360} {
		p := b.tab(t, width, 740, "/")
		look := func(name string) {
			t.Helper()
			if wide := read[int](p, "document.documentElement.scrollWidth"); int64(wide) > width {
				t.Errorf("%s: %d px wide on a screen of %d", name, wide, width)
			}
		}
		p.open("/orders/SMI-1/edit")
		read[string](p, fmt.Sprintf(`(() => { const e = document.querySelector('[name="treatments.0.finished_length"]'); e.value = "%d"; e.dispatchEvent(new Event("input", {bubbles: true})); return e.value })()`, 94-width/1000))
		p.do(chromedp.Click(chromedp.CSS("#taking .bar .main-action")))
		p.wait(`document.querySelector('input[value="confirm"]')`)
		look("preview")
		p.do(chromedp.Click(chromedp.CSS("form button.main-action")))
		p.wait(`document.querySelector('.flag.otherwise')`)
		read[bool](p, `(document.querySelector('details.history').open = true)`)
		look("order")
		p.open("/t/" + begun)
		p.wait(`document.querySelector('.flag.otherwise')`)
		look("ticket")
		p.open("/board")
		look("board")
	}
	s.done(t, s.station, scan(held, "hold", "", "reason", "Scorched at the iron"), nil)
	p := b.tab(t, 360, 740, "/t/"+held)
	read[bool](p, `(document.querySelector('#remake-reason').closest("details").open = true)`)
	read[string](p, `document.querySelector('#remake-reason').value = "A new panel is quicker"`)
	p.do(chromedp.Click(chromedp.CSS("form:has(#remake-reason) button")))
	p.until("the panel is remade", func() bool { return s.look(t, held).State == "cancelled" })
	p.wait(`document.querySelector('article')?.textContent.includes("It is remade")`)
	s.audit(t)
}
