package hands

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// TestBrowserKeyboard does the main job with keys alone: an order typed, released, cut, sewn, checked, measured, packed
// and billed. No step of it clicks, and at each the focus is somewhere, and seen.
func TestBrowserKeyboard(t *testing.T) {
	c := browser.Start(t)
	s := shoptest.Open(t)
	c.SignIn(t, s) // which sets the shop up
	s.Ask(t, shoptest.Request{As: s.Office, Do: "PUT /api/prices", Status: 200,
		Send: shoptest.Fields{"currency": "USD", "rows": []shoptest.Fields{{"heading": "cartridge-tape", "panel": "40.00", "width": "18.00"}}}})
	p := c.Stranger(t, s)
	p.Do(chromedp.EmulateViewport(1280, 800))

	p.Open("/orders")
	p.Wait(`document.activeElement.name === "passphrase"`)
	p.Keys(s.Passphrase(t) + "\r")
	p.Wait(`document.querySelector("#orders")`)
	p.Enter(`a[href="/taking"]`, `location.pathname === "/taking" && document.activeElement.name === "customer"`)
	typesOneWindow(p, "SMI-1")
	p.Keys("\r", chromedp.ModifierCtrl)
	p.Wait(`location.pathname === "/orders/SMI-1"`)
	p.Enter(`form[action$="/release"] .main-action`, `location.search === "?did=released"`)

	var got struct{ Tickets []shoptest.Row }
	s.Ask(t, shoptest.Request{As: s.Office, Do: "GET /api/orders/SMI-1", Status: 200}).Into(t, &got)
	p.Enter(`nav a[href="/"]`, `location.pathname === "/"`)
	for _, kind := range []string{"cutting", "panel"} {
		for _, ticket := range got.Tickets {
			for ticket.Kind == kind && s.Look(t, ticket.Ticket).Step != nil {
				worksByKeys(p, s, ticket.Ticket)
			}
		}
	}

	p.Enter(`nav a[href="/ready"]`, `location.pathname === "/ready"`)
	p.Enter(`#ready .main-action`, `location.pathname.startsWith("/invoices/")`)
	p.Enter(`form[action$="/issue"] .main-action`, `document.querySelector('.note.done') && document.querySelector('a[href$=".pdf"]')`)
	if state := s.Ask(t, shoptest.Request{As: s.Office, Do: "GET /api/orders/SMI-1", Status: 200}).At("state"); state != "invoiced" {
		t.Errorf("the order is %s, want invoiced", state)
	}
}

// typesOneWindow types the least that an order can be.
func typesOneWindow(p *browser.Tab, order string) {
	p.T.Helper()
	p.Back(`[name="order"]`) // a number is proposed, and the focus has gone past it
	for _, f := range [][2]string{{"order", order}, {"customer", "Saltmarsh Inn"}, {"sidemark", ""}, {"due", "12182026"}, {"fabrics.0.id", "reed"}, {"usable_width", "54"},
		{"vertical_repeat", ""}, {"bolts.0.id", "R1"}, {".length", "60 yd"}, {".lot", ""}, {".from", ""}, {".first_repeat", ""}, {"fabrics.1.id", ""}, {"tapes.0.id", "cart-4"}, {".period", "6 1/2"}, {".space", "2 1/2"}, {".height", "4"}, {".cords", "3"},
		{"treatments.0.window", "Bay, left"}, {".room", "14"}, {".quantity", ""}, {".draw", ""}, {".face_width", "84"}, {".length_by", ""}, {".finished_length", "95 1/2"}} {
		p.TypeIn(f[0], f[1])
	}
	p.Wait(`document.getElementById("taking").dataset.errors === "0"`)
}

