package main

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// seen says what is wrong with where the focus is: nowhere, not marked by an outline, or under something else. A field
// may be marked at its label's side; what the skip link leads to is the page itself.
const seen = `(() => {
	const e = document.activeElement;
	if (!e || e === document.body || e === document.documentElement) return "nowhere";
	if (e.matches("main")) return "";
	const s = getComputedStyle(e), where = e.tagName + "." + e.className + "#" + e.id + " " + e.textContent.trim().slice(0, 30);
	if (!e.matches(":focus-visible") || s.outlineStyle === "none" || parseFloat(s.outlineWidth) < 2) return "not marked: " + where;
	const r = e.getBoundingClientRect();
	for (const [x, y] of [[.5, .5], [.1, .2], [.9, .2], [.1, .8], [.9, .8]]) {
		const over = document.elementFromPoint(r.x + r.width * x, r.y + r.height * y);
		if (over && (e.contains(over) || over.contains(e))) return "";
	}
	return "hidden: " + where;
})()`

// TestBrowserKeyboard does the main job with keys alone: an order typed, released, cut, sewn, checked, measured, packed
// and billed. No step of it clicks, and at each the focus is somewhere, and seen.
func TestBrowserKeyboard(t *testing.T) {
	c := startChromium(t)
	s := openShop(t)
	c.signIn(t, s) // which sets the shop up
	s.ask(t, request{as: s.office, do: "PUT /api/prices", status: 200,
		send: fields{"currency": "USD", "rows": []fields{{"heading": "cartridge-tape", "panel": "40.00", "width": "18.00"}}}})
	p := c.stranger(t, s)
	p.do(chromedp.EmulateViewport(1280, 800))

	p.open("/orders")
	p.wait(`document.activeElement.name === "passphrase"`)
	p.keys(s.passphrase(t) + "\r")
	p.wait(`document.querySelector("#orders")`)
	p.enter(`a[href="/taking"]`, `location.pathname === "/taking" && document.activeElement.name === "order"`)
	p.typesOneWindow("SMI-1")
	p.keys("\r", chromedp.ModifierCtrl)
	p.wait(`location.pathname === "/orders/SMI-1"`)
	p.enter(`form[action$="/release"] .main-action`, `document.querySelector('a[href*="tickets.pdf"]')`)

	var got struct{ Tickets []row }
	s.ask(t, request{as: s.office, do: "GET /api/orders/SMI-1", status: 200}).into(t, &got)
	p.enter(`nav a[href="/"]`, `location.pathname === "/"`)
	for _, kind := range []string{"cutting", "panel"} {
		for _, ticket := range got.Tickets {
			for ticket.Kind == kind && s.look(t, ticket.Ticket).Step != nil {
				p.worksByKeys(s, ticket.Ticket)
			}
		}
	}

	p.enter(`nav a[href="/ready"]`, `location.pathname === "/ready"`)
	p.enter(`#ready .main-action`, `location.pathname.startsWith("/invoices/")`)
	p.enter(`form[action$="/issue"] .main-action`, `document.querySelector('.note.done') && document.querySelector('a[href$=".pdf"]')`)
	if state := s.ask(t, request{as: s.office, do: "GET /api/orders/SMI-1", status: 200}).at("state"); state != "invoiced" {
		t.Errorf("the order is %s, want invoiced", state)
	}
}

// typesOneWindow types the least that an order can be.
func (p *tab) typesOneWindow(order string) {
	p.t.Helper()
	for _, f := range [][2]string{{"order", order}, {"customer", "Saltmarsh Inn"}, {"sidemark", ""}, {"due", "12182026"}, {"units", ""}, {"fabrics.0.id", "reed"}, {"fabrics.0.use", ""}, {"usable_width", "54"}} {
		p.in(f[0], f[1])
	}
	p.tabTo("add:fabrics.0.bolts")
	p.keys("\r")
	p.in(".bolts.1000.id", "R1")
	p.in(".length", "60 yd")
	p.tabTo("add:tapes")
	p.keys("\r")
	for _, f := range [][2]string{{".id", "cart-4"}, {".period", "6 1/2"}, {".space", "2 1/2"}, {".height", "4"}, {".cords", "3"},
		{"treatments.0.window", "Bay, left"}, {".room", "14"}, {".quantity", ""}, {".draw", ""}, {".face_width", "84"}, {".length_by", ""}, {".finished_length", "95 1/2"}} {
		p.in(f[0], f[1])
	}
	p.wait(`document.getElementById("taking").dataset.errors === "0"`)
}

