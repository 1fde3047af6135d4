package flows

import (
	"net/url"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// types types into a field of the page.
func types(p *browser.Tab, field, text string) {
	p.Do(chromedp.SendKeys(chromedp.CSS(field), text))
}

func press(p *browser.Tab, button string) { p.Do(chromedp.Click(chromedp.CSS(button))) }

// letInByHand lets a device in at the office's page and returns the code that it shows.
func letInByHand(office *browser.Tab, name, kind, station string) string {
	office.Open("/settings/devices")
	types(office, "#device-name", name)
	press(office, `input[name="kind"][value="`+kind+`"]`)
	if station != "" {
		press(office, `input[name="station"][value="`+station+`"]`)
	}
	press(office, `form[action="/settings/devices"] .main-action`)
	office.Wait(`document.querySelector('.enter-code') && document.querySelector('.enter-square svg')`)
	return strings.ReplaceAll(office.Sees(".enter-code"), " ", "")
}

// TestBrowserDevices: a tablet is let in by the address that its square holds, a wall by its code; each is what it was let in
// as, and a phone that is shut out while its page is open is out.
func TestBrowserDevices(t *testing.T) {
	c := browser.Start(t)
	s := shoptest.Open(t)
	f := s.Release(t, "SMI-1")
	f.CutAll(t)
	office := c.SignIn(t, s).Tab(t, 1280, 800, "/settings/devices")

	code := letInByHand(office, "Joining tablet", "bench", "joining")
	tablet := c.Stranger(t, s)
	tablet.Open("/ENTER/" + code)
	tablet.Wait(`document.querySelector('form[action="/enter"] .main-action')`)
	if said := tablet.Sees("main"); !strings.Contains(said, "Joining tablet") {
		t.Errorf("before it enters, the tablet says %q", said)
	}
	press(tablet, `form[action="/enter"] .main-action`)
	tablet.Wait(`location.pathname === "/station/joining"`)
	tablet.Open("/orders")
	tablet.Wait(`!document.querySelector('a[href^="/orders/"]') && document.querySelector('h1')`)
	tablet.Open("/")
	tablet.Wait(`location.pathname === "/station/joining"`)

	code = letInByHand(office, "Wall by the door", "wall", "")
	wall := c.Stranger(t, s)
	wall.Open("/enter")
	types(wall, "#code", strings.ToLower(code))
	press(wall, `form[action="/enter"] .main-action`)
	wall.Wait(`location.pathname === "/screen" && document.querySelector('#screen')`)
	wall.Open("/") // as after a power cut
	wall.Wait(`location.pathname === "/screen"`)

	code = letInByHand(office, "Lost phone", "bench", "")
	phone := c.Stranger(t, s)
	phone.Open("/enter/" + code)
	press(phone, `form[action="/enter"] .main-action`)
	phone.Wait(`location.pathname === "/" && document.querySelector('a[href="/station/fold"]')`)
	phone.Open("/station/joining")
	phone.Wait(`document.querySelector('#scan')`)
	office.Open("/settings/devices")
	office.Wait(`document.querySelectorAll('.let-in form').length >= 3`)
	office.Do(chromedp.Evaluate[chromedp.Void](`[...document.querySelectorAll('.let-in li')].find((li) => li.textContent.includes("Lost phone")).querySelector("button").click()`))
	office.Wait(`document.querySelector('.said') && !document.querySelector('.let-in').textContent.includes("Lost phone")`)
	phone.Wait(`document.querySelector('[data-signin]')`) // nobody has touched it
}

// TestBrowserPeople: a bookkeeper signs in and sees the books, and a lead decides at a bench by badge and PIN.
func TestBrowserPeople(t *testing.T) {
	c := browser.Start(t)
	s := shoptest.Open(t)
	person := func(fields shoptest.Fields) shoptest.Answer {
		t.Helper()
		return s.Ask(t, shoptest.Request{As: s.Office, Do: "POST /api/people", Send: fields, Status: 201})
	}
	set := func(id, what, value string) {
		t.Helper()
		s.Ask(t, shoptest.Request{As: s.Office, Do: "POST /api/people/" + id + "/" + what, Send: shoptest.Fields{what: value}, Status: 204})
	}
	books := person(shoptest.Fields{"name": "Cora Ledger", "sign_in": "accounts"})
	set(books.At("person"), "passphrase", "reed bed by the marsh")
	lead := person(shoptest.Fields{"name": "Ada Brook", "floor": "lead"})
	set(lead.At("person"), "pin", "4711")
	person(shoptest.Fields{"name": "Ben Tide", "floor": "hand"})
	f := s.Release(t, "SMI-1")
	f.CutAll(t)
	code := f.NextPanel(t)
	f.Hold(t, code, "flat_width", "130in")

	accounts := c.Stranger(t, s)
	accounts.Open("/sign-in")
	types(accounts, "#person", "Cora Ledger")
	types(accounts, "#passphrase", "reed bed by the marsh")
	press(accounts, "[data-signin] .main-action")
	accounts.Wait(`location.pathname === "/ready"`)
	accounts.Open("/orders/SMI-1")
	accounts.Wait(`document.querySelector('h1').textContent === "SMI-1" && !document.querySelector('main form')`)

	device := s.Ask(t, shoptest.Request{As: s.Office, Do: "POST /api/devices", Send: shoptest.Fields{"name": "Joining bench", "kind": "bench", "stations": []string{"joining"}}, Status: 201})
	bench := c.Stranger(t, s)
	bench.Open("/enter/" + device.At("code"))
	press(bench, `form[action="/enter"] .main-action`)
	bench.Wait(`location.pathname === "/station/joining"`)
	press(bench, `.crew button[value="Ben Tide"]`)
	bench.Wait(`document.querySelector('.crew button[value="Ben Tide"][aria-pressed="true"]')`)
	types(bench, "#scan", lead.At("badge")+"\r")
	bench.Wait(`document.querySelector('#person').value === "Ada Brook"`)
	bench.Open("/station/joining?ticket=" + url.QueryEscape(code))
	press(bench, ".lead summary")
	types(bench, "#lead-badge", lead.At("badge"))
	types(bench, "#lead-pin", "1111")
	types(bench, "#lead-reason", "The window is out of square")
	press(bench, `[data-lead] button[value="accept"]`)
	bench.Wait(`document.querySelector('.said.refused')`)
	bench.Wait(`document.querySelector('#lead-badge').value && !document.querySelector('#lead-pin').value`)
	types(bench, "#lead-pin", "4711")
	press(bench, `[data-lead] button[value="accept"]`)
	bench.Until("the panel at the next station", func() bool { return s.Look(t, code).Station == "fold" })
}