// worksByKeys goes from the home page to the station where a ticket waits, scans it as a keyboard scanner does, types
// its measures, ticks its checks, finishes it, and goes home again.
func worksByKeys(p *browser.Tab, s *shoptest.Shop, code string) {
	p.T.Helper()
	station := s.Look(p.T, code).Step.Station
	p.Enter(fmt.Sprintf(`main a[href="/station/%s"]`, station), fmt.Sprintf(`location.pathname === "/station/%s" && document.activeElement.id === "scan"`, station))
	p.Unsaid()
	p.Keys(code + "\r")
	p.Answered("done")
	p.Wait(fmt.Sprintf(`document.querySelector('#open article[data-code="%s"]')`, code))
	st := s.Look(p.T, code).Step
	measure := func(e shoptest.Entry) { // the focus goes ahead by itself: one key takes what is asked
		hold := fmt.Sprintf(`[data-entry="%s"] :is(.ruler, .wanted, input[type=radio])`, e.Name)
		p.Reach(hold)
		p.Keys(map[bool]string{true: " ", false: "\r"}[e.Kind == "choice"])
	}
	if st.State == "ready" { // its cloth is measured before, and the last measure starts it
		p.Unsaid()
		for _, e := range st.Enter {
			measure(e)
		}
		p.Answered("done")
	}
	p.Wait(fmt.Sprintf(`document.querySelector('#open article[data-code="%s"][data-state="at_work"]')`, code))
	st = s.Look(p.T, code).Step
	p.Unsaid()
	for _, e := range st.Asked() {
		measure(e)
	}
	for range browser.Read[int](p, `document.querySelectorAll("#work .act").length`) {
		p.Reach(`#work [data-all]:not(:checked)`)
		p.Keys(" ")
	}
	if browser.Read[bool](p, `Boolean(document.querySelector(".finish-once"))`) {
		p.Enter(".finish-once", `document.querySelector('#answer .said.done')`)
	}
	p.Answered("done")
	p.MustSee("after the finish")
	p.Back(`a.home`)
	p.Keys("\r")
	p.Wait(`location.pathname === "/"`)
}

// TestBrowserKeepsFocus has others work while the focus stands on what is fetched anew: it stays on the same thing.
func TestBrowserKeepsFocus(t *testing.T) {
	c := browser.Start(t)
	s := shoptest.Open(t)
	b := c.SignIn(t, s)
	f := s.Release(t, "SMI-1", shoptest.ManyWindows("7")...)
	f.CutAll(t)
	open := f.NextPanel(t)
	s.Start(t, s.Office, open)
	for _, at := range []struct{ path, focus string }{
		{"/", `main a[href="/station/joining"]`},
		{"/", `#today-stopped button[value="resume"]`}, // of the first that was held meanwhile
		{"/", `#today-stopped summary`},
		{"/orders", `#orders a[href="/orders/SMI-1"]`},
		{"/orders/SMI-1", fmt.Sprintf(`a[href="/t/%s"]`, open)},
		{"/board", `[data-live] a`},
		{"/station/joining?ticket=" + open, `.bar .main-action`},
		{"/station/joining?ticket=" + open, `.move-bar [data-step="1"]:not([disabled]), .move-bar [data-all-numbers]`},
		{"/station/joining?ticket=" + open, fmt.Sprintf(`#queue a[href*="%s"]`, f.Panels[13].Ticket)},
		{"/t/" + open, `.more-actions summary`},
	} {
		p := b.Tab(t, 1280, 800, at.path)
		p.Do(chromedp.Evaluate[chromedp.Void](`window.fetched = 0; document.addEventListener("cloth:fresh", () => { fetched++; })`))
		p.Reach(at.focus)
		which := `(() => { const e = document.activeElement; return e.tagName + (e.getAttribute("href") ?? "") + (e.name ?? "") + (e.dataset.step ?? "") + (e.matches("summary, button") ? e.textContent + (e.closest("li")?.textContent ?? "") : ""); })()`
		before := browser.Read[string](p, which)
		s.Done(t, s.Station, shoptest.Scan(f.NextPanel(t), "hold", "", "reason", "Flaw in the middle of the second width"), nil)
		p.Wait("fetched > 0")
		browser.Read[bool](p, "new Promise((done) => setTimeout(() => done(true), 200))", chromedp.EvalAwaitPromise)
		if after := browser.Read[string](p, which); after != before {
			t.Errorf("%s: the focus was on %s and is on %s after others have worked", at.path, before, after)
		}
		p.MustSee("after others have worked")
		p.Do(chromedp.Navigate("about:blank"))
	}
}
