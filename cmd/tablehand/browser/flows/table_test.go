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
	look, shows, fill := eyesAt(t, p, 360)
	shows("Cut 1 of 5")
	look("table-begin")
	p.Hit(".bar .main-action")
	p.Answered("done")
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

// eyesAt are what the tests of the cutting table do at its page of that width: look at the whole of it, wait until the table shows a text,
// and fill in a field of one of its folds.
func eyesAt(t *testing.T, p *browser.Tab, width int) (look, shows func(string), fill func(selector, value string)) {
	look = func(name string) {
		t.Helper()
		if wide := browser.Read[int](p, "document.documentElement.scrollWidth"); wide > width {
			t.Errorf("%s: %d px wide on a screen of %d", name, wide, width)
		}
		if folder := os.Getenv("TABLEHAND_SHOTS"); folder != "" {
			if png, err := chromedp.Run(p.Ctx, chromedp.FullScreenshot(100)); err == nil {
				_ = os.WriteFile(folder+"/"+name+".png", png, 0o600)
			}
		}
	}
	shows = func(text string) {
		t.Helper()
		p.Wait(fmt.Sprintf(`document.querySelector("#table").textContent.includes(%q)`, text))
	}
	fill = func(selector, value string) {
		t.Helper()
		browser.Read[string](p, fmt.Sprintf(`(() => { const e = document.querySelector(%q); e.closest("details").open = true; return e.value = %q })()`, selector, value))
	}
	return look, shows, fill
}

// TestBrowserTableByCards cuts with a scanner alone: the cloth measured, a cut as planned, one that is read twice, a flaw and a longer cut by
// the keys, what is left of the bolt, and the finish.
func TestBrowserTableByCards(t *testing.T) {
	c := browser.Start(t)
	s := shoptest.Open(t)
	f := s.Release(t, "SMI-1", ", flaws: [{from: 7 yd, to: 7 yd 3 in}]", "", "{id: R1, length: 40 yd", "{id: R1, length: 30 yd")
	code := f.Cutting[0].Ticket
	p := c.SignIn(t, s).Tab(t, 1280, 800, "/station/cutting?ticket="+code)
	scan := func(cards ...string) {
		t.Helper()
		for _, card := range cards {
			p.Do(chromedp.Focus(chromedp.CSS("#scan")), chromedp.KeyEvent(card+"\r"))
		}
	}
	sends := func(cards ...string) { // of which the last is answered by the shop
		t.Helper()
		p.Unsaid()
		scan(cards...)
		p.Answered("done")
	}
	shows := func(text string) {
		t.Helper()
		p.Wait(fmt.Sprintf(`document.querySelector("#table").textContent.includes(%q)`, text))
	}
	keys := func(field, value string) {
		t.Helper()
		if got := browser.Read[string](p, fmt.Sprintf(`document.querySelector(%q).value`, field)); got != value {
			t.Errorf("%s is %q, want %q", field, got, value)
		}
	}
	sends("DO KEY 5", "DO KEY 4", "DO NEXT", "DO KEY 6", "DO KEY 7", "DO EIGHTHS 4", "DO NEXT") // the cloth as it came: the last of it starts the cutting
	shows("Cut 1 of 5")
	scan("DO NUMBER")                                                                                                                                                          // a hand was at the page: it may sound
	p.Do(chromedp.Evaluate[chromedp.Void](`{ const box = document.getElementById("scan"); for (let n = 0; n < 2; n++) { box.value = "DO CUT"; box.form.requestSubmit(); } }`)) // read twice
	shows("Cut 2 of 5")
	p.Answered("refused")
	sends("DO CUT")
	shows("Cut 3 of 5")

	scan("DO FLAW")
	p.Wait(`document.querySelector("#flaw[open] .keypad:not([hidden])")`)
	scan("DO KEY 2", "DO KEY 0", "DO NEXT", "DO KEY 2", "DO KEY 3", "DO EIGHTHS 4")
	keys("#flaw-from", "20")
	keys("#flaw-to", "23 1/2")
	sends("DO FLAW")
	shows("270")
	p.Wait(`!document.querySelector("#flaw").open`)
	if off := strings.ReplaceAll(p.Sees(".off-bolts"), "\u2044", "/"); !strings.Contains(off, "266 1/2") {
		t.Errorf("the flaw isn't where it was keyed in: %q", off)
	}

	scan("DO KEY 1", "DO KEY 2", "DO KEY 4") // nothing asks: the cut came out as
	keys("#cut-length", "124")
	sends("DO CUT")
	shows("Cut 4 of 5")

	scan("DO REST", "DO REST") // opened, and closed again
	p.Wait(`!document.querySelector("#rest").open`)
	sends("DO REST", "DO KEY 4", "DO KEY 0", "DO KEY 0", "DO RUB OUT", "DO KEY 5", "DO NEXT")
	p.Wait(`document.querySelector(".off-bolts").textContent.includes("799")`) // 270 + 124 + 405
	sends("DO CUT")
	shows("Cut 5 of 5")
	sends("DO CUT")
	shows("All is cut")
	p.Unsaid()
	for range s.Look(t, code).Step.Acts {
		scan("DO CHECK")
	}
	p.Finishes("done")
	s.Expect(t, code, "cutting", "finished")
	s.Audit(t)
}
