package flows

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

	"tablehand/cmd/tablehand/browser"
	"tablehand/cmd/tablehand/shoptest"
)

// worksByPhone takes panels through their work on a phone of 360 px that has come by the address on the ticket, as its
// camera gives it: signed in on the way, with nothing but taps and typing.
func worksByPhone(t *testing.T, c *browser.Chromium) {
	s := shoptest.Open(t)
	c.SignIn(t, s) // which sets the shop up
	taped := s.Release(t, "SMI-1")
	pinched := s.Release(t, "SMI-2", "heading: cartridge-tape", "heading: pinch-3")
	taped.CutAll(t)
	pinched.CutAll(t)
	phone := c.Stranger(t, s)

	phone.Open("/T/" + taped.Panels[0].Ticket)
	phone.Wait(`document.querySelector('[data-signin]')`)
	fits(phone, "the sign-in")
	phone.Do(chromedp.SendKeys(chromedp.CSS(`[name="passphrase"]`), s.Passphrase(t)), chromedp.Click(chromedp.CSS(`[data-signin] button`)))
	phone.Wait(fmt.Sprintf(`location.pathname.toUpperCase() === "/T/%s"`, taped.Panels[0].Ticket))
	steps(phone, s, taped.Panels[0].Ticket, "joining", "fold")

	s.WorkTo(t, pinched.Panels[0].Ticket, "pleating")
	phone.Open("/T/" + pinched.Panels[0].Ticket)
	steps(phone, s, pinched.Panels[0].Ticket, "pleating", "tacking")

	phone.Open("/STATION/PULL_UP") // a placard's
	phone.Wait(`location.pathname === "/station/pull_up"`)
	fits(phone, "the station")
	holds(phone, s, taped.Panels[1].Ticket)

	other := pinched.Panels[1].Ticket // by one press of what is wrong
	phone.Open("/t/" + other)
	phone.Do(chromedp.Click(chromedp.CSS(".hold-link")))
	phone.Hit(`#hold [value="size"]`)
	phone.Wait(`document.querySelector('#open article[data-state="held"]')`)
	if why := phone.Sees("#open .note.held"); !strings.Contains(why, "A size is off") {
		t.Errorf("held because %q", why)
	}
	s.Expect(t, other, "joining", "held")
}

// steps starts the open ticket's work at a station, enters and ticks what it asks for, finishes it, and is told what
// comes next.
func steps(p *browser.Tab, s *shoptest.Shop, code, station, next string) {
	p.T.Helper()
	p.Wait(`document.querySelector('#open article[data-state="ready"] .main-action')`)
	fits(p, station+" ready")
	p.Press(".main-action", "done")
	p.Wait(`document.querySelector('#open article[data-state="at_work"] .main-action')`)
	fits(p, station+" at work")
	st := s.Expect(p.T, code, station, "at_work").Step
	for _, e := range st.Enter {
		p.FillIn(e, p.Beside(e))
	}
	p.Unsaid()
	p.Tick()
	p.Finishes("done")
	p.Wait(`document.querySelector('#open article[data-state="ready"]')`)
	s.Expect(p.T, code, next, "ready")
	fits(p, "after "+station)
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
func holds(p *browser.Tab, s *shoptest.Shop, code string) {
	p.T.Helper()
	picture := filepath.Join(p.T.TempDir(), "flaw.jpg")
	if err := os.WriteFile(picture, flawPhoto(p.T), 0o600); err != nil {
		p.T.Fatal(err)
	}
	p.Open("/T/" + code)
	p.Wait(`document.querySelector('#open article[data-state="ready"]')`)
	p.Do(chromedp.Click(chromedp.CSS(".hold-link")))
	p.Do(chromedp.SendKeys(chromedp.CSS("#hold-reason"), "A pulled thread near the hem"))
	p.Do(chromedp.SetUploadFiles(chromedp.CSS("#hold-photo"), []string{picture}))
	p.Do(chromedp.Click(chromedp.CSS(`.field:has(#hold-reason) button`)))
	p.Wait(`document.querySelector('#open article[data-state="held"] .hold-picture')`)
	p.Wait(`document.querySelector('.hold-picture').naturalWidth > 0`)
	fits(p, "held")
	if why := p.Sees("#open .note.held"); !strings.Contains(why, "pulled thread") {
		p.T.Errorf("held because %q", why)
	}
	s.Expect(p.T, code, "joining", "held")
}

// fits holds a page to a phone's width and a thumb's size: nothing scrolls sideways, every button, field and box that
// is shown can be hit.
func fits(p *browser.Tab, what string) {
	p.T.Helper()
	if wide := browser.Read[int](p, "document.documentElement.scrollWidth"); wide > 360 {
		p.T.Errorf("%s: %d px wide on a screen of 360", what, wide)
	}
	small := browser.Read[[]string](p, `[...document.querySelectorAll('button, summary, .button, input:not([type="hidden"]):not([type="checkbox"]):not([type="radio"]):not(.unseen), select, label.tick')]
		.filter((e) => e.checkVisibility() && e.getBoundingClientRect().height < 47.5)
		.map((e) => e.tagName + "." + e.className + "#" + e.id + " " + e.getBoundingClientRect().height)`)
	if len(small) > 0 {
		p.T.Errorf("%s: too small to hit: %q", what, small)
	}
}
