package flows

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// TestBrowserTable cuts one piece at a time: after two a flaw is found, and the next lies behind it; a spoilt one is cut
// again; where the cloth no longer suffices the office goes on with a reason, on the ticket, and all is finished.
func TestBrowserTable(t *testing.T) {
	c := browser.Start(t)
	s := shoptest.Open(t)
	f := s.Release(t, "SMI-1", ", flaws: [{from: 7 yd, to: 7 yd 3 in}]", "", "{id: R1, length: 40 yd", "{id: R1, length: 30 yd")
	code := f.Cutting[0].Ticket
	s.Done(t, s.Station, shoptest.Scan(code, "start", "cutting"), nil)
	p := c.SignIn(t, s).Tab(t, 360, 740, "/station/cutting?ticket="+code)
	look := func(name string) {
		t.Helper()
		if wide := browser.Read[int](p, "document.documentElement.scrollWidth"); wide > 360 {
			t.Errorf("%s: %d px wide on a screen of 360", name, wide)
		}
		if folder := os.Getenv("TABLEHAND_SHOTS"); folder != "" {
			if png, err := chromedp.Run(p.Ctx, chromedp.FullScreenshot(100)); err == nil {
				_ = os.WriteFile(folder+"/"+name+".png", png, 0o600)
			}
		}
	}
	shows := func(text string) {
		t.Helper()
		p.Wait(fmt.Sprintf(`document.querySelector("#table").textContent.includes(%q)`, text))
	}
	fill := func(selector, value string) {
		t.Helper()
		browser.Read[string](p, fmt.Sprintf(`(() => { const e = document.querySelector(%q); e.closest("details").open = true; return e.value = %q })()`, selector, value))
	}
	shows("Cut 1 of 5")
	look("table-begin")
	p.Hit(".cut-it")
	p.Wait(`document.querySelector('#answer .said.done')`)
	shows("Cut 2 of 5")
	p.Press(".bar .main-action", "done")
	shows("Cut 3 of 5")
	look("table-two")
	fill("#flaw-from", "20")
	fill("#flaw-to", "23")
	p.Hit(`#flaw button[value="flaw"]`)
	p.Wait(`document.querySelector("#table .hero") && document.querySelector("#table").textContent.includes("270")`) // 243 + 23 is 266: the next start on the pattern
	if off := p.Sees(".off-bolts"); !strings.Contains(off, "flaw") {
		t.Errorf("the flaw isn't shown: %q", off)
	}
	look("table-flaw")
	fill("#spoil-cut", "2")
	fill("#spoil-reason", "scissors slipped")
	p.Hit(`#spoil button[value="spoil"]`)
	shows("Cut 2 of 5")
	s.Done(t, s.Station, shoptest.Scan(code, "rest", "", "bolt", "R1-SMI-1", "length", "300"), map[string]string{"state": "held"})
	p.Wait(`document.querySelector("article.is-held")`)
	look("table-held")
	browser.Read[string](p, `document.querySelector("#accept-reason").value = "Another bolt is on its way"`)
	p.Hit(".bar .main-action")
	p.Wait(`document.querySelector("article.is-at_work")`)
	for n := 2; n < 6; n++ {
		shows(fmt.Sprintf("Cut %d of 5", n))
		p.Press(".bar .main-action", "done")
	}
	shows("All is cut")
	s.Finish(t, s.Station, code, s.Look(t, code).Step)
	s.Expect(t, code, "cutting", "finished")
	s.Audit(t)
}
