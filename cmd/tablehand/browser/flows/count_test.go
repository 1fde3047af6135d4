package flows

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// TestBrowserShelfCount counts a shelf on a phone with a scanner: one bolt is right, one lies elsewhere, one is short and measured, one
// is lost and turns up at the next scan of its label. The office settles each.
func TestBrowserShelfCount(t *testing.T) {
	c := browser.Start(t)
	s := shoptest.Open(t)
	office := func(do string, send shoptest.Fields, status int) shoptest.Answer {
		t.Helper()
		return s.Ask(t, shoptest.Request{As: s.Office, Do: do, Send: send, Status: status})
	}
	office("PUT /api/cloths/reed-oat", shoptest.Fields{"name": "Reed, oat", "usable_width": "54in", "sold_by": "yd"}, 201)
	come := func(place string) string {
		return office("POST /api/bolts", shoptest.Fields{"cloth": "reed-oat", "lot": "L7", "length": "40 yd", "place": place}, 201).At("bolts.0")
	}
	right, astray, short, lost := come("3B"), come("4A"), come("3B"), come("3B")
	p := c.SignIn(t, s).Tab(t, 360, 740, "/shelf/count")
	p.Hit("form .main-action")
	p.Wait(`document.activeElement.id === "code"`)
	p.Do(chromedp.Focus(chromedp.CSS("#at")))
	p.Keys("3b\t")
	scans := func(code, shape string) {
		t.Helper()
		p.Wait(`document.activeElement.id === "code"`)
		p.Keys(s.URL + "/B/" + code + "\r")
		p.Wait(fmt.Sprintf(`document.querySelector(".saw .said.%s a[href$='%s']")`, shape, code))
	}
	scans(right, "done")
	scans(astray, "held")
	scans(short, "done")
	if at := browser.Read[string](p, `document.querySelector("#at").value`); at != "3B" {
		t.Errorf("whoever scans stands at %q", at)
	}
	p.Do(chromedp.Focus(chromedp.CSS("#length")))
	p.Keys("39 yd\r")
	p.Wait(fmt.Sprintf(`!document.querySelector("#length") && document.querySelector(".saw .said.held a[href$='%s']")`, short))
	p.Hit(`form[action$="/end"] button`)
	settles := func(what, bolt, as string) {
		t.Helper()
		line := fmt.Sprintf("#%s-%s", what, bolt)
		p.Wait(fmt.Sprintf(`document.querySelector("%s button")`, line))
		p.Hit(fmt.Sprintf("%s button[value=%s]", line, as))
		p.Wait(fmt.Sprintf(`document.querySelector("%s .flag.note")`, line))
	}
	settles("unseen", lost, "missing")
	settles("elsewhere", astray, "moved")
	settles("differs", short, "measured")
	if n := browser.Read[int](p, `document.querySelectorAll("main li").length`); n != 3 {
		t.Errorf("%d lines differ", n)
	}
	of := func(bolt string) shoptest.Answer { return office("GET /api/bolts/"+bolt, nil, 200) }
	if got := [...]string{of(lost).At("state"), of(astray).At("place"), of(short).At("rest"), of(right).At("rest")}; got != [...]string{"missing", "3B", "1404in", "1440in"} {
		t.Errorf("the shelf has %q", got)
	}
	p.Open("/station/tape") // a label that is scanned at a station opens its bolt
	p.Wait(`document.activeElement.id === "scan"`)
	p.Keys(s.URL + "/B/" + right + "\r")
	p.Wait(fmt.Sprintf(`location.pathname === "/b/%s" && document.querySelector("h1")`, right))
	p.Open("/shelf/count")
	p.Hit("form .main-action")
	scans(lost, "done")
	if state := of(lost).At("state"); state != "received" {
		t.Errorf("found again, the bolt is %s", state)
	}
	s.Audit(t)
}
