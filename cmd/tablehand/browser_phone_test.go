package main

import (
	"bytes"
	"fmt"
	"image"
	"image/jpeg"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// worksByPhone takes panels through their work on a phone of 360 px that has come by the address on the ticket, as its
// camera gives it: signed in on the way, with nothing but taps and typing.
func worksByPhone(t *testing.T, c *chromium) {
	s := openShop(t)
	c.signIn(t, s) // which sets the shop up
	taped := s.release(t, "SMI-1")
	pinched := s.release(t, "SMI-2", "heading: cartridge-tape", "heading: pinch-3")
	taped.cutAll(t)
	pinched.cutAll(t)
	phone := c.stranger(t, s)

	phone.open("/T/" + taped.panels[0].Ticket)
	phone.wait(`document.querySelector('[data-signin]')`)
	phone.fits("the sign-in")
	phone.do(chromedp.SendKeys(chromedp.CSS(`[name="passphrase"]`), s.passphrase(t)), chromedp.Click(chromedp.CSS(`[data-signin] button`)))
	phone.wait(fmt.Sprintf(`location.pathname.toUpperCase() === "/T/%s"`, taped.panels[0].Ticket))
	phone.steps(s, taped.panels[0].Ticket, "joining", "fold")

	s.workTo(t, pinched.panels[0].Ticket, "pleating")
	phone.open("/T/" + pinched.panels[0].Ticket)
	phone.steps(s, pinched.panels[0].Ticket, "pleating", "tacking")

	phone.open("/STATION/PULL_UP") // a placard's
	phone.wait(`location.pathname === "/station/pull_up"`)
	phone.fits("the station")
	phone.holds(s, taped.panels[1].Ticket)

	other := pinched.panels[1].Ticket // by one press of what is wrong
	phone.open("/t/" + other)
	phone.do(chromedp.Click(chromedp.CSS(".hold-link")))
	phone.hit(`#hold [value="size"]`)
	phone.wait(`document.querySelector('#open article[data-state="held"]')`)
	if why := phone.sees("#open .note.held"); !strings.Contains(why, "A size is off") {
		t.Errorf("held because %q", why)
	}
	s.expect(t, other, "joining", "held")
}

// stranger is a phone that has never been here.
func (c *chromium) stranger(t *testing.T, s *shop) *tab {
	t.Helper()
	ctx, leave := chromedp.NewContext(c.ctx, chromedp.WithNewBrowserContext())
	t.Cleanup(leave)
	return (&browser{shop: s, ctx: ctx}).use(t, ctx, 360, 740)
}

// steps starts the open ticket's work at a station, enters and ticks what it asks for, finishes it, and is told what
// comes next.
func (p *tab) steps(s *shop, code, station, next string) {
	p.t.Helper()
	p.wait(`document.querySelector('#open article[data-state="ready"] .main-action')`)
	p.fits(station + " ready")
	p.press(".main-action", "done")
	p.wait(`document.querySelector('#open article[data-state="at_work"] .main-action')`)
	p.fits(station + " at work")
	st := s.expect(p.t, code, station, "at_work").Step
	for _, e := range st.Enter {
		p.fillIn(e, p.beside(e))
	}
	p.tick(st)
	p.press(".main-action", "done")
	p.wait(`document.querySelector('#open article[data-state="ready"]')`)
	s.expect(p.t, code, next, "ready")
	p.fits("after " + station)
}

// flawPhoto is a picture such as a camera makes.
func flawPhoto(t *testing.T) []byte {
	t.Helper()
	photo := image.NewGray(image.Rect(0, 0, 640, 480))
	for i := range photo.Pix {
		photo.Pix[i] = byte(i%640/3 + i/640/5)
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, photo, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// holds holds a ticket for a reason with a photograph.
func (p *tab) holds(s *shop, code string) {
	p.t.Helper()
	picture := filepath.Join(p.t.TempDir(), "flaw.jpg")
	if err := os.WriteFile(picture, flawPhoto(p.t), 0o600); err != nil {
		p.t.Fatal(err)
	}
	p.open("/T/" + code)
	p.wait(`document.querySelector('#open article[data-state="ready"]')`)
	p.do(chromedp.Click(chromedp.CSS(".hold-link")))
	p.do(chromedp.SendKeys(chromedp.CSS("#hold-reason"), "A pulled thread near the hem"))
	p.do(chromedp.SetUploadFiles(chromedp.CSS("#hold-photo"), []string{picture}))
	p.do(chromedp.Click(chromedp.CSS(`.field:has(#hold-reason) button`)))
	p.wait(`document.querySelector('#open article[data-state="held"] .hold-picture')`)
	p.wait(`document.querySelector('.hold-picture').naturalWidth > 0`)
	p.fits("held")
	if why := p.sees("#open .note.held"); !strings.Contains(why, "pulled thread") {
		p.t.Errorf("held because %q", why)
	}
	s.expect(p.t, code, "joining", "held")
}

// fits holds a page to a phone's width and a thumb's size: nothing scrolls sideways, every button, field and box that
// is shown can be hit.
func (p *tab) fits(what string) {
	p.t.Helper()
	if wide := read[int](p, "document.documentElement.scrollWidth"); wide > 360 {
		p.t.Errorf("%s: %d px wide on a screen of 360", what, wide)
	}
	small := read[[]string](p, `[...document.querySelectorAll('button, summary, .button, input:not([type="hidden"]):not([type="checkbox"]):not([type="radio"]):not(.unseen), select, label.tick')]
		.filter((e) => e.checkVisibility() && e.getBoundingClientRect().height < 47.5)
		.map((e) => e.tagName + "." + e.className + "#" + e.id + " " + e.getBoundingClientRect().height)`)
	if len(small) > 0 {
		p.t.Errorf("%s: too small to hit: %q", what, small)
	}
}
