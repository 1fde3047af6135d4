package main

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// worksByCards works the open ticket with nothing but a scanner for its commands: what is filled in and ticked goes
// along with the card that finishes, a card that a scanner types into an entry is a card all the same, and what was
// typed outlives a hold.
func worksByCards(t *testing.T, c *chromium) {
	s := openShop(t)
	b := c.signIn(t, s)
	f := s.release(t, "SMI-1")
	f.cutAll(t)
	panel := f.panels[0].Ticket
	bench := b.tab(t, 1280, 800, "/station/joining")

	bench.scan("DO START", "refused") // nothing is open yet
	bench.do(chromedp.Click(chromedp.CSS(fmt.Sprintf(`#queue a[href*="%s"]`, panel))))
	bench.wait(fmt.Sprintf(`document.querySelector('#open article[data-code="%s"]')`, panel))
	s.expect(t, panel, "joining", "ready")
	bench.scan("DO START", "done")
	bench.wait(`document.querySelector('#open article[data-state="at_work"]')`)
	bench.scan("DO FINISH", "refused") // nothing is filled in
	st := s.expect(t, panel, "joining", "at_work").Step

	for _, e := range st.Enter {
		bench.fillIn(e, bench.beside(e))
	}
	bench.tick(st)
	bench.do(chromedp.Evaluate[chromedp.Void](`document.getElementById("answer").replaceChildren()`))
	bench.turnTo("flat_width")
	bench.do(chromedp.SendKeys(chromedp.CSS("#entry-flat_width"), "DO HOLD MACHINE\r"))
	bench.wait(`document.querySelector('#answer .said.done')`)
	bench.wait(`document.querySelector('#open article[data-state="held"]')`)
	s.expect(t, panel, "joining", "held")
	if why := bench.sees("#open .note.held"); !strings.Contains(why, "Machine is down") {
		t.Errorf("held because %q", why)
	}
	bench.scan("DO RESUME", "done")
	bench.wait(`document.querySelector('#open article[data-state="at_work"]')`)
	bench.scan("DO FINISH", "done")
	s.expect(t, panel, "fold", "ready")
	bench.scan("do undo", "done")
	s.expect(t, panel, "joining", "at_work")
}