// worksByKeys goes from the home page to the station where a ticket waits, scans it as a keyboard scanner does, types
// its measures, ticks its checks, finishes it, and goes home again.
func (p *tab) worksByKeys(s *shop, code string) {
	p.t.Helper()
	station := s.look(p.t, code).Step.Station
	p.enter(fmt.Sprintf(`main a[href="/station/%s"]`, station), fmt.Sprintf(`location.pathname === "/station/%s" && document.activeElement.id === "scan"`, station))
	p.keys(code + "\r")
	p.wait(fmt.Sprintf(`document.querySelector('#open article[data-code="%s"][data-state="at_work"]')`, code))
	st := s.look(p.t, code).Step
	for _, e := range st.Enter {
		at := fmt.Sprintf(`[data-entry="%s"] input`, e.Name)
		p.reach(at)
		if e.Kind != "choice" {
			p.keys(strings.TrimSpace(strings.TrimRight(p.beside(e), "cimn")) + "\r")
			continue
		}
		p.keys(kb.ArrowDown + kb.ArrowUp) // the arrows go round the choices and choose; Enter goes on
		for range e.Options {
			if read[string](p, `document.activeElement.matches(":checked") ? document.activeElement.value : ""`) == e.Target {
				break
			}
			p.keys(kb.ArrowDown)
		}
		p.keys("\r")
	}
	for _, check := range st.Checks {
		p.reach(fmt.Sprintf(`input[name="check"][value="%s"]`, check.Name))
		p.keys(" ")
	}
	p.do(chromedp.Evaluate[chromedp.Void](`document.getElementById("answer").replaceChildren()`))
	p.enter(`.bar .main-action`, `document.querySelector('#answer .said.done')`)
	p.mustSee("after the finish")
	p.back(`a.home`)
	p.keys("\r")
	p.wait(`location.pathname === "/"`)
}

// enter goes to something by Tab, and through it by Enter, until what comes of that is there.
func (p *tab) enter(selector, comes string) {
	p.t.Helper()
	p.reach(selector)
	p.keys("\r")
	p.wait(comes)
}

// reach presses Tab until the focus is on what a selector names; back presses it with Shift.
func (p *tab) reach(selector string) { p.t.Helper(); p.wander(selector) }
func (p *tab) back(selector string)  { p.t.Helper(); p.wander(selector, chromedp.ModifierShift) }

func (p *tab) wander(selector string, with ...chromedp.Modifier) {
	p.t.Helper()
	for range 150 {
		if read[bool](p, fmt.Sprintf("Boolean(document.activeElement?.matches(%q))", selector)) {
			p.mustSee(selector)
			return
		}
		p.keys("\t", with...)
		if why := read[string](p, seen); why != "nowhere" { // the way round goes over the browser's own parts
			p.mustSee("on the way to " + selector)
		}
	}
	p.t.Fatalf("Tab never comes to %s\n%s", selector, read[string](p, "document.body.innerText"))
}

// mustSee holds the focus to being somewhere, and seen.
func (p *tab) mustSee(when string) {
	p.t.Helper()
	if why := read[string](p, seen); why != "" {
		p.t.Errorf("%s, %s: the focus is %s", read[string](p, "location.pathname"), when, why)
	}
}

// TestBrowserKeepsFocus has others work while the focus stands on what is fetched anew: it stays on the same thing.
func TestBrowserKeepsFocus(t *testing.T) {
	c := startChromium(t)
	s := openShop(t)
	b := c.signIn(t, s)
	f := s.release(t, "SMI-1", manyWindows("7")...)
	f.cutAll(t)
	open := f.nextPanel(t)
	s.start(t, s.office, open)
	for _, at := range []struct{ path, focus string }{
		{"/", `main a[href="/station/joining"]`},
		{"/", `#today-stopped button[value="resume"]`}, // of the first that was held meanwhile
		{"/", `#today-stopped summary`},
		{"/orders", `#orders a[href="/orders/SMI-1"]`},
		{"/orders/SMI-1", fmt.Sprintf(`a[href="/t/%s"]`, open)},
		{"/board", `[data-live] a`},
		{"/station/joining?ticket=" + open, `.bar .main-action`},
		{"/station/joining?ticket=" + open, `.move-bar [data-step="1"]:not([disabled]), .move-bar [data-all]`},
		{"/station/joining?ticket=" + open, fmt.Sprintf(`#queue a[href*="%s"]`, f.panels[13].Ticket)},
		{"/t/" + open, `.more-actions summary`},
	} {
		p := b.tab(t, 1280, 800, at.path)
		p.do(chromedp.Evaluate[chromedp.Void](`window.fetched = 0; document.addEventListener("cloth:fresh", () => { fetched++; })`))
		p.reach(at.focus)
		which := `(() => { const e = document.activeElement; return e.tagName + (e.getAttribute("href") ?? "") + (e.name ?? "") + (e.dataset.step ?? "") + (e.matches("summary, button") ? e.textContent + (e.closest("li")?.textContent ?? "") : ""); })()`
		before := read[string](p, which)
		s.done(t, s.station, scan(f.nextPanel(t), "hold", "", "reason", "Flaw in the middle of the second width"), nil)
		p.wait("fetched > 0")
		read[bool](p, "new Promise((done) => setTimeout(() => done(true), 200))", chromedp.EvalAwaitPromise)
		if after := read[string](p, which); after != before {
			t.Errorf("%s: the focus was on %s and is on %s after others have worked", at.path, before, after)
		}
		p.mustSee("after others have worked")
		p.do(chromedp.Navigate("about:blank"))
	}
}
