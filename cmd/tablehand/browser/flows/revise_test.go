package flows

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// TestBrowserRevise changes a released order by its form, looks at what changes, makes the changes, and remakes a panel.
func TestBrowserRevise(t *testing.T) {
	c := browser.Start(t)
	s := shoptest.Open(t)
	b := c.SignIn(t, s)
	f := s.Release(t, "SMI-1", shoptest.ManyWindows("2")...)
	f.CutAll(t)
	begun, held := f.Panels[0].Ticket, f.Panels[1].Ticket
	s.WorkTo(t, begun, "tape")
	for _, width := range []int64{1280, 360} {
		p := b.Tab(t, width, 740, "/")
		look := func(name string) {
			t.Helper()
			if wide := browser.Read[int](p, "document.documentElement.scrollWidth"); int64(wide) > width {
				t.Errorf("%s: %d px wide on a screen of %d", name, wide, width)
			}
		}
		p.Open("/orders/SMI-1/edit")
		browser.Read[string](p, fmt.Sprintf(`(() => { const e = document.querySelector('[name="treatments.0.finished_length"]'); e.value = "%d"; e.dispatchEvent(new Event("input", {bubbles: true})); return e.value })()`, 94-width/1000))
		p.Do(chromedp.Click(chromedp.CSS("#taking .bar .main-action")))
		p.Wait(`document.querySelector('input[value="confirm"]')`)
		look("preview")
		p.Do(chromedp.Click(chromedp.CSS("form button.main-action")))
		p.Wait(`document.querySelector('.flag.otherwise') && document.querySelector('details.history')`)
		browser.Read[bool](p, `(document.querySelector('details.history').open = true)`)
		look("order")
		p.Open("/t/" + begun)
		p.Wait(`document.querySelector('.flag.otherwise')`)
		look("ticket")
		p.Open("/board")
		look("board")
	}
	s.Done(t, s.Station, shoptest.Scan(held, "hold", "", "reason", "Scorched at the iron"), nil)
	p := b.Tab(t, 360, 740, "/t/"+held)
	browser.Read[bool](p, `(document.querySelector('#remake-reason').closest("details").open = true)`)
	browser.Read[string](p, `document.querySelector('#remake-reason').value = "A new panel is quicker"`)
	p.Do(chromedp.Click(chromedp.CSS("form:has(#remake-reason) button")))
	p.Until("the panel is remade", func() bool { return s.Look(t, held).State == "cancelled" })
	p.Wait(`document.querySelector('article')?.textContent.includes("It is remade")`)
	s.Audit(t)
}
