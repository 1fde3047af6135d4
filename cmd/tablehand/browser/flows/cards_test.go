package flows

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// worksByCards works the open ticket with nothing but a scanner for its commands: what is filled in and ticked goes
// along with the card that finishes, a card that a scanner types into an entry is a card all the same, and what was
// typed outlives a hold.
func worksByCards(t *testing.T, c *browser.Chromium) {
	s := shoptest.Open(t)
	b := c.SignIn(t, s)
	f := s.Release(t, "SMI-1")
	f.CutAll(t)
	panel := f.Panels[0].Ticket
	bench := b.Tab(t, 1280, 800, "/station/joining")

	bench.Scan("DO START", "refused") // nothing is open yet
	bench.Do(chromedp.Click(chromedp.CSS(fmt.Sprintf(`#queue a[href*="%s"]`, panel))))
	bench.Wait(fmt.Sprintf(`document.querySelector('#open article[data-code="%s"]')`, panel))
	s.Expect(t, panel, "joining", "ready")
	bench.Scan("DO START", "done")
	bench.Wait(`document.querySelector('#open article[data-state="at_work"]')`)
	bench.Scan("DO FINISH", "refused") // nothing is filled in
	st := s.Expect(t, panel, "joining", "at_work").Step

	for _, e := range st.Enter {
		bench.FillIn(e, bench.Beside(e))
	}
	bench.Unsaid()
	bench.Other("flat_width")
	bench.Do(chromedp.SendKeys(chromedp.CSS("#entry-flat_width"), "DO HOLD MACHINE\r"))
	bench.Wait(`document.querySelector('#answer .said.held')`)
	bench.Wait(`document.querySelector('#open article[data-state="held"]')`)
	s.Expect(t, panel, "joining", "held")
	if why := bench.Sees("#open .note.held"); !strings.Contains(why, "Machine is down") {
		t.Errorf("held because %q", why)
	}
	bench.Scan("DO RESUME", "done")
	bench.Wait(`document.querySelector('#open article[data-state="at_work"]')`)
	bench.Unsaid()
	bench.Tick()
	bench.Finishes("done")
	s.Expect(t, panel, "fold", "ready")
	bench.Scan("do undo", "done")
	s.Expect(t, panel, "joining", "at_work")
}
